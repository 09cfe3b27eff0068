package plan

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"quoin/jdf/job"
	"quoin/validate"
	"quoin/validate/plant"
)

// item is one of several flat products that are planned together.
type item struct {
	root     *job.Product
	part     *part
	quantity int
	page     plant.Size
}

// readItems reads several flat products. Each has to be a single sheet.
func (r *request) readItems(roots []*job.Product) bool {
	for _, p := range roots {
		r.root, r.parts = p, nil
		if !r.readBinding() || !r.readFlat() {
			return false
		}
		if r.kind != Flat {
			return r.fail(notPlanned, p.Node.NamePlace(), validate.F("work", "a book among several products"))
		}
		r.items = append(r.items, item{p, r.parts[0], r.quantity, r.page})
	}
	return true
}

// use makes one of the products that which is planned.
func (r *request) use(i int) {
	it := r.items[i]
	r.root, r.parts, r.quantity, r.page = it.root, []*part{it.part}, it.quantity, it.page
}

// several tries the ways of making several flat products: each on sheets of its
// own, all on one form, and, where some of them are better off together, those on
// one form and the others by themselves.
func (s *search) several() {
	s.alone()
	all := make([]int, len(s.items))
	for i := range all {
		all[i] = i
	}
	if reason := s.gangable(all); reason != "" {
		s.bar(reason)
	} else {
		s.gangs(all, s.offer)
	}
	if len(s.items) > 2 {
		s.partly(all)
	}
	s.use(0)
}

// alone offers each product on sheets of its own, and keeps the best way of each.
func (s *search) alone() {
	for i := range s.items {
		s.use(i)
		one := &search{request: s.request, count: s.count, best: map[string]way{}, item: i, sub: true}
		one.flat()
		ranked := one.ranked()
		if len(ranked) == 0 {
			s.bar(fmt.Sprintf("product %q can not be made by itself", label(s.root)))
			s.own = append(s.own, nil)
			continue
		}
		s.own = append(s.own, &ranked[0])
	}
	if slices.Contains(s.own, nil) {
		return
	}
	w := gathered(s.own)
	w.key, w.title = "apart", "each product on its own sheet"
	s.offer(w)
}

// gathered puts ways for some of the products together to one for all of them.
func gathered(groups []*way) way {
	var w way
	for _, g := range groups {
		for _, f := range g.forms {
			f = named(f.clone(), len(w.forms)+1)
			w.forms = append(w.forms, f)
			w.ops, w.mats = append(w.ops, f.ops...), append(w.mats, f.mats...)
		}
	}
	w.cost = sum(w.ops, w.mats)
	return w
}

// gangs tries products on one form, on every stock, press, sheet and style.
func (s *search) gangs(chosen []int, take func(way)) {
	s.use(chosen[0])
	p := piece{part: s.parts[0]}
	for _, i := range chosen {
		p.bleed, p.gutter = max(p.bleed, s.items[i].part.bleed), max(p.gutter, s.items[i].part.gutter)
	}
	for _, stock := range s.parts[0].stocks {
		for _, press := range s.plant.Presses {
			for _, l := range s.bases(p, stock, press, s.count) {
				s.offerGang(chosen, l, take)
			}
		}
	}
}

// gangable says why the products can not share a form, or "": they need one
// stock, the same colours and coating on each side, and nothing that is folded.
func (s *search) gangable(chosen []int) string {
	first := s.items[chosen[0]].part
	for _, i := range chosen {
		s.use(i)
		p := s.items[i].part
		pieces := s.flatPieces(p, tally{})
		switch {
		case len(pieces) != 1 || pieces[0].folder != nil:
			return "folded products do not share a form"
		case !slices.Equal(p.stocks, first.stocks):
			return "products on different stocks do not share a form"
		case p.die || first.die:
			return "pieces that a die cuts do not share a form"
		case p.film != first.film:
			return "products with different films do not share a form"
		case !sameColors(p.front, first.front) || !sameColors(p.back, first.back):
			return "products in different colours do not share a form"
		}
	}
	return ""
}

func sameColors(a, b side) bool {
	return a.coating == b.coating && a.coverage.Equal(b.coverage) && len(a.colors) == len(b.colors) &&
		len(unite(a.colors, b.colors)) == len(a.colors)
}

