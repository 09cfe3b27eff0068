package plan

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/validate/plant"
)

// pile is a rectangle of the sheet, and how it lies: clockwise quarter turns
// from the sheet as it was printed.
type pile struct {
	Box
	turned int
}

// chop parts a pile at a distance from the edge that lies at the back gauge.
func (p pile) chop(gauge plant.Length) (rear, front pile) {
	rear, front = p, p
	switch p.turned % 4 {
	case 0: // tail at the back
		rear.Y, rear.Height, front.Height = p.Y+p.Height-gauge, gauge, p.Height-gauge
	case 1: // left edge at the back
		front.X, rear.Width, front.Width = p.X+gauge, gauge, p.Width-gauge
	case 2:
		front.Y, rear.Height, front.Height = p.Y+gauge, gauge, p.Height-gauge
	case 3:
		rear.X, rear.Width, front.Width = p.X+p.Width-gauge, gauge, p.Width-gauge
	}
	return rear, front
}

// deep and wide are the extents from gauge to knife, and along the knife.
func (p pile) deep() plant.Length {
	if p.turned%2 == 0 {
		return p.Height
	}
	return p.Width
}

func (p pile) wide() plant.Length {
	if p.turned%2 == 0 {
		return p.Width
	}
	return p.Height
}

// worker carries a program out on one sheet.
type worker struct {
	g     *plant.Guillotine
	table []pile         // under the knife
	on    [2]int         // their numbers
	parts map[int][]pile // put aside, by number
	off   []pile         // waste and pieces
}

func work(t *testing.T, g *plant.Guillotine, sheet plant.Size, program []Cut) *worker {
	t.Helper()
	whole := pile{Box: Box{Width: sheet.Width, Height: sheet.Height}}
	w := &worker{g: g, table: []pile{whole}, parts: map[int][]pile{}}
	strips := 0
	for i, c := range program {
		require.Equal(t, i+1, c.Number)
		if c.Strips != w.on {
			w.fetch(t, c.Strips, &strips)
		}
		var wide plant.Length
		for i := range w.table {
			p := &w.table[i]
			p.turned += c.Turn
			wide += p.wide()
			require.LessOrEqual(t, p.deep(), g.MaxDepth)
			require.True(t, c.Gauge > 0 && c.Gauge <= p.deep(), "cut %d at %s of %s", c.Number, c.Gauge, p.deep())
			require.Equal(t, c.Back, edges[p.turned%4])
			rear, front := p.chop(c.Gauge)
			*p = rear
			if c.Frees == FreesStrip {
				strips++
				w.parts[strips] = []pile{front}
			} else {
				w.off = append(w.off, front)
			}
		}
		require.LessOrEqual(t, wide, g.MaxWidth)
	}
	w.fetch(t, [2]int{-1, -1}, &strips)
	return w
}

// fetch puts what is on the table aside, and takes other piles.
func (w *worker) fetch(t *testing.T, next [2]int, strips *int) {
	t.Helper()
	if w.on == [2]int{} && next[0] > 0 {
		// The last strip of the sheet is what is left of it.
		*strips++
		w.parts[*strips] = w.table
	} else {
		w.off = append(w.off, w.table...)
	}
	w.table, w.on = nil, next
	for n := next[0]; n > 0 && n <= next[1]; n++ {
		require.Len(t, w.parts[n], 1, "strip %d is not there", n)
		p := w.parts[n][0]
		p.turned = 0
		w.table = append(w.table, p)
		delete(w.parts, n)
	}
}

// requireCut: the program frees exactly the wanted pieces, and nothing else that
// it leaves holds a part of one.
func requireCut(t *testing.T, name string, g *plant.Guillotine, sheet plant.Size, program []Cut, want []Box) {
	t.Helper()
	w := work(t, g, sheet, program)
	require.Empty(t, w.parts, "%s: strips left over", name)
	var found []Box
	var area plant.Length
	for _, p := range w.off {
		area += p.Width * p.Height
		for _, b := range want {
			same := p.X == b.X && p.Y == b.Y && p.Width == b.Width && p.Height == b.Height
			apart := b.X+b.Width <= p.X || p.X+p.Width <= b.X || b.Y+b.Height <= p.Y || p.Y+p.Height <= b.Y
			require.True(t, same || apart, "%s: %v cuts into %v", name, p.Box, b)
			if same {
				found = append(found, b)
			}
		}
	}
	require.Equal(t, sheet.Width*sheet.Height, area, "%s: what was cut does not tile the sheet", name)
	require.ElementsMatch(t, want, found, name)
}

