package plan

import (
	"time"

	"github.com/shopspring/decimal"

	"quoin/validate/plant"
)

var (
	secondsPerHour = decimal.NewFromInt(3600)
	thousand       = decimal.NewFromInt(1000)
)

// whole rounds to whole seconds, halves up. All times of a plan go through it
// once, when the operation is made.
func whole(d time.Duration) Time { return Time{d.Round(time.Second)} }

// longest is the most seconds that a run may take, about 30 years: what is over
// it does not come from a plant, and all sums of a plan stay within 64 bits.
const longest = 1_000_000_000

// runTime is n sheets or copies at a speed an hour. A speed that is not
// positive, or too small to come to an end, gives false.
func runTime(n int, speed decimal.Decimal) (Time, bool) {
	if speed.Sign() <= 0 {
		return Time{}, false
	}
	s := decimal.NewFromInt(int64(n)).Mul(secondsPerHour).DivRound(speed, 3)
	if s.GreaterThan(decimal.NewFromInt(longest)) {
		return Time{}, false
	}
	return whole(time.Duration(s.Shift(3).IntPart()) * time.Millisecond), true
}

// money rounds a line of cost to the places of the plant's money, halves up.
// Every line goes through it once, and all sums are sums of lines.
func money(v decimal.Decimal, p *plant.Plant) decimal.Decimal { return v.Round(p.Places) }

// hours is a time at a rate an hour.
func hours(d time.Duration, rate decimal.Decimal) decimal.Decimal {
	return decimal.NewFromInt(int64(d / time.Second)).Mul(rate).Div(secondsPerHour)
}

// charge puts the machine and the cost of its time into an operation. Washing
// up costs what making ready costs. A machine without cost centre costs nothing.
func charge(o *Operation, m *plant.Machine, p *plant.Plant) {
	o.Device, o.DeviceName = m.ID, m.Name
	if m.CostCentre == nil {
		return
	}
	o.CostCentre = m.CostCentre.ID
	ready := hours(o.Makeready.Duration+o.WashUp.Duration, m.CostCentre.Makeready)
	o.Cost = money(ready.Add(hours(o.Run.Duration, m.CostCentre.Run)), p)
}

// kilos is the weight of sheets: width and height in metres by g/m2 by number.
func kilos(s plant.Size, grammage float64, sheets int) decimal.Decimal {
	return area(s).Mul(decimal.NewFromFloat(grammage)).Mul(decimal.NewFromInt(int64(sheets))).Shift(-3)
}

// area is in square metres.
func area(s plant.Size) decimal.Decimal {
	return decimal.New(int64(s.Width), -6).Mul(decimal.New(int64(s.Height), -6))
}

// inkKilos is the ink of one colour: area in square metres, coverage in
// percent, the film of a solid in g/m2 and the number of impressions.
func inkKilos(m2, coverage, film decimal.Decimal, impressions int) decimal.Decimal {
	return m2.Mul(coverage).Shift(-2).Mul(film).Mul(decimal.NewFromInt(int64(impressions))).Shift(-3)
}

// sum adds up the lines of a way.
func sum(ops []*Operation, mats []*Material) decimal.Decimal {
	var total decimal.Decimal
	for _, o := range ops {
		total = total.Add(o.Cost)
	}
	for _, m := range mats {
		total = total.Add(m.Cost)
	}
	return total
}

// totals adds up all lines of a plan.
func totals(pl *Plan) Totals {
	var t Totals
	for _, o := range pl.Operations {
		t.Makeready.Duration += o.Makeready.Duration + o.WashUp.Duration
		t.Run.Duration += o.Run.Duration
		t.TimeCost = t.TimeCost.Add(o.Cost)
	}
	for _, m := range pl.Materials {
		switch m.Kind {
		case Paper:
			t.Paper = t.Paper.Add(m.Cost)
		case Plates:
			t.Plates = t.Plates.Add(m.Cost)
		case Ink, Clicks, Coating:
			t.Ink = t.Ink.Add(m.Cost)
		case Film, Die, Wire, Glue:
			t.Finishing = t.Finishing.Add(m.Cost)
		}
	}
	t.Material = t.Paper.Add(t.Plates).Add(t.Ink).Add(t.Finishing)
	t.Cost = t.TimeCost.Add(t.Material)
	t.PerThousand = t.Cost.Mul(thousand).DivRound(decimal.NewFromInt(int64(pl.Quantity)), pl.Places)
	return t
}
