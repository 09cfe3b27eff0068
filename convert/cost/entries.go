package cost

import (
	"cmp"
	"container/heap"
	"slices"
	"time"

	"quoin/jdf/job"
	"quoin/validate"
)

// entries shares out the time of the device among its phases and the runs that
// stand for phases, and writes them down.
func (f *floor) entries(runs []*phase) []Entry {
	kept := append(f.kept(), runs...)
	slices.SortFunc(kept, (*phase).compare)
	f.shareOut(kept)
	f.gaps(kept)
	var all []Entry
	for _, p := range kept {
		r := p.best()
		e := Entry{
			Job: p.job, Part: p.part, Keys: p.keys, Device: p.device, State: p.state,
			CostCentre: p.say(func(r *report) string { return r.centre }),
			Employee:   p.say(func(r *report) string { return r.worker }),
			Status:     r.status,
			Reason:     p.say(func(r *report) string { return r.reason }),
			Work:       p.say(func(r *report) string { return r.work }),
			Modules:    p.say(func(r *report) string { return r.modules }),
			Start:      p.start, End: p.end.In(p.start.Location()), Time: p.time,
			Good: p.good.sum, Waste: p.waste.sum, Counted: p.good.given || p.waste.given,
			Open: p.open, FromRun: r.run, Source: r.source,
		}
		if r.run && r.length >= 0 {
			e.Time = min(e.Time, r.length)
		}
		if e.State == job.StateIdle && !e.End.After(e.Start) && !e.Counted {
			continue // the last word of a device that has nothing to do
		}
		f.review(e)
		all = append(all, e)
	}
	return all
}

// review reports what is odd about one entry.
func (f *floor) review(e Entry) {
	state, device := validate.F("state", e.State), validate.F("device", e.Device)
	at := e.Source.place()
	switch {
	case e.State == job.StateUnknown:
		f.remark(e.Start, ruleUnknownState.At(at, validate.F("status", e.Status), device))
	case e.State == job.StateStopped && e.Reason == "" && e.Time > 0:
		f.remark(e.Start, ruleNoReason.At(at, device, validate.F("time", e.Time)))
	}
	if e.Open {
		f.remark(e.Start, ruleOpen.At(at, state, device,
			validate.F("start", stamp(e.Start)), validate.F("end", stamp(e.End))))
	}
}

// ahead orders phases by who gets a moment that both claim: see the package
// comment. It is a total order, for no two phases of a device have the same
// work, state and start.
func (p *phase) ahead(q *phase) int {
	named := func(p *phase) int {
		if p.job != "" {
			return 0
		}
		return 1
	}
	return cmp.Or(
		cmp.Compare(named(p), named(q)),
		q.start.Compare(p.start),
		cmp.Compare(worth(p.state), worth(q.state)),
		p.end.Compare(q.end),
		p.series.compare(q.series),
	)
}

// worth ranks the states by how much they move a job on, the best first.
func worth(s job.State) int {
	return slices.Index([]job.State{
		job.StateRun, job.StateMakeready, job.StateWash, job.StateStopped, job.StateIdle, job.StateUnknown,
	}, s)
}

// claims is a heap of the phases that claim a moment, the one that gets it on top.
type claims []*phase

func (c claims) Len() int           { return len(c) }
func (c claims) Less(i, j int) bool { return c[i].ahead(c[j]) < 0 }
func (c claims) Swap(i, j int)      { c[i], c[j] = c[j], c[i] }
func (c *claims) Push(x any)        { *c = append(*c, x.(*phase)) }
func (c *claims) Pop() any {
	last := (*c)[len(*c)-1]
	*c = (*c)[:len(*c)-1]
	return last
}

// shareOut gives each moment to one phase. Between two neighbouring starts or
// ends nothing changes, so that each such stretch goes as a whole.
func (f *floor) shareOut(kept []*phase) {
	points := make([]time.Time, 0, 2*len(kept))
	for _, p := range kept {
		points = append(points, p.start, p.end)
	}
	slices.SortFunc(points, time.Time.Compare)
	points = slices.CompactFunc(points, time.Time.Equal)
	var active claims
	var before *phase // who had the stretch before
	next := 0
	for i := 0; i+1 < len(points); i++ {
		from, to := points[i], points[i+1]
		first := next
		for ; next < len(kept) && !kept[next].start.After(from); next++ {
			if kept[next].end.After(from) {
				heap.Push(&active, kept[next])
			}
		}
		for len(active) > 0 && !active[0].end.After(from) {
			heap.Pop(&active)
		}
		if len(active) == 0 {
			before = nil
			continue
		}
		winner := active[0]
		for _, p := range kept[first:next] {
			p.yield(winner)
		}
		if before != nil && before.end.After(from) {
			before.yield(winner)
		}
		winner.time = winner.time.plus(between(from, to))
		before = winner
	}
	f.overlaps(kept)
}

// yield notes to whom a phase first lost time.
func (p *phase) yield(to *phase) {
	if p != to && p.rival == nil {
		p.rival = to
	}
}

// overlaps reports the time that phases lost. The device's own state beside
// that of its job is no contradiction, and not reported.
func (f *floor) overlaps(kept []*phase) {
	for _, p := range kept {
		lost := between(p.start, p.end) - p.time
		if p.job == "" || p.rival == nil || lost <= 0 {
			continue
		}
		f.remark(p.start, ruleOverlap.At(p.place(), validate.F("state", p.state), validate.F("device", p.device),
			validate.F("job", p.job), validate.F("time", lost)).With(p.rival.place(), "counted here"))
	}
}

// gaps reports time between two phases of a job on the device in which nothing
// is known of the device, and the job was not taken off it.
func (f *floor) gaps(kept []*phase) {
	ends := map[series]time.Time{} // of the latest phase of each work
	var busy time.Time             // until when anything is known of the device
	for _, p := range kept {
		end, before := ends[p.series]
		from := end
		if busy.After(from) {
			from = busy
		}
		gap := between(from, p.start)
		if before && gap > 0 && p.job != "" && !f.offBetween(p.series, end, p.start) {
			f.remark(p.start, ruleGap.At(p.place(), validate.F("device", p.device), validate.F("job", p.job),
				validate.F("time", gap)))
		}
		if p.end.After(end) {
			ends[p.series] = p.end
		}
		if p.end.After(busy) {
			busy = p.end
		}
	}
}

// offBetween reports whether the work, or the device, was stopped in between.
func (f *floor) offBetween(work series, from, to time.Time) bool {
	i, _ := slices.BinarySearchFunc(f.stops, from, func(s stop, t time.Time) int { return s.at.Compare(t) })
	for _, s := range f.stops[i:] {
		if s.at.After(to) {
			break
		}
		if s.meets(work) || s.job == "" {
			return true
		}
	}
	return false
}
