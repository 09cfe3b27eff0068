package cost

import (
	"cmp"
	"slices"
	"time"

	"quoin/jdf/job"
	"quoin/validate"
)

// runTolerance is how far the phases may be from their run: stamps are often
// rounded to seconds, the run's two apart from those of the phases.
//
// Common practice, no source.
const runTolerance = Span(2 * time.Second)

// stretch is a phase as a run sees it, by the clock of the device.
type stretch struct {
	series
	state      job.State
	start, end time.Time
}

// MatchRuns holds each ProcessRun among the records against the entries of its
// job, of all devices, and reports by how much they do not add up. Alone are the
// runs that have no phases at all: settled with the records of their device,
// they become phases of running. Entries made of such runs are passed over.
// Records and entries may be those of one job or of many.
func MatchRuns(records []Record, entries []Entry) (alone []Record, found []validate.Finding) {
	byJob := map[string][]stretch{}
	for _, e := range entries {
		if !e.FromRun {
			byJob[e.Job] = append(byJob[e.Job], stretch{
				series: series{device: e.Device, job: e.Job, part: e.Part, keys: e.Keys}, state: e.State,
				start: e.Start.Add(-time.Duration(e.Shifted)), end: e.End.Add(-time.Duration(e.Shifted)),
			})
		}
	}
	lonely := map[string]bool{}
	for _, r := range latestRuns(distinct(records, KindRun)) {
		phases := runPhases(r, byJob[r.job])
		if len(phases) == 0 {
			lonely[r.key] = true
			continue
		}
		if f, differs := compareRun(r, phases); differs {
			found = append(found, f)
		}
	}
	for i := range records {
		if r := &records[i]; r.Kind == KindRun && lonely[r.Key()] {
			alone = append(alone, *r)
		}
	}
	return alone, tidy(found)
}

// latestRuns keeps one run of each work and start: the last reported.
func latestRuns(runs []*report) []*report {
	type key struct {
		series
		start time.Time
	}
	latest := map[key]*report{}
	for _, r := range runs {
		latest[key{r.series, r.start.UTC()}] = r
	}
	return slices.DeleteFunc(slices.Clone(runs), func(r *report) bool {
		return latest[key{r.series, r.start.UTC()}] != r
	})
}

// runPhases finds the phases that a run is made of: of its part, and at its time. A
// run does not always name its device; where phases of the device it names are
// there, those of others are not of it.
func runPhases(r *report, phases []stretch) []stretch {
	var all, own []stretch
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
func compareRun(r *report, phases []stretch) (f validate.Finding, differs bool) {
	want := between(r.start.Time, r.end.Time)
	if r.length >= 0 {
		want = r.length
		phases = slices.DeleteFunc(phases, func(p stretch) bool { return worth(p.state) > atWork })
	}
	got := covered(phases)
	by, way := want-got, "less"
	if by < 0 {
		by, way = -by, "more"
	}
	if by <= runTolerance {
		return f, false
	}
	return ruleRunDiffers.At(r.at(), validate.F("job", r.job), validate.F("want", want),
		validate.F("got", got), validate.F("by", by), validate.F("way", way)), true
}

// atWork is the last of the states, by worth, in which a device works: run,
// makeready and wash-up.
const atWork = 2

// covered is the time in which at least one of the phases goes on.
func covered(phases []stretch) Span {
	sorted := slices.Clone(phases)
	slices.SortFunc(sorted, func(p, q stretch) int {
		return cmp.Or(p.start.Compare(q.start), p.end.Compare(q.end))
	})
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
