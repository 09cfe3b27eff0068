package plan

import (
	"fmt"
	"math/big"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/validate/plant"
)

// naive costs one way of making a flat piece on the tiny plant with plain
// integers and fractions, written apart from the planner. It gives cents.
type naive struct {
	stock       *plant.Stock
	parts       int
	ups         int
	cuts        int
	quantity    int
	w, h        int64 // piece, mm
	front, back []string

	wants wants    // beside printing and cutting
	sheet [2]int64 // press sheet, tenths of a millimetre
}

func rat(a, b int64) *big.Rat { return big.NewRat(a, b) }

func ratOf(s string) *big.Rat {
	r, ok := new(big.Rat).SetString(s)
	if !ok {
		panic(s)
	}
	return r
}

// cents rounds euros, halves up.
func cents(v *big.Rat) int64 {
	v = new(big.Rat).Add(new(big.Rat).Mul(v, rat(100, 1)), rat(1, 2))
	return new(big.Int).Div(v.Num(), v.Denom()).Int64()
}

func mul(vs ...*big.Rat) *big.Rat {
	p := rat(1, 1)
	for _, v := range vs {
		p.Mul(p, v)
	}
	return p
}

// up is ceil(n * 1000 / (1000 - perMille)).
func up(n, perMille int64) int64 { return (n*1000 + 1000 - perMille - 1) / (1000 - perMille) }

// seconds at a speed, halves up.
func secs(n, speed int64) int64 { return (n*3600*2 + speed) / (2 * speed) }

func timeCost(ready, run int64) int64 {
	return cents(new(big.Rat).Add(mul(ratOf("60"), rat(ready, 3600)), mul(ratOf("75.50"), rat(run, 3600))))
}

func knife(sheets, caliper, cuts int64) int64 {
	lifts := (sheets + 80000/caliper - 1) / (80000 / caliper)
	return timeCost(300, lifts*(60+10*cuts))
}

func (n naive) caliper() int64 {
	if n.stock.ID == "large" {
		return 98
	}
	return 100
}

// sheets is what has to come from the guillotine.
func (n naive) sheets() int64 { return int64((n.quantity + n.ups - 1) / n.ups) }

// paper is the cents of the sheets that are bought and cut down for the press.
func (n naive) paper(gross int64) int64 {
	bought := (gross + int64(n.parts) - 1) / int64(n.parts)
	cost := int64(0)
	if n.parts > 1 {
		bought = up(bought, 5)
		cuts := map[int]int64{2: 2, 4: 4}[n.parts]
		cost = knife(bought, n.caliper(), cuts)
	}
	return cost + cents(mul(ratOf(n.stock.Price.String()), rat(bought, 1000)))
}

// running is the waste of the offset press: 4 % to 500, 2.5 % above, never less
// than at the edge.
func running(out int64) int64 {
	if out <= 500 {
		return up(out, 40)
	}
	return max(up(out, 25), up(500, 40))
}

// offset prints in passes: colours of each, 0 where a pass takes no new plates.
func (n naive) offset(plates int64, passes []int64, perfect bool) int64 {
	in, cost := n.behindPress()
	good := int64(0)
	for i := len(passes) - 1; i >= 0; i-- {
		in = running(in)
		good += in
		if passes[i] == 0 {
			continue
		}
		setup := 20 + 30*passes[i]
		if perfect {
			setup += 10
		}
		if i > 0 {
			setup = (setup + 1) / 2
		}
		in += setup
	}
	ready, most := int64(0), int64(0)
	for _, c := range passes {
		if c > 0 {
			ready += 600 + 120*c
		}
		most = max(most, c)
	}
	speed := int64(8000)
	if perfect {
		speed = 6400
	}
	cost += timeCost(ready+180*most+n.washes(plates, perfect), secs(good, speed))
	cost += n.paper(in) + cents(mul(ratOf("5.25"), rat(plates, 1)))
	perSheet := mul(rat((n.w+6)*(n.h+6), 1_000_000), rat(int64(n.ups), 1), rat(20, 100), ratOf("1.5"))
	kilos := mul(perSheet, rat(in, 1000), rat(int64(len(n.front)+len(n.back)), 1))
	return cost + cents(mul(kilos, ratOf("10")))
}

