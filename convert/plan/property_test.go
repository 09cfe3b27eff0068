package plan

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"quoin/jdf/job"
	"quoin/validate/plant"
)

var inkSets = [][]string{
	{"Black"}, {"Cyan", "Magenta", "Yellow", "Black"}, {"Black", "Marsh Green"},
	{"Cyan", "Magenta", "Yellow", "Black", "Marsh Green"},
}

// randomJob is a flat, folded or stitched job for the demo plant.
func randomJob(rng *rand.Rand, p *plant.Plant) *job.Job {
	stock := p.Stocks[rng.IntN(len(p.Stocks))]
	quantity := 1 + rng.IntN(1<<(3+rng.IntN(14)))
	front, back := inkSets[rng.IntN(len(inkSets))], inkSets[rng.IntN(len(inkSets))]
	if rng.IntN(4) == 0 {
		back = nil
	}
	w, h := float64(60+rng.IntN(240)), float64(60+rng.IntN(240))
	j := flatJob(w, h, quantity, front, back)
	switch rng.IntN(4) {
	case 0:
		j = bookJob(w, h, 4*(2+rng.IntN(20)), quantity, front)
	case 2:
		if rng.IntN(2) == 0 {
			j = coverOf(bookJob(w, h, 2*(30+rng.IntN(60)), quantity, front))
			j.Products[0].Binding.Type = given(softCover)
			cover, body := j.Products[0].Parts[0], j.Products[0].Parts[1]
			cover.Media.Weight = given(250.0)
			body.Media.Weight = given([]float64{90, 115, 120, 135}[rng.IntN(4)])
		}
	case 1:
		j.Products[0].Fold = given("F6-2")
	}
	j.Products[0].Media.Weight = given(stock.Grammage)
	randomFinish(rng, j)
	return j
}

// randomFinish asks for film, a coating, a die or hand work of some of the jobs.
func randomFinish(rng *rand.Rand, j *job.Job) {
	x := wants{films: max(0, rng.IntN(6)-3), coats: max(0, rng.IntN(6)-3), hand: rng.IntN(5) == 0}
	x.die = j.Products[0].Binding.Type.Value == "" && rng.IntN(3) == 0
	ask(j, x)
	if p := j.Products[0]; rng.IntN(3) > 0 {
		for _, c := range []*job.Fact[[]string]{&p.Front.Coatings, &p.Back.Coatings} {
			if c.Given {
				*c = given([]string{"UV"})
			}
		}
	}
}

// TestProperties plans random jobs on the demo plant and holds each plan
// against what must be true of all plans.
func TestProperties(t *testing.T) {
	p := withPallet(saltmarsh(t))
	rng := rand.New(rand.NewPCG(3, 14))
	planned, steps := map[Kind]int{}, map[Step]int{}
	for i := range 300 {
		j := randomJob(rng, p)
		pl, findings := Make(j, p, Options{})
		if pl == nil {
			require.NotEmpty(t, findings)
			continue
		}
		planned[pl.Kind]++
		for _, o := range pl.Operations {
			steps[o.Step]++
		}
		name := fmt.Sprintf("case %d, %s", i, pl.Finished)
		checkCapabilities(t, name, pl, p)
		checkAmounts(t, name, pl)
		checkPositions(t, name, pl, p)
		checkPrograms(t, name, pl, p)
		checkDeliveries(t, name, pl, p)
		checkSums(t, name, pl)
		more := *j
		product := *j.Products[0]
		product.Amount.Good = given(product.Amount.Good.Value.Add(decimal.NewFromInt(int64(1 + rng.IntN(3000)))))
		more.Products = []*job.Product{&product}
		larger, _ := Make(&more, p, Options{})
		require.NotNil(t, larger, name)
		require.True(t, larger.Totals.Cost.GreaterThanOrEqual(pl.Totals.Cost), "%s: more copies cost less", name)
	}
	require.Greater(t, planned[Flat], 40)
	require.Greater(t, planned[Stitched], 15)
	require.Greater(t, planned[Glued], 8)
	for _, s := range order {
		require.Greater(t, steps[s], 8, s)
	}
}

func checkCapabilities(t *testing.T, name string, pl *Plan, p *plant.Plant) {
	t.Helper()
	for _, s := range pl.Sheets {
		for _, m := range p.Presses {
			if m.ID != s.Press {
				continue
			}
			require.True(t, between(plant.Size(s.Size), m.MinSheet, m.MaxSheet), "%s: %s", name, s.Size)
			require.True(t, m.Grammage.Contains(s.Stock.Grammage) && m.Caliper.Contains(s.Stock.Caliper), name)
			if m.Kind == plant.Digital {
				require.LessOrEqual(t, max(len(s.Front), len(s.Back)), m.Units, name)
				require.Zero(t, s.Plates, name)
			}
			if s.Style == Perfecting {
				require.LessOrEqual(t, len(s.Front)+len(s.Back), m.Units, name)
			}
		}
	}
	for _, o := range pl.Operations {
		if o.Stitch != nil {
			m := p.Stitchers[0]
			require.LessOrEqual(t, o.Stitch.Sections, m.Pockets, name)
			require.True(t, m.Pages.Contains(pl.Pages) && m.Thickness.Contains(float64(o.Stitch.Thickness)), name)
		}
		if o.Bind != nil {
			m := p.Binders[0]
			require.LessOrEqual(t, o.Bind.Sections, m.Stations, name)
			require.True(t, m.Thickness.Contains(float64(o.Bind.Block)), name)
			require.Equal(t, pl.Spine, o.Bind.Spine, name)
		}
		if o.Cut != nil {
			require.GreaterOrEqual(t, o.Cut.Lifts*o.Cut.PerLift, o.In, name)
		}
		for _, s := range pl.Sheets {
			if s.Name == o.Sheet {
				checkFinishing(t, name, o, s, p)
			}
		}
	}
}

