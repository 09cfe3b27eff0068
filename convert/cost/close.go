package cost

import (
	"slices"
	"time"

	"quoin/validate"
)

// close gives each phase its end, and reports those that have none.
func (f *floor) close() {
	for _, p := range f.phases {
		if end, ok := f.told(p); ok {
			p.end = end
			continue
		}
		p.end = f.horizon(p)
		p.open = true
		if next, ok := f.next(p); ok && !next.After(p.end) {
			p.end, p.open = next, false
		}
	}
}

// told is the end that was reported: by an audit pool, or else by a signal.
func (f *floor) told(p *phase) (time.Time, bool) {
	if end, ok := f.toldBy(p, false); ok {
		return end, true
	}
	return f.toldBy(p, true)
}

// toldBy is the end that audit pools, or signals, report. Parallel modules of
// the device may end one after another; the phase ends with the last.
func (f *floor) toldBy(p *phase, signals bool) (time.Time, bool) {
	ends := map[string]*report{} // the latest word of each set of modules
	for _, r := range p.records {
		if r.state != p.state || r.signal != signals || !r.end.given {
			continue
		}
		if old := ends[r.modules]; old != nil && !signals && differs(old, r) {
			f.remark(p.start, ruleRevised.At(old.at(), validate.F("state", p.state), validate.F("device", p.device),
				validate.F("start", stamp(p.start))).With(r.at(), "reported again here"))
		}
		ends[r.modules] = r
	}
	end := p.start
	for _, r := range ends {
		if r.end.After(end) {
			end = r.end.Time
		}
	}
	return end, len(ends) > 0
}

// differs reports whether two reports of one phase contradict each other.
func differs(a, b *report) bool {
	return !a.end.Equal(b.end.Time) || a.good.given && b.good.given && !a.good.Equal(b.good.Decimal) ||
		a.waste.given && b.waste.given && !a.waste.Equal(b.waste.Decimal)
}

// horizon is the last that was heard of the device, or of the phase itself.
func (f *floor) horizon(p *phase) time.Time {
	last := p.seen
	if p.device != "" && f.heard.After(last) {
		last = f.heard
	}
	return last
}

// next is when a phase without end is over: when its own job goes on to another
// phase or stops, or when the device, after the phase was last seen, begins
// something else or is switched off.
func (f *floor) next(p *phase) (time.Time, bool) {
	var least time.Time
	found := false
	take := func(t time.Time) {
		if !found || t.Before(least) {
			least, found = t, true
		}
	}
	// Both lists are sorted, so that the first hit is the earliest.
	after := func(q *phase, t time.Time) int {
		if q.start.After(t) {
			return 1
		}
		return -1
	}
	i, _ := slices.BinarySearchFunc(f.phases, p.start, after)
	for _, q := range f.phases[i:] {
		if q.meets(p.series) || !q.start.Before(p.seen) {
			take(q.start)
			break
		}
	}
	i, _ = slices.BinarySearchFunc(f.stops, p.start, func(s stop, t time.Time) int { return s.at.Compare(t) })
	for _, s := range f.stops[i:] {
		if s.meets(p.series) || s.job == "" && !s.at.Before(p.seen) {
			take(s.at)
			break
		}
	}
	return least, found
}

// stamp writes an instant as tickets do.
func stamp(t time.Time) string { return t.Format(time.RFC3339Nano) }
