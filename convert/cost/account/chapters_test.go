package account_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"iter"
	"math/rand/v2"
	"runtime"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/convert/cost"
	"quoin/convert/cost/account"
	"quoin/jdf/job"
)

// chapters parts books by job, some jobs to a chapter, in any order.
func (r chance) chapters(b account.Books) iter.Seq2[account.Books, error] {
	at := map[string]int{}
	all := make([]account.Books, 1+r.IntN(8))
	of := func(job string) *account.Books {
		if _, known := at[job]; !known {
			at[job] = r.IntN(len(all))
		}
		return &all[at[job]]
	}
	cells := map[*account.Books][]account.Cell{}
	for c := range b.Cells {
		to := of(c.Job)
		cells[to] = append(cells[to], c)
	}
	for _, t := range b.Tasks {
		to := of(t.Job)
		to.Tasks = append(to.Tasks, t)
	}
	for _, u := range b.Uses {
		to := of(u.Job)
		to.Uses = append(to.Uses, u)
	}
	for _, s := range b.Supplies {
		to := of(s.Job)
		to.Supplies = append(to.Supplies, s)
	}
	for _, p := range b.Purchases {
		to := of(p.Job)
		to.Purchases = append(to.Purchases, p)
	}
	for _, o := range b.Orders {
		to := of(o.Job)
		to.Orders = append(to.Orders, o)
	}
	for _, c := range b.Colour {
		to := of(c.Job)
		to.Colour = append(to.Colour, c)
	}
	for to, some := range cells {
		to.Cells = slices.Values(some)
	}
	return func(yield func(account.Books, error) bool) {
		for _, b := range all {
			if !yield(b, nil) {
				return
			}
		}
	}
}

// Books that come job by job give the statement of all of them in one.
func TestChaptersGiveTheSameStatement(t *testing.T) {
	rows := 0
	for seed := range uint64(60) {
		r := chance{rand.New(rand.NewPCG(seed, 11)), t}
		b := r.chaos()
		for _, c := range []string{"J1", "J2", ""} {
			b.Colour = append(b.Colour, account.Colour{
				Job: c, Device: r.one("p1", "p2"), Day: "2026-03-02", In: r.IntN(5), Out: 1,
			})
		}
		var f account.Filter
		if seed%3 > 0 {
			f = r.filter()
		}
		for _, by := range account.Dimensions() {
			want, wantFound := account.Make(b, by, f)
			got, gotFound, err := account.MakeOf(b.Plant, r.chapters(b), by, f)
			require.NoError(t, err)
			a, err := json.Marshal(want)
			require.NoError(t, err)
			c, err := json.Marshal(got)
			require.NoError(t, err)
			require.Equal(t, string(a), string(c), "seed %d by %s", seed, by)
			require.Equal(t, told(wantFound), told(gotFound))
			rows += len(got.Rows)
		}
	}
	require.Greater(t, rows, 1000)
}

func TestChaptersEndWithTheirError(t *testing.T) {
	broken := errors.New("the disk is gone")
	_, _, err := account.MakeOf(works(t), func(yield func(account.Books, error) bool) {
		yield(account.Books{}, broken)
	}, account.ByJob, account.Filter{})
	require.ErrorIs(t, err, broken)
}

// The memory of a statement by month is that of its months and shifts: ten times the
// jobs take the same.
func TestChaptersAreLetGo(t *testing.T) {
	p := works(t)
	held := func(jobs int) (most uint64) {
		chapters := func(yield func(account.Books, error) bool) {
			for n := range jobs {
				id := fmt.Sprintf("J%06d", n)
				cells := make([]account.Cell, 5)
				for i := range cells {
					cells[i] = account.Cell{
						Day: fmt.Sprintf("2026-03-%02d", 1+n%28), Device: "p1", Job: id, Part: fmt.Sprint("S", i),
						State: job.StateRun, Time: cost.Span(time.Minute), Entries: 1,
					}
				}
				loose := cells[0]
				loose.Job, loose.State = "", job.StateIdle
				if n%1000 == 0 {
					runtime.GC()
					var now runtime.MemStats
					runtime.ReadMemStats(&now)
					most = max(most, now.HeapAlloc)
				}
				if !yield(account.Books{Cells: slices.Values(append(cells, loose))}, nil) {
					return
				}
			}
		}
		s, _, err := account.MakeOf(p, chapters, account.ByMonth, account.Filter{})
		require.NoError(t, err)
		require.Equal(t, 6*jobs, s.Total.Entries)
		return most
	}
	few, many := held(2_000), held(20_000)
	require.Less(t, many, few+4<<20, "20,000 jobs hold %d bytes, 2,000 %d", many, few)
}