func (n naive) digital() int64 {
	cut, cost := n.behindPress()
	good := up(cut, 10)
	in := good + 5
	speed := int64(2000)
	if len(n.back) > 0 {
		speed = 1000
	}
	cost += timeCost(300, secs(good, speed)) + n.paper(in)
	color, mono := int64(0), int64(0)
	for _, s := range [][]string{n.front, n.back} {
		switch {
		case len(s) == 1 && s[0] == "Black":
			mono += in
		case len(s) > 0:
			color += in
		}
	}
	return cost + cents(mul(ratOf("0.048"), rat(color, 1))) + cents(mul(ratOf("0.011"), rat(mono, 1)))
}

// fit counts pieces with a gutter of 6 and a bleed of 3 mm by laying them one by one.
func fit(room, trim float64) int {
	n := 0
	for at := 3.0; at+trim+3 <= room+1e-9; at += trim + 6 {
		n++
	}
	return n
}

// layouts are the plain grids of an area, and the layouts of two fields that hold
// more than either: a turned form needs columns in pairs and its fields behind
// each other, a tumbled one rows in pairs and its fields side by side.
func (n naive) layouts(wide, high float64, byColumns, byRows int) (all []naive) {
	w, h := float64(n.w), float64(n.h)
	most := 0
	add := func(ups, cuts int) {
		n.ups, n.cuts = ups, cuts
		all = append(all, n)
	}
	for _, as := range [][2]float64{{w, h}, {h, w}} {
		columns, rows := fit(wide, as[0])/byColumns*byColumns, fit(high, as[1])/byRows*byRows
		if columns*rows > 0 {
			add(columns*rows, 2*columns+2*rows)
			most = max(most, columns*rows)
		}
	}
	if w == h || most == 0 {
		return all
	}
	two := func(ups, cuts int) {
		if ups > most {
			add(ups, cuts)
		}
	}
	for k := 1; k < 50; k++ {
		first := float64(k)
		if left := high - first*(h+6); byRows == 1 && left > 0 {
			a, b, rows := fit(wide, w)/byColumns*byColumns, fit(wide, h)/byColumns*byColumns, fit(left, w)
			if a > 0 && b*rows > 0 {
				two(k*a+rows*b, 2*(k+rows)+2*a+2*b)
			}
		}
		if left := wide - first*(w+6); byColumns == 1 && left > 0 {
			a, b, columns := fit(high, h)/byRows*byRows, fit(high, w)/byRows*byRows, fit(left, h)
			if a > 0 && b*columns > 0 {
				two(k*a+columns*b, 2*(k+columns)+2*a+2*b)
			}
		}
	}
	return all
}

// cheapest tries everything.
func cheapest(p *plant.Plant, w, h int64, quantity int, front, back []string, x wants) (int64, bool) {
	best, found := int64(0), false
	take := func(n naive, cost int64) {
		if n.ups > 0 && (!found || cost < best) {
			best, found = cost, true
		}
	}
	for _, stock := range p.Stocks {
		for _, cut := range [][2]float64{{1, 1}, {1, 2}, {2, 1}, {2, 2}} {
			a := float64(stock.Size.Width) / 1000 / cut[0]
			b := float64(stock.Size.Height) / 1000 / cut[1]
			for _, sheet := range [][2]float64{{a, b}, {b, a}} {
				n := naive{stock: stock, parts: int(cut[0] * cut[1]), quantity: quantity, w: w, h: h}
				n.front, n.back, n.wants = front, back, x
				n.sheet = [2]int64{int64(sheet[0] * 10), int64(sheet[1] * 10)}
				if !n.finishable() {
					continue
				}
				lay := func(lead, trail, side float64, byColumns, byRows int) []naive {
					if x.die && byColumns+byRows > 2 {
						return nil
					}
					return n.layouts(sheet[0]-2*side, sheet[1]-x.lead(lead)-trail, byColumns, byRows)
				}
				cost := func(all []naive, f func(naive) int64) {
					for _, n := range all {
						take(n, f(n))
					}
				}
				if sheet[0] <= 330 && sheet[1] <= 487 {
					cost(lay(4, 4, 4, 1, 1), naive.digital)
				}
				if sheet[0] > 650 || sheet[1] > 480 || sheet[0] < 200 || sheet[1] < 150 {
					continue
				}
				tryOffset(lay, cost, front, back)
			}
		}
	}
	return best, found
}

