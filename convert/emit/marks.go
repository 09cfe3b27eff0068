package emit

import (
	"slices"

	"github.com/beevik/etree"

	"quoin/convert/plan"
	"quoin/validate/plant"
)

// mark is one cut mark, in micrometres from the lower left corner of the sheet.
type mark struct {
	kind string
	x, y plant.Length
}

// cutMarks are the marks of a sheet that is cut apart: where each cut meets the
// rim of what is printed, outside the bleed. Inside the block of pieces a mark
// would stand in a neighbour's bleed, or on the neighbour itself.
// Common practice, no source.
func cutMarks(s *plan.Sheet) []mark {
	if s.Uncut || s.DieCut || len(s.Positions) == 0 {
		return nil
	}
	var xs, ys []plant.Length
	for _, b := range s.Positions {
		xs = append(xs, b.X, b.X+b.Width)
		ys = append(ys, b.Y, b.Y+b.Height)
	}
	slices.Sort(xs)
	slices.Sort(ys)
	xs, ys = slices.Compact(xs), slices.Compact(ys)
	left, right := xs[0]-s.Bleed, xs[len(xs)-1]+s.Bleed
	bottom, top := ys[0]-s.Bleed, ys[len(ys)-1]+s.Bleed
	var all []mark
	for _, x := range xs {
		all = append(all, mark{"BottomVerticalCutMark", x, bottom}, mark{"TopVerticalCutMark", x, top})
	}
	for _, y := range ys {
		all = append(all, mark{"LeftHorizontalCutMark", left, y}, mark{"RightHorizontalCutMark", right, y})
	}
	return all
}

// write adds the mark to an element; both generations write it alike.
func (m mark) write(in *etree.Element) *etree.Element {
	return set(in.CreateElement("CutMark"), "MarkType", m.kind, "Position", points(m.x)+" "+points(m.y))
}
