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

// several tries the two ways of making several flat products: each on sheets of
// its own, the cheapest way of each, and all on one form.
//
// What is shared is bounded: ways that gang some of the products and print the
// others by themselves are not tried.
func (s *search) several() {
	together := way{key: "apart"}
	for i := range s.items {
		s.use(i)
		one := &search{request: s.request, count: s.count, best: map[string]way{}, item: i}
		one.flat()
		ranked := one.ranked()
		if len(ranked) == 0 {
			s.bar(fmt.Sprintf("product %q can not be made by itself", label(s.root)))
			together.forms = nil
			break
		}
		for _, f := range ranked[0].forms {
			f = named(f.clone(), i+1)
			together.forms = append(together.forms, f)
			together.ops, together.mats = append(together.ops, f.ops...), append(together.mats, f.mats...)
		}
	}
	if len(together.forms) == len(s.items) {
		together.title = "each product on its own sheet"
		together.cost = sum(together.ops, together.mats)
		s.offer(together)
	}
	s.gangs()
	s.use(0)
}

// gangs tries all products on one form, on every stock, press, sheet and style.
func (s *search) gangs() {
	if reason := s.gangable(); reason != "" {
		s.bar(reason)
		return
	}
	s.use(0)
	p := piece{part: s.parts[0]}
	for _, it := range s.items {
		p.bleed, p.gutter = max(p.bleed, it.part.bleed), max(p.gutter, it.part.gutter)
	}
	for _, stock := range s.parts[0].stocks {
		for _, press := range s.plant.Presses {
			for _, l := range s.bases(p, stock, press, s.count) {
				s.offerGang(l)
			}
		}
	}
}

// gangable says why the products can not share a form, or "": they need one
// stock, the same colours and coating on each side, and nothing that is folded.
func (s *search) gangable() string {
	first := s.items[0].part
	for i, it := range s.items {
		s.use(i)
		p := it.part
		pieces := s.flatPieces(p, tally{})
		switch {
		case len(pieces) != 1 || pieces[0].folder != nil:
			return "folded products do not share a form"
		case !slices.Equal(p.stocks, first.stocks):
			return "products on different stocks do not share a form"
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
func (s *search) offerGang(l lay) {
	m := marginsFor(l.press, l.printing.style)
	if l.printing.style == WorkAndTumble {
		s.count.add("several products do not lie on both halves of a tumbled sheet")
		return
	}
	g, sheets, ok := bands(s.items, l, m)
	if !ok {
		s.count.add("products do not lie on one sheet together")
		return
	}
	l.grid = g
	for _, cut := range s.layCuts(nil, l, s.count) {
		f, ok := s.make(cut, sheets*g.ups(), true)
		if !ok {
			s.count.add(noRun)
			continue
		}
		f = named(f, 1)
		s.offer(way{
			key: strings.Join([]string{"gang", l.press.ID, l.stock.ID, string(l.printing.style)}, "|"),
			title: fmt.Sprintf("together on one form: %s on %s, %s, %d-up, %s",
				f.sheet.Size, l.press.ID, stockWord(f.sheet.Stock), g.ups(), styleWord(l.printing.style)),
			forms: []form{f}, ops: f.ops, mats: f.mats, cost: f.cost,
		})
	}
}

// bands finds the layout that needs the fewest sheets, among those that give each
// product one band of whole rows, upright or turned, as wide as the sheet.
//
// That search is exact: for a number of sheets, each product has its least
// number of rows and with it its lowest band, whatever the others take; the
// sheets suffice if these bands fit behind each other, more sheets never need
// more rows, and so the least number is found by halving. Then columns that no
// quantity needs are left out, so that the over-run is least.
func bands(items []item, l lay, m margins) (grid, int, bool) {
	g := grid{bleed: l.bleed, gutter: l.gutter, margins: m}
	high := l.sheet.Height - m.lead - m.trail - 2*l.bleed + l.gutter
	most := 0
	for _, it := range items {
		most = max(most, it.quantity)
	}
	if _, fits := bandsFor(items, l, m, most, high); !fits {
		return g, 0, false
	}
	low := 1
	for low < most {
		half := (low + most) / 2
		if _, fits := bandsFor(items, l, m, half, high); fits {
			most = half
		} else {
			low = half + 1
		}
	}
	fields, _ := bandsFor(items, l, m, low, high)
	// The widest band lies at the gripper, and bands that are cut alike beside each other.
	slices.SortStableFunc(fields, func(a, b field) int {
		wider := cmp.Compare(b.outline(l.gutter).Width, a.outline(l.gutter).Width)
		return cmp.Or(wider, cmp.Compare(b.piece.Width, a.piece.Width))
	})
	g.field, g.more = fields[0], fields[1:]
	return g, low, true
}

// bandsFor is the lowest band of each product that brings its quantity on so
// many sheets, and whether all of them fit.
func bandsFor(items []item, l lay, m margins, sheets int, high plant.Length) ([]field, bool) {
	var all []field
	for i, it := range items {
		var best field
		for turned, as := range bothWays(it.open()) {
			f := layOut(l.sheet, as, l.bleed, l.gutter, m, l.printing.style).field
			if f.columns == 0 {
				continue
			}
			need := ceilDiv(it.quantity, sheets)
			f.rows, f.turned, f.item = ceilDiv(need, f.columns), turned == 1, i
			f.columns = ceilDiv(need, f.rows)
			if l.printing.style == WorkAndTurn {
				f.columns += f.columns % 2
			}
			if best.rows == 0 || f.outline(l.gutter).Height < best.outline(l.gutter).Height {
				best = f
			}
		}
		if best.rows == 0 {
			return nil, false
		}
		all = append(all, best)
		high -= best.outline(l.gutter).Height + l.gutter
	}
	return all, high >= 0
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
		for n, f := range best.forms {
			if len(best.forms) > 1 && n != i {
				continue
			}
			for _, k := range f.grid.fields() {
				if k.item == i {
					p.Ups += k.ups()
				}
			}
			p.Sheet = f.sheet.Name
			p.OverRun = f.sheets()*p.Ups - it.quantity
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

// sheets is what leaves the guillotine of a flat form, or its folder.
func (f form) sheets() int {
	for _, o := range f.ops {
		if o.Step == StepFold {
			return o.Out / f.grid.ups()
		}
	}
	for _, o := range f.ops {
		if o.Step == StepCut {
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
