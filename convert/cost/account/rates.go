package account

import (
	"slices"
	"time"

	"github.com/shopspring/decimal"

	"quoin/jdf/job"
	"quoin/validate"
	"quoin/validate/plant"
)

// kindOfTime is what time is spent on, as the books have it.
type kindOfTime uint8

const (
	makeready kindOfTime = iota
	run
	washUp
	idle
	stopped
	notKnown
	kindsOfTime
)

func kindOf(s job.State) kindOfTime {
	switch s {
	case job.StateMakeready:
		return makeready
	case job.StateRun:
		return run
	case job.StateWash:
		return washUp
	case job.StateIdle:
		return idle
	case job.StateStopped:
		return stopped
	}
	return notKnown
}

// rateKey is what the rates of a cell depend on.
type rateKey struct {
	centre, device, shift string
	weekday               time.Weekday
	closed                bool
}

// rate is what an hour costs, by what it is spent on.
type rate struct {
	centre  *plant.CostCentre // nil where there is no rate
	full    [kindsOfTime]exact
	premium [kindsOfTime]exact // the share of full that premiums make
}

// standard is the rates of a cost centre without premiums; nil has none.
func standard(c *plant.CostCentre) [kindsOfTime]exact {
	if c == nil {
		return [kindsOfTime]exact{}
	}
	return [kindsOfTime]exact{
		makeready: exactly(c.Makeready), run: exactly(c.Run), washUp: exactly(c.Makeready),
		idle: exactly(c.Idle), stopped: exactly(c.Idle),
	}
}

// rate finds the rates of a cell.
func (m *maker) rate(c *Cell) rate {
	d := m.date(c.Day)
	key := rateKey{c.Centre, c.Device, c.Shift, d.weekday, d.closed}
	if r, known := m.rates[key]; known {
		return r
	}
	r := rate{centre: m.centreOf(c)}
	r.full = standard(r.centre)
	if percent := premiumOf(r.centre, c.Shift, d); percent.IsPositive() {
		for k := range notKnown {
			r.premium[k] = exactly(r.centre.PremiumAnHour(r.full[k].decimal(), percent))
			r.full[k] = r.full[k].Add(r.premium[k])
		}
	}
	m.rates[key] = r
	return r
}

// premiumOf is the premium of a shift in percent. Time outside the shifts is overtime
// only where the plant file says when the cost centre is manned.
func premiumOf(c *plant.CostCentre, shift string, d date) decimal.Decimal {
	if c == nil || len(c.Shifts) == 0 {
		return decimal.Zero
	}
	i := slices.IndexFunc(c.Shifts, func(s plant.Shift) bool {
		return s.Days.Has(d.weekday) && shiftName(s) == shift
	})
	if shift == "" || i < 0 {
		return c.Overtime
	}
	return c.Shifts[i].Premium
}

// centreOf is the cost centre that prices a cell: the one that it names, or else that
// of its device. It is nil, and reported, where there is none.
func (m *maker) centreOf(c *Cell) *plant.CostCentre {
	if centre := m.centres[c.Centre]; centre != nil {
		return centre
	}
	if c.Centre != "" {
		m.once(rule("audit/unknown-cost-centre").At(m.file(), validate.F("centre", c.Centre),
			validate.F("choices", validate.Choices(sortedKeys(m.centres)))), c.Centre)
	}
	u := m.units[c.Device]
	switch {
	case c.Device == "":
		return nil // reported where it was read
	case u == nil:
		near := ""
		if word := validate.Nearest(c.Device, sortedKeys(m.units)); word != "" {
			near = ", which has " + word
		}
		m.once(rule("audit/unknown-device").At(m.file(), validate.F("device", c.Device),
			validate.F("near", near)), c.Device)
		return nil
	case u.CostCentre == nil:
		m.once(rule("audit/no-cost-centre").At(u.Mark.Entry, validate.F("device", c.Device)), c.Device)
	}
	return u.CostCentre
}

func sortedKeys[T any](all map[string]T) []string {
	keys := make([]string, 0, len(all))
	for k := range all {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}
