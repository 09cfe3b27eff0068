package ledger_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/ledger"
	"quoin/convert/cost"
	"quoin/jdf/job"
)

// works makes what the devices of a plant say in some days: jobs one after
// another on each, told by signals, by audit pools or by both, with starts and
// ends left out, counters that run on, runs with and without phases, idle time,
// amounts of the resources, and clocks that are wrong on some days.
type works struct {
	rand *rand.Rand
	all  cost.Said
}

func newWorks(seed uint64) *works { return &works{rand: rand.New(rand.NewPCG(seed, 11))} }

func (w *works) chance(percent int) bool { return w.rand.IntN(100) < percent }

func (w *works) days(devices, jobs int) *cost.Said {
	for d := range devices {
		m := &machine{works: w, device: fmt.Sprintf("press-%d", d+1), now: time.Date(2026, 3, 2, 6, 0, 0, 0, time.UTC)}
		for n := range jobs {
			m.job(n)
		}
	}
	return &w.all
}

type machine struct {
	*works
	device string
	now    time.Time
	good   int64
}

func (m *machine) pass(most int) { m.now = m.now.Add(time.Duration(1+m.rand.IntN(most)) * time.Minute) }

// source is a place of its own for each record.
func (m *machine) source() cost.Source {
	return cost.Source{File: fmt.Sprintf("day-%d.xjmf", m.now.YearDay()), Line: len(m.all.Records) + 1, Column: 1}
}

func (m *machine) say(r cost.Record) {
	if r.Kind == "" {
		r.Kind = cost.KindPhase
	}
	r.Device, r.Source = m.device, m.source()
	if r.Seen.IsZero() {
		r.Seen = m.now
	}
	if r.Signal && m.device == "press-1" && m.now.Day()%2 == 0 {
		r.Received = m.now.Add(-5 * time.Minute).Add(time.Duration(m.rand.IntN(20)) * time.Second)
	}
	m.all.Records = append(m.all.Records, r)
}

func (m *machine) job(n int) {
	id := fmt.Sprintf("J%d", n)
	if m.chance(5) {
		id = fmt.Sprintf("J%d", n/2)
	}
	start, style := m.now, m.rand.IntN(4) // signals, pool, both, or only a run
	m.good = 0
	for _, state := range []job.State{job.StateMakeready, job.StateRun, job.StateStopped, job.StateRun, job.StateWash} {
		m.phase(id, state, style)
	}
	if style == 3 || m.chance(30) {
		m.say(cost.Record{Kind: cost.KindRun, Job: id, State: job.StateRun, Start: start, End: m.now})
	}
	if m.chance(30) {
		good := decimal.NewFromInt(int64(m.rand.IntN(900)))
		m.all.Uses = append(m.all.Uses, cost.UseRecord{
			Job: id, Kind: "Component", Usage: "Output", Device: m.device, Seen: m.now, Good: &good, Source: m.source(),
		})
	}
	if style%2 == 0 && m.chance(60) {
		m.say(cost.Record{Signal: true, Job: id, State: job.StateDone})
	}
	for m.chance(60) {
		m.say(cost.Record{Signal: true, State: []job.State{job.StateIdle, job.StateIdle, job.StateOff}[m.rand.IntN(3)]})
		m.pass(40)
	}
}

func (m *machine) phase(id string, state job.State, style int) {
	if m.chance(30) {
		return
	}
	start := m.now
	for range 1 + m.rand.IntN(3) {
		if style == 0 || style == 2 {
			m.signal(id, state, start)
		}
		m.pass(30)
	}
	if style == 1 || style == 2 {
		good := decimal.NewFromInt(int64(m.rand.IntN(900)))
		r := cost.Record{Job: id, State: state, Start: start, End: m.now, Good: &good, Seen: m.now}
		if m.chance(30) {
			r.Seen = m.now.Add(time.Hour * time.Duration(m.rand.IntN(30)))
		}
		m.say(r)
	}
}

func (m *machine) signal(id string, state job.State, start time.Time) {
	r := cost.Record{Signal: true, Job: id, State: state}
	if m.chance(60) {
		r.Start = start
	}
	m.good += int64(m.rand.IntN(500))
	d := decimal.NewFromInt(m.good)
	if m.chance(50) {
		r.Total = &d
	}
	m.say(r)
}

// parts cuts what was said into imports, in a random order and with repetitions.
func (w *works) parts(s *cost.Said) []*cost.Said {
	var all []*cost.Said
	for _, r := range s.Records {
		for range 1 + w.rand.IntN(5)/4 {
			all = append(all, &cost.Said{Records: []cost.Record{r}})
		}
	}
	for _, u := range s.Uses {
		all = append(all, &cost.Said{Uses: []cost.UseRecord{u}})
	}
	w.rand.Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
	if w.chance(50) { // nearly in the order of time, as a plant sends them
		slices.SortStableFunc(all, func(a, b *cost.Said) int {
			return late(a).Compare(late(b))
		})
	}
	return all
}

func late(s *cost.Said) time.Time {
	if len(s.Records) > 0 {
		return s.Records[0].Seen
	}
	return s.Uses[0].Seen
}

// However what was said is cut into imports, shuffled and repeated, the ledger is
// that of all of it at once.
func TestAnyImportsGiveTheSameLedger(t *testing.T) {
	entries := 0
	for seed := range uint64(12) {
		w := newWorks(seed)
		said := w.days(2, 10)
		want, found := said.Ledger()
		entries += len(want.Entries)
		l := open(t, nil)
		l.SetSizes(4+w.rand.IntN(40), 1+w.rand.IntN(20))
		var got ledger.Imported
		for parts := w.parts(said); len(parts) > 0; {
			n := min(len(parts), 1+w.rand.IntN(60))
			done, _, err := l.Take(t.Context(), saids(parts[:n]...))
			require.NoError(t, err)
			got.Records.New, parts = got.Records.New+done.Records.New, parts[n:]
		}
		require.Equal(t, plain(want.Entries), plain(all(t, l, ledger.Filter{})), "seed %d", seed)
		var words []string
		for _, f := range found {
			words = append(words, f.Rule.ID+" "+f.Message())
		}
		slices.Sort(words)
		require.Equal(t, slices.Compact(words), messages(t, l.Findings(t.Context(), ledger.Filter{})), "seed %d", seed)

		done, again, err := l.Take(t.Context(), saids(said))
		require.NoError(t, err)
		require.Empty(t, again)
		require.Zero(t, done.Records.New+done.Uses.New+done.Devices+done.Jobs, "seed %d: again changes nothing", seed)
	}
	require.Greater(t, entries, 300)
}
