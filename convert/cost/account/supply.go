package account

import (
	"cmp"
	"slices"

	"quoin/convert/cost"
	"quoin/jdf"
	"quoin/validate"
)

// good is what one heap comes to.
type good struct {
	*heap
	name     string
	unit     string
	factor   exact // kilograms of a unit, 0 where unknown
	bought   exact // kilograms of a sheet as it is bought, 0 where unknown
	used     exact // in units
	planned  exact // in units
	cost     exact // in currency, not rounded; of all, also outside the filter
	planCost exact
	split    [colScope + 1 - colQuantity]exact // variance, times hour, from colQuantity on
	reported bool
	pool     *pool
}

// supply prices the material of all jobs, and charges it to the groups.
func (m *maker) supply() {
	all := m.stuffs()
	for _, job := range sortedKeys(all) {
		lines := all[job].lines
		taken := slices.ContainsFunc(lines, func(l *line) bool { return len(l.groups) > 0 })
		if len(lines) > 0 && !taken {
			continue // the filter leaves out all of the job
		}
		for _, h := range m.heaps(job, all[job]) {
			h.lines = m.carriers(h, lines)
			m.charge(m.price(h))
		}
	}
}

// charge shares the cost of material out over the groups of its lines.
func (m *maker) charge(g *good) {
	if len(g.lines) == 1 {
		g.pool = g.lines[0].ownPool()
	} else {
		g.pool = poolOf(g.lines)
	}
	if len(g.pool.groups) == 0 {
		return
	}
	m.goods = append(m.goods, g)
	to := func(c column, money exact) {
		g.pool.allot(money, fine, func(at *group, d exact) { at.money.add(c, d) })
	}
	to(columnOf(g.kind), g.cost.Mul(hour))
	to(colPlanMaterial, g.planCost.Mul(hour))
	for c := colQuantity; c <= colScope; c++ {
		to(c, g.split[c-colQuantity])
	}
	if g.planCost.IsPositive() {
		for _, at := range g.pool.groups {
			at.plan.known = true
		}
	}
}

func columnOf(kind string) column {
	switch kind {
	case paper:
		return colPaper
	case plates:
		return colPlates
	case ink:
		return colInk
	case coatingLayer:
		return colCoating
	}
	return colOther
}

// carriers finds the lines that material is charged to: those of its part on the
// machines that reported it, or else on any that use it, else all such lines of the
// job, else all lines of the job, else one of its own that has no device.
func (m *maker) carriers(h *heap, all []*line) []*line {
	users := func(l *line) bool {
		u := m.units[l.device]
		if u == nil {
			return false
		}
		switch h.kind {
		case wire:
			return u.trade == stitching
		case glue:
			return u.trade == binding
		case coatingLayer:
			return u.trade == printing || u.trade == coating
		}
		return u.trade == printing
	}
	said := map[string]bool{}
	for _, u := range h.uses {
		said[u.Device] = true
	}
	choices := []func(*line) bool{
		func(l *line) bool { return users(l) && said[l.device] && l.part == h.part },
		func(l *line) bool { return users(l) && l.part == h.part },
		users,
		func(*line) bool { return true },
	}
	for _, of := range choices {
		var some []*line
		for _, l := range all {
			if of(l) {
				some = append(some, l)
			}
		}
		if some != nil {
			return some
		}
	}
	l := m.outside(work{h.job, h.part, ""})
	if c := (Cell{Job: h.job, Part: h.part}); m.sieve.has(&c) {
		m.group(&c, l)
	}
	return []*line{l}
}

// output is what the lines made and were to make, good and in all; they are zero
// where plan or devices tell no amounts.
func (h *heap) output() (good, made, planGood, planIn exact) {
	for _, l := range h.lines {
		if l.counts() {
			good, made = good.Add(l.good), made.Add(l.made())
			planGood, planIn = planGood.Add(l.plan.good), planIn.Add(l.plan.in)
		}
	}
	return good, made, planGood, planIn
}

