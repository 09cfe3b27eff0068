package cost

import (
	"time"

	"github.com/shopspring/decimal"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/jdf/value"
	"quoin/validate"
)

// zones reports times that say nothing of their zone.
func (r *reader) zones(times ...job.Fact[value.DateTime]) {
	for _, f := range times {
		if f.Given && !f.Value.HasZone {
			r.report(ruleNoZone.At(f.Place, name(f.Place), validate.F("got", f.Value), validate.F("zone", r.Zone)))
		}
	}
}

func (r *reader) backwards(start, end job.Fact[value.DateTime]) {
	if !start.Given || !end.Given {
		return
	}
	if gap := r.instant(start).Sub(r.instant(end)); gap > 0 {
		r.report(ruleEndBeforeStart.At(end.Place, name(end.Place), validate.F("end", end.Value),
			validate.F("start", start.Value), validate.F("by", Span(gap))).With(start.Place, "start"))
	}
}

// aheadOf reports times after that of the report they stand in.
func (r *reader) aheadOf(stamp time.Time, times ...job.Fact[value.DateTime]) {
	for _, f := range times {
		if by := Span(r.instant(f).Sub(stamp)); f.Given && by > clockTolerance {
			r.report(ruleAhead.At(f.Place, name(f.Place), validate.F("got", f.Value), validate.F("by", by),
				validate.F("stamp", stamp.Format(time.RFC3339Nano))))
		}
	}
}

func (r *reader) negative(amounts ...job.Fact[decimal.Decimal]) {
	for _, f := range amounts {
		if f.Given && f.Value.IsNegative() {
			r.report(ruleNegative.At(f.Place, name(f.Place), validate.F("got", f.Value)))
		}
	}
}

// name is the attribute at a place, as in JobPhase/@Waste.
func name(p jdf.Place) validate.Fact {
	n := p.Node()
	for a := range n.Attrs() {
		if a.Place().Start == p.Start {
			return validate.F("name", n.Local()+"/@"+a.Local())
		}
	}
	return validate.F("name", n.Local())
}
