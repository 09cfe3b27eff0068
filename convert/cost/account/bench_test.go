package account_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/shopspring/decimal"

	"quoin/convert/cost"
	"quoin/convert/cost/account"
	"quoin/jdf/job"
)

// yearOfCells is what ten devices of a plant did in two years: 200,000 cells, with a
// plan for each piece of work and material for each job.
func yearOfCells(b *testing.B) account.Books {
	r := rand.New(rand.NewPCG(1, 2))
	books := account.Books{Plant: works(b)}
	p := books.Plant
	var devices []string
	for n := range 10 {
		id := fmt.Sprintf("device-%02d", n)
		devices = append(devices, id)
		if n < 4 {
			press := *p.Presses[0]
			press.ID = id
			p.Presses = append(p.Presses, &press)
			continue
		}
		folder := *p.Folders[0]
		folder.ID = id
		p.Folders = append(p.Folders, &folder)
	}
	var cells []account.Cell
	day := time.Date(2025, 1, 1, 0, 0, 0, 0, time.UTC)
	states := []job.State{job.StateMakeready, job.StateRun, job.StateRun, job.StateWash, job.StateStopped}
	for n := 0; len(cells) < 200_000; n++ {
		date, device := day.AddDate(0, 0, n/30), devices[n%10]
		shift := []string{"early", "late", "night"}[n/10%3]
		for k := range 9 {
			id := fmt.Sprintf("J%05d", n/3)
			for _, s := range states[:2+(n+k)%4] {
				cells = append(cells, account.Cell{
					Day: date.Format(time.DateOnly), Shift: shift, Device: device, Centre: "press", Operator: fmt.Sprint("op", n%30),
					Job: id, Part: fmt.Sprint("S", k), State: s, Reason: fmt.Sprint("reason ", k%3), Entries: 1,
					Time: cost.Span(r.Int64N(int64(time.Hour))), Good: decimal.NewFromInt(r.Int64N(5000)),
				})
			}
			books.Tasks = append(books.Tasks, cost.Task{
				Job: id, Part: fmt.Sprint("S", k), Device: device, Makeready: cost.Span(20 * time.Minute),
				Run: cost.Span(30 * time.Minute), Good: decimal.NewFromInt(4000), Waste: decimal.NewFromInt(300), Class: gloss,
			})
		}
		books.Orders = append(books.Orders, cost.Order{
			Job: fmt.Sprintf("J%05d", n/3), Customer: fmt.Sprint("customer ", n%50), Ordered: decimal.NewFromInt(4000),
		})
	}
	books.Cells = slices.Values(cells)
	return books
}

func BenchmarkMake(b *testing.B) {
	books := yearOfCells(b)
	for _, by := range []account.By{account.ByMonth, account.ByJob, account.ByDevice} {
		b.Run(string(by), func(b *testing.B) {
			for b.Loop() {
				s, _ := account.Make(books, by, account.Filter{})
				if len(s.Rows) == 0 {
					b.Fatal("no rows")
				}
			}
		})
	}
	b.Run("one month by day", func(b *testing.B) {
		for b.Loop() {
			account.Make(books, account.ByDay, account.Filter{From: "2025-06-01", To: "2025-06-30"})
		}
	})
}

func BenchmarkCells(b *testing.B) {
	p := works(b)
	start := time.Date(2026, 1, 1, 0, 0, 0, 0, p.Zone)
	entries := make([]cost.Entry, 100_000)
	for n := range entries {
		from := start.Add(time.Duration(n) * 5 * time.Minute)
		entries[n] = cost.Entry{
			Job: fmt.Sprint("J", n/20), Device: "p1", State: job.StateRun, Start: from, End: from.Add(5 * time.Minute),
			Time: cost.Span(5 * time.Minute), Good: decimal.NewFromInt(int64(n % 500)),
		}
	}
	for b.Loop() {
		account.Cells(slices.Values(entries), p)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(entries)), "ns/entry")
}