func tryOffset(
	lay func(lead, trail, side float64, columns, rows int) []naive, cost func([]naive, func(naive) int64),
	front, back []string,
) {
	forms := func(c int) []int64 {
		var all []int64
		for ; c > 0; c -= 2 {
			all = append(all, int64(min(c, 2)))
		}
		return all
	}
	f, b := len(front), len(back)
	cost(lay(10, 9, 5, 1, 1), func(n naive) int64 {
		return n.offset(int64(f+b), append(forms(f), forms(b)...), false)
	})
	if b == 0 {
		return
	}
	both := map[string]bool{}
	for _, c := range append(append([]string{}, front...), back...) {
		both[c] = true
	}
	var twice []int64
	for _, c := range forms(len(both)) {
		twice = append(twice, c, 0)
	}
	turned := func(n naive) int64 { return n.offset(int64(len(both)), twice, false) }
	cost(lay(10, 9, 5, 2, 1), turned)
	cost(lay(14, 14, 5, 1, 2), turned)
	if f == 1 && b == 1 {
		cost(lay(10, 14, 5, 1, 1), func(n naive) int64 { return n.offset(2, []int64{2}, true) })
	}
}

// TestBruteForce compares the search with everything tried by plain arithmetic.
func TestBruteForce(t *testing.T) {
	p := tinyPlant()
	rng := rand.New(rand.NewPCG(7, 2026))
	colors := [][]string{{"Black"}, {"Black", "Red"}, {"Cyan", "Magenta", "Yellow", "Black"}, {"Red"}}
	won := map[string]int{}
	for range 400 {
		w, h := int64(50+rng.IntN(200)), int64(50+rng.IntN(250))
		quantity := 1 + rng.IntN(1<<(2+rng.IntN(14)))
		front, back := colors[rng.IntN(len(colors))], [][]string{nil, colors[rng.IntN(len(colors))]}[rng.IntN(2)]
		name := fmt.Sprintf("%d x %d mm, %d copies, %d/%d", w, h, quantity, len(front), len(back))
		want, possible := cheapest(p, w, h, quantity, front, back, wants{})
		pl, findings := Make(flatJob(float64(w), float64(h), quantity, front, back), p, Options{})
		if !possible {
			require.Nil(t, pl, name)
			require.NotEmpty(t, findings, name)
			continue
		}
		require.NotNil(t, pl, name)
		require.Equal(t, want, pl.Totals.Cost.Shift(2).IntPart(), "%s: %s", name, pl.Sheets[0].Style)
		won[string(pl.Sheets[0].Style)]++
		won["mixed"] += min(1, len(pl.Sheets[0].Fields))
	}
	for _, s := range []Style{Simplex, WorkAndBack, WorkAndTurn, WorkAndTumble, Perfecting, Duplex} {
		require.NotZero(t, won[string(s)], "no case was won by %s: %v", s, won)
	}
	require.Greater(t, won["mixed"], 10)
}

// TestSplitsBruteForce compares the split into sections with all splits there are.
func TestSplitsBruteForce(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 4))
	checked := 0
	for range 200 {
		var choices []choice
		for _, pages := range []int{4, 8, 16, 32} {
			if rng.IntN(4) == 0 {
				continue
			}
			f := func() form {
				l := lay{piece: piece{scheme: &plant.FoldScheme{Columns: pages / 2, Rows: 1}}}
				return form{lay: l, cost: dec(fmt.Sprint(rng.IntN(100)))}
			}
			choices = append(choices, choice{pages, f(), f()})
		}
		pages, most := 4*(1+rng.IntN(16)), 1+rng.IntN(6)
		found := splits(&part{pages: pages}, choices, most)
		for k := 1; k <= most; k++ {
			want, ok := everySplit(choices, pages, k, true)
			if k >= len(found) || found[k] == nil {
				require.False(t, ok, "%d pages in %d sections", pages, k)
				continue
			}
			require.True(t, ok)
			got, sum := dec("0"), 0
			for _, f := range found[k] {
				got, sum = got.Add(f.cost), sum+f.scheme.Pages()
			}
			require.Equal(t, pages, sum)
			require.Len(t, found[k], k)
			require.Equal(t, want, got.IntPart())
			checked++
		}
	}
	require.Greater(t, checked, 100)
}

func everySplit(choices []choice, pages, k int, first bool) (int64, bool) {
	if k == 0 {
		return 0, pages == 0
	}
	best, ok := int64(0), false
	for _, c := range choices {
		if c.pages > pages {
			continue
		}
		rest, fits := everySplit(choices, pages-c.pages, k-1, false)
		cost := c.later.cost.IntPart()
		if first {
			cost = c.first.cost.IntPart()
		}
		if fits && (!ok || cost+rest < best) {
			best, ok = cost+rest, true
		}
	}
	return best, ok
}
