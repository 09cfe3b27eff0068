package account

import (
	"fmt"
	"slices"
	"time"

	"quoin/validate/plant"
)

// stretch is a time in which a cost centre is on one shift, or on none.
type stretch struct {
	from, until time.Time // until is exclusive
	day         string
	shift       string // "" for none
}

// calendar tells the day and shift of a moment at one cost centre. It is not safe
// for concurrent use.
type calendar struct {
	zone   *time.Location
	closed []plant.Day
	shifts []plant.Shift
	days   map[plant.Day][]stretch // from midnight to midnight, without gaps
	starts map[plant.Day][]stretch // shifts that begin on the day
	last   stretch                 // that was asked for, since entries follow each other
}

// newCalendar is that of a cost centre; nil has no shifts.
func newCalendar(p *plant.Plant, centre *plant.CostCentre) *calendar {
	c := &calendar{zone: p.Zone, closed: p.Holidays, days: map[plant.Day][]stretch{}, starts: map[plant.Day][]stretch{}}
	if c.zone == nil {
		c.zone = time.UTC
	}
	if centre != nil {
		c.shifts = centre.Shifts
	}
	return c
}

// shiftName is what a shift is called in cells: its name, or its times.
func shiftName(s plant.Shift) string {
	if s.Name != "" {
		return s.Name
	}
	of := func(minutes int) string {
		if minutes > plant.MinutesOfDay {
			minutes -= plant.MinutesOfDay
		}
		return fmt.Sprintf("%02d:%02d", minutes/60, minutes%60)
	}
	return of(s.From) + "-" + of(s.To)
}

// at finds the stretch that a moment is in.
func (c *calendar) at(t time.Time) stretch {
	if !t.Before(c.last.from) && t.Before(c.last.until) {
		return c.last
	}
	day := plant.DayOf(t.In(c.zone))
	all := c.onDay(day)
	i, found := slices.BinarySearchFunc(all, t, func(s stretch, t time.Time) int { return s.from.Compare(t) })
	if !found {
		i = max(i-1, 0)
	}
	c.last = all[i]
	return c.last
}

// onDay is the stretches of a day, by the clock on the wall.
func (c *calendar) onDay(d plant.Day) []stretch {
	if all, known := c.days[d]; known {
		return all
	}
	begin, end := wall(d, 0, c.zone), wall(next(d, 1), 0, c.zone)
	on := slices.Concat(c.begun(next(d, -1)), c.begun(d))
	var all []stretch
	free := begin // from where no stretch is laid yet
	for _, s := range on {
		if s.from.Before(free) {
			s.from = free
		}
		if s.until.After(end) {
			s.until = end
		}
		if !s.from.Before(s.until) {
			continue
		}
		if free.Before(s.from) {
			all = append(all, stretch{free, s.from, d.String(), ""})
		}
		all = append(all, s)
		free = s.until
	}
	if free.Before(end) {
		all = append(all, stretch{free, end, d.String(), ""})
	}
	c.days[d] = all
	return all
}

// begun is the shifts that begin on a day, in the order of time and whole.
func (c *calendar) begun(d plant.Day) []stretch {
	if all, known := c.starts[d]; known {
		return all
	}
	all := c.begin(d)
	c.starts[d] = all
	return all
}

func (c *calendar) begin(d plant.Day) []stretch {
	if _, closed := slices.BinarySearchFunc(c.closed, d, plant.Day.Compare); closed {
		return nil
	}
	var all []stretch
	weekday := time.Date(d.Year, d.Month, d.Day, 0, 0, 0, 0, time.UTC).Weekday()
	for _, s := range c.shifts {
		from, until := wall(d, s.From, c.zone), wall(d, s.To, c.zone)
		if s.Days.Has(weekday) && from.Before(until) {
			all = append(all, stretch{from, until, d.String(), shiftName(s)})
		}
	}
	slices.SortFunc(all, func(a, b stretch) int { return a.from.Compare(b.from) })
	return all
}

// next is the day so many days on.
func next(d plant.Day, days int) plant.Day {
	return plant.DayOf(time.Date(d.Year, d.Month, d.Day+days, 0, 0, 0, 0, time.UTC))
}

// wall is the instant at which the clock of a zone shows so many minutes from the
// midnight that a day begins with. A time that a clock change leaves out is read
// with the offset before the change, and one that comes twice is the first.
//
// Source: RFC 5545, 3.3.5, "Form #3: Date with local time and time zone reference".
func wall(d plant.Day, minutes int, zone *time.Location) time.Time {
	clock := time.Date(d.Year, d.Month, d.Day, 0, minutes, 0, 0, time.UTC)
	// Offsets change seldom; those a day before and after are all that a moment can have.
	before := clock.Add(-offset(clock.Add(-24*time.Hour), zone))
	after := clock.Add(-offset(clock.Add(24*time.Hour), zone))
	if !shows(before, zone).Equal(clock) && shows(after, zone).Equal(clock) {
		return after.In(zone)
	}
	return before.In(zone)
}

func offset(t time.Time, zone *time.Location) time.Duration {
	_, seconds := t.In(zone).Zone()
	return time.Duration(seconds) * time.Second
}

// shows is what the clock on the wall shows, as if in UTC.
func shows(t time.Time, zone *time.Location) time.Time { return t.UTC().Add(offset(t, zone)) }
