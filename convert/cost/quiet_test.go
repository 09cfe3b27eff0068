package cost_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"quoin/convert/cost"
	"quoin/jdf/job"
)

// press makes the records of a device that works off one job after another,
// told by signals, by audit pools or by both, with all that goes wrong: starts
// and ends left out, signals lost, counters of the job and of the phase, idle
// time told or not, and now and then a job that comes back.
type press struct {
	rand *rand.Rand
	now  time.Time
	all  []cost.Record
	good int64
}

func newPress(seed uint64) *press {
	return &press{rand: rand.New(rand.NewPCG(seed, 7)), now: time.Date(2026, 3, 2, 6, 0, 0, 0, time.UTC)}
}

func (p *press) chance(percent int) bool { return p.rand.IntN(100) < percent }

func (p *press) pass(most int) { p.now = p.now.Add(time.Duration(1+p.rand.IntN(most)) * time.Minute) }

func (p *press) say(r cost.Record) {
	r.Kind, r.Device = cost.KindPhase, "press-1"
	if r.Seen.IsZero() {
		r.Seen = p.now
	}
	p.all = append(p.all, r)
}

func (p *press) job(n int) {
	id := fmt.Sprintf("J%d", n)
	if p.chance(5) {
		id = fmt.Sprintf("J%d", n/2)
	}
	style := p.rand.IntN(3) // signals, pool, both
	p.good = 0
	for _, state := range []job.State{job.StateMakeready, job.StateRun, job.StateStopped, job.StateRun, job.StateWash} {
		if p.chance(30) {
			continue
		}
		start := p.now
		for range 1 + p.rand.IntN(3) {
			if style != 1 {
				p.signal(id, state, start)
			}
			p.pass(30)
		}
		if style != 0 {
			p.audit(id, state, start)
		}
	}
	if p.chance(60) {
		p.say(cost.Record{Signal: true, Job: id, State: job.StateDone})
	}
}

func (p *press) signal(id string, state job.State, start time.Time) {
	r := cost.Record{Signal: true, Job: id, State: state}
	if p.chance(60) {
		r.Start = start
	}
	p.good += int64(p.rand.IntN(500))
	d := decimal.NewFromInt(p.good)
	if p.chance(50) {
		r.Total = &d
	}
	p.say(r)
}

func (p *press) audit(id string, state job.State, start time.Time) {
	good := decimal.NewFromInt(int64(p.rand.IntN(900)))
	r := cost.Record{Job: id, State: state, Start: start, End: p.now, Good: &good, Seen: p.now}
	if p.chance(30) {
		r.Seen = p.now.Add(time.Hour * time.Duration(p.rand.IntN(30)))
	}
	if p.chance(5) {
		r.End = time.Time{}
	}
	p.say(r)
}

func (p *press) days(jobs int) []cost.Record {
	for n := range jobs {
		p.job(n)
		for p.chance(60) {
			p.say(cost.Record{Signal: true, State: []job.State{job.StateIdle, job.StateIdle, job.StateOff}[p.rand.IntN(3)]})
			p.pass(40)
		}
		if p.chance(30) {
			p.pass(60)
		}
	}
	return p.all
}

// remarks writes those from a moment on, or before it.
func remarks(all []cost.Remark, keep func(time.Time) bool) []string {
	var said []string
	for _, r := range all {
		if keep(r.At) {
			said = append(said, r.At.Format(time.RFC3339)+" "+r.Finding.Rule.ID+" "+r.Finding.Message())
		}
	}
	slices.Sort(said)
	return slices.Compact(said)
}

func entriesWhere(all []cost.Entry, keep func(time.Time) bool) []cost.Entry {
	return slices.DeleteFunc(slices.Clone(all), func(e cost.Entry) bool { return !keep(e.Start) })
}

// What is settled from a quiet point on, or up to one from a part of the
// records, is what is settled of all.
func TestQuietPointsPart(t *testing.T) {
	points := 0
	for seed := range uint64(150) {
		p := newPress(seed)
		all := p.days(12)
		frame := cost.FrameOf(all)
		whole := cost.SettleIn(all, frame)
		strands := map[string]cost.Bounds{}
		for i := range all {
			b, s := all[i].Bounds(), all[i].Strand()
			if old, known := strands[s]; known {
				b = b.With(old)
			}
			strands[s] = b
		}
		quiet := cost.QuietPoints(all, strands)
		points += len(quiet)
		for _, at := range quiet {
			from := func(t time.Time) bool { return !t.Before(at) }
			rest := slices.DeleteFunc(slices.Clone(all), func(r cost.Record) bool { return r.Bounds().From.Before(at) })
			part := cost.SettleIn(rest, frame)
			require.Equal(t, entriesWhere(whole.Entries, from), part.Entries, "seed %d from %s", seed, at)
			require.Equal(t, remarks(whole.Remarks, from), remarks(part.Remarks, from), "seed %d from %s", seed, at)
		}
		partial(t, seed, all, frame, whole, strands)
	}
	require.Greater(t, points, 400)
}

// partial cuts the records somewhere, and holds what stands before each quiet
// point that is found in them against the whole.
func partial(t *testing.T, seed uint64, all []cost.Record, frame cost.Frame, whole cost.Settled,
	strands map[string]cost.Bounds) {
	t.Helper()
	sorted := slices.Clone(all)
	slices.SortStableFunc(sorted, func(a, b cost.Record) int { return a.Bounds().From.Compare(b.Bounds().From) })
	end := sorted[len(sorted)*2/3].Bounds().From
	some := slices.DeleteFunc(sorted, func(r cost.Record) bool { return r.Bounds().From.After(end) })
	part := cost.SettleIn(some, frame)
	for _, at := range cost.QuietPoints(some, strands) {
		before := func(t time.Time) bool { return t.Before(at) }
		require.Equal(t, entriesWhere(whole.Entries, before), entriesWhere(part.Entries, before), "seed %d to %s", seed, at)
		require.Equal(t, remarks(whole.Remarks, before), remarks(part.Remarks, before), "seed %d to %s", seed, at)
	}
}