// checkFinishing holds what lies behind the press against the machine.
func checkFinishing(t *testing.T, name string, o *Operation, s *Sheet, p *plant.Plant) {
	t.Helper()
	size := plant.Size(s.Size)
	switch {
	case o.Laminate != nil:
		m := p.Laminators[0]
		require.Contains(t, []plant.Length{size.Width, size.Height}, o.Laminate.Across, name)
		require.True(t, o.Laminate.Across >= m.MinWidth && o.Laminate.Across <= m.MaxWidth, name)
		require.True(t, m.Grammage.Contains(s.Stock.Grammage), name)
		require.Contains(t, m.Films, o.Laminate.Film, name)
		require.True(t, o.Laminate.Side != Both || m.BothSides, name)
	case o.Varnish != nil:
		m := p.Coaters[0]
		require.True(t, between(size, m.MinSheet, m.MaxSheet) || between(size.Turned(), m.MinSheet, m.MaxSheet), name)
		require.True(t, m.Grammage.Contains(s.Stock.Grammage), name)
		require.Contains(t, m.Coatings, o.Varnish.Coating, name)
	case o.Die != nil:
		m := p.DieCutters[0]
		require.True(t, between(size, m.MinSheet, m.MaxSheet), name)
		require.True(t, m.Grammage.Contains(s.Stock.Grammage) && m.Caliper.Contains(s.Stock.Caliper), name)
		require.NotContains(t, []Style{WorkAndTurn, WorkAndTumble}, s.Style, name)
		require.Equal(t, len(s.Positions), o.Die.Ups, name)
		for _, b := range s.Positions {
			require.GreaterOrEqual(t, b.Y-s.Bleed, m.Gripper, name)
		}
	}
}

// checkAmounts follows every sheet through its operations: nothing is taken
// that was not made, and the order is met.
func checkAmounts(t *testing.T, name string, pl *Plan) {
	t.Helper()
	pages := 0
	for _, s := range pl.Sheets {
		at := s.Bought
		if s.Stock.Parts() == 1 {
			require.Equal(t, s.Gross, s.Bought, name)
		}
		pages += s.PiecePages * max(1, s.Leaves)
		for _, o := range pl.Operations {
			if o.Sheet != s.Name || o.Step == StepPlates {
				continue
			}
			require.LessOrEqual(t, o.In, at, "%s: %s takes more than was made", name, o.Step)
			per := o.Out / (o.In - o.SetupWaste - o.RunningWaste)
			require.Equal(t, o.Out, (o.In-o.SetupWaste-o.RunningWaste)*per, "%s: %s", name, o.Step)
			at = o.Out
		}
		if s.Uncut || pl.Kind == Flat {
			require.GreaterOrEqual(t, at, pl.Quantity, name)
		}
	}
	last := pl.Operations[len(pl.Operations)-1]
	require.GreaterOrEqual(t, last.Out, pl.Quantity, name)
	if pl.Kind != Flat {
		require.Equal(t, pl.Pages, pages, name)
		require.Equal(t, last.In, last.Out+last.SetupWaste+last.RunningWaste, name)
	}
}

func checkPositions(t *testing.T, name string, pl *Plan, p *plant.Plant) {
	t.Helper()
	for _, s := range pl.Sheets {
		require.Len(t, s.Positions, s.Ups(), name)
		require.NotEmpty(t, s.Positions, name)
		var m margins
		for _, press := range p.Presses {
			if press.ID == s.Press {
				m = marginsFor(press, s.Style)
			}
		}
		for i, b := range s.Positions {
			require.GreaterOrEqual(t, b.X-s.Bleed, m.side, name)
			require.GreaterOrEqual(t, b.Y-s.Bleed, m.lead, name)
			require.LessOrEqual(t, b.X+b.Width+s.Bleed, s.Size.Width-m.side, name)
			require.LessOrEqual(t, b.Y+b.Height+s.Bleed, s.Size.Height-m.trail, name)
			for _, o := range s.Positions[i+1:] {
				apart := b.X+b.Width <= o.X || o.X+o.Width <= b.X || b.Y+b.Height <= o.Y || o.Y+o.Height <= b.Y
				require.True(t, apart, "%s: %v and %v", name, b, o)
			}
			checkMirror(t, name, s, b)
		}
	}
}

