package plan

import (
	"fmt"
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"quoin/validate/plant"
)

// keptSplits is how many splits of a part into the same number of sections are
// carried on; the cheapest whole is made of the cheapest, the others are for
// the alternatives.
const keptSplits = 4

// partLays is what a part can be printed with on one stock and press.
type partLays struct {
	stock *plant.Stock
	press *plant.Press
	lays  []lay
}

// groups lays the pieces of a part out, by stock and press.
func (s *search) groups(p *part, stocks []*plant.Stock, pieces []piece) []partLays {
	var all []partLays
	for _, stock := range stocks {
		for _, press := range s.plant.Presses {
			group := partLays{stock: stock, press: press}
			for _, piece := range pieces {
				group.lays = append(group.lays, s.lays(piece, stock, press, s.count)...)
			}
			if len(group.lays) > 0 {
				all = append(all, group)
			}
		}
	}
	return all
}

// bindery is a machine that makes books of sections.
type bindery struct {
	most int // sections, the cover among them
	// op is its run for so many sections, without what depends on the book; false
	// when there is none.
	op func(k int) (*Operation, bool)
	// offer puts a book together from its parts and offers it, if it can be made.
	offer func(op *Operation, chosen []split) bool
}

// books tries the books of each number of sections. It is false when none of
// them can be made.
func (s *search) books(m bindery, lays [][]partLays) bool {
	possible := false
	for k := len(s.parts); k <= m.most; k++ {
		possible = s.withSections(m, lays, k) || possible
	}
	return possible
}

// withSections tries the books of just k sections. What has to reach the machine
// depends on k, so every form is worked back anew.
func (s *search) withSections(m bindery, lays [][]partLays, k int) bool {
	op, ok := m.op(k)
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
		found = m.offer(op, chosen) || found
	})
	return found
}

// splitsOf lists the cheapest splits of a part by number of sections.
func (s *search) splitsOf(p *part, groups []partLays, most, need int) [][]split {
	all := make([][]split, most+1)
	for _, g := range groups {
		var found [][]form
		if k := len(p.sections); k == 0 {
			found = splits(p, s.choices(g.lays, need), most)
		} else if forms := s.fixedSplit(p, s.choices(g.lays, need)); k <= most {
			found = slices.Insert(make([][]form, k), k, forms)
		}
		for k, forms := range found {
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
		i := slices.IndexFunc(all, func(c choice) bool { return c.pages == l.pages() })
		if i < 0 {
			all = append(all, choice{l.pages(), first, later})
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

// together names the forms of a book and gathers its lines.
func (s *search) together(chosen []split) way {
	var w way
	var keys, titles []string
	for _, c := range chosen {
		keys, titles = append(keys, c.key()), append(titles, c.title())
		for i, f := range c.forms {
			f = named(f.clone(), len(w.forms)+1)
			f.sheet.Section = i + 1
			w.forms, w.ops, w.mats = append(w.forms, f), append(w.ops, f.ops...), append(w.mats, f.mats...)
		}
	}
	w.key, w.title = strings.Join(keys, "|"), strings.Join(titles, "; ")
	return w
}

// thicknessOf is leaves times caliper, in whole micrometres.
func thicknessOf(chosen []split) plant.Length {
	total := decimal.Zero
	for _, c := range chosen {
		total = total.Add(leaves(c.part.pages/2, c.stock))
	}
	return plant.Length(total.Round(0).IntPart())
}

// leaves is the thickness of so many leaves of a stock, in micrometres.
func leaves(n int, stock *plant.Stock) decimal.Decimal {
	return decimal.NewFromInt(int64(n)).Mul(decimal.NewFromFloat(stock.Caliper))
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
		for i+n < len(c.forms) && c.forms[i+n].pages() == c.forms[i].pages() {
			n++
		}
		parts = append(parts, fmt.Sprintf("%d x %d", n, c.forms[i].pages()))
		i += n
	}
	return strings.Join(parts, " + ")
}
