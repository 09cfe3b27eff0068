package plan

import (
	"testing"
	"time"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"quoin/validate/plant"
)

const mm = plant.Millimetre

func size(w, h int) plant.Size {
	return plant.Size{Width: plant.Length(w) * mm, Height: plant.Length(h) * mm}
}

// TestUps lays pieces upright and turned.
// Common practice, no source: the step-and-repeat formula; the numbers follow from it.
func TestUps(t *testing.T) {
	for _, c := range []struct {
		sheet, piece            plant.Size
		gutter, bleed           plant.Length
		grip, tail, side        plant.Length
		columns, rows           int
		turnColumns, turnedRows int
	}{
		{size(640, 450), size(210, 297), 6, 3, 10, 5, 5, 2, 1, 2, 2},
		{size(1000, 700), size(210, 297), 6, 3, 12, 8, 6, 4, 2, 3, 3},
		{size(640, 450), size(85, 55), 4, 2, 10, 5, 5, 7, 7, 10, 4},
		{size(1020, 720), size(148, 210), 6, 3, 12, 8, 6, 6, 3, 4, 4},
		{size(640, 460), size(99, 210), 6, 3, 10, 6, 5, 6, 2, 2, 4},
		// Boundary: 432 mm hold two pieces of 210 with bleed and gutter, 431 do not.
		{size(640, 447), size(210, 297), 6, 3, 10, 5, 5, 2, 1, 2, 2},
		{size(640, 446), size(210, 297), 6, 3, 10, 5, 5, 2, 1, 2, 1},
	} {
		m := margins{lead: c.grip * mm, trail: c.tail * mm, side: c.side * mm}
		g := layOut(c.sheet, c.piece, c.bleed*mm, c.gutter*mm, m, WorkAndBack)
		require.Equal(t, [2]int{c.columns, c.rows}, [2]int{g.columns, g.rows}, "%v upright", c)
		g = layOut(c.sheet, c.piece.Turned(), c.bleed*mm, c.gutter*mm, m, WorkAndBack)
		require.Equal(t, [2]int{c.turnColumns, c.turnedRows}, [2]int{g.columns, g.rows}, "%v turned", c)
	}
}

// TestParentSheets cuts pieces without gutter out of parent sheets, in inches.
// Source: studymode.com, "exercise calculation estimating printing", a course's exercise sheet.
func TestParentSheets(t *testing.T) {
	inches := func(w, h float64) plant.Size {
		return plant.Size{Width: plant.Length(w * 25400), Height: plant.Length(h * 25400)}
	}
	for _, c := range []struct {
		piece, sheet plant.Size
		want         int
	}{
		{inches(5, 8), inches(25, 35.5), 21},
		{inches(14, 18), inches(31, 43), 4},
		{inches(5.5, 5.5), inches(17, 22), 12},
	} {
		best := 0
		for _, p := range bothWays(c.piece) {
			best = max(best, layOut(c.sheet, p, 0, 0, margins{}, Simplex).ups())
		}
		require.Equal(t, c.want, best)
	}
}

// press4 has four units, press8 perfects four over four.
func press4() *plant.Press { return &plant.Press{Kind: plant.Offset, Units: 4} }

func press8() *plant.Press {
	return &plant.Press{Kind: plant.Offset, Units: 8, Perfecting: &plant.Perfecting{Front: 4, Back: 4}}
}