// TestPrograms carries out the programs of random grids.
func TestPrograms(t *testing.T) {
	rng := rand.New(rand.NewPCG(21, 6))
	tried := map[int]int{}
	for range 400 {
		g := &plant.Guillotine{
			MaxWidth: plant.Length(500+rng.IntN(700)) * mm, MaxDepth: plant.Length(500+rng.IntN(700)) * mm, MinCut: 20 * mm,
		}
		sheet := plant.Size{
			Width: plant.Length(300_000 + rng.IntN(600_000)), Height: plant.Length(300_000 + rng.IntN(600_000)),
		}
		bleed := plant.Length(rng.IntN(2)) * 3 * mm
		m := margins{lead: plant.Length(rng.IntN(2)) * 10 * mm, trail: plant.Length(rng.IntN(9)) * mm, side: 4 * mm}
		s := []Style{WorkAndBack, WorkAndTurn, WorkAndTumble}[rng.IntN(3)]
		one := plant.Size{Width: plant.Length(50_000 + rng.IntN(200_000)), Height: plant.Length(50_000 + rng.IntN(200_000))}
		lay := layOut(sheet, one, bleed, 2*bleed, m, s)
		if lay.ups() == 0 {
			continue
		}
		c, reason := bestCutting(g, sheet, lay, s)
		if reason != "" {
			continue
		}
		program := c.program()
		require.Len(t, program, c.cuts)
		requireCut(t, lay.outline().String(), g, sheet, program, lay.boxes(sheet, s))
		tried[len(c.together)]++
	}
	require.Greater(t, tried[1], 50, "strips side by side")
	require.Greater(t, len(tried), 2, "strips one by one")
}

// TestHalving: halves and quarters of bought sheets, two cuts a division.
func TestHalving(t *testing.T) {
	for _, c := range []struct {
		knife        plant.Length
		across, down int
		cuts         int
	}{
		{1150, 2, 1, 2}, {1150, 1, 2, 2}, {1150, 2, 2, 4}, {800, 2, 2, 6}, {650, 2, 2, 0},
	} {
		g := &plant.Guillotine{MaxWidth: c.knife * mm, MaxDepth: 1150 * mm, MinCut: 20 * mm}
		s := size(720, 1020)
		if c.knife == 800 {
			s = size(1020, 790) // the halves of a first cut along 790 do not lie side by side
		}
		program, reason := halving(g, s, c.across, c.down)
		require.Len(t, program, c.cuts, "%v", c)
		if c.cuts == 0 {
			require.NotEmpty(t, reason)
			continue
		}
		requireHalved(t, g, s, program, c.across*c.down)
	}
}

// requireHalved carries a program out that parts a bought sheet: the parts are
// equal, as many as wanted, and all of the sheet.
func requireHalved(t *testing.T, g *plant.Guillotine, sheet plant.Size, program []Cut, parts int) {
	t.Helper()
	all := []pile{{Box: Box{Width: sheet.Width, Height: sheet.Height}}}
	for _, c := range program {
		first, last := max(0, c.Strips[0]-1), max(0, c.Strips[1]-1)
		require.Less(t, last, len(all), "part %d is not there", last+1)
		var wide plant.Length
		for i := first; i <= last; i++ {
			p := all[i]
			p.turned = slices.Index(edges[:], c.Back)
			wide += p.wide()
			require.LessOrEqual(t, p.deep(), g.MaxDepth)
			rear, front := p.chop(c.Gauge)
			all[i] = rear
			if c.Frees == FreesPart {
				all = append(all, front)
			} else {
				require.Zero(t, front.Width*front.Height, "a squared edge takes nothing away")
			}
		}
		require.LessOrEqual(t, wide, g.MaxWidth)
	}
	require.Len(t, all, parts)
	var area plant.Length
	for _, p := range all {
		require.Equal(t, [2]plant.Length{all[0].Width, all[0].Height}, [2]plant.Length{p.Width, p.Height})
		area += p.Width * p.Height
	}
	require.Equal(t, sheet.Width*sheet.Height, area)
}
