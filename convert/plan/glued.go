package plan

import (
	"slices"
	"time"

	"github.com/shopspring/decimal"

	"quoin/validate/plant"
)

// glued tries every way of making a perfect-bound book: binder by stocks of the
// parts by number of sections by press of each part. The stocks come first, as
// the width of the cover follows from the thickness of the block.
func (s *search) glued() {
	for _, m := range s.plant.Binders {
		if !s.fixed.allows(onBinder, m.ID) {
			s.bar("ticket names another binder")
			continue
		}
		if reason := s.binderTakes(m); reason != "" {
			s.bar(reason)
			continue
		}
		s.gluedOn(m)
	}
	if len(s.plant.Binders) == 0 {
		s.bar("plant has no binder")
	}
}

// binderTakes says why a binder can not make the book, or "".
func (s *search) binderTakes(m *plant.Binder) string {
	switch {
	case !between(s.page, m.MinTrim, m.MaxTrim):
		return "finished size outside what the binder trims"
	case m.Speed <= 0:
		return "plant states no speed for the binder"
	case m.Stations < len(s.parts)-1:
		return "binder has fewer stations than the book has parts"
	}
	return ""
}

func (s *search) gluedOn(m *plant.Binder) {
	bodies := make([][]partLays, len(s.parts))
	for i, p := range s.parts[1:] {
		bodies[i+1] = s.groups(p, p.stocks, s.blockPieces(p))
	}
	covers := map[plant.Length][]partLays{}
	possible := false
	s.everyStock(nil, func(stocks []*plant.Stock) {
		block := s.block(stocks)
		if reason := gluable(m, block, stocks[0]); reason != "" {
			s.bar(reason)
			return
		}
		// Common practice, no source: the spine is the block and the cover twice.
		spine := block + plant.Length(leaves(2, stocks[0]).Round(0).IntPart())
		if _, have := covers[spine]; !have {
			covers[spine] = s.groups(s.parts[0], s.parts[0].stocks, []piece{s.coverPiece(s.parts[0], spine)})
		}
		lays := make([][]partLays, len(s.parts))
		for i, stock := range stocks {
			from := bodies[i]
			if i == 0 {
				from = covers[spine]
			}
			lays[i] = slices.DeleteFunc(slices.Clone(from), func(g partLays) bool { return g.stock != stock })
		}
		possible = s.books(bindery{
			most: m.Stations + 1, op: func(k int) (*Operation, bool) { return s.bindOp(m, k-1) },
			offer: func(op *Operation, chosen []split) bool { return s.offerGlued(m, op, chosen, block, spine) },
		}, lays) || possible
	})
	if !possible {
		s.bar("pages do not split into sections for the stations of the binder")
	}
}

// mostPages is the longest block that is planned as one run of leaves, far above
// any that can be glued; it bounds the search for its split.
const mostPages = 20_000

// blockPieces are the sections of a body, its single leaves, and, on a digital
// press, all its leaves in one run.
func (s *search) blockPieces(p *part) []piece {
	all := s.sectionPieces(p, 0, s.plant.GrindOff, s.count)
	if len(s.fixed.folds) > 0 || p.fold.Given {
		return all
	}
	trim := s.trimOf(p)
	leaf := piece{
		part: p, size: sectionSize(s.page, 1, 1, trim, 0, s.plant.GrindOff).Turned(), scheme: &leafScheme, sectional: true,
		trim: trim, grind: s.plant.GrindOff,
	}
	all = append(all, leaf)
	if p.pages <= mostPages {
		leaf.leaves = p.pages / 2
		all = append(all, leaf)
	}
	return all
}

// everyStock walks the choices of a stock for each part.
func (s *search) everyStock(chosen []*plant.Stock, take func([]*plant.Stock)) {
	if len(chosen) == len(s.parts) {
		take(chosen)
		return
	}
	for _, stock := range s.parts[len(chosen)].stocks {
		s.everyStock(append(slices.Clip(chosen), stock), take)
	}
}

// block is the thickness of the leaves without the cover.
func (s *search) block(stocks []*plant.Stock) plant.Length {
	total := decimal.Zero
	for i, p := range s.parts[1:] {
		total = total.Add(leaves(p.pages/2, stocks[i+1]))
	}
	return plant.Length(total.Round(0).IntPart())
}

// gluable says why a binder can not glue a block into a cover, or "".
func gluable(m *plant.Binder, block plant.Length, cover *plant.Stock) string {
	switch {
	case !m.Thickness.Contains(float64(block)):
		return "block thicker or thinner than the binder takes"
	case !m.Cover.Contains(cover.Grammage):
		return "cover weight outside what the binder takes"
	}
	return ""
}

// offerGlued puts a perfect-bound book together from its parts.
func (s *search) offerGlued(m *plant.Binder, op *Operation, chosen []split, block, spine plant.Length) bool {
	chosen = slices.Clone(chosen)
	for i := range chosen[1:] {
		chosen[i+1].forms = smallInside(chosen[i+1].forms)
	}
	w := s.together(chosen)
	w.spine = spine
	s.numberBlock(w.forms)
	bind := *op
	bind.Bind = &BindStep{
		Sections: len(w.forms) - 1, Block: block, Spine: spine, GrindOff: s.plant.GrindOff, Speed: m.Speed,
	}
	w.ops = append(w.ops, &bind)
	if m.GluePrice.Sign() > 0 {
		w.mats = append(w.mats, s.line(Glue, "", bind.In, "copies", m.GluePrice, 1000))
	}
	w.key = m.ID + "|" + w.key
	w.cost = sum(w.ops, w.mats)
	s.offer(w)
	return true
}

// smallInside brings a full section behind the small ones: leaves at the end of
// a block hold worst.
//
// Common practice, no source.
func smallInside(forms []form) []form {
	if len(forms) < 3 || forms[0].pages() == forms[len(forms)-1].pages() {
		return forms
	}
	return append(slices.Clone(forms[1:]), forms[0])
}

// numberBlock numbers the pages: the cover around the block, the sections of the
// block behind each other.
func (s *search) numberBlock(forms []form) {
	body := 0
	var sections []int
	for _, f := range forms[1:] {
		sections, body = append(sections, f.pages()), body+f.pages()
	}
	for i, text := range runs(3, sections) {
		forms[i+1].sheet.Pages = text
	}
	cover := runs(1, []int{2, body, 2})
	forms[0].sheet.Pages = cover[0] + ", " + cover[2]
}

// bindOp is a run of the binder for so many sections, without the cover.
func (s *search) bindOp(m *plant.Binder, sections int) (*Operation, bool) {
	w, ok := back(s.quantity, m.Spoilage, sections, s.plant.Compounding)
	o := operation(StepBind, "sets", "copies", w, s.quantity)
	o.Makeready = whole(m.Setup + time.Duration(sections)*m.SetupPerStation)
	o.Run, _ = runTime(w.in-w.setup, decimal.NewFromInt(int64(m.Speed)))
	charge(o, &m.Machine, s.plant)
	return o, ok
}
