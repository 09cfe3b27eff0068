package rehearsal

import (
	"slices"
	"time"

	"github.com/shopspring/decimal"
)

// Cut ends an act at a moment after its start, in whole seconds, and gives the
// phases that were still to come. What was used is what had been used by then.
func (a *Act) Cut(at time.Time) []Phase {
	var done, rest []Phase
	for _, p := range a.Phases {
		p.length = p.Length()
		switch {
		case !p.End.After(at):
			done = append(done, p)
		case !p.Start.Before(at):
			rest = append(rest, p)
		default:
			before, after := p.cut(at.Sub(p.Start))
			before.End, after.Start = at, at
			done, rest = append(done, before), append(rest, after)
		}
	}
	a.Phases = done
	a.recount()
	return rest
}

// Resume goes on with what Cut left, from a moment.
func (a *Act) Resume(rest []Phase, at time.Time, cal Calendar) error {
	placed, err := a.place(rest, at.Truncate(time.Second), cal)
	if err != nil {
		return err
	}
	a.Phases = append(slices.Clone(a.Phases), placed...)
	a.recount()
	return nil
}

// recount sums up the phases, and shares the uses out to what was made so far.
func (a *Act) recount() {
	a.Good, a.Waste = 0, 0
	for _, p := range a.Phases {
		a.Good, a.Waste = a.Good+p.Good, a.Waste+p.Waste
	}
	a.Taken = (a.Good + a.Waste) / a.PerIn
	var all decimal.Decimal // pieces of the whole act
	for _, u := range a.whole {
		if u.Kind == "Component" {
			all = u.Good.Add(u.Waste)
		}
	}
	share := decimal.NewFromInt(1)
	if all.IsPositive() {
		share = decimal.NewFromInt(int64(a.Good + a.Waste)).Div(all)
	}
	a.Uses = slices.Clone(a.whole)
	for i := range a.Uses {
		switch u := &a.Uses[i]; u.Kind {
		case "Component":
			u.Good, u.Waste = decimal.NewFromInt(int64(a.Good)), decimal.NewFromInt(int64(a.Waste))
		case "Media":
			u.Good = decimal.NewFromInt(int64(a.Good / a.PerIn))
			u.Waste = decimal.NewFromInt(int64(a.Taken)).Sub(u.Good)
		case "Ink":
			u.Good = u.Good.Mul(share).Round(0)
		}
	}
	a.Readings = slices.DeleteFunc(slices.Clone(a.pulls), func(r Reading) bool { return r.Sheet > a.Good })
	a.pulled()
}
