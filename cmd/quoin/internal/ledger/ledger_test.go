package ledger_test

import (
	"maps"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/ledger"
	"quoin/cmd/quoin/internal/postgrestest"
	"quoin/convert/cost"
	"quoin/convert/cost/account"
	"quoin/jdf/job"
	"quoin/validate/plant"
)

// summed adds cells with one key up, as who reads them does.
func summed(t testing.TB, cells []account.Cell) []account.Cell {
	t.Helper()
	sums := map[account.Cell]*account.Cell{}
	for _, c := range cells {
		key := c
		key.Time, key.Entries = 0, 0
		key.Good, key.Waste = cost.Entry{}.Good, cost.Entry{}.Waste
		if sums[key] == nil {
			sums[key] = &key
		}
		s := sums[key]
		s.Time, s.Entries = s.Time+c.Time, s.Entries+c.Entries
		s.Good, s.Waste = s.Good.Add(c.Good), s.Waste.Add(c.Waste)
	}
	var all []account.Cell
	for _, s := range sums {
		all = append(all, *s)
	}
	return all
}

func cellLines(t testing.TB, cells []account.Cell) []string {
	t.Helper()
	var lines []string
	for _, c := range summed(t, cells) {
		lines = append(lines, strings.Join([]string{
			c.Day, c.Shift, c.Device, c.Centre, c.Operator, c.Job, c.Part, c.State.String(), c.Reason, c.Work,
			c.Time.String(), c.Good.String(), c.Waste.String(), strings.Repeat("|", c.Entries),
		}, " "))
	}
	slices.Sort(lines)
	return lines
}

// holdCells holds the cells that are kept against those cut from all entries.
func holdCells(t testing.TB, l *ledger.Ledger, p *plant.Plant) {
	t.Helper()
	books, err := l.Books(t.Context(), ledger.Filter{})
	require.NoError(t, err)
	want := account.Cells(slices.Values(all(t, l, ledger.Filter{})), p)
	require.NotEmpty(t, want)
	require.Equal(t, cellLines(t, want), cellLines(t, slices.Collect(books.Cells)))
}

// Cells follow the entries through every import, and the calendar of the plant.
func TestCellsFollow(t *testing.T) {
	p := saltmarsh(t)
	for seed := range uint64(4) {
		w := newWorks(seed)
		said := w.days(2, 10)
		l := open(t, p)
		l.SetSizes(15, 1+w.rand.IntN(12))
		for parts := w.parts(said); len(parts) > 0; {
			n := min(len(parts), 40)
			_, _, err := l.Take(t.Context(), saids(parts[:n]...))
			require.NoError(t, err)
			parts = parts[n:]
			holdCells(t, l, p)
		}
	}
}

func TestCalendarChanges(t *testing.T) {
	p := saltmarsh(t)
	at := t.TempDir() + "/ledger.db"
	l := openAt(t, at, nil)
	_, _, err := l.Take(t.Context(), saids(newWorks(1).days(1, 8)))
	require.NoError(t, err)
	_, err = l.Books(t.Context(), ledger.Filter{})
	require.ErrorContains(t, err, "open the ledger with a plant file")
	holdCells(t, openAt(t, at, p), p)

	moved := *p
	moved.Zone = time.FixedZone("far", -9*3600)
	holdCells(t, openAt(t, at, &moved), &moved)
	holdCells(t, openAt(t, at, p), p)
}

// The same on the other kind of database.
func TestPostgres(t *testing.T) {
	p := saltmarsh(t)
	w := newWorks(5)
	said := w.days(2, 8)
	want, _ := said.Ledger()
	l := openAt(t, postgrestest.URL(t), p)
	l.SetSizes(10, 7)
	parts := w.parts(said)
	for part := range slices.Chunk(parts, len(parts)/4) {
		_, _, err := l.Take(t.Context(), saids(part...))
		require.NoError(t, err)
	}
	require.Equal(t, plain(want.Entries), plain(all(t, l, ledger.Filter{})))
	holdCells(t, l, p)
	jobs, err := l.Jobs(t.Context(), ledger.Filter{})
	require.NoError(t, err)
	require.NotEmpty(t, jobs)
	totals, err := l.Totals(t.Context(), account.ByMonth, ledger.Filter{})
	require.NoError(t, err)
	require.Len(t, totals, 1)
	require.NotEmpty(t, messages(t, l.Findings(t.Context(), ledger.Filter{Devices: []string{"press-1"}})))
}

