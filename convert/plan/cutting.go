package plan

import (
	"math"
	"slices"

	"quoin/validate/plant"
)

// perLift is how many sheets a lift holds: height over caliper, both in whole
// micrometres, a broken caliper rounded up.
func perLift(height plant.Length, caliper float64) int {
	// A hair is taken off so that 110 read as 110.0000001 stays 110.
	c := int64(math.Ceil(caliper - 1e-6))
	if c <= 0 {
		return 0
	}
	return int(int64(height) / c)
}

// span is a stretch of a sheet along one of its directions.
type span struct{ low, high plant.Length }

// strip is what the first direction of cutting frees: its own stretch, and the
// stretches of its pieces in the other direction.
type strip struct {
	span
	pieces []span
}

// cutting is one order of cutting a lift up: into strips, then the strips into
// pieces. Strips that are divided alike are cut side by side when they lie
// within the knife; else each is cut by itself.
type cutting struct {
	sheet    plant.Size
	columns  bool // the strips are columns; else they are rows
	strips   []strip
	together [][2]int // first and last strip, from 0, of those that lie under the knife at once
	cuts     int
}

// cuttings are the orders in which a guillotine can cut a sheet: rows first or
// columns first where it bears one field; where fields lie behind or beside each
// other, they are parted first.
func (g grid) cuttings(sheet plant.Size, s Style) []cutting {
	var rows, columns []strip
	for _, f := range g.place(sheet, s) {
		across, along := f.spans(g.gutter)
		for _, y := range along {
			rows = append(rows, strip{y, across})
		}
		for _, x := range across {
			columns = append(columns, strip{x, along})
		}
	}
	switch {
	case len(g.more) == 0:
		return []cutting{{sheet: sheet, strips: rows}, {sheet: sheet, strips: columns, columns: true}}
	case g.beside:
		return []cutting{{sheet: sheet, strips: columns, columns: true}}
	}
	return []cutting{{sheet: sheet, strips: rows}}
}

// spans are the stretches of the columns and of the rows.
func (f placed) spans(gutter plant.Length) (across, along []span) {
	for c := range f.columns {
		x := f.left + plant.Length(c)*(f.piece.Width+gutter)
		across = append(across, span{x, x + f.piece.Width})
	}
	for r := range f.rows {
		y := f.low + plant.Length(r)*(f.piece.Height+gutter)
		along = append(along, span{y, y + f.piece.Height})
	}
	return across, along
}

// cutsOf is the cuts that free stretches out of a length: one between
// neighbours that touch, two where a gutter parts them, and one at each outer
// edge that is trimmed. For r rows and c columns, all edges trimmed, that makes
// r + c + 2, or 2r + 2c with gutters.
func cutsOf(list []span, length plant.Length) int {
	n, at := 0, plant.Length(0)
	for i, s := range list {
		if s.low > at {
			n++
		}
		if i > 0 {
			n++
		}
		at = s.high
	}
	if at < length {
		n++
	}
	return n
}

// bestCutting is the order with the fewest cuts, or the reason why the
// guillotine can not cut the sheet.
func bestCutting(g *plant.Guillotine, sheet plant.Size, lay grid, s Style) (cutting, string) {
	for _, f := range lay.fields() {
		if min(f.piece.Width, f.piece.Height)+plant.Slack < g.MinCut {
			return cutting{}, "piece smaller than the guillotine holds"
		}
	}
	var best cutting
	for _, c := range lay.cuttings(sheet, s) {
		if c.fitOn(g) && (best.strips == nil || c.cuts < best.cuts) {
			best = c
		}
	}
	if best.strips == nil {
		return best, "sheet larger than the guillotine takes"
	}
	return best, ""
}

// fitOn finds which strips lie side by side and counts the cuts. It is false
// when the sheet or a strip is larger than the guillotine takes.
func (c *cutting) fitOn(g *plant.Guillotine) bool {
	// The strips lie along the knife first, and then, turned, in its depth.
	along, deep := c.sheet.Width, c.sheet.Height
	if c.columns {
		along, deep = deep, along
	}
	box := plant.Size{Width: g.MaxWidth, Height: g.MaxDepth}
	if !(plant.Size{Width: along, Height: deep}).Fits(box) || along > g.MaxDepth+plant.Slack {
		return false
	}
	spans := make([]span, len(c.strips))
	for i, s := range c.strips {
		spans[i] = s.span
	}
	c.cuts = cutsOf(spans, deep)
	for first := 0; first < len(c.strips); {
		last, wide := first, c.strips[first].high-c.strips[first].low
		for last+1 < len(c.strips) && slices.Equal(c.strips[last+1].pieces, c.strips[first].pieces) {
			last++
			wide += c.strips[last].high - c.strips[last].low
		}
		if c.strips[first].high-c.strips[first].low > g.MaxWidth+plant.Slack {
			return false
		}
		each := cutsOf(c.strips[first].pieces, along)
		if wide <= g.MaxWidth+plant.Slack {
			c.together, c.cuts = append(c.together, [2]int{first, last}), c.cuts+each
		} else {
			for i := first; i <= last; i++ {
				c.together, c.cuts = append(c.together, [2]int{i, i}), c.cuts+each
			}
		}
		first = last + 1
	}
	return true
}
