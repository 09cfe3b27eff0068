package plan

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/shopspring/decimal"

	"quoin/validate/plant"
)

// keptSplits is how many splits of a part into the same number of sections are
// carried on; the cheapest whole is made of the cheapest, the others are for
// the alternatives.
const keptSplits = 4

// stitched tries every way of making a saddle-stitched book: stitcher by number
// of sections by stock and press of each part.
func (s *search) stitched() {
	for _, m := range s.plant.Stitchers {
		if !s.fixed.allows(onStitcher, m.ID) {
			s.count.add("ticket names another stitcher")
			continue
		}
		if reason := s.stitcherTakes(m); reason != "" {
			s.count.add(reason)
			continue
		}
		s.stitchedOn(m)
	}
	if len(s.plant.Stitchers) == 0 {
		s.count.add("plant has no stitcher")
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

// partLays is what a part can be printed with on one stock and press.
type partLays struct {
	stock *plant.Stock
	press *plant.Press
	lays  []lay
}

func (s *search) stitchedOn(m *plant.Stitcher) {
	lays := make([][]partLays, len(s.parts))
	for i, p := range s.parts {
		pieces := s.sectionPieces(p, m.Lap, s.count)
		for _, stock := range p.stocks {
			for _, press := range s.plant.Presses {
				group := partLays{stock: stock, press: press}
				for _, piece := range pieces {
					group.lays = append(group.lays, s.lays(piece, stock, press, s.count)...)
				}
				if len(group.lays) > 0 {
					lays[i] = append(lays[i], group)
				}
			}
		}
	}
	if m.Pockets < len(s.parts) {
		s.count.add("stitcher has fewer pockets than the book has parts")
	}
	possible := false
	for k := len(s.parts); k <= m.Pockets; k++ {
		possible = s.withSections(m, lays, k) || possible
	}
	if !possible && m.Pockets >= len(s.parts) {
		s.count.add("pages do not split into sections for the pockets of the stitcher")
	}
}

// withSections tries the books of just k sections. What has to reach the
// stitcher depends on k, so every form is worked back anew.
func (s *search) withSections(m *plant.Stitcher, lays [][]partLays, k int) bool {
	op, ok := s.stitchOp(m, k)
	if !ok {
		s.count.add(noRun)
		return false
	}
	byParts := make([][][]split, len(s.parts))
	for i, p := range s.parts {
		byParts[i] = s.splitsOf(p, lays[i], k-len(s.parts)+1, op.In)
	}
	found := false
	s.combine(byParts, k, nil, func(chosen []split) {
		found = s.offerBook(m, op, chosen) || found
	})
	return found
}

// splitsOf lists the cheapest splits of a part by number of sections.
func (s *search) splitsOf(p *part, groups []partLays, most, need int) [][]split {
	all := make([][]split, most+1)
	for _, g := range groups {
		for k, forms := range splits(p, s.choices(g.lays, need), most) {
			if forms == nil {
				continue
			}
			one := split{part: p, stock: g.stock, press: g.press, forms: forms}
			for _, f := range forms {
				one.cost = one.cost.Add(f.cost)
			}
			all[k] = append(all[k], one)
		}
	}
	for k := range all {
		slices.SortStableFunc(all[k], func(a, b split) int { return a.cost.Cmp(b.cost) })
		all[k] = all[k][:min(keptSplits, len(all[k]))]
	}
	return all
}

// choices costs the lays and keeps the cheapest for each number of pages, as a
// first form and as a later one.
func (s *search) choices(lays []lay, need int) []choice {
	var all []choice
	for _, l := range lays {
		first, ok := s.make(l, need, true)
		later, also := s.make(l, need, false)
		if !ok || !also {
			s.count.add(noRun)
			continue
		}
		i := slices.IndexFunc(all, func(c choice) bool { return c.pages == l.scheme.Pages() })
		if i < 0 {
			all = append(all, choice{l.scheme.Pages(), first, later})
			continue
		}
		if first.cost.LessThan(all[i].first.cost) {
			all[i].first = first
		}
		if later.cost.LessThan(all[i].later.cost) {
			all[i].later = later
		}
	}
	return all
}

// combine walks all ways of sharing k sections among the parts.
func (s *search) combine(byParts [][][]split, k int, chosen []split, take func([]split)) {
	if len(byParts) == 0 {
		if k == 0 {
			take(chosen)
		}
		return
	}
	for n := 1; n < len(byParts[0]) && n <= k; n++ {
		for _, one := range byParts[0][n] {
			s.combine(byParts[1:], k-n, append(slices.Clip(chosen), one), take)
		}
	}
}

// offerBook puts a book together from its parts.
func (s *search) offerBook(m *plant.Stitcher, op *Operation, chosen []split) bool {
	thickness := closedThickness(chosen)
	if !m.Thickness.Contains(float64(thickness)) {
		s.count.add("book thicker or thinner than the stitcher takes")
		return false
	}
	var w way
	var keys, titles []string
	var sections []nested
	for _, c := range chosen {
		keys, titles = append(keys, c.key()), append(titles, c.title())
		for i, f := range c.forms {
			f = named(f.clone(), len(w.sheets)+1)
			f.sheet.Section = i + 1
			w.sheets, w.ops, w.mats = append(w.sheets, f.sheet), append(w.ops, f.ops...), append(w.mats, f.mats...)
			sections = append(sections, nested{f.sheet.PiecePages, c.stock.Caliper})
		}
	}
	s.paginate(w.sheets, sections)
	stitch := *op
	stitch.Stitch = &StitchStep{
		Sections: len(sections), Stitches: s.stitches, Thickness: thickness, Speed: m.Speed,
	}
	w.ops = append(w.ops, &stitch)
	if m.WirePrice.Sign() > 0 {
		w.mats = append(w.mats, s.line(Wire, "", s.stitches*stitch.In, "stitches", m.WirePrice, 1000))
	}
	w.key = m.ID + "|" + strings.Join(keys, "|")
	w.title = strings.Join(titles, "; ")
	w.cost = sum(w.ops, w.mats)
	s.offer(w)
	return true
}

// closedThickness is leaves times caliper, in whole micrometres.
func closedThickness(chosen []split) plant.Length {
	total := decimal.Zero
	for _, c := range chosen {
		total = total.Add(decimal.NewFromInt(int64(c.part.pages / 2)).Mul(decimal.NewFromFloat(c.stock.Caliper)))
	}
	return plant.Length(total.Round(0).IntPart())
}

// paginate numbers the pages and works out the creep, all sections in each other.
func (s *search) paginate(sheets []*Sheet, sections []nested) {
	from, to := pushOut(sections, s.plant.CreepFactor)
	pages := make([]int, len(sections))
	for i, n := range sections {
		pages[i] = n.pages
	}
	for i, text := range pageRanges(pages) {
		sheets[i].Pages, sheets[i].CreepFrom, sheets[i].CreepTo = text, from[i], to[i]
	}
}

func (s *search) stitchOp(m *plant.Stitcher, k int) (*Operation, bool) {
	w, ok := back(s.quantity, m.Spoilage, k, s.plant.Compounding)
	o := operation(StepStitch, "sets", "copies", w, s.quantity)
	o.Makeready = whole(m.Setup + time.Duration(k)*m.SetupPerPocket)
	o.Run, _ = runTime(w.in-w.setup, decimal.NewFromInt(int64(m.Speed)))
	charge(o, &m.Machine, s.plant)
	return o, ok
}

// clone copies what naming and paginating change; a form may stand in many books.
func (f form) clone() form {
	sheet := *f.sheet
	f.sheet = &sheet
	f.ops, f.mats = slices.Clone(f.ops), slices.Clone(f.mats)
	for i, o := range f.ops {
		c := *o
		f.ops[i] = &c
	}
	for i, m := range f.mats {
		c := *m
		f.mats[i] = &c
	}
	return f
}

func (c split) key() string {
	return c.part.name + "," + c.stock.ID + "," + c.press.ID + "," + c.sectionWords()
}

func (c split) title() string {
	return fmt.Sprintf("%s: %s pages on %s, %s", c.part.name, c.sectionWords(), c.press.ID, c.stock.ID)
}

// sectionWords writes the sections as "4 x 16 + 1 x 8".
func (c split) sectionWords() string {
	var parts []string
	for i := 0; i < len(c.forms); {
		n := 1
		for i+n < len(c.forms) && c.forms[i+n].scheme.Pages() == c.forms[i].scheme.Pages() {
			n++
		}
		parts = append(parts, fmt.Sprintf("%d x %d", n, c.forms[i].scheme.Pages()))
		i += n
	}
	return strings.Join(parts, " + ")
}
