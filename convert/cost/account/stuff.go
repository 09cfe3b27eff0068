package account

import (
	"cmp"
	"slices"

	"github.com/shopspring/decimal"

	"quoin/convert/cost"
	"quoin/validate/plant"
)

// The kinds of material, in the words of plans.
const (
	paper        = "paper"
	plates       = "plates"
	ink          = "ink"
	coatingLayer = "coating"
	clicks       = "clicks"
	wire         = "wire"
	glue         = "glue"
)

// heap is material of one kind that a job, or a part of it, uses.
type heap struct {
	job, part, kind string
	uses            []cost.Use
	supplies        []Supply
	lines           []*line // that it is charged to
}

// stuff is what is known of the material of one job.
type stuff struct {
	lines    []*line
	uses     []cost.Use
	supplies []Supply
}

// stuffs puts together what is known of each job that a line or a use tells of.
func (m *maker) stuffs() map[string]*stuff {
	all := map[string]*stuff{}
	of := func(job string) *stuff {
		if all[job] == nil {
			all[job] = &stuff{}
		}
		return all[job]
	}
	for _, l := range m.lines {
		if l.job != "" {
			s := of(l.job)
			s.lines = append(s.lines, l)
		}
	}
	for _, u := range m.Uses {
		if m.kindOfUse(u) != "" {
			s := of(u.Job)
			s.uses = append(s.uses, u)
		}
	}
	for _, p := range m.Supplies {
		if s := all[p.Job]; s != nil {
			s.supplies = append(s.supplies, p)
		}
	}
	return all
}

// heaps puts what was reported of the material of a job beside what was planned.
// Within a kind, what both sides know of one part belongs together, and so does the
// rest.
func (m *maker) heaps(job string, s *stuff) []*heap {
	var all []*heap
	find := func(kind, part string) *heap {
		i := slices.IndexFunc(all, func(h *heap) bool { return h.kind == kind && h.part == part })
		if i < 0 {
			i, all = len(all), append(all, &heap{job: job, part: part, kind: kind})
		}
		return all[i]
	}
	supplies := append(s.supplies, m.derived(s)...)
	for _, u := range s.uses {
		kind, part := m.kindOfUse(u), u.Part
		if !slices.ContainsFunc(supplies, func(p Supply) bool { return p.Kind == kind && p.Part == part }) {
			part = ""
		}
		h := find(kind, part)
		h.uses = append(h.uses, u)
	}
	for _, p := range supplies {
		part, same := p.Part, func(u cost.Use) bool { return u.Part == p.Part && m.kindOfUse(u) == p.Kind }
		if reported := slices.ContainsFunc(s.uses, func(u cost.Use) bool {
			return m.kindOfUse(u) == p.Kind
		}); reported && !slices.ContainsFunc(s.uses, same) {
			part = ""
		}
		h := find(p.Kind, part)
		h.supplies = append(h.supplies, p)
	}
	for _, h := range all {
		h.sort()
	}
	slices.SortFunc(all, func(a, b *heap) int {
		return cmp.Or(cmp.Compare(a.kind, b.kind), cmp.Compare(a.part, b.part))
	})
	return all
}

// sort makes the order in which the books were given make no difference.
func (h *heap) sort() {
	slices.SortFunc(h.uses, func(a, b cost.Use) int {
		return cmp.Or(cmp.Compare(a.Lot, b.Lot), cmp.Compare(a.Item, b.Item), cmp.Compare(a.Name, b.Name),
			cmp.Compare(a.Keys, b.Keys), cmp.Compare(a.Unit, b.Unit), a.Good.Cmp(b.Good), a.Waste.Cmp(b.Waste))
	})
	slices.SortFunc(h.supplies, func(a, b Supply) int {
		return cmp.Or(cmp.Compare(a.Name, b.Name), a.Quantity.Cmp(b.Quantity), a.Kilos.Cmp(b.Kilos), a.Cost.Cmp(b.Cost))
	})
}

// kindOfUse is the kind of material that a resource is, "" when it is none that
// is bought for the job.
func (m *maker) kindOfUse(u cost.Use) string {
	if u.Usage == "Output" || u.Job == "" {
		return ""
	}
	switch u.Kind {
	case "Media":
		if u.Type == "Plate" {
			return "" // the plate setter's; the press counts the plates that it gets
		}
		return paper
	case "ExposedMedia":
		return plates
	case "Ink":
		if i := m.inkOf(u.Item, u.Name); i != nil && i.Kind != plant.ProcessInk && i.Kind != plant.SpecialInk {
			return coatingLayer
		}
		return ink
	}
	return ""
}

func (m *maker) inkOf(names ...string) *plant.Ink {
	for _, name := range names {
		for _, i := range m.plant.Inks {
			if name != "" && (i.ID == name || i.Name == name) {
				return i
			}
		}
	}
	return nil
}