// TestWorkStyles counts plates, makereadies and passes of 10 000 pieces, 4-up, 4/4.
// Common practice, no source: the usual counts of each style; the names are the standard's.
func TestWorkStyles(t *testing.T) {
	four := []string{"C", "M", "Y", "K"}
	for _, c := range []struct {
		press                            *plant.Press
		style                            Style
		front, back                      []string
		plates, makereadies, impressions int
	}{
		{press4(), WorkAndBack, four, four, 8, 2, 5000},
		{press4(), WorkAndTurn, four, four, 4, 1, 5000},
		{press4(), WorkAndTumble, four, four, 4, 1, 5000},
		{press8(), Perfecting, four, four, 8, 1, 2500},
		{press4(), Simplex, four, nil, 4, 1, 2500},
		{press4(), Simplex, append(four, "S"), nil, 5, 2, 5000},
		{press4(), WorkAndTurn, four, []string{"S"}, 5, 2, 10000},
		{press4(), WorkAndBack, four, []string{"K"}, 5, 2, 5000},
	} {
		w, reason := printIn(c.press, c.style, ink{front: c.front, back: c.back}, 100)
		require.Empty(t, reason)
		loss, ok := backPasses(ceilDiv(10000, 4), c.press, w, &plant.Stock{}, true, plant.Yield)
		require.True(t, ok)
		require.Equal(t, []int{c.plates, c.makereadies, c.impressions, 2500},
			[]int{w.plates, w.makereadies(), loss.through, loss.in}, "%s", c.style)
	}
	require.Equal(t, 2501, ceilDiv(10001, 4))
	for _, c := range []struct {
		press *plant.Press
		k     ink
	}{
		{press4(), ink{front: four, back: four}},
		{press8(), ink{front: append(four, "S"), back: four[:3]}},
		{press8(), ink{front: four, back: four, coatFront: true, coatBack: true}},
	} {
		_, reason := printIn(c.press, Perfecting, c.k, 100)
		require.NotEmpty(t, reason)
	}
}

// TestHalves takes turning and tumbling of odd layouts apart.
// Common practice, no source: both need as many positions on each half.
func TestHalves(t *testing.T) {
	sheet := size(700, 500)
	m := margins{lead: 10 * mm, trail: 10 * mm, side: 5 * mm}
	for _, c := range []struct {
		style         Style
		columns, rows int
	}{{WorkAndBack, 3, 2}, {WorkAndTurn, 2, 2}, {WorkAndTumble, 3, 2}} {
		g := layOut(sheet, size(200, 220), 0, 0, m, c.style)
		require.Equal(t, [2]int{c.columns, c.rows}, [2]int{g.columns, g.rows}, "%s", c.style)
	}
	require.Zero(t, layOut(sheet, size(400, 220), 0, 0, m, WorkAndTurn).ups())
	require.Zero(t, layOut(sheet, size(200, 300), 0, 0, m, WorkAndTumble).ups())
}

// TestSections splits pages with forms of 16, 8 and 4 pages, the large ones the cheapest a page.
// Source: marrak.com, "Sweet Sixteen": multiples of four; full 16s are the cheapest, then 16s and one 8.
func TestSections(t *testing.T) {
	scheme := func(pages int) *plant.FoldScheme { return &plant.FoldScheme{Columns: pages / 2, Rows: 1} }
	cost := map[int]int64{16: 100, 8: 80, 4: 60}
	var choices []choice
	for _, n := range []int{4, 8, 16} {
		f := form{lay: lay{piece: piece{scheme: scheme(n)}}, cost: decimal.NewFromInt(cost[n])}
		choices = append(choices, choice{n, f, f})
	}
	for _, c := range []struct {
		pages int
		want  []int
	}{
		{80, []int{16, 16, 16, 16, 16}},
		{72, []int{16, 16, 16, 16, 8}},
		{76, []int{16, 16, 16, 16, 8, 4}},
		{4, []int{4}},
	} {
		var best []form
		total := decimal.Zero
		for _, forms := range splits(&part{pages: c.pages}, choices, 20) {
			sum := decimal.Zero
			for _, f := range forms {
				sum = sum.Add(f.cost)
			}
			if forms != nil && (best == nil || sum.LessThan(total)) {
				best, total = forms, sum
			}
		}
		var got []int
		for _, f := range best {
			got = append(got, f.scheme.Pages())
		}
		require.Equal(t, c.want, got)
	}
	require.Nil(t, splits(&part{pages: 400}, choices, 5), "five sections hold 80 pages")
}

