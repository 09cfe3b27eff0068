package plant

import (
	"slices"
	"time"

	"quoin/jdf/job"
	"quoin/jdf/value"
	"quoin/validate"
)

var dryingTime = limitRule("drying-time", validate.Warning,
	"{what} begins {value} after the end of printing: {limits}",
	"begin it {gap} later, or dry with UV{instead}",
	"Sheets that are cut, folded or laminated before the ink is dry are smeared. The time is that of the press "+
		"in the plant file.")

// drying holds the times of the ticket against the drying of the presses.
func (c *checker) drying() {
	for _, op := range c.job.Operations {
		s := kindOf(op.Type)
		if s == nil || s.name != printing || !op.Schedule.End.Given || cured(op) {
			continue
		}
		press, needs := c.dries(op, s)
		if press == nil || needs == 0 {
			continue
		}
		next := c.nextAfter(op)
		if next == nil {
			continue
		}
		begins, ends := next.Schedule.Start, op.Schedule.End
		order, known := begins.Value.Compare(ends.Value)
		waits := begins.Value.Time().Sub(ends.Value.Time())
		if !known || order < 0 || waits >= needs {
			continue // a step before the end is for the rules of the schedule
		}
		c.emit(dryingTime.At(begins.Place, validate.F("what", next.Type), validate.F("value", spent(waits)),
			validate.F("limits", press.ID+" dries "+spent(needs)), validate.F("gap", spent(needs-waits)),
			validate.F("device", press.ID), validate.F("instead", "")).
			With(press.At("drying time"), "the limit of "+press.ID).With(ends.Place, "the end of printing"))
	}
}

// cured reports whether the ticket asks for inks that are dry at once.
func cured(op *job.Operation) bool {
	return op.Type == "DigitalPrinting" || op.Printing != nil && op.Printing.Drying.Value == "UV"
}

// dries is the press whose sheets are dry first, of those that the ticket names
// or else of all.
func (c *checker) dries(op *job.Operation, s *step) (*Press, time.Duration) {
	var best *Press
	for _, p := range c.plant.pressesOf(Offset) {
		named := len(op.Devices) == 0 || slices.ContainsFunc(op.Devices,
			func(d *job.Device) bool { return d.ID.Value == p.ID })
		if named && (best == nil || p.DryingTime < best.DryingTime) {
			best = p
		}
	}
	if best == nil {
		return nil, 0
	}
	return best, best.DryingTime
}

// nextAfter is the step that begins first of those that take what a press made.
// Where the ticket links no components, it is any step behind the only press.
func (c *checker) nextAfter(press *job.Operation) *job.Operation {
	made := map[*job.Component]bool{}
	for _, u := range press.Outputs {
		if u.Component != nil {
			made[u.Component] = true
		}
	}
	presses := 0
	for _, op := range c.job.Operations {
		if s := kindOf(op.Type); s != nil && s.name == printing {
			presses++
		}
	}
	var next *job.Operation
	for _, op := range c.job.Operations {
		s := kindOf(op.Type)
		if s == nil || s.name == printing || s.name == varnishing || !op.Schedule.Start.Given || op == press {
			continue
		}
		takes := presses == 1 && len(made) == 0
		for _, u := range op.Inputs {
			takes = takes || u.Component != nil && made[u.Component]
		}
		if takes && (next == nil || earlier(op.Schedule.Start.Value, next.Schedule.Start.Value)) {
			next = op
		}
	}
	return next
}

func earlier(a, b value.DateTime) bool {
	order, known := a.Compare(b)
	return known && order < 0
}

// spent writes a time such as "1 h 30 min".
func spent(d time.Duration) string {
	d = d.Round(time.Second)
	text := ""
	for _, part := range []struct {
		of   time.Duration
		unit string
	}{{time.Hour, "h"}, {time.Minute, "min"}, {time.Second, "s"}} {
		if n := d / part.of; n > 0 {
			if text != "" {
				text += " "
			}
			text += decimals(float64(n)) + " " + part.unit
			d -= n * part.of
		}
	}
	if text == "" {
		return "0 min"
	}
	return text
}