// price works out what a heap costs, and splits what differs from the plan.
func (m *maker) price(h *heap) *good {
	g := &good{heap: h, reported: len(h.uses) > 0}
	m.measure(g)
	for _, s := range h.supplies {
		g.planCost = plus(g.planCost, exactly(s.Cost))
	}
	goodOnes, made, planGood, planIn := h.output()
	began := slices.ContainsFunc(h.lines, func(l *line) bool { return l.cells > 0 })
	if !g.reported && began {
		g.used = g.planned // no consumption is reported: the plan's, for what went through
		if h.kind != plates && planIn.IsPositive() {
			g.used = g.planned.Mul(made).DivRound(planIn, 2*fine)
		}
	}
	if price, known := m.priceOf(g, g.names()...); known && g.planCost.IsZero() {
		g.planCost = g.planned.Mul(price)
	}
	g.cost = m.costOf(g)
	planCost, cost := g.planCost.Mul(hour), g.cost.Mul(hour)
	if !planCost.IsPositive() || !g.planned.IsPositive() || !g.used.IsPositive() {
		g.split[colScope-colQuantity] = cost.Sub(planCost)
		return g
	}
	atPlan := planCost.Mul(g.used).DivRound(g.planned, fine)
	g.split[colRate-colQuantity] = cost.Sub(atPlan)
	if h.kind == plates {
		g.split[colChangeover-colQuantity] = atPlan.Sub(planCost)
		return g
	}
	granted := planCost
	if planGood.IsPositive() {
		granted = planCost.Mul(goodOnes).DivRound(planGood, fine)
	}
	g.split[0], g.split[colWaste-colQuantity] = granted.Sub(planCost), atPlan.Sub(granted)
	return g
}

// measure adds up what was used and planned, in one unit. Paper counts in sheets of
// the press, so that a plan in larger sheets compares by weight. Ink and coating count
// in kilograms; they are reported in grams.
//
// From memory: grams are the unit of the amount of an ink where a ticket gives none.
func (m *maker) measure(g *good) {
	g.unit, g.factor = "pieces", exact{}
	for _, s := range g.supplies {
		g.unit, g.name = cmp.Or(s.Unit, g.unit), cmp.Or(g.name, s.Name)
		g.planned = plus(g.planned, exactly(s.Quantity))
	}
	switch g.kind {
	case paper:
		m.sheets(g)
	case ink, coatingLayer:
		g.unit, g.factor = "kg", num(1)
		g.planned = g.kilos(exact{})
	case plates:
		g.unit = "plates"
	}
	for _, u := range g.uses {
		g.name = cmp.Or(g.name, u.Item, u.Name)
		g.used = g.used.Add(m.inUnits(g, u, exactly(u.Good).Add(exactly(u.Waste))))
		if u.Planned != nil && len(g.supplies) == 0 {
			g.planned = g.planned.Add(m.inUnits(g, u, exactly(*u.Planned)))
		}
	}
}

// inUnits turns a reported amount into units. Sheets that are reported before the
// press, by the machine that cuts them up for it, are those bought.
func (m *maker) inUnits(g *good, u cost.Use, amount exact) exact {
	if by := m.units[u.Device]; u.Unit == "" && g.bought.IsPositive() && g.factor.IsPositive() && by != nil && by.press == nil {
		return amount.Mul(g.bought).DivRound(g.factor, 2*fine)
	}
	weighed := u.Unit == "kg" || u.Unit == "g"
	if u.Unit == "g" || g.unit == "kg" && !weighed {
		amount = amount.Shift(-3)
	}
	if weighed && g.factor.IsPositive() {
		return amount.DivRound(g.factor, 2*fine)
	}
	return amount
}

// kilos adds up the weight of what was planned, that of a unit where a supply gives none.
func (g *good) kilos(unit exact) exact {
	var sum exact
	for _, s := range g.supplies {
		switch {
		case s.Kilos.IsPositive():
			sum = sum.Add(exactly(s.Kilos))
		case s.Unit == "kg":
			sum = sum.Add(exactly(s.Quantity))
		default:
			sum = sum.Add(exactly(s.Quantity).Mul(unit))
		}
	}
	return sum
}

// sheets measures paper in the sheets of the press, where their weight is known.
func (m *maker) sheets(g *good) {
	g.unit, g.factor = "sheets", exactly(sheetKilos(g.class()))
	if !g.factor.IsPositive() {
		if len(g.supplies) == 0 && slices.ContainsFunc(g.uses, func(u cost.Use) bool { return u.Unit == "kg" }) {
			g.unit, g.factor = "kg", num(1)
		}
		return
	}
	weighed := slices.ContainsFunc(g.supplies, func(s Supply) bool { return s.Kilos.IsPositive() })
	if weighed {
		weight := g.kilos(g.factor)
		if g.planned.IsPositive() {
			g.bought = weight.DivRound(g.planned, 2*fine)
		}
		g.planned = weight.DivRound(g.factor, 2*fine)
	}
}