// TestCreep: 32 pages of 0.10 mm and 64 pages of 0.09 mm, and a factor of pi/2 x 1.2.
// Common practice, no source: leaf i is pushed out i calipers.
// Source: printplanet.com, thread 1579, for the form with the factor: twice as far for the 32 pages.
func TestCreep(t *testing.T) {
	one := decimal.NewFromInt(1)
	from, to := pushOut([]nested{{32, 100}}, one)
	require.Equal(t, []plant.Length{0}, from)
	require.Equal(t, []plant.Length{700}, to)
	_, to = pushOut([]nested{{64, 90}}, one)
	require.Equal(t, []plant.Length{1350}, to)
	from, to = pushOut([]nested{{4, 230}, {16, 88}, {8, 88}}, one)
	require.Equal(t, []plant.Length{0, 230, 582}, from, "each section begins where the one outside it ends")
	require.Equal(t, []plant.Length{0, 494, 670}, to)
	_, to = pushOut([]nested{{32, 100}}, dec("1.88495559"))
	require.Equal(t, []plant.Length{1319}, to)
}

func TestPageRanges(t *testing.T) {
	require.Equal(t, []string{"1-2, 23-24", "3-10, 15-22", "11-14"}, pageRanges([]int{4, 16, 4}))
	require.Equal(t, []string{"1-16"}, pageRanges([]int{16}))
}

// TestLifts fills lifts in whole micrometres.
// Common practice, no source: height over caliper, rounded down.
func TestLifts(t *testing.T) {
	for _, c := range []struct {
		sheets         int
		caliper        float64
		height         plant.Length
		perLift, lifts int
	}{
		{8375, 110, 90 * mm, 818, 11}, {5250, 100, 100 * mm, 1000, 6}, {12000, 350, 80 * mm, 228, 53},
		{10, 97.75, 98 * mm, 1000, 1},
	} {
		require.Equal(t, c.perLift, perLift(c.height, c.caliper))
		require.Equal(t, c.lifts, ceilDiv(c.sheets, perLift(c.height, c.caliper)))
	}
	require.Zero(t, perLift(mm, 0))
}

// TestCuts counts the cuts of grids with common cuts and with gutters.
// Common practice, no source: r + c + 2, or 2r + 2c, when the strips can be cut side by side.
func TestCuts(t *testing.T) {
	wide := &plant.Guillotine{MaxWidth: 2000 * mm, MaxDepth: 2000 * mm}
	count := func(g *plant.Guillotine, lay grid) (int, string) {
		c, reason := bestCutting(g, size(900, 640), lay, WorkAndBack)
		if reason == "" {
			require.Len(t, c.program(), c.cuts)
		}
		return c.cuts, reason
	}
	for _, c := range []struct{ rows, columns, single, double int }{
		{1, 1, 4, 4}, {2, 2, 6, 8}, {2, 4, 8, 12}, {3, 7, 12, 20},
	} {
		lay := grid{field: field{columns: c.columns, rows: c.rows, piece: size(100, 80)}, margins: margins{lead: 10 * mm}}
		cuts, reason := count(wide, lay)
		require.Empty(t, reason)
		require.Equal(t, c.single, cuts)
		lay.gutter, lay.bleed = 6*mm, 3*mm
		cuts, _ = count(wide, lay)
		require.Equal(t, c.double, cuts)
	}
	// Edges left untrimmed: two fewer along the run, two fewer across.
	whole := grid{field: field{columns: 3, rows: 2, piece: size(300, 320)}}
	cuts, _ := count(wide, whole)
	require.Equal(t, 2+3+2-4, cuts)
	// Strips that do not lie side by side within the knife are cut one by one: of
	// 4 rows, 8 cuts and 2 x 2 for each strip.
	narrow := &plant.Guillotine{MaxWidth: 700 * mm, MaxDepth: 1000 * mm}
	lay := grid{field: field{columns: 2, rows: 4, piece: size(300, 180)}, gutter: 6 * mm, bleed: 3 * mm}
	lay.margins = margins{lead: 10 * mm}
	rows := lay.cuttings(size(640, 900), WorkAndBack)[0]
	require.True(t, rows.fitOn(narrow))
	require.Equal(t, 24, rows.cuts)
	_, reason := count(&plant.Guillotine{MaxWidth: 500 * mm, MaxDepth: 500 * mm}, lay)
	require.NotEmpty(t, reason)
	coarse := &plant.Guillotine{MaxWidth: 2000 * mm, MaxDepth: 2000 * mm, MinCut: 200 * mm}
	_, reason = count(coarse, lay)
	require.NotEmpty(t, reason)
}

