package rehearsal

import (
	"slices"
	"time"

	"quoin/validate/plant"
)

// Stretch is working time without a break.
type Stretch struct{ From, To time.Time }

// Calendar is when a cost centre is manned.
type Calendar struct {
	plant  *plant.Plant
	shifts []plant.Shift
}

// CalendarOf is the calendar of a cost centre; without shifts, or without a
// centre, it is manned round the clock on all days that are no holidays.
func CalendarOf(p *plant.Plant, c *plant.CostCentre) Calendar {
	cal := Calendar{plant: p}
	if c != nil {
		cal.shifts = c.Shifts
	}
	return cal
}

// Limits of the search: a plant that has not worked for a year is closed, and a
// stretch that is longer than a week is cut there.
const (
	farthest = 370 // days
	longest  = 7   // days
)

// Next is the working stretch that t is in, or the first after t; false when
// the plant is closed for good. Shifts that touch are one stretch, which begins
// with the first of them that is not over.
func (c Calendar) Next(t time.Time) (Stretch, bool) {
	local := t.In(c.plant.Zone)
	var open Stretch
	for day := -1; day <= farthest; day++ {
		for _, s := range c.day(local.Year(), local.Month(), local.Day()+day) {
			switch {
			case !s.To.After(t):
			case open.To.IsZero():
				open = s
			case s.From.After(open.To) || open.To.Sub(t) > longest*24*time.Hour:
				return open, true
			case s.To.After(open.To):
				open.To = s.To
			}
		}
		if !open.To.IsZero() && day > longest {
			return open, true
		}
	}
	return open, !open.To.IsZero()
}

// day lists the shifts that begin on a day, by the clock on the wall.
func (c Calendar) day(year int, month time.Month, day int) []Stretch {
	noon := time.Date(year, month, day, 12, 0, 0, 0, c.plant.Zone)
	if c.plant.Holiday(noon) {
		return nil
	}
	at := func(minutes int) time.Time {
		return time.Date(year, month, day, 0, minutes, 0, 0, c.plant.Zone)
	}
	if len(c.shifts) == 0 {
		return []Stretch{{at(0), at(plant.MinutesOfDay)}}
	}
	var all []Stretch
	for _, s := range c.shifts {
		if s.Days.Has(noon.Weekday()) {
			all = append(all, Stretch{at(s.From), at(s.To)})
		}
	}
	slices.SortFunc(all, func(a, b Stretch) int { return a.From.Compare(b.From) })
	return all
}

// Shift is the number, from 0, of the shift of its day that a moment is in; the
// last of the day when it is in none.
func (c Calendar) Shift(t time.Time) int {
	local := t.In(c.plant.Zone)
	for i, s := range c.day(local.Year(), local.Month(), local.Day()) {
		if t.Before(s.To) {
			return i
		}
	}
	return max(0, len(c.shifts)-1)
}