// An import that was cut off after its reports were kept is settled by the next.
func TestCutOffImport(t *testing.T) {
	said := newWorks(2).days(1, 8)
	want, _ := said.Ledger()
	l := open(t, nil)
	broken := func(yield func(*cost.Said, error) bool) {
		for i := range 6000 { // more than one batch
			if !yield(&cost.Said{Notices: []cost.Notice{{ID: time.Duration(i).String()}}}, nil) {
				return
			}
			if i == 0 && !yield(said, nil) {
				return
			}
		}
		yield(nil, errBroken)
	}
	_, _, err := l.Take(t.Context(), broken)
	require.ErrorIs(t, err, errBroken)
	require.Empty(t, all(t, l, ledger.Filter{}))
	_, _, err = l.Take(t.Context(), saids())
	require.NoError(t, err)
	require.Equal(t, plain(want.Entries), plain(all(t, l, ledger.Filter{})))
}

var errBroken = brokenError{}

type brokenError struct{}

func (brokenError) Error() string { return "the disk was pulled out" }

func TestFilter(t *testing.T) {
	l := open(t, saltmarsh(t))
	_, _, err := l.Take(t.Context(), saids(newWorks(3).days(2, 8)))
	require.NoError(t, err)
	whole := all(t, l, ledger.Filter{})
	from, to := whole[3].Start, whole[3].Start.Add(3*time.Hour)
	some := all(t, l, ledger.Filter{From: from, To: to, Devices: []string{"press-1"}})
	require.NotEmpty(t, some)
	var want []cost.Entry
	for _, e := range whole {
		if e.Device == "press-1" && e.End.After(from) && e.Start.Before(to) {
			want = append(want, e)
		}
	}
	require.Equal(t, plain(want), plain(some))
	require.Less(t, len(some), len(whole))

	jobs, err := l.Jobs(t.Context(), ledger.Filter{Jobs: []string{"J1", "J2"}})
	require.NoError(t, err)
	require.Len(t, jobs, 2)
	var time1 cost.Span
	for _, e := range all(t, l, ledger.Filter{Jobs: []string{"J1"}}) {
		time1 += e.Time
	}
	require.Equal(t, time1, jobs[0].Time)

	totals, err := l.Totals(t.Context(), account.ByDevice, ledger.Filter{})
	require.NoError(t, err)
	sums := map[string]map[job.State]cost.Span{}
	for _, e := range whole {
		if sums[e.Device] == nil {
			sums[e.Device] = map[job.State]cost.Span{}
		}
		sums[e.Device][e.State] += e.Time
	}
	require.Len(t, totals, 2)
	for _, total := range totals {
		want := maps.Clone(sums[total.Key])
		maps.DeleteFunc(want, func(_ job.State, s cost.Span) bool { return s == 0 })
		got := maps.Clone(total.Times)
		maps.DeleteFunc(got, func(_ job.State, s cost.Span) bool { return s == 0 })
		require.Equal(t, want, got)
	}
	_, err = l.Totals(t.Context(), account.ByCustomer, ledger.Filter{})
	require.ErrorContains(t, err, `no totals by "customer"; want job`)
}

// A statement of one job from the ledger is that from the bare reports.
func TestStatementFromBooks(t *testing.T) {
	p := saltmarsh(t)
	said := newWorks(4).days(2, 8)
	bare, _ := said.Ledger()
	l := open(t, p)
	_, _, err := l.Take(t.Context(), saids(said))
	require.NoError(t, err)
	books, err := l.Books(t.Context(), ledger.Filter{})
	require.NoError(t, err)
	for _, by := range []account.By{account.ByJob, account.ByDevice, account.ByDay} {
		got, _ := account.Make(books, by, account.Filter{})
		want, _ := account.Make(account.Books{
			Plant: p, Cells: slices.Values(account.Cells(slices.Values(bare.Entries), p)),
			Uses: bare.Uses, Orders: cost.MergeOrders(said.Orders), Tasks: cost.MergeTasks(said.Tasks),
		}, by, account.Filter{})
		require.Equal(t, want.Total, got.Total, by)
		require.Equal(t, len(want.Rows), len(got.Rows), by)
	}
}
