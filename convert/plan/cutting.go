package plan

import (
	"math"

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

// cutsAlong is the cuts in one direction that free n strips, edges trimmed on
// both sides. Strips that bleed have a gutter between them and need two cuts a
// strip; others share the cut between them.
func cutsAlong(n int, bleeds bool) int {
	if bleeds {
		return 2 * n
	}
	return n + 1
}

// gridCuts is the number of cuts of one lift, or the reason why the guillotine
// can not cut it. The strips of the first direction are turned and cut side by
// side when they lie within the knife; else each is cut by itself. Both first
// directions are tried.
func gridCuts(g *plant.Guillotine, sheet plant.Size, lay grid) (int, string) {
	if min(lay.piece.Width, lay.piece.Height)+plant.Slack < g.MinCut {
		return 0, "piece smaller than the guillotine holds"
	}
	bleeds := lay.gutter > 0
	across, reason := stripCuts(g, sheet, lay.piece.Height, lay.rows, lay.columns, bleeds)
	down, other := stripCuts(g, sheet.Turned(), lay.piece.Width, lay.columns, lay.rows, bleeds)
	switch {
	case reason != "" && other != "":
		return 0, reason
	case reason != "":
		return down, ""
	case other != "":
		return across, ""
	}
	return min(across, down), ""
}

// stripCuts cuts a sheet into n strips of a width, then the strips into m pieces.
func stripCuts(g *plant.Guillotine, sheet plant.Size, strip plant.Length, n, m int, bleeds bool) (int, string) {
	const tooLarge = "sheet larger than the guillotine takes"
	// The sheet lies with its width along the knife, and its strips with it in depth.
	if !sheet.Fits(plant.Size{Width: g.MaxWidth, Height: g.MaxDepth}) || sheet.Width > g.MaxDepth+plant.Slack {
		return 0, tooLarge
	}
	first, second := cutsAlong(n, bleeds), cutsAlong(m, bleeds)
	if plant.Length(n)*strip > g.MaxWidth+plant.Slack {
		second *= n
	}
	return first + second, ""
}

// stockCuts is the cuts that take a bought sheet down to press sheets: two a
// division, one to part the lift and one to square the new edge.
// Source: technifoldusa.com, "Paper Cutting Techniques", 22 Dec 2011: halving
// for the press takes two cuts or more.
func stockCuts(g *plant.Guillotine, s plant.Size, across, down int) (int, string) {
	box := plant.Size{Width: g.MaxWidth, Height: g.MaxDepth}
	if !s.Fits(box) && !s.Turned().Fits(box) {
		return 0, "stock sheet larger than the guillotine takes"
	}
	part := min(s.Width/plant.Length(across), s.Height/plant.Length(down))
	if part+plant.Slack < g.MinCut {
		return 0, "piece smaller than the guillotine holds"
	}
	return 2*(across-1) + 2*(down-1), ""
}
