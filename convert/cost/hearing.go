package cost

import (
	"cmp"
	"slices"
	"time"

	"github.com/shopspring/decimal"

	"quoin/jdf"
	"quoin/jdf/job"
)

// series is a job, or a part of it, on a device.
type series struct{ device, job, part, keys string }

// meets reports whether two series of one device may be the same work: a part
// that one of them leaves out is no contradiction.
func (s series) meets(t series) bool {
	agree := func(a, b string) bool { return a == b || a == "" || b == "" }
	return s.job == t.job && agree(s.part, t.part) && agree(s.keys, t.keys)
}

func (s series) compare(t series) int {
	return cmp.Or(cmp.Compare(s.device, t.device), cmp.Compare(s.job, t.job),
		cmp.Compare(s.part, t.part), cmp.Compare(s.keys, t.keys))
}

// count is an amount that may not be reported.
type count struct {
	decimal.Decimal
	given bool
}

func counted(d *decimal.Decimal) count {
	if d == nil {
		return count{}
	}
	return count{*d, true}
}

func (c count) compare(d count) int {
	if c.given != d.given {
		if d.given {
			return -1
		}
		return 1
	}
	return c.Decimal.Cmp(d.Decimal)
}

// when is an instant that may not be reported.
type when struct {
	time.Time
	given bool
}

// report is a Record in hand: with what the settling of a device asks often.
type report struct {
	series
	source Source
	signal bool // of a message, rather than of an audit pool
	run    bool // of a ProcessRun
	seen   time.Time

	centre, worker, status, reason, work, modules string
	state                                         job.State
	start, end                                    when
	length                                        Span // of a run: time at work; -1 where that is not told apart

	good, waste, total, totalWaste count

	key string
}

func newReport(r *Record, key string) *report {
	in := &report{
		series: series{device: r.Device, job: r.Job, part: r.Part, keys: r.Keys},
		source: r.Source, signal: r.Signal, run: r.Kind == KindRun, seen: r.Seen,
		centre: r.CostCentre, worker: r.Employee, status: r.Status, reason: r.Reason, work: r.Work, modules: r.Modules,
		state: r.State, start: when{r.Start, !r.Start.IsZero()}, end: when{r.End, !r.End.IsZero()}, length: -1,
		good: counted(r.Good), waste: counted(r.Waste), total: counted(r.Total), totalWaste: counted(r.TotalWaste),
		key: key,
	}
	if r.Length != nil {
		in.length = *r.Length
	}
	if in.start.given && in.end.given && in.end.Before(in.start.Time) {
		in.end = in.start
	}
	return in
}

func (r *report) at() jdf.Place { return r.source.place() }

// compare puts reports in the order in which they were said. What follows the
// time only makes the order one and the same, however the input is shuffled;
// states and counters come first, for they grow as work goes on.
func (r *report) compare(s *report) int {
	return cmp.Or(
		r.seen.Compare(s.seen),
		r.start.Time.Compare(s.start.Time),
		cmp.Compare(order(r.state), order(s.state)),
		r.good.compare(s.good), r.total.compare(s.total),
		r.waste.compare(s.waste), r.totalWaste.compare(s.totalWaste),
		cmp.Compare(r.key, s.key),
	)
}

// order is how far a state stands in the life of a job on a device.
func order(s job.State) int {
	switch s {
	case job.StateOff:
		return 0
	case job.StateDone:
		return 10
	}
	return 1 + int(s)
}

// distinct keeps one report of each content, that of the first source, and puts
// them in order.
func distinct(records []Record, kind Kind) []*report {
	first := map[string]*Record{}
	for i := range records {
		r := &records[i]
		if r.Kind != kind {
			continue
		}
		key := r.Key()
		if old := first[key]; old == nil || r.Source.compare(old.Source) < 0 {
			first[key] = r
		}
	}
	all := make([]*report, 0, len(first))
	for key, r := range first {
		all = append(all, newReport(r, key))
	}
	slices.SortFunc(all, (*report).compare)
	return all
}
