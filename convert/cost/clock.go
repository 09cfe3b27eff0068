package cost

import (
	"cmp"
	"slices"
	"time"

	"quoin/validate"
)

// clockTolerance is how far the clock of a device may be off before it counts:
// a message may well take some seconds, and shifts are planned in minutes.
//
// Common practice, no source.
const clockTolerance = Span(time.Minute)

// leastMessages is how many messages have to be late by as much before they
// count as sent by a slow clock rather than as held up on their way.
//
// Common practice, no source.
const leastMessages = 3

// Clock is how far the clock of one device was off, by its own days in UTC: see
// DayNumber. The zero Clock is right.
type Clock map[int64]Offset

// Offset is how much later than it was sent, by the clock of the device, each
// message of a day came in, by the clock of the receiver.
type Offset struct {
	Least, Most Span
	Count       int
}

// DayNumber counts the days of UTC from 1 January 1970.
func DayNumber(t time.Time) int64 {
	const day = 24 * 60 * 60
	n := t.Unix() / day
	if t.Unix()%day < 0 {
		n--
	}
	return n
}

// ClockOf gathers what records tell of the clock of their device: those signals
// of which it is known when they came in, each content once, at its earliest.
func ClockOf(records []Record) Clock {
	first := map[string]*Record{}
	for i := range records {
		r := &records[i]
		if !r.Signal || r.Received.IsZero() {
			continue
		}
		if old := first[r.Key()]; old == nil || r.Received.Before(old.Received) {
			first[r.Key()] = r
		}
	}
	c := Clock{}
	for _, r := range first {
		c.add(r.Seen, Span(r.Received.Sub(r.Seen)))
	}
	return c
}

func (c Clock) add(seen time.Time, late Span) {
	o, known := c[DayNumber(seen)]
	if !known {
		o = Offset{Least: late, Most: late}
	}
	o.Least, o.Most = min(o.Least, late), max(o.Most, late)
	o.Count++
	c[DayNumber(seen)] = o
}

// Shift is what has to be added to the times of a device. A message can not come
// in before it was sent: where it does, the clock of the device is fast. One
// that is slow makes all messages late by as much, at least leastMessages of
// them. Where messages of one day disagree, no one shift is right, and steady is
// false; without a shift, messages that were held up are no contradiction.
func (o Offset) Shift() (shift Span, steady bool) {
	even := o.Most-o.Least <= clockTolerance
	switch {
	case o.Least < -clockTolerance:
		if !even {
			return 0, false
		}
		return o.Least.second(), true
	case o.Least > clockTolerance && even && o.Count >= leastMessages:
		return o.Least.second(), true
	}
	return 0, true
}

// second rounds to the second: what is less is the way of the message.
func (s Span) second() Span { return Span(time.Duration(s).Round(time.Second)) }

// adjust puts the entries right by the clock of their device, and reports each
// day on which it was off. Time is counted by the device's own clock, so that it
// stays as it is.
func (f *floor) adjust(entries []Entry, clock Clock) {
	said := map[int64]bool{}
	for i := range entries {
		e := &entries[i]
		day := DayNumber(e.Start)
		offset := clock[day]
		shift, steady := offset.Shift()
		if !said[day] {
			said[day] = true
			f.clockRemark(e, offset, shift, steady)
		}
		if shift != 0 {
			e.Start, e.End = e.Start.Add(time.Duration(shift)), e.End.Add(time.Duration(shift))
			e.Shifted = shift
		}
	}
	if len(said) > 1 {
		slices.SortStableFunc(entries, func(a, b Entry) int {
			return cmp.Or(a.Start.Compare(b.Start), cmp.Compare(a.Job, b.Job), cmp.Compare(a.Part, b.Part),
				cmp.Compare(a.Keys, b.Keys), cmp.Compare(order(a.State), order(b.State)))
		})
	}
}

func (f *floor) clockRemark(e *Entry, o Offset, shift Span, steady bool) {
	way, by := "slow", shift
	if shift < 0 {
		way, by = "fast", -shift
	}
	day := validate.F("day", e.Start.UTC().Format(time.DateOnly))
	device := validate.F("device", e.Device)
	switch {
	case !steady:
		f.remark(e.Start, ruleClockUnsteady.At(e.Source.place(), device, day,
			validate.F("least", o.Least.Clock()), validate.F("most", o.Most.Clock())))
	case shift != 0:
		f.remark(e.Start, ruleClock.At(e.Source.place(), device, day, validate.F("by", by), validate.F("way", way)))
	}
}
