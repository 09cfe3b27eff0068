package ledger_test

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/ledger"
	"quoin/convert/cost"
	"quoin/convert/cost/account"
	"quoin/jdf/job"
)

// After any imports the totals are those of the cells, whether they come out of the
// sums that are kept, or not, as with a period.
func TestTotalsAreThoseOfTheCells(t *testing.T) {
	p := saltmarsh(t)
	keys := map[account.By]func(account.Cell) string{
		account.ByJob:      func(c account.Cell) string { return c.Job },
		account.ByDevice:   func(c account.Cell) string { return c.Device },
		account.ByCentre:   func(c account.Cell) string { return c.Centre },
		account.ByOperator: func(c account.Cell) string { return c.Operator },
		account.ByShift:    func(c account.Cell) string { return c.Shift },
		account.ByDay:      func(c account.Cell) string { return c.Day },
		account.ByMonth:    func(c account.Cell) string { return c.Day[:7] },
		account.ByWeek: func(c account.Cell) string {
			day, err := time.Parse(time.DateOnly, c.Day)
			require.NoError(t, err)
			year, week := day.ISOWeek()
			return fmt.Sprintf("%04d-W%02d", year, week)
		},
	}
	for seed := range uint64(3) {
		w := newWorks(seed)
		l := open(t, p)
		l.SetSizes(20, 1+w.rand.IntN(20))
		for parts := w.parts(w.days(2, 30)); len(parts) > 0; {
			n := min(len(parts), 1+w.rand.IntN(300))
			_, _, err := l.Take(t.Context(), saids(parts[:n]...))
			require.NoError(t, err)
			parts = parts[n:]
		}
		for _, f := range []ledger.Filter{
			{}, {Devices: []string{"press-2"}}, {From: time.Date(2026, 3, 1, 0, 0, 0, 0, p.Zone)},
		} {
			books, err := l.Books(t.Context(), f)
			require.NoError(t, err)
			for by, key := range keys {
				want := map[string]map[job.State]cost.Span{}
				for c := range books.Cells {
					if f.Devices != nil && c.Device != f.Devices[0] {
						continue
					}
					if want[key(c)] == nil {
						want[key(c)] = map[job.State]cost.Span{}
					}
					want[key(c)][c.State] += c.Time
				}
				totals, err := l.Totals(t.Context(), by, f)
				require.NoError(t, err)
				got := map[string]map[job.State]cost.Span{}
				for _, total := range totals {
					got[total.Key] = total.Times
				}
				require.NotEmpty(t, got)
				require.Equal(t, want, got, "seed %d by %s", seed, by)
				require.Len(t, totals, len(got), "each key once")
			}
		}
	}
}
