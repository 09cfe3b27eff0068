package ledger_test

import (
	"encoding/json"
	"testing"
	"time"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/ledger"
	"quoin/convert/cost"
	"quoin/convert/cost/account"
	"quoin/jdf/job"
)

// A statement that is made job by job is that of the books in one.
func TestStatementIsThatOfTheBooks(t *testing.T) {
	p := saltmarsh(t)
	l := open(t, p)
	l.SetSizes(20, 7)
	l.SetChapter(3)
	w := newWorks(5)
	said := w.days(3, 25)
	for _, name := range []string{"J1", "J3", "J999"} {
		said.Tasks = append(said.Tasks, cost.Task{
			Job: name, Part: "print", Device: "press-1", Run: cost.Span(time.Hour), Good: decimal.NewFromInt(900),
		})
		said.Orders = append(said.Orders, cost.Order{Job: name, Customer: "Reed", Ordered: decimal.NewFromInt(900)})
	}
	_, _, err := l.Take(t.Context(), saids(said))
	require.NoError(t, err)
	_, err = l.TakePurchases(t.Context(), []account.Purchase{
		{Job: "J2", What: "binding", Day: "2026-03-03", Cost: decimal.NewFromInt(40)},
		{Job: "bought only", What: "binding", Day: "2026-03-03", Cost: decimal.NewFromInt(50)},
	})
	require.NoError(t, err)
	for _, f := range []account.Filter{
		{}, {Jobs: []string{"J1", "J3"}}, {Devices: []string{"press-2"}}, {From: "2026-03-03", To: "2026-03-04"},
		{Jobs: []string{""}}, {Customers: []string{"Reed"}},
	} {
		books, err := l.Books(t.Context(), ledgerFilter(t, f, p.Zone))
		require.NoError(t, err)
		for _, by := range account.Dimensions() {
			want, _ := account.Make(books, by, f)
			got, _, err := l.Statement(t.Context(), by, f)
			require.NoError(t, err)
			a, err := json.Marshal(want)
			require.NoError(t, err)
			b, err := json.Marshal(got)
			require.NoError(t, err)
			require.Equal(t, string(a), string(b), "by %s, %+v", by, f)
			if len(f.Jobs)+len(f.Devices)+len(f.Customers) == 0 {
				require.Equal(t, "90", got.Total.Actual.Purchases.String(),
					"what is bought counts on its day, also for a job of which nothing else is known")
			}
		}
	}
}

func ledgerFilter(t *testing.T, f account.Filter, zone *time.Location) ledger.Filter {
	t.Helper()
	l := ledger.Filter{Jobs: f.Jobs, Devices: f.Devices}
	if f.From != "" {
		from, err := time.ParseInLocation(time.DateOnly, f.From, zone)
		require.NoError(t, err)
		to, err := time.ParseInLocation(time.DateOnly, f.To, zone)
		require.NoError(t, err)
		l.From, l.To = from, to.AddDate(0, 0, 1)
	}
	return l
}

// What is kept of jobs follows when their time moves to other jobs, and forgets those
// that nothing is left of.
func TestTotalsOfJobsFollow(t *testing.T) {
	l := open(t, saltmarsh(t))
	l.SetSizes(20, 2)
	begin := time.Date(2026, 3, 2, 6, 0, 0, 0, time.UTC)
	signal := func(minute int, name string, state job.State) cost.Record {
		at := begin.Add(time.Duration(minute) * time.Minute)
		return cost.Record{
			Kind: cost.KindPhase, Signal: true, Device: "press-1", Job: name, State: state, Seen: at,
			Source: cost.Source{File: "signals.xjmf", Line: minute + 1, Column: 1},
		}
	}
	take := func(records ...cost.Record) map[string]map[job.State]cost.Span {
		_, _, err := l.Take(t.Context(), saids(&cost.Said{Records: records}))
		require.NoError(t, err)
		totals, err := l.Totals(t.Context(), account.ByJob, ledger.Filter{})
		require.NoError(t, err)
		got := map[string]map[job.State]cost.Span{}
		for _, total := range totals {
			got[total.Key] = total.Times
		}
		return got
	}
	minutes := func(n int) cost.Span { return cost.Span(time.Duration(n) * time.Minute) }
	require.Equal(t, map[string]map[job.State]cost.Span{"A": {job.StateRun: minutes(60)}},
		take(signal(0, "A", job.StateRun), signal(60, "A", job.StateDone)))
	// What comes late shows that half of it was for another job.
	require.Equal(t, map[string]map[job.State]cost.Span{
		"A": {job.StateRun: minutes(30)}, "B": {job.StateRun: minutes(30)},
	}, take(signal(30, "A", job.StateDone), signal(30, "B", job.StateRun), signal(60, "B", job.StateDone)))
}

// Work that names no device is no device.
func TestDevicesAreCounted(t *testing.T) {
	l := open(t, saltmarsh(t))
	begin := time.Date(2026, 3, 2, 6, 0, 0, 0, time.UTC)
	said := &cost.Said{}
	for n, device := range []string{"press-1", "", "", "folder", ""} {
		said.Records = append(said.Records, cost.Record{
			Kind: cost.KindPhase, Device: device, Job: "J" + string(rune('1'+n)), State: job.StateRun,
			Seen: begin.Add(time.Hour), Start: begin, End: begin.Add(time.Hour),
		})
	}
	done, _, err := l.Take(t.Context(), saids(said))
	require.NoError(t, err)
	require.Equal(t, 2, done.Devices)
	require.Equal(t, 5, done.Entries)
}