// TestCutTime: 11 lifts of 12 cuts at 60 s a lift, 15 s a cut and 10 min setup are 54 min.
// Common practice, no source.
func TestCutTime(t *testing.T) {
	g := &plant.Guillotine{Lift: 90 * mm, Setup: 10 * time.Minute, Load: time.Minute, Cut: 15 * time.Second}
	r := &request{plant: &plant.Plant{}}
	o := &Operation{In: 8375}
	r.guillotine(o, lay{guillotine: g, stock: &plant.Stock{Caliper: 110}}, 12)
	require.Equal(t, 54*time.Minute, o.Total())
}

func flatRate(percent string) []plant.Step { return []plant.Step{{Value: dec(percent)}} }

// TestCompounding works 10 000 pieces back through stitching, folding, cutting and printing.
// Common practice, no source: both conventions, worked by hand.
func TestCompounding(t *testing.T) {
	chain := []plant.Spoilage{
		{Setup: 30, Running: flatRate("1")}, {Setup: 40, Running: flatRate("1")},
		{Running: flatRate("0.2")}, {Setup: 300, Running: flatRate("2")},
	}
	for how, want := range map[plant.Compounding][]int{
		plant.Yield: {10132, 10275, 10296, 10807}, plant.MarkUp: {10130, 10272, 10293, 10799},
	} {
		n := 10000
		for i, s := range chain {
			l, ok := back(n, s, 0, how)
			require.True(t, ok)
			require.Equal(t, n, l.in-l.setup-l.running)
			n = l.in
			require.Equal(t, want[i], n, "%s, step %d", how, i)
		}
	}
	require.Equal(t, 2569, ceilDiv(10275, 4))
	_, ok := gross(10, flatRate("100"), plant.Yield)
	require.False(t, ok)
}

// TestForward runs the chain the other way: what comes off is at least what was ordered.
func TestForward(t *testing.T) {
	n := 10807 - 300
	for _, s := range []struct {
		percent string
		setup   int
	}{{"2", 0}, {"0.2", 40}, {"1", 30}, {"1", 0}} {
		n = int(decimal.NewFromInt(int64(n)).Mul(hundred.Sub(dec(s.percent))).Shift(-2).IntPart()) - s.setup
	}
	require.Equal(t, 10000, n)
}

// TestSteps: the table is looked up, and passing an edge never asks for less.
func TestSteps(t *testing.T) {
	table := []plant.Step{
		{UpTo: dec("2500"), Value: dec("3.7")}, {UpTo: dec("5000"), Value: dec("3.2")}, {Value: dec("3")},
	}
	at, _ := gross(2500, table, plant.Yield)
	over, _ := gross(2501, table, plant.Yield)
	further, _ := gross(2600, table, plant.Yield)
	require.Equal(t, []int{2597, 2597, 2686}, []int{at, over, further})
	require.True(t, plant.Look(table, dec("2501")).Equal(dec("3.2")))
}

