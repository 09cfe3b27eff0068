package plan

import (
	"github.com/shopspring/decimal"

	"quoin/validate/plant"
)

// Delivery is what is delivered of a product, by weight and on pallets. Weights
// are those of the paper.
type Delivery struct {
	Product   string          `json:"product"`
	Quantity  int             `json:"quantity"`
	Grams     decimal.Decimal `json:"grams"`     // of a copy
	Kilos     decimal.Decimal `json:"kilos"`     // of all copies
	Thickness plant.Length    `json:"thickness"` // of a copy, closed

	// On pallets; all zero where the plant file has none, or a copy does not lie on it.
	PerLayer    int             `json:"perLayer"` // copies side by side
	PerPallet   int             `json:"perPallet"`
	Pallets     int             `json:"pallets"`
	PalletKilos decimal.Decimal `json:"palletKilos"` // of a full pallet, its own weight with it
	StackHeight plant.Length    `json:"stackHeight"` // of the goods on a full pallet
}

// copyOf is one copy as it is delivered.
type copyOf struct {
	size      plant.Size
	grams     decimal.Decimal
	thickness decimal.Decimal // micrometres
}

// deliveries weighs a copy of each product of the plan and stacks all of them.
func (s *search) deliveries(pl *Plan) []Delivery {
	var all []Delivery
	for i, p := range pl.Products {
		c := copyOf{size: s.items[i].page}
		for _, sh := range pl.Sheets {
			if sh.Name == p.Sheet {
				c.addPiece(s.items[i].open(), sh)
			}
		}
		all = append(all, stack(p.Name, p.Quantity, c, s.plant.Pallet))
	}
	if len(all) > 0 {
		return all
	}
	c := copyOf{size: s.page}
	for _, sh := range pl.Sheets {
		if pl.Kind == Flat {
			c.addPiece(plant.Size(sh.Piece), sh)
		} else {
			c.add(pl, sh)
		}
	}
	return []Delivery{stack(pl.Name, s.quantity, c, s.plant.Pallet)}
}

// addPiece puts a flat or folded piece into the copy.
func (c *copyOf) addPiece(open plant.Size, sh *Sheet) {
	c.grams = c.grams.Add(area(open).Mul(decimal.NewFromFloat(sh.Stock.Grammage)))
	c.thickness = c.thickness.Add(leaves(sh.PiecePages/2, &plant.Stock{Caliper: sh.Stock.Caliper}))
}

// add puts the leaves of a sheet into the copy. The cover of a glued book is
// wider by the spine.
func (c *copyOf) add(pl *Plan, sh *Sheet) {
	n := decimal.NewFromInt(int64(sh.PiecePages / 2 * max(1, sh.Leaves)))
	m2 := area(plant.Size(pl.Finished)).Mul(n).Add(area(plant.Size{Width: sh.Spine, Height: pl.Finished.Height}))
	c.grams = c.grams.Add(m2.Mul(decimal.NewFromFloat(sh.Stock.Grammage)))
	c.thickness = c.thickness.Add(n.Mul(decimal.NewFromFloat(sh.Stock.Caliper)))
}

// stack lays copies in layers, upright or turned, whichever holds more, as high
// as the pallet may be and as heavy.
func stack(product string, quantity int, c copyOf, p plant.Pallet) Delivery {
	d := Delivery{
		Product: product, Quantity: quantity, Grams: c.grams.Round(2),
		Kilos:     c.grams.Mul(decimal.NewFromInt(int64(quantity))).Shift(-3).Round(1),
		Thickness: plant.Length(c.thickness.Round(0).IntPart()),
	}
	for _, lying := range bothWays(c.size) {
		d.PerLayer = max(d.PerLayer, int(p.Size.Width/lying.Width)*int(p.Size.Height/lying.Height))
	}
	if d.PerLayer == 0 {
		return d
	}
	layers := ceilDiv(quantity, d.PerLayer)
	if p.MaxHeight > 0 {
		layers = min(layers, int(decimal.NewFromInt(int64(p.MaxHeight)).Div(c.thickness).IntPart()))
	}
	d.PerPallet = min(quantity, layers*d.PerLayer)
	if p.MaxWeight.Sign() > 0 {
		goods := p.MaxWeight.Sub(p.Tare).Shift(3).Div(c.grams)
		if goods.LessThan(decimal.NewFromInt(int64(d.PerPallet))) {
			d.PerPallet = max(0, int(goods.IntPart()))
		}
	}
	if d.PerPallet == 0 {
		d.PerLayer = 0
		return d
	}
	d.Pallets = ceilDiv(quantity, d.PerPallet)
	d.PalletKilos = c.grams.Mul(decimal.NewFromInt(int64(d.PerPallet))).Shift(-3).Add(p.Tare).Round(1)
	layers = ceilDiv(d.PerPallet, d.PerLayer)
	d.StackHeight = plant.Length(c.thickness.Mul(decimal.NewFromInt(int64(layers))).Round(0).IntPart())
	return d
}
