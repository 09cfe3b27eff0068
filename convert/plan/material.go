package plan

import (
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"quoin/validate/plant"
)

// materials are the lines of what a form uses up.
func (r *request) materials(f form, through pressLoss) []*Material {
	mats := []*Material{r.paper(f)}
	if n := f.printing.plates; n > 0 {
		mats = append(mats, r.line(Plates, "for "+f.press.ID, n, "plates", f.press.PlatePrice, 1))
	}
	if f.press.Kind == plant.Digital {
		mats = append(mats, r.clicks(f)...)
	} else {
		mats = append(mats, r.inks(f)...)
	}
	if through.coated > 0 {
		kg := area(f.lay.sheet).Mul(f.press.CoatingFilm).Mul(decimal.NewFromInt(int64(through.coated))).Shift(-3)
		price := f.press.CoatingPrice
		if i := slices.IndexFunc(r.plant.Inks, func(k *plant.Ink) bool {
			return strings.EqualFold(string(k.Kind), f.coat)
		}); i >= 0 && price.Sign() == 0 {
			price = r.plant.Inks[i].Price
		}
		mats = append(mats, r.weighed(Coating, f.coat, kg, price))
	}
	return mats
}

// line is a material that is counted.
func (r *request) line(kind MaterialKind, name string, n int, unit string, price decimal.Decimal, per int) *Material {
	quantity := decimal.NewFromInt(int64(n))
	return &Material{
		Kind: kind, Name: name, Quantity: quantity, Unit: unit, Price: price, PriceFor: per,
		Cost: money(quantity.Mul(price).Div(decimal.NewFromInt(int64(per))), r.plant),
	}
}

// weighed is a material that is weighed, to the gram.
func (r *request) weighed(kind MaterialKind, name string, kg, price decimal.Decimal) *Material {
	return &Material{
		Kind: kind, Name: name, Quantity: kg.Round(3), Unit: "kg", Kilos: kg.Round(3), Price: price, PriceFor: 1,
		Cost: money(kg.Mul(price), r.plant),
	}
}

func (r *request) paper(f form) *Material {
	m := r.line(Paper, f.stock.Name, f.sheet.Bought, "sheets", f.stock.Price, 1000)
	m.Kilos = kilos(f.stock.Size, f.stock.Grammage, f.sheet.Bought).Round(3)
	return m
}

// inks is the ink on the area of the pieces with their bleed, on every sheet
// that goes in. A turned or tumbled form carries the front and the back on half
// of the positions each, twice: the same area. Inks that the plant file lists
// have a line each, with their own price and film; the others are one line.
func (r *request) inks(f form) []*Material {
	var m2 decimal.Decimal
	for _, k := range f.grid.fields() {
		one := plant.Size{Width: k.piece.Width + 2*f.bleed, Height: k.piece.Height + 2*f.bleed}
		m2 = m2.Add(area(one).Mul(decimal.NewFromInt(int64(k.ups()))))
	}
	var mats []*Material
	var names []string
	var kg decimal.Decimal
	for _, c := range unite(f.part.front.colors, f.part.back.colors) {
		film, price, own := f.press.InkFilm, f.press.InkPrice, r.inkNamed(c)
		if own != nil {
			price = own.Price
			if listed, ok := own.FilmOn(f.stock.Coating); ok {
				film = listed
			}
		}
		var mine decimal.Decimal
		for _, s := range []side{f.part.front, f.part.back} {
			if slices.Contains(s.colors, c) {
				mine = mine.Add(inkKilos(m2, s.coverage, film, f.sheet.Gross))
			}
		}
		if own != nil {
			mats = append(mats, r.weighed(Ink, c, mine, price))
			continue
		}
		names, kg = append(names, c), kg.Add(mine)
	}
	if len(names) > 0 {
		mats = append(mats, r.weighed(Ink, strings.Join(names, ", "), kg, f.press.InkPrice))
	}
	return mats
}

// inkNamed is the ink of the plant file that a separation means, or nil.
func (r *request) inkNamed(name string) *plant.Ink {
	for _, k := range r.plant.Inks {
		if strings.EqualFold(name, k.Name) || strings.EqualFold(name, k.ID) {
			return k
		}
	}
	return nil
}

// clicks are one for each printed side of every sheet that goes in; a side
// with black alone costs a black click.
func (r *request) clicks(f form) []*Material {
	color, mono := 0, 0
	for _, s := range []side{f.part.front, f.part.back} {
		switch {
		case len(s.colors) == 1 && s.colors[0] == black:
			mono += f.sheet.Gross
		case len(s.colors) > 0:
			color += f.sheet.Gross
		}
	}
	var mats []*Material
	if color > 0 {
		mats = append(mats, r.line(Clicks, "in colour", color, "clicks", f.press.ClickPrice, 1))
	}
	if mono > 0 {
		mats = append(mats, r.line(Clicks, "in black", mono, "clicks", f.press.BlackClickPrice, 1))
	}
	return mats
}
