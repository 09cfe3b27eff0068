package plan

import (
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
		mats = append(mats, r.ink(f))
	}
	if through.coated > 0 {
		kg := area(f.lay.sheet).Mul(f.press.CoatingFilm).Mul(decimal.NewFromInt(int64(through.coated))).Shift(-3)
		mats = append(mats, r.weighed(Coating, f.part.coating(), kg, f.press.CoatingPrice))
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

// ink is the ink of all colours on the area of the pieces with their bleed, on
// every sheet that goes in. A turned or tumbled form carries the front and the
// back on half of the positions each, twice: the same area.
func (r *request) ink(f form) *Material {
	one := plant.Size{
		Width: f.grid.piece.Width + 2*f.bleed, Height: f.grid.piece.Height + 2*f.bleed,
	}
	m2 := area(one).Mul(decimal.NewFromInt(int64(f.grid.ups())))
	var kg decimal.Decimal
	for _, s := range []side{f.part.front, f.part.back} {
		one := inkKilos(m2, s.coverage, f.press.InkFilm, f.sheet.Gross)
		kg = kg.Add(one.Mul(decimal.NewFromInt(int64(len(s.colors)))))
	}
	return r.weighed(Ink, strings.Join(unite(f.part.front.colors, f.part.back.colors), ", "), kg, f.press.InkPrice)
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
