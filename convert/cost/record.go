package cost

import (
	"cmp"
	"fmt"
	"strings"
	"time"

	"github.com/shopspring/decimal"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/jdf/value"
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

func (c count) compare(d count) int {
	if c.given != d.given {
		if d.given {
			return -1
		}
		return 1
	}
	return c.Decimal.Cmp(d.Decimal)
}

func (c count) key() string {
	if !c.given {
		return "-"
	}
	return c.String()
}

// when is an instant that may not be reported.
type when struct {
	time.Time
	given bool
}

func at(f job.Fact[value.DateTime]) when { return when{f.Value.Time(), f.Given} }

func (w when) key() string {
	if !w.given {
		return "-"
	}
	return w.UTC().Format(time.RFC3339Nano)
}

// record is one report of a phase, with its values made plain.
type record struct {
	series
	place  jdf.Place
	signal bool // of a message, rather than of an audit pool
	run    bool // of a ProcessRun
	seen   time.Time

	centre, worker, status, reason, work, modules string
	state                                         job.State
	start, end                                    when
	length                                        Span // of a run: time at work, where it is less than end - start

	good, waste, total, totalWaste count

	content string // all of the above but the place
}

// group is what keeps its own time: the device, or the work where none is named.
func (r *record) group() string {
	if r.device != "" {
		return r.device
	}
	return strings.Join([]string{"", r.job, r.part, r.keys}, "\x00")
}

func (r *record) seal() {
	r.content = fmt.Sprintf("%q %t %t %s %q %d %s %s %d %s %s %s %s",
		r.series, r.signal, r.run, when{r.seen, true}.key(),
		[]string{r.centre, r.worker, r.status, r.reason, r.work, r.modules},
		r.state, r.start.key(), r.end.key(), r.length,
		r.good.key(), r.waste.key(), r.total.key(), r.totalWaste.key())
}

// compare puts records in the order in which they were said. What follows the
// time only makes the order one and the same, however the input is shuffled;
// states and counters come first, for they grow as work goes on.
func (r *record) compare(s *record) int {
	return cmp.Or(
		r.seen.Compare(s.seen),
		r.start.Time.Compare(s.start.Time),
		cmp.Compare(order(r.state), order(s.state)),
		r.good.compare(s.good), r.total.compare(s.total),
		r.waste.compare(s.waste), r.totalWaste.compare(s.totalWaste),
		cmp.Compare(r.content, s.content),
		r.place.Compare(s.place),
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

// newRecord makes a record of a phase. The time when it was said is that of
// the header; without one, the last moment that the phase itself speaks of.
func newRecord(a *job.Audit, signal bool) (*record, bool) {
	p := a.Phase
	r := &record{
		series: series{
			device: p.Device.Or(a.Device.Value), job: a.JobID.Value, part: a.PartID.Value, keys: p.Part.String(),
		},
		place: p.Node.Place(), signal: signal, state: p.State,
		centre: p.CostCenter.Value, worker: p.Employee.Value, status: p.Status.Value,
		reason: p.Details.Value, work: p.Work.Value, modules: strings.Join(p.Modules.Value, " "),
		start: at(p.Start), end: at(p.End),
		good: amount(p.Good), waste: amount(p.Waste), total: amount(p.Total), totalWaste: amount(p.TotalWaste),
	}
	switch {
	case a.Time.Given:
		r.seen = a.Time.Value.Time()
	case r.end.given:
		r.seen = r.end.Time
	case r.start.given:
		r.seen = r.start.Time
	default:
		return r, false
	}
	if r.start.given && r.end.given && r.end.Before(r.start.Time) {
		r.end = r.start
	}
	return r, true
}

// amount leaves out what is negative; a finding tells of it.
func amount(f job.Fact[decimal.Decimal]) count {
	return count{f.Value, f.Given && !f.Value.IsNegative()}
}
