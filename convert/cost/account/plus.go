package account

import "quoin/convert/cost"

func (c Colour) plus(d Colour) Colour {
	return Colour{In: c.In + d.In, Near: c.Near + d.Near, Out: c.Out + d.Out}
}

func (f Figures) plus(g Figures) Figures {
	f.Times = cost.Times{
		Makeready: f.Times.Makeready + g.Times.Makeready, Run: f.Times.Run + g.Times.Run,
		WashUp: f.Times.WashUp + g.Times.WashUp, Idle: f.Times.Idle + g.Times.Idle,
		Stopped: f.Times.Stopped + g.Times.Stopped, Unknown: f.Times.Unknown + g.Times.Unknown,
	}
	f.Unpriced, f.Entries = f.Unpriced+g.Unpriced, f.Entries+g.Entries
	f.Actual, f.Extra = f.Actual.plus(g.Actual), f.Extra.plus(g.Extra)
	f.Plan, f.Variance = f.Plan.plus(g.Plan), f.Variance.plus(g.Variance)
	return f
}

func (m Money) plus(n Money) Money {
	return Money{
		Makeready: m.Makeready.Add(n.Makeready), Run: m.Run.Add(n.Run), WashUp: m.WashUp.Add(n.WashUp),
		Idle: m.Idle.Add(n.Idle), Stopped: m.Stopped.Add(n.Stopped), Time: m.Time.Add(n.Time),
		Paper: m.Paper.Add(n.Paper), Plates: m.Plates.Add(n.Plates), Ink: m.Ink.Add(n.Ink),
		Coating: m.Coating.Add(n.Coating), Other: m.Other.Add(n.Other), Material: m.Material.Add(n.Material),
		Purchases: m.Purchases.Add(n.Purchases), Total: m.Total.Add(n.Total),
	}
}

func (e Extra) plus(f Extra) Extra { return Extra{e.Rework.Add(f.Rework), e.Premiums.Add(f.Premiums)} }

func (p Plan) plus(q Plan) Plan {
	return Plan{
		Known: p.Known || q.Known, Makeready: p.Makeready + q.Makeready, Run: p.Run + q.Run, WashUp: p.WashUp + q.WashUp,
		Time: p.Time.Add(q.Time), Material: p.Material.Add(q.Material), Purchases: p.Purchases.Add(q.Purchases),
		Total: p.Total.Add(q.Total),
	}
}

func (v Variance) plus(w Variance) Variance {
	return Variance{
		Quantity: v.Quantity.Add(w.Quantity), Time: v.Time.Add(w.Time), Rate: v.Rate.Add(w.Rate),
		Waste: v.Waste.Add(w.Waste), Changeover: v.Changeover.Add(w.Changeover), Scope: v.Scope.Add(w.Scope),
		Total: v.Total.Add(w.Total),
	}
}