// TestLater: the first makeready of a job in full, those after it by the plant's share.
func TestLater(t *testing.T) {
	p := press4()
	p.Setup = plant.Spoilage{Setup: 40, SetupPerUnit: 90, Later: dec("60"), Running: flatRate("0")}
	w, _ := printIn(p, WorkAndBack, ink{front: []string{"a", "b", "c", "d"}, back: []string{"a"}}, 100)
	first, _ := backPasses(1000, p, w, &plant.Stock{}, true, plant.Yield)
	later, _ := backPasses(1000, p, w, &plant.Stock{}, false, plant.Yield)
	require.Equal(t, 400+78, first.setup)
	require.Equal(t, 240+78, later.setup)
}

// TestRunTime: 10 300 sheets at 9 000 an hour.
// Common practice, no source.
func TestRunTime(t *testing.T) {
	got, ok := runTime(10300, dec("9000"))
	require.True(t, ok)
	require.Equal(t, "PT1H8M40S", got.Ticket())
	_, ok = runTime(1, decimal.Zero)
	require.False(t, ok)
	_, ok = runTime(10_000_000, dec("0.0001"))
	require.False(t, ok)
}

// TestInk: 10 000 sheets of 640 x 900 mm with a film of 1.3 g/m2.
// Common practice, no source: area by coverage by film by impressions.
func TestInk(t *testing.T) {
	m2 := area(size(640, 900))
	for coverage, want := range map[string]string{"5": "0.3744", "20": "1.4976", "35": "2.6208", "100": "7.488"} {
		require.True(t, dec(want).Equal(inkKilos(m2, dec(coverage), dec("1.3"), 10000)), coverage)
	}
	require.True(t, dec("20.9664").Equal(inkKilos(m2, dec("35"), dec("1.3"), 10000).Mul(dec("8"))))
}

// TestWeight weighs sheets.
// Source: ISO 216 for the sizes; the weight follows from area and grammage.
func TestWeight(t *testing.T) {
	for _, c := range []struct {
		size  plant.Size
		grams float64
		n     int
		want  string
	}{
		{size(210, 297), 80, 1, "0.0049896"}, {size(210, 297), 80, 500, "2.4948"}, {size(320, 450), 150, 500, "10.8"},
		{size(700, 1000), 115, 1000, "80.5"}, {size(640, 900), 135, 8375, "651.24"},
	} {
		require.True(t, dec(c.want).Equal(kilos(c.size, c.grams, c.n)), "%v", c)
	}
}

// TestSectionFolds keeps the folds that halve the sheet each time.
// Common practice, no source: names and numbers of folds of the usual schemes.
func TestSectionFolds(t *testing.T) {
	for _, c := range []struct {
		columns, rows, folds int
		want                 bool
	}{
		{2, 1, 1, true}, {4, 1, 2, true}, {2, 2, 2, true}, {4, 2, 3, true}, {4, 4, 4, true},
		{3, 1, 2, false}, {4, 1, 3, false}, {3, 2, 3, false}, {1, 1, 0, false}, {0, 2, 1, false},
	} {
		require.Equal(t, c.want, sectionFold(&plant.FoldScheme{Columns: c.columns, Rows: c.rows, Folds: c.folds}), "%v", c)
	}
}

// TestSectionSize: A4, 3 mm trims and 8 mm lap.
func TestSectionSize(t *testing.T) {
	a4 := size(210, 297)
	require.Equal(t, size(860, 606), sectionSize(a4, 4, 2, 3*mm, 8*mm, 0))
	require.Equal(t, size(434, 303), sectionSize(a4, 2, 1, 3*mm, 8*mm, 0))
	require.Equal(t, size(303, 434), sectionSize(a4, 1, 2, 3*mm, 8*mm, 0))
	// Glued: 3 mm of each page are ground off at the spine, and there is no lap.
	require.Equal(t, size(432, 303), sectionSize(a4, 2, 1, 3*mm, 0, 3*mm))
	require.Equal(t, size(864, 606), sectionSize(a4, 4, 2, 3*mm, 0, 3*mm))
	require.Equal(t, size(303, 216), sectionSize(a4, 1, 1, 3*mm, 0, 3*mm))
}
