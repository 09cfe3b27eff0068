package plan

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"quoin/jdf/job"
	"quoin/validate/plant"
)

// gangJob is several flat products on one stock and in the same colours.
func gangJob(rng *rand.Rand, n int) *job.Job {
	colors := inkSets[rng.IntN(2)]
	back := [][]string{nil, colors}[rng.IntN(2)]
	var all *job.Job
	for i := range n {
		j := flatJob(float64(50+rng.IntN(150)), float64(50+rng.IntN(150)), 1+rng.IntN(4000), colors, back)
		j.Products[0].Name = given(fmt.Sprintf("Card %d", i+1))
		if all == nil {
			all = j
			continue
		}
		all.Products = append(all.Products, j.Products...)
	}
	return all
}

// everyBand is the fewest sheets of all choices of rows, upright and turned.
func everyBand(items []item, l lay, m margins, high plant.Length, paired bool) int {
	if len(items) == 0 {
		return 1
	}
	best := 0
	try := func(ups int, tall plant.Length) {
		if ups == 0 || tall > high {
			return
		}
		rest := everyBand(items[1:], l, m, high-tall, paired)
		if sheets := max(rest, ceilDiv(items[0].quantity, ups)); rest > 0 && (best == 0 || sheets < best) {
			best = sheets
		}
	}
	open := items[0].open()
	columns := func(as plant.Size) int { return layOut(l.sheet, as, l.bleed, l.gutter, m, l.printing.style).columns }
	up, across := columns(open), columns(open.Turned())
	most := int(high / (min(open.Width, open.Height) + l.gutter))
	for a := range most + 1 {
		for b := range most + 1 {
			if a > 0 && b > 0 && !paired {
				continue
			}
			tall := plant.Length(a)*(open.Height+l.gutter) + plant.Length(b)*(open.Width+l.gutter)
			if a > 0 && up == 0 || b > 0 && across == 0 {
				continue
			}
			try(a*up+b*across, tall)
		}
	}
	return best
}

// TestBandsBruteForce compares the bands with all bands there are.
func TestBandsBruteForce(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 17))
	m := margins{lead: 10 * mm, trail: 9 * mm, side: 5 * mm}
	fitting, twice := 0, 0
	for range 300 {
		l := lay{sheet: size(640, 450), piece: piece{bleed: 3 * mm, gutter: 6 * mm}}
		l.printing.style = []Style{WorkAndBack, WorkAndTurn}[rng.IntN(2)]
		var items []item
		for range 2 + rng.IntN(3) {
			items = append(items, item{
				page: size(40+rng.IntN(160), 40+rng.IntN(160)), quantity: 1 + rng.IntN(3000), part: &part{},
			})
		}
		paired := rng.IntN(2) == 0
		g, sheets, ok := bands(items, l, m, paired)
		want := everyBand(items, l, m, l.sheet.Height-m.lead-m.trail-2*l.bleed+l.gutter, paired)
		require.Equal(t, want > 0, ok)
		if !ok {
			continue
		}
		require.Equal(t, want, sheets)
		ups := map[int]int{}
		for _, f := range g.fields() {
			ups[f.item] += f.ups()
		}
		for i, it := range items {
			require.GreaterOrEqual(t, ups[i]*sheets, it.quantity)
		}
		fitting++
		twice += boolRank(len(g.fields()) > len(items))
	}
	require.Greater(t, fitting, 100)
	require.Greater(t, twice, 10)
}

// TestGangs holds plans of several products against what must be true of all plans.
func TestGangs(t *testing.T) {
	p := withPallet(tinyPlant())
	rng := rand.New(rand.NewPCG(12, 2))
	shared := map[bool]int{}
	for i := range 60 {
		j := gangJob(rng, 2+rng.IntN(3))
		pl, findings := Make(j, p, Options{})
		if pl == nil {
			require.NotEmpty(t, findings)
			continue
		}
		name := fmt.Sprintf("case %d", i)
		require.Len(t, pl.Products, len(j.Products), name)
		shared[len(pl.Sheets) == 1]++
		for n, product := range pl.Products {
			require.Equal(t, int(j.Products[n].Amount.Good.Value.IntPart()), product.Quantity)
			require.Positive(t, product.Ups, name)
			require.GreaterOrEqual(t, product.OverRun, 0, name)
		}
		checkCapabilities(t, name, pl, p)
		checkPositions(t, name, pl, p)
		checkPrograms(t, name, pl, p)
		checkDeliveries(t, name, pl, p)
		checkSums(t, name, pl)
		for _, s := range pl.Sheets {
			require.NoError(t, SVG(&bytes.Buffer{}, pl, s.Name))
		}
		require.NoError(t, Write(&bytes.Buffer{}, pl))
		j.Products[0].Amount.Good = given(j.Products[0].Amount.Good.Value.Add(decimal.NewFromInt(int64(1 + rng.IntN(900)))))
		larger, _ := Make(j, p, Options{})
		require.True(t, larger.Totals.Cost.GreaterThanOrEqual(pl.Totals.Cost), "%s: more copies cost less", name)
	}
	require.Greater(t, shared[true], 10)
	require.NotZero(t, shared[false])
}

// TestGangOrApart: products that differ in stock, colours or folds are printed
// by themselves, and the plan says why.
func TestGangOrApart(t *testing.T) {
	for _, c := range []struct {
		change func(*job.Product)
		reason string
	}{
		{func(*job.Product) {}, ""},
		{func(p *job.Product) { p.Front.Colors = given([]string{"Red"}) }, "different colours"},
		{func(p *job.Product) { p.Media.Weight = given(90.0) }, "different stocks"},
		{func(p *job.Product) { p.Fold = given("F6-2") }, "folded products"},
	} {
		p := tinyPlant()
		other := *p.Stocks[0]
		other.ID, other.Grammage = "light", 90
		p.Stocks = append(p.Stocks, &other)
		j := gangJob(rand.New(rand.NewPCG(1, 1)), 1)
		j.Products = append(j.Products, flatJob(90, 100, 500, nil, nil).Products...)
		one, two := j.Products[0], j.Products[1]
		one.Size, two.Front, two.Back = two.Size, one.Front, one.Back
		c.change(j.Products[1])
		pl, _ := Make(j, p, Options{Alternatives: 99})
		require.NotNil(t, pl)
		var reasons []string
		for _, r := range pl.Rejected {
			reasons = append(reasons, r.Reason)
		}
		if c.reason == "" {
			require.Len(t, pl.Sheets, 1)
			require.Contains(t, strings.Join(pl.Notes, "\n"), "the products share")
			var titles []string
			for _, a := range pl.Alternatives {
				titles = append(titles, a.Title)
			}
			require.Contains(t, titles, "each product on its own sheet")
			continue
		}
		require.Len(t, pl.Sheets, 2, c.reason)
		require.Contains(t, strings.Join(reasons, "\n"), c.reason)
		for i, s := range pl.Sheets {
			require.Equal(t, pl.Products[i].Sheet, s.Name)
			require.Equal(t, i, s.Positions[0].Product)
		}
	}
}
