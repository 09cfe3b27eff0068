package schedule

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"time"

	"quoin/validate"
	"quoin/validate/plant"
)

// Make lays plans on the machines of a plant, all together. The same input
// gives the same schedule.
//
// The schedule is nil when there is something that can not be laid; the
// findings of Rules say what. Findings beside a schedule say which jobs are
// late, at the place of the due time in the ticket. The error is that of the
// context, or says that a plan or Options.Now is not there.
func Make(
	ctx context.Context, works []Work, p *plant.Plant, opt Options,
) (*Schedule, []validate.Finding, error) {
	if opt.Now.IsZero() {
		return nil, nil, errors.New("lay plans: the time to begin at is not set")
	}
	for i, w := range works {
		if w.Plan == nil {
			return nil, nil, fmt.Errorf("lay plans: work %d has no plan", i+1)
		}
	}
	if opt.Trials <= 0 {
		opt.Trials = defaultTrials
	}
	opt.Now = opt.Now.In(zoneOf(p))
	if up := opt.Now.Truncate(time.Second); up.Before(opt.Now) {
		opt.Now = up.Add(time.Second)
	}
	b := newProblem(works, p, opt.Now, true)
	if len(b.findings) > 0 {
		return nil, b.findings, nil
	}
	first := b.build(priorities[0])
	if b.beyond(first, works); len(b.findings) > 0 {
		return nil, b.findings, nil
	}
	found, low, bound, err := settle(ctx, works, p, opt, b)
	if err != nil {
		return nil, nil, err
	}
	r := &result{timing: found.best, works: works, bounds: low, opt: opt}
	if others, moved := elsewhere(works, p, opt.Now, found.best); len(moved) > 0 {
		next, nextLow, nextBound, err := settle(ctx, others, p, opt, newProblem(others, p, opt.Now, true))
		if err != nil {
			return nil, nil, err
		}
		if next.best.value.compare(found.best.value) < 0 {
			found, bound = next, nextBound
			r = &result{timing: next.best, works: others, bounds: nextLow, opt: opt, moved: moved}
		}
	}
	return r.schedule(found, bound), r.findings(), nil
}

// settle looks for the best order of a problem, beside the bounds that no order of
// it can go below: those do not wait for people where several share a crew.
func settle(
	ctx context.Context, works []Work, p *plant.Plant, opt Options, b *problem,
) (*search, *bounds, objective, error) {
	low := newBounds(b)
	for _, id := range b.crewed {
		for _, c := range p.CostCentres {
			if c.ID == id && c.Crew > 1 {
				low = newBounds(newProblem(works, p, opt.Now, false))
			}
		}
	}
	bound := low.bound(b.build(priorities[0]).value.makespan)
	found, err := b.find(ctx, opt, bound)
	if err != nil {
		return nil, nil, bound, fmt.Errorf("lay plans: %w", err)
	}
	return found, low, bound, nil
}

// beyond finds the first operation of each job that has no working time.
func (p *problem) beyond(t *timing, works []Work) {
	seen := map[int]bool{}
	for x, k := range p.tasks {
		if t.end[x] < p.far || seen[k.job] {
			continue
		}
		seen[k.job] = true
		m := p.machines[k.machine]
		place := works[k.job].Due.Place
		if c := m.plant.CostCentre; c != nil && !place.Known() {
			place = c.At("shifts")
		}
		p.findings = append(p.findings, noWorkingTime.At(place, validate.F("job", jobName(works[k.job].Plan)),
			validate.F("operation", operationName(k.op)), validate.F("machine", m.id),
			validate.F("years", strconv.Itoa(yearsAhead))))
	}
}
