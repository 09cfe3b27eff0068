package account_test

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"quoin/convert/cost"
	"quoin/convert/cost/account"
)

// chaos makes random books: entries, plans that fit them more or less, material,
// purchases and orders.
func (r chance) chaos() account.Books {
	b := account.Books{Plant: works(r.t)}
	b.Plant.Places = int32(r.IntN(4))
	var entries []cost.Entry
	for range r.IntN(60) {
		entries = append(entries, r.entry())
	}
	b.Cells = slices.Values(account.Cells(slices.Values(entries), b.Plant))
	amount := func(most int64) decimal.Decimal { return decimal.New(r.Int64N(most), -int32(r.IntN(3))) }
	length := func() cost.Span { return cost.Span(r.Int64N(2e13)) * cost.Span(r.IntN(2)) }
	for range r.IntN(12) {
		task := cost.Task{
			Job: r.one("J1", "J2", "J3", "J4"), Part: r.one("", "S1", "S2", "S3"),
			Device: r.one("p1", "p2", "f1", "strange"), CostCentre: r.one("", "", "dear"),
			Makeready: length(), Run: length(), WashUp: length(),
			In: amount(9000).Mul(amount(2)), Good: amount(9000), Waste: amount(900), Cost: amount(90000).Mul(amount(2)),
		}
		if r.IntN(2) == 0 {
			task.Class = gloss
		}
		b.Tasks = append(b.Tasks, task)
	}
	for range r.IntN(8) {
		planned := amount(9000)
		u := cost.Use{
			Job: r.one("J1", "J2", "J5"), Part: r.one("", "S1"), Kind: r.one("Media", "Ink", "ExposedMedia", "Component"),
			Usage: r.one("Input", "Input", "Output"), Item: r.one("", "gloss-135", "Cyan", "green", "gloss-coat"),
			Unit: r.one("", "kg", "g"), Device: r.one("", "p1", "p2"), Good: amount(9000), Waste: amount(900),
		}
		if r.IntN(2) == 0 {
			u.Planned = &planned
		}
		b.Uses = append(b.Uses, u)
	}
	for range r.IntN(8) {
		b.Supplies = append(b.Supplies, account.Supply{
			Job: r.one("J1", "J2", "J3"), Part: r.one("", "S1"),
			Kind:     r.one("paper", "plates", "ink", "coating", "wire", "glue"),
			Name:     r.one("gloss-135", "Cyan", "other"),
			Quantity: amount(9000), Kilos: amount(900), Cost: amount(90000),
		})
	}
	for range r.IntN(5) {
		b.Purchases = append(b.Purchases, account.Purchase{
			Job: r.one("J1", "J2", "J6"), Day: r.one("", "2026-03-02", "2026-04-30"), Cost: amount(90000),
			Planned: amount(90000).Mul(decimal.NewFromInt(r.Int64N(2))),
		})
	}
	for _, id := range []string{"J1", "J2", "J3"} {
		b.Orders = append(b.Orders, cost.Order{Job: id, Customer: r.one("", "Reed", "Marsh"), Ordered: amount(9000)})
	}
	return b
}

func (r chance) filter() account.Filter {
	var f account.Filter
	some := func(words ...string) []string {
		if r.IntN(4) > 0 {
			return nil
		}
		return []string{r.one(words...), r.one(words...)}
	}
	if r.IntN(3) == 0 {
		f.From = fmt.Sprintf("2026-%02d-%02d", 2+r.IntN(3), 1+r.IntN(28))
	}
	if r.IntN(3) == 0 {
		f.To = fmt.Sprintf("2026-%02d-%02d", 2+r.IntN(3), 1+r.IntN(28))
	}
	f.Jobs, f.Devices = some("J1", "J2", "J3", ""), some("p1", "p2", "f1")
	f.Centres, f.Customers = some("press", "dear", ""), some("Reed", "Marsh", "")
	f.Operators = some("ann", "bob", "")
	return f
}