// names are what its uses and its plan call the material.
func (h *heap) names() []string {
	var all []string
	for _, u := range h.uses {
		all = append(all, u.Item, u.Name)
	}
	for _, s := range h.supplies {
		all = append(all, s.Name)
	}
	return all
}

// class is that of the first line that has one.
func (h *heap) class() cost.Class {
	for _, l := range h.lines {
		if l.plan.class.Grammage.IsPositive() {
			return l.plan.class
		}
	}
	return cost.Class{}
}

// costOf prices what was used: each report by the plant file where that tells, else by
// the plan, which also prices what was not reported.
func (m *maker) costOf(g *good) exact {
	atPlan := func(used exact) exact {
		if g.planned.IsPositive() && g.planCost.IsPositive() {
			return used.Mul(g.planCost).DivRound(g.planned, 2*fine)
		}
		if used.IsPositive() {
			m.unpriced(g)
		}
		return exact{}
	}
	if !g.reported {
		return atPlan(g.used)
	}
	var sum exact
	for _, u := range g.uses {
		used := m.inUnits(g, u, exactly(u.Good).Add(exactly(u.Waste)))
		names := []string{u.Item, u.Name}
		if len(g.supplies) == 1 {
			names = append(names, g.supplies[0].Name)
		}
		if price, known := m.priceOf(g, names...); known {
			sum = sum.Add(used.Mul(price))
		} else {
			sum = sum.Add(atPlan(used))
		}
	}
	return sum
}

// priceOf is the price of a unit by the plant file, false where only the plan can
// tell: of paper that it has as a stock, of an ink that it has by name, of the plates of
// the press that they are for.
func (m *maker) priceOf(g *good, names ...string) (exact, bool) {
	switch g.kind {
	case paper:
		s := m.stockOf(g.class(), names...)
		switch {
		case s == nil:
			return exact{}, false
		case g.factor.IsPositive():
			return exactly(priceOfWeight(s, g.factor.decimal())), true
		default: // the sheets of the press are taken to be those bought, for want of a size
			return exactly(s.Price.Shift(-3)), true
		}
	case ink, coatingLayer:
		if i := m.inkOf(names...); i != nil {
			return exactly(i.Price), true
		}
	case plates:
		if u := m.units[g.lines[0].device]; u != nil && u.press != nil {
			return exactly(u.press.PlatePrice), true
		}
	}
	return exact{}, false
}

// unpriced reports material that neither plan nor plant file has a price for.
func (m *maker) unpriced(g *good) {
	thing := map[string]string{paper: "stock", plates: "press", ink: "ink", coatingLayer: "coating"}
	at := m.file()
	if len(g.uses) > 0 {
		at = placeOr(g.uses[0].Source.Place, at)
	}
	m.once(ruleNoPrice.At(at, validate.F("kind", g.kind), validate.F("job", g.job),
		validate.F("thing", cmp.Or(thing[g.kind], g.kind))), g.job+" "+g.kind)
}

func placeOr(p, other jdf.Place) jdf.Place {
	if p.Known() {
		return p
	}
	return other
}

// purchases puts what was bought from outside into the groups.
func (m *maker) purchases() {
	for _, p := range m.Purchases {
		c := Cell{Day: p.Day, Job: p.Job, Part: p.Part}
		if !m.sieve.has(&c) {
			continue
		}
		g := m.group(&c, m.outside(work{p.Job, p.Part, ""}))
		cost, planned := exactly(p.Cost).Mul(hour), exactly(p.Planned).Mul(hour)
		g.money.add(colPurchases, cost)
		g.money.add(colPlanPurchases, planned)
		g.plan.known = g.plan.known || planned.IsPositive()
		if cost.IsPositive() && planned.IsPositive() {
			g.money.add(colRate, cost.Sub(planned))
		} else {
			g.money.add(colScope, cost.Sub(planned))
		}
	}
}

// outside is the line of a job for what no device does.
func (m *maker) outside(w work) *line {
	l := m.lineOf[w]
	if l == nil {
		l = m.line(w, nil)
	}
	return l
}
