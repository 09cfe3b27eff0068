package cost

import (
	"slices"
	"time"

	"quoin/validate"
)

// runTolerance is how far the phases may be from their run: stamps are often
// rounded to seconds, the run's two apart from those of the phases.
//
// Common practice, no source.
const runTolerance = Span(2 * time.Second)

// matchRuns holds each ProcessRun against the phases of its job. One that has
// no phases at all stands for them: it becomes a phase of running.
func (c *collector) matchRuns(floors map[string]*floor) {
	byJob := map[string][]*phase{}
	for _, f := range floors {
		for _, p := range f.kept() {
			byJob[p.job] = append(byJob[p.job], p)
		}
	}
	alone := map[string][]*record{}
	for _, r := range c.latestRuns() {
		phases := runPhases(r, byJob[r.job])
		if len(phases) == 0 {
			alone[r.group()] = append(alone[r.group()], r)
			continue
		}
		c.compareRun(r, phases)
	}
	for group, runs := range alone {
		records := runs
		if f := floors[group]; f != nil {
			records = slices.Concat(f.records, runs)
			slices.SortFunc(records, (*record).compare)
		}
		floors[group] = c.newFloor(records)
	}
}

// latestRuns keeps one run of each work and start: the last reported.
func (c *collector) latestRuns() []*record {
	type key struct {
		series
		start time.Time
	}
	latest := map[key]*record{}
	for _, r := range c.runs {
		latest[key{r.series, r.start.UTC()}] = r
	}
	return slices.DeleteFunc(slices.Clone(c.runs), func(r *record) bool {
		return latest[key{r.series, r.start.UTC()}] != r
	})
}

// runPhases finds the phases that a run is made of: of its part, and at its time. A
// run does not always name its device; where phases of the device it names are
// there, those of others are not of it.
func runPhases(r *record, phases []*phase) []*phase {
	var all, own []*phase
	for _, p := range phases {
		near := !p.start.After(r.end.Time) && !p.end.Before(r.start.Time)
		same := p.series
		same.device = r.device
		if !near || !same.meets(r.series) || !p.state.Timed() {
			continue
		}
		all = append(all, p)
		if p.device == r.device {
			own = append(own, p)
		}
	}
	if len(own) > 0 {
		return own
	}
	return all
}

// compareRun reports by how much the phases of a run do not add up to it. The
// duration of a run is that of its phases at work; without one, all phases
// together fill it. Devices side by side are at work once.
func (c *collector) compareRun(r *record, phases []*phase) {
	want := between(r.start.Time, r.end.Time)
	if r.length >= 0 {
		want = r.length
		phases = slices.DeleteFunc(phases, func(p *phase) bool { return worth(p.state) > atWork })
	}
	got := covered(phases)
	by, way := want-got, "less"
	if by < 0 {
		by, way = -by, "more"
	}
	if by > runTolerance {
		c.report(ruleRunDiffers.At(r.place, validate.F("job", r.job), validate.F("want", want),
			validate.F("got", got), validate.F("by", by), validate.F("way", way)))
	}
}

// atWork is the last of the states, by worth, in which a device works: run,
// makeready and wash-up.
const atWork = 2

// covered is the time in which at least one of the phases goes on.
func covered(phases []*phase) Span {
	sorted := slices.Clone(phases)
	slices.SortFunc(sorted, (*phase).compare)
	var sum Span
	var until time.Time
	for _, p := range sorted {
		from := p.start
		if until.After(from) {
			from = until
		}
		if p.end.After(from) {
			sum = sum.plus(between(from, p.end))
			until = p.end
		}
	}
	return sum
}
