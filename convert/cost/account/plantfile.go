package account

import (
	"github.com/shopspring/decimal"

	"quoin/convert/cost"
	"quoin/validate/plant"
)

// trade is a kind of machine. Their order is that in which work goes through a plant.
type trade uint8

const (
	printing trade = iota
	coating
	laminating
	dieCutting
	cutting
	folding
	stitching
	binding
	byHand
)

// unit is a machine with what the books need to know of its kind.
type unit struct {
	*plant.Machine
	trade trade
	press *plant.Press // nil for all but presses
	// speed is the pieces an hour at a grammage in g/m2 and a length of the sheet along
	// the run; a grammage of 0 is not known, and then the highest speed counts. It is 0
	// where the plant file does not tell.
	speed func(grammage decimal.Decimal, along plant.Length) decimal.Decimal
}

// units finds the machines of a plant by id.
func units(p *plant.Plant) map[string]*unit {
	all := map[string]*unit{}
	add := func(m *plant.Machine, t trade, speed func(decimal.Decimal, plant.Length) decimal.Decimal) *unit {
		u := &unit{Machine: m, trade: t, speed: speed}
		all[m.ID] = u
		return u
	}
	for _, m := range p.Presses {
		add(&m.Machine, printing, table(m.Speed)).press = m
	}
	for _, m := range p.Coaters {
		add(&m.Machine, coating, table(m.Speed))
	}
	for _, m := range p.Laminators {
		add(&m.Machine, laminating, func(_ decimal.Decimal, along plant.Length) decimal.Decimal {
			return m.Speed.SheetsAnHour(along)
		})
	}
	for _, m := range p.DieCutters {
		add(&m.Machine, dieCutting, table(m.Speed))
	}
	for _, m := range p.Guillotines {
		add(&m.Machine, cutting, fixed(decimal.Zero)) // its time goes by lifts and cuts
	}
	for _, m := range p.Folders {
		add(&m.Machine, folding, table(m.Speed))
	}
	for _, m := range p.Stitchers {
		add(&m.Machine, stitching, fixed(decimal.NewFromInt(int64(m.Speed))))
	}
	for _, m := range p.Binders {
		add(&m.Machine, binding, fixed(decimal.NewFromInt(int64(m.Speed))))
	}
	for _, m := range p.HandWork {
		var speed decimal.Decimal
		if m.PerThousand > 0 {
			speed = hour.decimal().Mul(thousand).DivRound(decimal.NewFromInt(int64(m.PerThousand)), 6)
		}
		add(&m.Machine, byHand, fixed(speed))
	}
	return all
}

func fixed(speed decimal.Decimal) func(decimal.Decimal, plant.Length) decimal.Decimal {
	return func(decimal.Decimal, plant.Length) decimal.Decimal { return speed }
}

func table(steps []plant.Step) func(decimal.Decimal, plant.Length) decimal.Decimal {
	return func(grammage decimal.Decimal, _ plant.Length) decimal.Decimal {
		if grammage.IsPositive() {
			return plant.Look(steps, grammage)
		}
		var most decimal.Decimal
		for _, s := range steps {
			most = decimal.Max(most, s.Value)
		}
		return most
	}
}

// standardTime is how long so many pieces take at a speed, 0 where there is none.
func standardTime(pieces, speed exact) cost.Span {
	if !speed.IsPositive() {
		return 0
	}
	return cost.Span(pieces.Mul(hour).DivRound(speed, 0).IntPart())
}

func centres(p *plant.Plant) map[string]*plant.CostCentre {
	all := map[string]*plant.CostCentre{}
	for _, c := range p.CostCentres {
		all[c.ID] = c
	}
	return all
}
