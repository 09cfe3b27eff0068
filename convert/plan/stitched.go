package plan

import (
	"time"

	"github.com/shopspring/decimal"

	"quoin/validate/plant"
)

// stitched tries every way of making a saddle-stitched book: stitcher by number
// of sections by stock and press of each part.
func (s *search) stitched() {
	for _, m := range s.plant.Stitchers {
		if !s.fixed.allows(onStitcher, m.ID) {
			s.bar("ticket names another stitcher")
			continue
		}
		if reason := s.stitcherTakes(m); reason != "" {
			s.bar(reason)
			continue
		}
		s.stitchedOn(m)
	}
	if len(s.plant.Stitchers) == 0 {
		s.bar("plant has no stitcher")
	}
}

// stitcherTakes says why a stitcher can not make the book, or "".
func (s *search) stitcherTakes(m *plant.Stitcher) string {
	switch {
	case !m.Pages.Contains(s.pages()):
		return "number of pages outside what the stitcher takes"
	case !between(s.page, m.MinTrim, m.MaxTrim):
		return "finished size outside what the stitcher trims"
	case m.Speed <= 0:
		return "plant states no speed for the stitcher"
	}
	return ""
}

func (s *search) stitchedOn(m *plant.Stitcher) {
	lays := make([][]partLays, len(s.parts))
	for i, p := range s.parts {
		lays[i] = s.groups(p, p.stocks, s.sectionPieces(p, m.Lap, 0, s.count))
	}
	if m.Pockets < len(s.parts) {
		s.bar("stitcher has fewer pockets than the book has parts")
		return
	}
	if !s.books(bindery{
		most: m.Pockets, op: func(k int) (*Operation, bool) { return s.stitchOp(m, k) },
		offer: func(op *Operation, chosen []split) bool { return s.offerStitched(m, op, chosen) },
	}, lays) {
		s.bar("pages do not split into sections for the pockets of the stitcher")
	}
}

// offerStitched puts a stitched book together from its parts.
func (s *search) offerStitched(m *plant.Stitcher, op *Operation, chosen []split) bool {
	thickness := thicknessOf(chosen)
	if !m.Thickness.Contains(float64(thickness)) {
		s.bar("book thicker or thinner than the stitcher takes")
		return false
	}
	w := s.together(chosen)
	var sections []nested
	for _, f := range w.forms {
		sections = append(sections, nested{f.sheet.PiecePages, f.stock.Caliper})
	}
	if creep := s.paginate(w.forms, sections); m.MaxCreep > 0 && creep > m.MaxCreep {
		s.bar("innermost sheet pushed out farther than the stitcher trims")
		return false
	}
	stitch := *op
	stitch.Stitch = &StitchStep{
		Sections: len(sections), Stitches: s.stitches, Thickness: thickness, Speed: m.Speed,
	}
	w.ops = append(w.ops, &stitch)
	if m.WirePrice.Sign() > 0 {
		w.mats = append(w.mats, s.line(Wire, "", s.stitches*stitch.In, "stitches", m.WirePrice, 1000))
	}
	w.key = m.ID + "|" + w.key
	w.cost = sum(w.ops, w.mats)
	s.offer(w)
	return true
}

// paginate numbers the pages and works out the creep, all sections in each other.
// It gives the push-out of the innermost leaf.
func (s *search) paginate(forms []form, sections []nested) plant.Length {
	from, to := pushOut(sections, s.plant.CreepFactor)
	pages := make([]int, len(sections))
	for i, n := range sections {
		pages[i] = n.pages
	}
	for i, text := range pageRanges(pages) {
		sheet := forms[i].sheet
		sheet.Pages, sheet.CreepFrom, sheet.CreepTo = text, from[i], to[i]
	}
	return to[len(to)-1]
}

func (s *search) stitchOp(m *plant.Stitcher, k int) (*Operation, bool) {
	w, ok := back(s.quantity, m.Spoilage, k, s.plant.Compounding)
	o := operation(StepStitch, "sets", "copies", w, s.quantity)
	o.Makeready = whole(m.Setup + time.Duration(k)*m.SetupPerPocket)
	o.Run, _ = runTime(w.in-w.setup, decimal.NewFromInt(int64(m.Speed)))
	charge(o, &m.Machine, s.plant)
	return o, ok
}