// offerGang lays the products out as bands behind each other, so that as few
// sheets as possible bring the quantities, and offers that for every guillotine.
func (s *search) offerGang(chosen []int, l lay, take func(way)) {
	m := l.marginsOf()
	if l.printing.style == WorkAndTumble {
		s.count.add("several products do not lie on both halves of a tumbled sheet")
		return
	}
	var items []item
	for _, i := range chosen {
		items = append(items, s.items[i])
	}
	plain, most, ok := bands(items, l, m, false)
	if ok {
		s.offerBands(chosen, l, plain, most, take)
	}
	paired, sheets, also := bands(items, l, m, true)
	if also && (!ok || sheets < most) {
		s.offerBands(chosen, l, paired, sheets, take)
	}
	if !ok && !also {
		s.count.add("products do not lie on one sheet together")
	}
}

// offerBands costs a layout of bands on so many sheets for every guillotine.
func (s *search) offerBands(chosen []int, l lay, g grid, sheets int, take func(way)) {
	g.item = chosen[g.item]
	for i := range g.more {
		g.more[i].item = chosen[g.more[i].item]
	}
	l.grid = g
	for _, cut := range s.layCuts(nil, l, s.count) {
		f, ok := s.make(cut, sheets*g.ups(), true)
		if !ok {
			s.count.add(noRun)
			continue
		}
		f = named(f, 1)
		take(way{
			key: strings.Join([]string{"gang", l.press.ID, l.stock.ID, string(l.printing.style)}, "|"),
			title: fmt.Sprintf("together on one form: %s on %s, %s, %d-up, %s",
				f.sheet.Size, l.press.ID, stockWord(f.sheet.Stock), g.ups(), styleWord(l.printing.style)),
			forms: []form{f}, ops: f.ops, mats: f.mats, cost: f.cost,
		})
	}
}

// bands finds the layout that needs the fewest sheets, among those that give each
// product a band of whole rows as wide as the sheet, upright or turned, or, when
// paired, one of each where that takes fewer sheets.
//
// That search is exact: for a number of sheets, each product has the lowest bands
// that bring its quantity, whatever the others take; the sheets suffice if all
// bands fit behind each other, more sheets never need more rows, and so the least
// number is found by halving. Then columns that no quantity needs are left out, so
// that the over-run is least.
func bands(items []item, l lay, m margins, paired bool) (grid, int, bool) {
	g := grid{bleed: l.bleed, gutter: l.gutter, margins: m}
	high := l.sheet.Height - m.lead - m.trail - 2*l.bleed + l.gutter
	most := 0
	for _, it := range items {
		most = max(most, it.quantity)
	}
	if _, fits := bandsFor(items, l, m, most, high, paired); !fits {
		return g, 0, false
	}
	low := 1
	for low < most {
		half := (low + most) / 2
		if _, fits := bandsFor(items, l, m, half, high, paired); fits {
			most = half
		} else {
			low = half + 1
		}
	}
	fields, _ := bandsFor(items, l, m, low, high, paired)
	// The widest band lies at the gripper, and bands that are cut alike beside each other.
	slices.SortStableFunc(fields, func(a, b field) int {
		wider := cmp.Compare(b.outline(l.gutter).Width, a.outline(l.gutter).Width)
		return cmp.Or(wider, cmp.Compare(b.piece.Width, a.piece.Width))
	})
	g.field, g.more = fields[0], fields[1:]
	return g, low, true
}

// bandsFor is the bands of each product that bring its quantity on so many sheets,
// and whether all of them fit. As many products as the height allows have one band.
func bandsFor(items []item, l lay, m margins, sheets int, high plant.Length, paired bool) ([]field, bool) {
	chosen, spare := make([][]field, len(items)), high
	type swap struct {
		item  int
		costs plant.Length
		one   []field
	}
	var swaps []swap
	for i, it := range items {
		need := ceilDiv(it.quantity, sheets)
		one, tall := lowest(it, l, m, need, high)
		chosen[i] = one
		if paired {
			if two, low := pair(it, l, m, need, tall); two != nil {
				chosen[i] = two
				swaps, tall = append(swaps, swap{i, tall - low, one}), low
			}
		}
		if chosen[i] == nil {
			return nil, false
		}
		spare -= tall
	}
	slices.SortStableFunc(swaps, func(a, b swap) int { return cmp.Compare(a.costs, b.costs) })
	for _, w := range swaps {
		if w.one != nil && w.costs <= spare {
			chosen[w.item], spare = w.one, spare-w.costs
		}
	}
	var all []field
	for i, fields := range chosen {
		for _, f := range fields {
			f.item = i
			all = append(all, f)
		}
	}
	return all, spare >= 0
}

