package plan

import (
	"strings"
	"time"

	"github.com/shopspring/decimal"

	"quoin/validate/plant"
)

// pressMakeready is the makereadies of a form with its plate changes, and the
// tasks that decide how long the first of them takes. A press whose tasks are
// known is ready when the longest chain of them is; another takes its stated
// time. The forms of a part are one run of a digital press, made ready once. The
// weight of the stock may ask for more of it, or for less.
func pressMakeready(p *plant.Press, w printing, stock *plant.Stock, first bool) (time.Duration, []string) {
	if p.Kind == plant.Digital && !first {
		return 0, nil
	}
	var d time.Duration
	var path []string
	for _, t := range w.passes {
		if !t.makeready {
			continue
		}
		ready := p.Makeready
		if len(p.MakereadyTasks) > 0 {
			var names []string
			if ready, names = plant.CriticalPath(p.MakereadyTasks, t.colors); path == nil {
				path = names
			}
		}
		d += ready
		if w.plates > 0 {
			d += time.Duration(ceilDiv(t.colors, max(1, p.PlatesAtOnce))) * p.PlateChange
		}
		if t.coat {
			d += p.CoatingMakeready
		}
	}
	if len(p.StockMakeready) > 0 {
		percent := plant.Look(p.StockMakeready, decimal.NewFromFloat(stock.Grammage))
		d = time.Duration(decimal.NewFromInt(int64(d)).Mul(percent).Shift(-2).Round(0).IntPart())
	}
	return d, path
}

// pressSpeed is in sheets an hour and pass, by weight and kind of the stock.
func pressSpeed(p *plant.Press, s Style, stock *plant.Stock) decimal.Decimal {
	g := decimal.NewFromFloat(stock.Grammage)
	speed := plant.Look(p.Speed, g)
	switch {
	case s == Duplex && len(p.DuplexSpeed) > 0:
		speed = plant.Look(p.DuplexSpeed, g)
	case s == Duplex:
		speed = speed.Div(decimal.NewFromInt(2))
	case s == Perfecting && p.Perfecting.Speed.Sign() > 0:
		speed = speed.Mul(p.Perfecting.Speed).Shift(-2)
	}
	for _, k := range p.StockSpeed {
		if sameCoating(k.Coating, stock.Coating) {
			speed = speed.Mul(k.Factor).Shift(-2)
			break
		}
	}
	return speed
}

// sameCoating compares coatings of paper in a plant's words; no word is none.
func sameCoating(a, b string) bool {
	if a == "" {
		a = "none"
	}
	if b == "" {
		b = "none"
	}
	return strings.EqualFold(a, b)
}

// tooMuchInk reports whether a side carries more ink than the press lays dry.
func tooMuchInk(p *plant.Press, want *part) bool {
	if p.InkLimit.Sign() <= 0 {
		return false
	}
	for _, s := range []side{want.front, want.back} {
		if s.coverage.Mul(decimal.NewFromInt(int64(len(s.colors)))).GreaterThan(p.InkLimit) {
			return true
		}
	}
	return false
}
