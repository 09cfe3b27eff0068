package cost

import (
	"github.com/shopspring/decimal"

	"quoin/jdf/job"
	"quoin/validate"
)

// counter follows one counter that grows from signal to signal.
type counter struct{ last decimal.Decimal }

// next is what came to the counter since it was last read. One that fell was
// set back, and has counted from nothing since.
func (c *counter) next(now decimal.Decimal) (delta decimal.Decimal, reset bool) {
	delta, reset = now.Sub(c.last), now.LessThan(c.last)
	if reset {
		delta = now
	}
	c.last = now
	return delta, reset
}

// count gives the phases their amounts: those of audit pools as told, those of
// signals by following their counters.
func (f *floor) count() {
	for _, p := range f.phases {
		f.countPhase(p)
	}
	f.countJobs()
	for _, p := range f.phases {
		if q := p.into; q != nil {
			q.good.inherit(p.good)
			q.waste.inherit(p.waste)
		}
	}
}

// inherit takes over what signals counted where the audit pool is silent.
func (t *tally) inherit(s tally) {
	if s.given && !t.fixed {
		t.add(s.sum)
	}
}

// countPhase reads the amounts that are told for the phase itself.
func (f *floor) countPhase(p *phase) {
	var good, waste counter
	for _, r := range p.records {
		if !r.signal {
			p.good.tell(r.good)
			p.waste.tell(r.waste)
		}
	}
	poolGood, poolWaste := p.good.given, p.waste.given
	for _, r := range p.records {
		if r.signal && r.good.given && !poolGood {
			p.good.add(f.follow(&good, r, r.good, "Amount"))
			p.good.fixed = true
		}
		if r.signal && r.waste.given && !poolWaste {
			p.waste.add(f.follow(&waste, r, r.waste, "Waste"))
			p.waste.fixed = true
		}
	}
}

// tell sets the tally to a later word of an audit pool.
func (t *tally) tell(c count) {
	if c.given {
		*t = tally{sum: c.Decimal, given: true, fixed: true}
	}
}

func (f *floor) follow(c *counter, r *report, now count, name string) decimal.Decimal {
	before := c.last
	delta, reset := c.next(now.Decimal)
	if reset {
		f.remark(r.seen, ruleReset.At(r.at(), validate.F("name", name), validate.F("device", r.device),
			validate.F("from", before), validate.F("to", now.Decimal)))
	}
	return delta
}

// countJobs shares the counters that run through a whole job, as JMF has them,
// out to its phases. What came to a counter was made in the phase that the
// signal is of, but for two cases: the first signal of a phase, sent as it
// begins, counts what the phase before it made; and what does not produce, such
// as a wash-up, makes nothing itself.
func (f *floor) countJobs() {
	type counters struct{ good, waste counter }
	type state struct {
		counters
		last *phase // that produced
	}
	jobs := map[series]*state{}
	for _, r := range f.records {
		if !r.signal {
			continue
		}
		s := jobs[r.series]
		if s == nil {
			s = &state{}
			jobs[r.series] = s
		}
		p := f.owner[r]
		makes := p != nil && (p.state == job.StateRun || p.state == job.StateMakeready)
		maker := p
		if s.last != nil && (!makes || s.last != p && !r.seen.After(p.start)) {
			maker = s.last
		}
		if r.total.given {
			f.share(maker, r, f.follow(&s.good, r, r.total, "Amount"), "Amount", func(p *phase) *tally { return &p.good })
		}
		if r.totalWaste.given {
			d := f.follow(&s.waste, r, r.totalWaste, "Waste")
			f.share(maker, r, d, "Waste", func(p *phase) *tally { return &p.waste })
		}
		if p == nil && !r.total.given && !r.totalWaste.given {
			f.homeless(r, r.good, "Amount")
			f.homeless(r, r.waste, "Waste")
		}
		if makes {
			s.last = p
		}
	}
}

func (f *floor) share(p *phase, r *report, delta decimal.Decimal, name string, of func(*phase) *tally) {
	switch {
	case p == nil:
		f.homeless(r, count{delta, true}, name)
	case !of(p).fixed:
		of(p).add(delta)
	}
}

func (f *floor) homeless(r *report, c count, name string) {
	if c.given && c.IsPositive() {
		f.remark(r.seen, ruleHomeless.At(r.at(), validate.F("name", name), validate.F("amount", c.Decimal),
			validate.F("job", r.job), validate.F("device", r.device)))
	}
}