// addsUp holds that what is shown on one level adds up to the next, and the parts of
// the variance to actual less plan.
func addsUp(t *testing.T, s *account.Statement) {
	t.Helper()
	equal := func(a, b any) {
		t.Helper()
		if x, y := fmt.Sprint(a), fmt.Sprint(b); x != y {
			require.Equal(t, x, y)
		}
	}
	within := func(f account.Figures) {
		t.Helper()
		a, p, v := f.Actual, f.Plan, f.Variance
		equal(a.Time, decimal.Sum(a.Makeready, a.Run, a.WashUp, a.Idle, a.Stopped))
		equal(a.Material, decimal.Sum(a.Paper, a.Plates, a.Ink, a.Coating, a.Other))
		equal(a.Total, decimal.Sum(a.Time, a.Material, a.Purchases))
		equal(p.Total, decimal.Sum(p.Time, p.Material, p.Purchases))
		equal(v.Total, decimal.Sum(v.Quantity, v.Time, v.Rate, v.Waste, v.Changeover, v.Scope))
		equal(v.Total, a.Total.Sub(p.Total))
		equal(a.Total, a.Total.Round(s.Places))
	}
	plus := func(f, g account.Figures) account.Figures {
		f.Actual.Total, f.Plan.Total = f.Actual.Total.Add(g.Actual.Total), f.Plan.Total.Add(g.Plan.Total)
		f.Actual.Run, f.Actual.Paper = f.Actual.Run.Add(g.Actual.Run), f.Actual.Paper.Add(g.Actual.Paper)
		f.Variance.Time, f.Variance.Rate = f.Variance.Time.Add(g.Variance.Time), f.Variance.Rate.Add(g.Variance.Rate)
		f.Times.Run, f.Entries = f.Times.Run+g.Times.Run, f.Entries+g.Entries
		f.Plan.Run, f.Extra.Rework = f.Plan.Run+g.Plan.Run, f.Extra.Rework.Add(g.Extra.Rework)
		return f
	}
	same := func(f, g account.Figures) {
		t.Helper()
		equal([]any{f.Actual.Total, f.Plan.Total, f.Actual.Run, f.Actual.Paper, f.Variance.Time, f.Variance.Rate,
			f.Times.Run, f.Entries, f.Plan.Run, f.Extra.Rework},
			[]any{g.Actual.Total, g.Plan.Total, g.Actual.Run, g.Actual.Paper, g.Variance.Time, g.Variance.Rate,
				g.Times.Run, g.Entries, g.Plan.Run, g.Extra.Rework})
	}
	within(s.Total.Figures)
	var rows, totals account.Figures
	for _, row := range s.Rows {
		within(row.Figures)
		rows = plus(rows, row.Figures)
		var lines account.Figures
		for _, line := range row.Lines {
			within(line.Figures)
			lines = plus(lines, line.Figures)
		}
		same(lines, row.Figures)
	}
	same(rows, s.Total.Figures)
	for _, line := range s.Total.Lines {
		within(line.Figures)
		totals = plus(totals, line.Figures)
	}
	same(totals, s.Total.Figures)
	listsAddUp(t, s)
}

// listsAddUp holds the same of the lists beside the rows.
func listsAddUp(t *testing.T, s *account.Statement) {
	t.Helper()
	equal := func(a, b decimal.Decimal) {
		t.Helper()
		require.True(t, a.Equal(b), "%s is not %s", a, b)
	}
	var material decimal.Decimal
	for _, m := range s.Materials {
		material = material.Add(m.Cost)
	}
	equal(material, s.Total.Actual.Material)
	for _, dev := range s.Deviations {
		v := dev.Variance
		equal(v.Total, dev.Actual.Sub(dev.Plan))
		equal(v.Total, decimal.Sum(v.Quantity, v.Time, v.Rate, v.Waste, v.Changeover, v.Scope))
		var causes decimal.Decimal
		for _, c := range dev.Causes {
			causes = causes.Add(c.Amount)
		}
		equal(v.Total, causes)
	}
}

