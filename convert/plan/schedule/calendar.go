package schedule

import (
	"cmp"
	"slices"
	"sort"
	"time"

	"quoin/validate/plant"
)

// yearsAhead is how far a schedule looks. What finds no working time until then
// is reported, not laid.
const yearsAhead = 20

// chunk is how many days of a calendar are worked out at a time.
const chunk = 400

// span is a time from an instant up to another, in seconds since 1970.
type span struct{ from, to int64 }

// calendar is the working time of a machine from the start of the schedule on:
// spans that do not touch, rising. It grows as it is asked and is not safe for
// concurrent use. Instants at or over far stand for never.
type calendar struct {
	next    func() ([]span, bool) // spans that follow, false when there are no more
	spans   []span
	before  []int64 // working seconds before each span
	far     int64
	longest int64 // the longest span of the first chunk
	asked   int   // the span that at found last
}

// newCalendar is the working time of shifts in the zone and on the days of a
// plant; no shifts are work round the clock on all days that are no holidays.
func newCalendar(shifts []plant.Shift, p *plant.Plant, now time.Time) *calendar {
	if len(shifts) == 0 {
		all := plant.On(0, 1, 2, 3, 4, 5, 6)
		shifts = []plant.Shift{{Days: all, From: 0, To: plant.MinutesOfDay}}
	}
	zone := zoneOf(p)
	// The day before may have a shift that runs on into this one.
	day := plant.DayOf(now.In(zone).AddDate(0, 0, -1))
	last := now.AddDate(yearsAhead, 0, 0)
	c := &calendar{far: last.Unix()}
	c.next = func() ([]span, bool) {
		var spans []span
		for range chunk {
			spans = append(spans, onDay(day, shifts, p.Holidays, zone)...)
			day = plant.DayOf(time.Date(day.Year, day.Month, day.Day+1, 0, 0, 0, 0, time.UTC))
		}
		return spans, wall(day.Year, day.Month, day.Day, 0, zone).Before(last)
	}
	c.start(now.Unix())
	return c
}

// onDay is the spans of the shifts that begin on a day.
func onDay(d plant.Day, shifts []plant.Shift, holidays []plant.Day, zone *time.Location) []span {
	if _, closed := slices.BinarySearchFunc(holidays, d, plant.Day.Compare); closed {
		return nil
	}
	var spans []span
	weekday := time.Date(d.Year, d.Month, d.Day, 0, 0, 0, 0, time.UTC).Weekday()
	for _, s := range shifts {
		if !s.Days.Has(weekday) {
			continue
		}
		from := wall(d.Year, d.Month, d.Day, s.From, zone).Unix()
		to := wall(d.Year, d.Month, d.Day, s.To, zone).Unix()
		if from < to {
			spans = append(spans, span{from, to})
		}
	}
	return spans
}

// zoneOf is the zone of a plant; plants that were not read from a file may have
// none.
func zoneOf(p *plant.Plant) *time.Location {
	if p.Zone == nil {
		return time.UTC
	}
	return p.Zone
}

// start works out the first chunk and cuts off what lies before an instant.
func (c *calendar) start(now int64) {
	c.grow()
	for len(c.spans) > 0 && c.spans[0].to <= now {
		c.spans = c.spans[1:]
	}
	if len(c.spans) > 0 {
		c.spans[0].from = max(c.spans[0].from, now)
	}
	c.count(0)
	for _, s := range c.spans {
		c.longest = max(c.longest, s.to-s.from)
	}
}

// grow appends the next chunk, and is false when there is none.
func (c *calendar) grow() bool {
	if c.next == nil {
		return false
	}
	more, again := c.next()
	if !again {
		c.next = nil
	}
	slices.SortFunc(more, func(a, b span) int { return cmp.Compare(a.from, b.from) })
	from := len(c.spans)
	for _, s := range more {
		if n := len(c.spans); n > 0 && s.from <= c.spans[n-1].to {
			c.spans[n-1].to = max(c.spans[n-1].to, s.to)
			continue
		}
		c.spans = append(c.spans, s)
	}
	c.count(from)
	return true
}

// count adds up the working time from a span on.
func (c *calendar) count(from int) {
	c.before = c.before[:from]
	for i := from; i < len(c.spans); i++ {
		worked := int64(0)
		if i > 0 {
			worked = c.before[i-1] + c.spans[i-1].to - c.spans[i-1].from
		}
		c.before = append(c.before, worked)
	}
}

