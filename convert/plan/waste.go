package plan

import (
	"github.com/shopspring/decimal"

	"quoin/validate/plant"
)

var hundred = decimal.NewFromInt(100)

// ceilDiv is the quotient of two positive whole numbers, rounded up, as in
// the sheets for pieces that lie n to a sheet.
func ceilDiv(a, b int) int { return (a + b - 1) / b }

// gross is what has to go into an operation, without its setup, for out good
// ones to come off.
//
// Tables of running waste fall with the quantity, in steps. Just over an edge
// the plain formula would ask for less than just under it, so the answer is
// never below that of an edge that out has passed: more never needs less. It is
// false for a table that leaves nothing over.
func gross(out int, running []plant.Step, how plant.Compounding) (int, bool) {
	n := decimal.NewFromInt(int64(out))
	in, ok := compound(n, plant.Look(running, n), how)
	for _, s := range running {
		if !ok || s.UpTo.IsZero() || s.UpTo.GreaterThanOrEqual(n) {
			break
		}
		var edge int
		edge, ok = compound(s.UpTo.Floor(), s.Value, how)
		in = max(in, edge)
	}
	return in, ok
}

// compound puts a percentage of waste on top of what has to come off, in exact
// decimals: ceil(out / (1 - w)) in the yield form, out + ceil(out * w) in the
// mark-up form. A plant that names neither gets the yield form.
func compound(out, percent decimal.Decimal, how plant.Compounding) (int, bool) {
	if how == plant.MarkUp {
		return int(out.Add(out.Mul(percent).Shift(-2).Ceil()).IntPart()), true
	}
	left := hundred.Sub(percent)
	if left.Sign() <= 0 {
		return 0, false
	}
	q, r := out.Mul(hundred).QuoRem(left, 0)
	in := int(q.IntPart())
	if !r.IsZero() {
		in++
	}
	return in, true
}

// loss is an operation worked back from what it has to deliver.
type loss struct {
	in, setup, running int
}

// back works one operation back: running waste on what is delivered, then setup.
// units is how many colours, sections or folds are set up.
func back(out int, s plant.Spoilage, units int, how plant.Compounding) (loss, bool) {
	in, ok := gross(out, s.Running, how)
	setup := s.Setup + s.SetupPerUnit*units
	return loss{in: in + setup, setup: setup, running: in - out}, ok
}

// pressLoss is a press run worked back, pass by pass from the last.
type pressLoss struct {
	loss
	good    int // sheets of all passes that are not setup: what the speed holds for
	coated  int // sheets of the passes that coat
	through int // sheets of all passes, setup with them
}

// backPasses works a press run back: each trip through the press has its
// running waste, and each makeready its setup. Only the very first makeready of
// a job takes its setup in full, the later ones the plant's share of it; a form
// that is not the first of its job has later ones only.
func backPasses(
	out int, p *plant.Press, w printing, stock *plant.Stock, first bool, how plant.Compounding,
) (pressLoss, bool) {
	var t pressLoss
	running := runningWaste(p, stock)
	n := out
	for i := len(w.passes) - 1; i >= 0; i-- {
		in, fits := gross(n, running, how)
		if !fits {
			return pressLoss{}, false
		}
		t.good += in
		t.running += in - n
		setup := passSetup(p, w.passes[i], first && i == 0)
		t.setup += setup
		n = in + setup
		t.through += n
		if w.passes[i].coat {
			t.coated += n
		}
	}
	t.in = n
	return t, true
}

// runningWaste is that of the press on a sort of paper.
func runningWaste(p *plant.Press, stock *plant.Stock) []plant.Step {
	for _, s := range p.StockWaste {
		if !sameCoating(s.Coating, stock.Coating) {
			continue
		}
		all := make([]plant.Step, len(p.Setup.Running))
		for i, step := range p.Setup.Running {
			all[i] = plant.Step{UpTo: step.UpTo, Value: step.Value.Mul(s.Factor).Shift(-2)}
		}
		return all
	}
	return p.Setup.Running
}

// passSetup is the setup waste of one pass, broken sheets rounded up.
func passSetup(p *plant.Press, t pass, first bool) int {
	if !t.makeready {
		return 0
	}
	setup := p.Setup.Setup + p.Setup.SetupPerUnit*t.colors + t.setup
	if t.coat {
		setup += p.CoatingSetup
	}
	switch {
	case first:
		return setup
	case p.Kind == plant.Digital:
		// The forms of a part are one run of a digital press.
		return 0
	}
	return int(decimal.NewFromInt(int64(setup)).Mul(p.Setup.Later).Shift(-2).Ceil().IntPart())
}
