package account_test

import (
	"fmt"
	"slices"
	"time"

	"github.com/shopspring/decimal"

	"quoin/convert/cost"
	"quoin/convert/cost/account"
	"quoin/jdf/job"
	"quoin/validate/plant"
)

func Example() {
	centre := &plant.CostCentre{
		ID: "press", Crew: 1, Makeready: decimal.NewFromInt(78), Run: decimal.NewFromInt(92), Idle: decimal.NewFromInt(54),
	}
	p := &plant.Plant{Currency: "EUR", Places: 2, CostCentres: []*plant.CostCentre{centre}, Presses: []*plant.Press{
		{Machine: plant.Machine{ID: "offset-b2", CostCentre: centre}},
	}}
	start := time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC)
	entries := []cost.Entry{{
		Job: "S-1", Device: "offset-b2", State: job.StateMakeready,
		Start: start, End: start.Add(time.Hour), Time: cost.Span(time.Hour),
	}}
	books := account.Books{
		Plant: p,
		Cells: slices.Values(account.Cells(slices.Values(entries), p)),
		Tasks: []cost.Task{{Job: "S-1", Device: "offset-b2", Makeready: cost.Span(30 * time.Minute)}},
	}
	s, _ := account.Make(books, account.ByWeek, account.Filter{})
	for _, row := range s.Rows {
		fmt.Println(row.Key, row.Actual.Total.StringFixed(s.Places), "planned", row.Plan.Total.StringFixed(s.Places))
	}
	for _, c := range s.Deviations[0].Causes {
		fmt.Println(c.Part, c.Amount, c.Words)
	}
	// Output:
	// 2026-W10 78.00 planned 39.00
	// changeover 39 makeready took 1:00:00 in 1 phase, planned 0:30:00
}
