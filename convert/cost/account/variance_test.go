package account_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/convert/cost"
	"quoin/convert/cost/account"
	"quoin/jdf/job"
)

// From memory: the textbook definitions, rate variance as (actual - standard rate) x
// actual hours, efficiency variance as (actual - standard hours) x standard rate. The rest
// is arithmetic: 98.50 against 95.00 an hour and 7.25 against 6.5 hours give 25.375 and
// 71.25, 96.625 together.
func TestRateAndEfficiency(t *testing.T) {
	c := cell("p1", "J1", job.StateRun, "7h15m")
	c.Centre = "dear"
	b := books(t, c)
	b.Plant.Places = 3
	b.Tasks = []cost.Task{{Job: "J1", Device: "p1", Run: span("6h30m")}}
	s := make1(t, b, account.ByJob, account.Filter{})
	v := s.Rows[0].Variance
	require.Equal(t, "quantity 0 time 71.25 rate 25.375 waste 0 changeover 0 scope 0 total 96.625", spread(v))
	require.Equal(t, "714.125", s.Total.Actual.Total.String())
	require.Equal(t, "617.5", s.Total.Plan.Total.String())
}

// From memory: the same for paper. (1.12 - 1.08) x 5,250 = 210 for the price, (5,250 - 5,100) x 1.08
// = 162 for the usage, 372 together.
func TestPriceAndUsage(t *testing.T) {
	for _, class := range []cost.Class{{}, gloss} {
		b := books(t, cell("p1", "J1", job.StateRun, "1h", "5000", "250"))
		b.Tasks = []cost.Task{{
			Job: "J1", Device: "p1", Run: span("1h"), In: d("5100"), Good: d("5000"), Waste: d("100"), Class: class,
		}}
		b.Uses = []cost.Use{{Job: "J1", Kind: "Media", Usage: "Input", Item: "gloss-135", Good: d("5000"), Waste: d("250")}}
		b.Supplies = []account.Supply{
			{Job: "J1", Kind: "paper", Name: "gloss-135", Quantity: d("5100"), Unit: "sheets", Cost: d("5508")},
			{Job: "J1", Kind: "plates", Name: "plates", Unit: "plates"}, {Job: "J1", Kind: "ink", Unit: "kg"},
		}
		s, findings := account.Make(b, account.ByJob, account.Filter{})
		require.Len(t, findings, 1) // the hour for more sheets than planned is too fast
		row := s.Rows[0]
		require.Equal(t, "5880", row.Actual.Paper.String())
		require.Equal(t, "5508", row.Plan.Material.String())
		require.Equal(t, "210", row.Variance.Rate.String())
		// The waste of 150 sheets more is that of paper and of the hour planned for 5100.
		require.Equal(t, d("162").Add(d("95").Mul(d("150")).DivRound(d("5100"), 2)), row.Variance.Waste)
		require.Equal(t, "372", row.Variance.Rate.Add(row.Variance.Waste).Add(row.Variance.Time).String())
		require.Equal(t, row.Actual.Total.Sub(row.Plan.Total).String(), row.Variance.Total.String())
	}
}