// ways are the piece of a product upright and turned, in as many columns as the
// sheet is wide.
func (it item) ways(l lay, m margins) []field {
	var all []field
	for turned, as := range bothWays(it.open()) {
		f := layOut(l.sheet, as, l.bleed, l.gutter, m, l.printing.style).field
		if f.turned = turned == 1; f.columns > 0 {
			all = append(all, f)
		}
	}
	return all
}

// tall is the height that a band takes, with the gutter behind it.
func (f field) tall(gutter plant.Length) plant.Length { return f.outline(gutter).Height + gutter }

// lowest is the lower of the bands of so many pieces at least, none where they do
// not lie within the height, and how high it is, over the height for none.
func lowest(it item, l lay, m margins, need int, high plant.Length) (best []field, least plant.Length) {
	least = high + 1
	for _, f := range it.ways(l, m) {
		f.rows = ceilDiv(need, f.columns)
		// A form that is turned needs its columns in pairs.
		if f.columns = ceilDiv(need, f.rows); l.printing.style == WorkAndTurn {
			f.columns += f.columns % 2
		}
		if t := f.tall(l.gutter); t < least {
			best, least = []field{f}, t
		}
	}
	return best, least
}

// pair is two bands of a product, one of upright pieces and one of turned ones,
// where they are lower together than a height; else none.
func pair(it item, l lay, m margins, need int, below plant.Length) (best []field, least plant.Length) {
	ways := it.ways(l, m)
	if len(ways) < 2 {
		return nil, below
	}
	up, across := ways[0], ways[1]
	least = below
	for up.rows = 1; up.ups() < need && up.tall(l.gutter) < least; up.rows++ {
		across.rows = ceilDiv(need-up.ups(), across.columns)
		if t := up.tall(l.gutter) + across.tall(l.gutter); t < least {
			best, least = []field{up, across}, t
		}
	}
	return best, least
}

// open is the format of the product that lies on the sheet.
func (it item) open() plant.Size {
	if it.part.flat.Width > 0 {
		return it.part.flat
	}
	return it.page
}

// products lists what each of several products gets, and notes how far the
// sheets of a gang are from the fewest that any layout could need.
func (s *search) products(pl *Plan, best way) {
	pl.Quantity = 0
	for i, it := range s.items {
		s.use(i)
		p := Product{Name: label(it.root), Quantity: it.quantity, Finished: Format(it.page)}
		for _, f := range best.forms {
			ups := 0
			for _, k := range f.grid.fields() {
				if k.item == i {
					ups += k.ups()
				}
			}
			if ups > 0 {
				p.Ups, p.Sheet, p.OverRun = ups, f.sheet.Name, f.sheets()*ups-it.quantity
			}
		}
		pl.Products, pl.Quantity = append(pl.Products, p), pl.Quantity+it.quantity
	}
	s.use(0)
	pl.Name = s.job.Name.Or(pl.Products[0].Name + " and others")
	if len(best.forms) == 1 {
		least, has := s.fewest(best.forms[0]), best.forms[0].sheets()
		s.note(fmt.Sprintf("the products share %s sheets; by their area no layout of this sheet can need fewer than %s",
			count(has), count(least)))
	}
}

// sheets is the pieces of a position that leave the guillotine of a form, the die,
// or the folder.
func (f form) sheets() int {
	for _, o := range f.ops {
		if o.Step == StepFold {
			return o.Out / f.grid.ups()
		}
	}
	for _, o := range f.ops {
		if o.Step == StepCut || o.Step == StepDieCut {
			return o.Out / f.grid.ups()
		}
	}
	return f.sheet.Good
}

// fewest is the bound by area: the trimmed areas of all pieces over the area
// that the sheet can print.
func (s *search) fewest(f form) int {
	m := f.grid.margins
	room := int64(f.lay.sheet.Width-2*m.side) * int64(f.lay.sheet.Height-m.lead-m.trail)
	var want int64
	for _, it := range s.items {
		open := it.open()
		want += int64(it.quantity) * (int64(open.Width) * int64(open.Height) / 1000)
	}
	room /= 1000
	return int((want + room - 1) / room)
}