// By any dimension the total is the same, all that is shown adds up, and the parts of
// the variance make the difference.
func TestAnyDimensionHasTheSameTotal(t *testing.T) {
	deviations, priced := 0, 0
	for seed := range uint64(80) {
		r := chance{rand.New(rand.NewPCG(seed, 5)), t}
		b := r.chaos()
		var f account.Filter
		if seed%3 > 0 {
			f = r.filter()
		}
		var want string
		for _, by := range account.Dimensions() {
			s, _ := account.Make(b, by, f)
			addsUp(t, s)
			require.True(t, slices.IsSortedFunc(s.Rows, func(a, b account.Row) int {
				if a.Key < b.Key {
					return -1
				}
				return 1
			}))
			text, err := json.Marshal([]any{s.Total.Figures, s.Total.Lines, s.Materials, s.Deviations, s.Stops, s.Deliveries})
			require.NoError(t, err)
			if want == "" {
				want = string(text)
			}
			require.Equal(t, want, string(text), "seed %d by %s", seed, by)
			if s.Total.Actual.Total.IsPositive() {
				priced++
			}
			deviations += len(s.Deviations)
		}
	}
	require.Greater(t, deviations, 500)
	require.Greater(t, priced, 500)
}

// Looking into a row gives the rows that it names, and the same time, amounts and,
// but for rounding, money.
func TestLookingIntoRows(t *testing.T) {
	looked := 0
	for seed := range uint64(40) {
		r := chance{rand.New(rand.NewPCG(seed, 6)), t}
		b := r.chaos()
		for _, by := range account.Dimensions() {
			s, _ := account.Make(b, by, r.filter())
			for _, row := range s.Rows {
				if row.Below == "" {
					require.Equal(t, account.ByPart, by)
					continue
				}
				under, _ := account.Make(b, row.Below, row.Only)
				var keys []string
				for _, u := range under.Rows {
					keys = append(keys, u.Key)
				}
				require.Equal(t, row.Parts, keys, "seed %d by %s, row %q", seed, by, row.Key)
				require.Equal(t, row.Times, under.Total.Times)
				require.Equal(t, row.Entries, under.Total.Entries)
				slack := decimal.New(30, -s.Places) // thirty columns and lines, a unit each
				require.True(t, row.Actual.Total.Sub(under.Total.Actual.Total).Abs().LessThanOrEqual(slack))
				require.True(t, row.Variance.Total.Sub(under.Total.Variance.Total).Abs().LessThanOrEqual(slack))
				looked++
			}
		}
	}
	require.Greater(t, looked, 500)
}

// The order in which books are given makes no difference.
func TestOrderOfBooks(t *testing.T) {
	for seed := range uint64(40) {
		r := chance{rand.New(rand.NewPCG(seed, 7)), t}
		b := r.chaos()
		want, found := account.Make(b, account.ByDevice, account.Filter{})
		mixed := b
		cells := slices.Collect(b.Cells)
		r.Shuffle(len(cells), func(i, j int) { cells[i], cells[j] = cells[j], cells[i] })
		mixed.Cells = slices.Values(cells)
		mixed.Tasks = slices.Clone(b.Tasks)
		r.Shuffle(len(mixed.Tasks), func(i, j int) { mixed.Tasks[i], mixed.Tasks[j] = mixed.Tasks[j], mixed.Tasks[i] })
		mixed.Uses, mixed.Supplies = slices.Clone(b.Uses), slices.Clone(b.Supplies)
		mixed.Purchases, mixed.Orders = slices.Clone(b.Purchases), slices.Clone(b.Orders)
		slices.Reverse(mixed.Uses)
		slices.Reverse(mixed.Supplies)
		slices.Reverse(mixed.Purchases)
		slices.Reverse(mixed.Orders)
		got, gotFound := account.Make(mixed, account.ByDevice, account.Filter{})
		a, err := json.Marshal(want)
		require.NoError(t, err)
		c, err := json.Marshal(got)
		require.NoError(t, err)
		require.Equal(t, string(a), string(c), "seed %d", seed)
		require.Equal(t, told(found), told(gotFound))
	}
}