// Each part by itself. The plan: 1 h makeready, 2 h for 10,000 good and 1,000 waste,
// 30 min wash-up, at 78 and 95 an hour.
func TestParts(t *testing.T) {
	task := cost.Task{
		Job: "J1", Device: "p1", Makeready: span("1h"), Run: span("2h"), WashUp: span("30m"),
		Good: d("10000"), Waste: d("1000"),
	}
	planned := []account.Cell{
		cell("p1", "J1", job.StateMakeready, "1h"), cell("p1", "J1", job.StateRun, "2h", "10000", "1000"),
		cell("p1", "J1", job.StateWash, "30m"),
	}
	with := func(n int, c account.Cell) []account.Cell {
		cells := append([]account.Cell(nil), planned...)
		cells[n] = c
		return cells
	}
	night := planned[1]
	night.Shift = "night"
	for _, c := range []struct {
		name  string
		cells []account.Cell
		cost  string // of the plan, "" where the plan leaves it to the rates
		want  string
	}{
		{"as planned", planned, "", "quantity 0 time 0 rate 0 waste 0 changeover 0 scope 0 total 0"},
		{"makeready", with(0, cell("p1", "J1", job.StateMakeready, "2h")), "",
			"quantity 0 time 0 rate 0 waste 0 changeover 78 scope 0 total 78"},
		{"wash-up", with(2, cell("p1", "J1", job.StateWash, "15m")), "",
			"quantity 0 time 0 rate 0 waste 0 changeover -19.5 scope 0 total -19.5"},
		{"slow", with(1, cell("p1", "J1", job.StateRun, "3h", "10000", "1000")), "",
			"quantity 0 time 95 rate 0 waste 0 changeover 0 scope 0 total 95"},
		{"half of it", with(1, cell("p1", "J1", job.StateRun, "1h", "5000", "500")), "",
			"quantity -95 time 0 rate 0 waste 0 changeover 0 scope 0 total -95"},
		{"waste, at the planned speed", with(1, cell("p1", "J1", job.StateRun, "3h", "10000", "6500")), "",
			"quantity 0 time 0 rate 0 waste 95 changeover 0 scope 0 total 95"},
		{"a stop", append(with(1, planned[1]), cell("p1", "J1", job.StateStopped, "10m")), "",
			"quantity 0 time 9 rate 0 waste 0 changeover 0 scope 0 total 9"},
		{"night", with(1, night), "", "quantity 0 time 0 rate 47.5 waste 0 changeover 0 scope 0 total 47.5"},
		{"other rates when it was planned", planned, "300",
			"quantity 0 time 0 rate 7 waste 0 changeover 0 scope 0 total 7"},
		{"work that no plan has", append(with(1, planned[1]), cell("f1", "J1", job.StateRun, "1h")), "",
			"quantity 0 time 0 rate 0 waste 0 changeover 0 scope 61 total 61"},
		{"no time for it", planned[:1], "", "quantity 0 time -190 rate 0 waste 0 changeover -39 scope 0 total -229"},
	} {
		t.Run(c.name, func(t *testing.T) {
			b, plan := books(t, c.cells...), task
			if c.cost != "" {
				plan.Cost = d(c.cost)
			}
			b.Tasks = []cost.Task{plan}
			s := make1(t, b, account.ByJob, account.Filter{})
			require.Equal(t, c.want, spread(s.Total.Variance))
			require.Equal(t, s.Total.Actual.Total.Sub(s.Total.Plan.Total).String(), s.Total.Variance.Total.String())
		})
	}
}

// What is planned on one press and printed on another is one piece of work, and the
// rates make the difference. What is planned and never done is one by itself.
func TestMovedAndUndone(t *testing.T) {
	moved := cell("p2", "J1", job.StateRun, "1h", "1000", "0")
	moved.Part = "S1"
	b := books(t, moved)
	b.Tasks = []cost.Task{
		{Job: "J1", Part: "S1", Device: "p1", Run: span("1h"), Good: d("1000")},
		{Job: "J1", Part: "S1", Device: "f1", Makeready: span("30m"), Run: span("1h"), Good: d("1000")},
		{Job: "J2", Part: "S1", Device: "p1", Run: span("1h")},
	}
	s := make1(t, b, account.ByDevice, account.Filter{})
	require.Len(t, s.Rows, 2)
	require.Equal(t, "f1", s.Rows[0].Key)
	require.Equal(t, "quantity 0 time 0 rate 0 waste 0 changeover 0 scope -88.5 total -88.5", spread(s.Rows[0].Variance))
	require.Equal(t, "p2", s.Rows[1].Key)
	require.Equal(t, "quantity 0 time 0 rate 3.5 waste 0 changeover 0 scope 0 total 3.5", spread(s.Rows[1].Variance))
	require.Equal(t, []string{"J2"}, s.Waiting)
	require.Equal(t, "183.5", s.Total.Plan.Total.String())
}