// at is the first span that ends after an instant, or -1 for none.
func (c *calendar) at(t int64) int {
	if i := c.asked; i < len(c.spans)-1 && c.spans[i].to > t && (i == 0 || c.spans[i-1].to <= t) && t < c.far {
		return i
	}
	for t < c.far {
		// The next chunk may lengthen the last span.
		i := sort.Search(len(c.spans), func(i int) bool { return c.spans[i].to > t })
		if i < len(c.spans)-1 || i < len(c.spans) && c.next == nil {
			c.asked = i
			return i
		}
		if !c.grow() {
			return -1
		}
	}
	return -1
}

// resume is the first instant from t on at which work is done.
func (c *calendar) resume(t int64) int64 {
	i := c.at(t)
	if i < 0 {
		return c.far
	}
	return max(t, c.spans[i].from)
}

// add is when so much work is done that begins at t or after; work stops and
// goes on with the spans. No work is done at once.
func (c *calendar) add(t, work int64) int64 {
	if work == 0 {
		return t
	}
	i := c.at(t)
	if i < 0 {
		return c.far
	}
	return c.reached(i, c.before[i]+max(0, t-c.spans[i].from)+work)
}

// reached is the first instant, in span i or after, by which so much has been
// worked since the start.
func (c *calendar) reached(i int, worked int64) int64 {
	for {
		for ; i < len(c.spans); i++ {
			s := c.spans[i]
			if worked <= c.before[i]+s.to-s.from {
				return min(c.far, s.from+worked-c.before[i])
			}
		}
		i = max(0, i-1)
		if !c.grow() {
			return c.far
		}
	}
}

// run lays a makeready and a run from an instant on.
func (c *calendar) run(at, makeready, run int64, split bool) (start, ready, end int64) {
	if makeready+run == 0 {
		return at, at, at
	}
	if i := c.at(at); i >= 0 {
		// Most operations are done within a shift.
		start = max(at, c.spans[i].from)
		if end = start + makeready + run; end <= c.spans[i].to {
			return start, start + makeready, end
		}
	}
	start = c.fit(at, makeready, split)
	if makeready == 0 {
		start = c.resume(at)
	}
	ready = c.add(start, makeready)
	return start, ready, c.add(ready, run)
}

// runBack is the latest start of a makeready and a run that are done by an
// instant.
func (c *calendar) runBack(by, makeready, run int64, split bool) int64 {
	return c.fitBack(c.sub(by, run), makeready, split)
}

// fit is the first instant from t on at which a piece of work can begin that is
// done in one go. One that is split begins with the next working time.
func (c *calendar) fit(t, work int64, split bool) int64 {
	if work == 0 {
		return t
	}
	i := c.at(t)
	for i >= 0 {
		s := c.spans[i]
		begin := max(t, s.from)
		if split || begin+work <= s.to {
			return min(begin, c.far)
		}
		i = c.at(s.to)
	}
	return c.far
}

// sub is the latest instant from which on so much work is done by t; never
// before the start.
func (c *calendar) sub(t, work int64) int64 {
	if work == 0 {
		return t
	}
	left := c.worked(t) - work
	i := sort.Search(len(c.spans), func(i int) bool { return c.before[i] > left }) - 1
	if i < 0 {
		return c.spans[0].from
	}
	return c.spans[i].from + max(0, left-c.before[i])
}

// worked is how much is worked until t.
func (c *calendar) worked(t int64) int64 {
	i := c.at(t)
	if i < 0 {
		i = len(c.spans) - 1
		return c.before[i] + min(t, c.spans[i].to) - c.spans[i].from
	}
	return c.before[i] + max(0, t-c.spans[i].from)
}

// fitBack is the latest instant at which a piece of work can begin that is done
// in one go by t.
func (c *calendar) fitBack(t, work int64, split bool) int64 {
	if split || work == 0 {
		return c.sub(t, work)
	}
	c.worked(t)
	i := sort.Search(len(c.spans), func(i int) bool { return c.spans[i].from >= t }) - 1
	for ; i >= 0; i-- {
		s := c.spans[i]
		if begin := min(t, s.to) - work; begin >= s.from {
			return begin
		}
	}
	return c.spans[0].from
}

// pieces is the spans in which work from t on is done.
func (c *calendar) pieces(t, work int64) []span {
	var all []span
	for i := c.at(t); work > 0 && i >= 0; i = c.at(c.spans[i].to) {
		s := c.spans[i]
		s.from = max(s.from, t)
		s.to = min(s.to, s.from+work)
		work -= s.to - s.from
		all = append(all, s)
	}
	return all
}
