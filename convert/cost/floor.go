package cost

import (
	"cmp"
	"slices"
	"time"

	"github.com/shopspring/decimal"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/validate"
)

// phase is one stretch of time of one device, however often it was reported.
type phase struct {
	series
	state   job.State
	start   time.Time
	seen    time.Time // when it was last reported to go on
	records []*report // in the order said; the ends of the job that speak of it among them
	end     time.Time
	open    bool   // the end is only the last word of the device
	time    Span   // that belongs to it
	rival   *phase // that first took time of it

	good, waste tally
	into        *phase // the phase of an audit pool that this one, known from signals, is part of
}

// tally is an amount gathered from several reports.
type tally struct {
	sum   decimal.Decimal
	given bool
	fixed bool // told for the phase itself, so that counters of the job add nothing
}

func (t *tally) add(d decimal.Decimal) { t.sum, t.given = t.sum.Add(d), true }

// pooled reports whether an audit pool tells of the phase.
func (p *phase) pooled() bool {
	return slices.ContainsFunc(p.records, func(r *report) bool { return !r.signal })
}

func (p *phase) compare(q *phase) int {
	return cmp.Or(p.start.Compare(q.start), p.series.compare(q.series), cmp.Compare(order(p.state), order(q.state)))
}

// stop is a report that a job is over, or off the device, or the device off.
type stop struct {
	series
	at time.Time
}

// floor is one device with all that is known of its time.
type floor struct {
	records []*report
	heard   time.Time // the last word of the device
	phases  []*phase  // sorted
	stops   []stop    // sorted by time
	owner   map[*report]*phase
	remarks []Remark
}

// remark keeps a finding with the moment of the device that it is about.
func (f *floor) remark(at time.Time, found validate.Finding) {
	f.remarks = append(f.remarks, Remark{at, found})
}

// phaseKey is what makes two reports speak of one phase.
type phaseKey struct {
	series
	state job.State
	start [2]int64 // seconds and nanoseconds
}

func newPhaseKey(s series, state job.State, start time.Time) phaseKey {
	return phaseKey{s, state, [2]int64{start.Unix(), int64(start.Nanosecond())}}
}

func newFloor(records []*report, heard time.Time) *floor {
	f := &floor{records: records, heard: heard, owner: map[*report]*phase{}}
	f.gather()
	f.close()
	f.absorb()
	f.count()
	return f
}

// gather makes phases of records, first of those that tell their start.
func (f *floor) gather() {
	known := map[phaseKey]*phase{}
	for _, r := range f.records {
		if r.state.Timed() && r.start.given {
			f.join(known, r, r.start.Time)
		}
	}
	f.infer(known)
	for _, r := range f.records {
		if !r.state.Timed() {
			f.stop(known, r)
		}
	}
	slices.SortFunc(f.phases, (*phase).compare)
	slices.SortFunc(f.stops, func(a, b stop) int { return cmp.Or(a.at.Compare(b.at), a.series.compare(b.series)) })
	for _, p := range f.phases {
		slices.SortFunc(p.records, (*report).compare)
		p.seen = p.start
		for _, r := range p.records {
			if r.state == p.state && r.seen.After(p.seen) {
				p.seen = r.seen
			}
		}
	}
}

func (f *floor) join(known map[phaseKey]*phase, r *report, start time.Time) *phase {
	key := newPhaseKey(r.series, r.state, start)
	p := known[key]
	if p == nil {
		p = &phase{series: r.series, state: r.state, start: start}
		known[key] = p
		f.phases = append(f.phases, p)
	}
	f.owner[r] = p
	p.records = append(p.records, r)
	return p
}

// infer finds the phases of signals that do not tell when their phase began. A
// signal goes on with the phase that its job was last seen in, unless the job
// has changed its state since, or the device was seen at something that began
// after that; else a phase begins with the signal.
func (f *floor) infer(known map[phaseKey]*phase) {
	current := map[series]*phase{}
	last := map[series]time.Time{}
	var newest *phase
	for _, r := range f.records {
		if !r.signal && r.start.given {
			continue
		}
		if !r.state.Timed() {
			delete(current, r.series)
			if r.job == "" {
				clear(current) // the device itself is off
			}
			continue
		}
		p := f.owner[r]
		if p == nil {
			p = current[r.series]
			goes := p != nil && p.state == r.state &&
				(newest.series == r.series || !newest.start.After(last[r.series]))
			if goes {
				f.owner[r] = p
				p.records = append(p.records, r)
			} else {
				p = f.join(known, r, r.began())
			}
		}
		current[r.series], last[r.series] = p, r.seen
		if newest == nil || !p.start.Before(newest.start) {
			newest = p
		}
	}
}

// began is when a phase begins that does not tell it: with the report, or with
// an end before that.
func (r *report) began() time.Time {
	if r.end.given && r.end.Before(r.seen) {
		return r.end.Time
	}
	return r.seen
}

// stop notes the end of a job on the device. Its time is that of the end; else
// that from which the job is over; else that of the message. A start that is
// that of a known phase says instead which phase it is that ended.
func (f *floor) stop(known map[phaseKey]*phase, r *report) {
	s := stop{series: r.series, at: r.seen}
	if r.start.given {
		s.at = r.start.Time
	}
	for state := job.StateUnknown; r.start.given && state <= job.StateOff; state++ {
		if p := known[newPhaseKey(r.series, state, r.start.Time)]; p != nil {
			f.owner[r] = p
			p.records = append(p.records, r)
			s.at = r.seen
			break
		}
	}
	if r.end.given && (r.state == job.StateDone || !r.start.given) {
		s.at = r.end.Time
	}
	f.stops = append(f.stops, s)
}

// absorb finds the phases that are known from signals alone and are told again,
// with their times made good, by an audit pool.
func (f *floor) absorb() {
	var pooled []*phase
	var latest []time.Time // the last end of all phases up to here
	for _, q := range f.phases {
		if !q.pooled() {
			continue
		}
		end := q.end
		if n := len(latest); n > 0 && latest[n-1].After(end) {
			end = latest[n-1]
		}
		pooled, latest = append(pooled, q), append(latest, end)
	}
	for _, p := range f.phases {
		if p.pooled() {
			continue
		}
		i, _ := slices.BinarySearchFunc(pooled, p.seen, func(q *phase, t time.Time) int {
			if q.start.After(t) {
				return 1
			}
			return -1
		})
		for i--; i >= 0 && p.into == nil && !latest[i].Before(p.start); i-- {
			q := pooled[i]
			meets := p.start.Before(q.end) || p.start.Equal(q.start)
			if meets && q.state == p.state && q.series.meets(p.series) {
				p.into = q
			}
		}
	}
}

// kept lists the phases that are not part of another.
func (f *floor) kept() []*phase {
	return slices.DeleteFunc(slices.Clone(f.phases), func(p *phase) bool { return p.into != nil })
}

// best is the report whose word counts: the latest of an audit pool, else the latest.
func (p *phase) best() *report {
	var best *report
	for _, r := range p.records {
		if r.state == p.state && (best == nil || !r.signal || best.signal) {
			best = r
		}
	}
	return best
}

// say is the last word on a detail that reports may leave out.
func (p *phase) say(detail func(*report) string) string {
	word := detail(p.best())
	for i := len(p.records) - 1; i >= 0 && word == ""; i-- {
		if p.records[i].state == p.state {
			word = detail(p.records[i])
		}
	}
	return word
}

func (p *phase) place() jdf.Place { return p.best().at() }