// derived works the material of the presses of a job out of their plans, for kinds
// that no plan of the job tells.
func (m *maker) derived(s *stuff) []Supply {
	var all []Supply
	for _, l := range s.lines {
		u := m.units[l.device]
		if u == nil || u.press == nil || !l.plan.in.IsPositive() {
			continue
		}
		for _, p := range m.ofPress(u.press, &l.plan) {
			told := slices.ContainsFunc(s.supplies, func(q Supply) bool { return q.Kind == p.Kind })
			if p.Job, p.Part = l.job, l.part; !told && p.Quantity.IsPositive() {
				all = append(all, p)
			}
		}
	}
	return all
}

// ofPress is what a press uses for a plan: paper by weight; on an offset press a
// plate for each colour, and ink and coating by area, coverage and film; on a digital
// press an impression of each side.
func (m *maker) ofPress(press *plant.Press, p *planned) []Supply {
	c, in := p.class, p.in.decimal()
	var all []Supply
	kilo := sheetKilos(c)
	if stock := m.stockOf(c); stock != nil && kilo.IsPositive() {
		all = append(all, Supply{
			Kind: paper, Name: stock.ID, Quantity: in, Unit: "sheets", Kilos: in.Mul(kilo),
			Cost: priceOfWeight(stock, in.Mul(kilo)),
		})
	}
	colours := decimal.NewFromInt(int64(c.ColoursFront + c.ColoursBack))
	if press.Kind == plant.Digital {
		var cost, sides decimal.Decimal
		for _, n := range []int{c.ColoursFront, c.ColoursBack} {
			switch {
			case n == 1:
				cost, sides = cost.Add(in.Mul(press.BlackClickPrice)), sides.Add(in)
			case n > 1:
				cost, sides = cost.Add(in.Mul(press.ClickPrice)), sides.Add(in)
			}
		}
		return append(all, Supply{Kind: clicks, Name: "impressions", Quantity: sides, Unit: "impressions", Cost: cost})
	}
	all = append(all, Supply{
		Kind: plates, Name: "plates", Quantity: colours, Unit: "plates", Cost: colours.Mul(press.PlatePrice),
	})
	area := in.Mul(squareMetres(c)) // of one side of all sheets
	grams := area.Mul(colours).Mul(m.plant.Coverage).Shift(-2).Mul(press.InkFilm)
	all = append(all, Supply{
		Kind: ink, Name: "ink", Quantity: grams.Shift(-3), Unit: "kg", Kilos: grams.Shift(-3),
		Cost: grams.Shift(-3).Mul(press.InkPrice),
	})
	if c.Coating != "" && press.CoatingFilm.IsPositive() {
		kilos := area.Mul(press.CoatingFilm).Shift(-3)
		all = append(all, Supply{
			Kind: coatingLayer, Name: c.Coating, Quantity: kilos, Unit: "kg", Kilos: kilos,
			Cost: kilos.Mul(press.CoatingPrice),
		})
	}
	return all
}

// squareMetres is the area of one side of a sheet, exactly; 0 where it is not known.
func squareMetres(c cost.Class) decimal.Decimal {
	return decimal.NewFromInt(int64(c.Width)).Mul(decimal.NewFromInt(int64(c.Height))).Shift(-12)
}

// sheetKilos is the weight of a sheet, exactly; 0 where it is not known.
func sheetKilos(c cost.Class) decimal.Decimal { return squareMetres(c).Mul(c.Grammage).Shift(-3) }

// priceOfWeight is what so many kilograms of a stock cost.
func priceOfWeight(s *plant.Stock, kilos decimal.Decimal) decimal.Decimal {
	thousandWeigh := sheetKilos(cost.Class{
		Width: s.Size.Width, Height: s.Size.Height, Grammage: decimal.NewFromFloat(s.Grammage),
	}).Mul(thousand)
	if !thousandWeigh.IsPositive() {
		return decimal.Zero
	}
	return s.Price.Mul(kilos).DivRound(thousandWeigh, 2*fine)
}

// stockOf finds the stock of a class of work, or by its id or name: of those of the
// weight and coating that hold the sheet, the cheapest by weight.
func (m *maker) stockOf(c cost.Class, names ...string) *plant.Stock {
	for _, name := range names {
		for _, s := range m.plant.Stocks {
			if name != "" && (s.ID == name || s.Name == name) {
				return s
			}
		}
	}
	var best *plant.Stock
	one := decimal.NewFromInt(1)
	size := plant.Size{Width: c.Width, Height: c.Height}
	for _, s := range m.plant.Stocks {
		fits := size.Fits(s.Size) || size.Turned().Fits(s.Size)
		if !fits || s.Coating != c.Stock || !decimal.NewFromFloat(s.Grammage).Equal(c.Grammage) {
			continue
		}
		if best == nil || priceOfWeight(s, one).LessThan(priceOfWeight(best, one)) {
			best = s
		}
	}
	return best
}