// checkMirror: on a turned or tumbled form every piece has another where its
// back will lie.
func checkMirror(t *testing.T, name string, s *Sheet, b Box) {
	t.Helper()
	switch s.Style {
	case WorkAndTurn:
		b.X = s.Size.Width - b.X - b.Width
	case WorkAndTumble:
		b.Y = s.Size.Height - b.Y - b.Height
	default:
		return
	}
	for _, o := range s.Positions {
		if dx, dy := o.X-b.X, o.Y-b.Y; max(dx, -dx) <= 1 && max(dy, -dy) <= 1 {
			return
		}
	}
	require.Fail(t, "no piece on the other half", "%s: %s", name, s.Style)
}

// checkPrograms carries every cutting program of a plan out.
func checkPrograms(t *testing.T, name string, pl *Plan, p *plant.Plant) {
	t.Helper()
	for _, o := range pl.Operations {
		if o.Cut == nil {
			continue
		}
		require.Len(t, o.Cut.Program, o.Cut.Cuts, name)
		for _, s := range pl.Sheets {
			switch {
			case s.Name != o.Sheet:
			case o.Step == StepStock:
				requireHalved(t, p.Guillotines[0], plant.Size(s.Stock.Size), o.Cut.Program, s.Stock.Parts())
			default:
				requireCut(t, name, p.Guillotines[0], plant.Size(s.Size), o.Cut.Program, s.Positions)
			}
		}
	}
}

// checkDeliveries: all copies find room on the pallets, none of which is too
// high or too heavy.
func checkDeliveries(t *testing.T, name string, pl *Plan, p *plant.Plant) {
	t.Helper()
	require.NotEmpty(t, pl.Deliveries, name)
	for _, d := range pl.Deliveries {
		require.Positive(t, d.Grams.Sign(), name)
		if d.Pallets == 0 {
			continue
		}
		require.GreaterOrEqual(t, d.Pallets*d.PerPallet, d.Quantity, name)
		require.Less(t, (d.Pallets-1)*d.PerPallet, d.Quantity, name)
		require.LessOrEqual(t, d.StackHeight, p.Pallet.MaxHeight, name)
		require.True(t, d.PalletKilos.LessThanOrEqual(p.Pallet.MaxWeight), name)
	}
}

func checkSums(t *testing.T, name string, pl *Plan) {
	t.Helper()
	total := decimal.Zero
	for _, o := range pl.Operations {
		require.True(t, o.Cost.Equal(o.Cost.Round(pl.Places)), name)
		require.Zero(t, o.Total()%1e9, name)
		total = total.Add(o.Cost)
	}
	require.True(t, total.Equal(pl.Totals.TimeCost), name)
	for _, m := range pl.Materials {
		require.True(t, m.Cost.Equal(m.Cost.Round(pl.Places)), name)
		total = total.Add(m.Cost)
	}
	require.True(t, total.Equal(pl.Totals.Cost), name)
	require.True(t, pl.Totals.Cost.Equal(pl.Totals.TimeCost.Add(pl.Totals.Material)), name)
	for i, a := range pl.Alternatives {
		require.True(t, a.Cost.Sub(pl.Totals.Cost).Equal(a.More) && a.More.Sign() >= 0, name)
		require.NotEmpty(t, a.Why, name)
		require.True(t, i == 0 || a.Cost.GreaterThanOrEqual(pl.Alternatives[i-1].Cost), name)
	}
}

// TestSamePlan plans twice, to the same bytes, and reads the JSON back.
func TestSamePlan(t *testing.T) {
	for _, name := range []string{"leaflet.xjdf", "booklet.xjdf", "pilotbook.xjdf", "cards.xjdf"} {
		once, err := json.Marshal(made(t, ticket(t, name), saltmarsh(t)))
		require.NoError(t, err)
		again, err := json.Marshal(made(t, ticket(t, name), saltmarsh(t)))
		require.NoError(t, err)
		require.True(t, bytes.Equal(once, again))
		require.Contains(t, string(once), `"makeready":"PT`)
		var back Plan
		require.NoError(t, json.Unmarshal(once, &back))
		third, err := json.Marshal(&back)
		require.NoError(t, err)
		require.Equal(t, string(once), string(third))
	}
	var bad Time
	require.Error(t, bad.UnmarshalText([]byte("an hour")))
	require.Error(t, bad.UnmarshalText([]byte("P1Y")))
}

// TestGenerations: the leaflet in either generation of the standard is one plan.
func TestGenerations(t *testing.T) {
	p := saltmarsh(t)
	first, second := made(t, ticket(t, "leaflet.jdf"), p), made(t, ticket(t, "leaflet.xjdf"), p)
	require.Equal(t, second.Sheets, first.Sheets)
	require.Equal(t, second.Operations, first.Operations)
	require.Equal(t, second.Totals, first.Totals)
}

// withPallet states the pallet that the works delivers on.
func withPallet(p *plant.Plant) *plant.Plant {
	p.Pallet = plant.Pallet{Size: size(800, 1200), MaxHeight: 1100 * mm, MaxWeight: dec("800"), Tare: dec("25")}
	return p
}
