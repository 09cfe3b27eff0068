package account

import (
	"quoin/convert/cost"
)

// pool is groups over which something is shared out, with what weighs them.
type pool struct {
	groups []*group
	weight []exact
	inside exact // sum of the weights
	whole  exact // sum of the weights, those that the filter leaves out among them
}

// poolOf weighs the groups of some lines by what they made; where nothing was
// counted by run time, then by all time, then by cells. Without any cells the first
// group has it all.
func poolOf(lines []*line) *pool {
	p := &pool{}
	measures := []struct {
		line  func(*line) exact
		group func(*group) exact
	}{
		{(*line).made, (*group).made},
		{func(l *line) exact { return span(l.times[run]) },
			func(g *group) exact { return span(g.times[run]) }},
		{(*line).all, func(g *group) exact { return span(g.total()) }},
	}
	for _, measure := range measures {
		if p.weigh(lines, measure.line, measure.group); p.whole.IsPositive() {
			return p
		}
	}
	one := num(1)
	p.weigh(lines, func(*line) exact { return exact{} }, func(*group) exact { return one })
	p.whole = p.inside
	return p
}

// ownPool is that of the line alone, made when it is first asked for: when all its
// groups are known.
func (l *line) ownPool() *pool {
	if l.pool == nil {
		l.pool = poolOf([]*line{l})
	}
	return l.pool
}

func (p *pool) weigh(lines []*line, ofLine func(*line) exact, ofGroup func(*group) exact) {
	*p = pool{}
	for _, l := range lines {
		p.whole = p.whole.Add(ofLine(l))
		for _, g := range l.groups {
			w := ofGroup(g)
			p.groups, p.weight, p.inside = append(p.groups, g), append(p.weight, w), p.inside.Add(w)
		}
	}
}

// byTime weighs the groups of a line by one kind of time, false where there is none.
func byTime(l *line, kind kindOfTime) (*pool, bool) {
	p := &pool{}
	p.weigh([]*line{l}, func(l *line) exact { return span(l.times[kind]) },
		func(g *group) exact { return span(g.times[kind]) })
	return p, p.whole.IsPositive()
}

// all is all time of a line.
func (l *line) all() exact {
	var sum cost.Span
	for _, t := range l.times {
		sum += t
	}
	return span(sum)
}

// share is what the filter takes of a total, to so many decimal places.
func (p *pool) share(total exact, places int32) exact {
	if p.inside.Equal(p.whole) {
		return total
	}
	return total.Mul(p.inside).DivRound(p.whole, places)
}

// allot shares a total out over the groups. The shares add up to share, which does
// not depend on how the cells are grouped.
func (p *pool) allot(total exact, places int32, take func(*group, exact)) {
	if total.IsZero() || p.inside.IsZero() {
		return
	}
	whole := p.share(total, places)
	var weight, before exact
	for i, g := range p.groups {
		weight = weight.Add(p.weight[i])
		upTo := whole
		if !weight.Equal(p.inside) {
			upTo = whole.Mul(weight).DivRound(p.inside, places)
		}
		take(g, upTo.Sub(before))
		before = upTo
	}
}

// allotSpan is allot for a time.
func (p *pool) allotSpan(total cost.Span, take func(*group, cost.Span)) {
	p.allot(span(total), 0, func(g *group, d exact) { take(g, cost.Span(d.IntPart())) })
}

// share shares the plans of all lines out, and splits what differs from them.
func (m *maker) share() {
	for _, l := range m.lines {
		if len(l.groups) == 0 {
			continue
		}
		if !l.plan.known {
			for _, g := range l.groups {
				for c := colMakeready; c <= colStopped; c++ {
					g.money.add(colScope, g.money[c])
				}
			}
			continue
		}
		l.allotPlan()
		for _, g := range l.groups {
			g.plan.known = true
			g.split()
		}
	}
}

// allotPlan shares the plan of a line out over its groups.
func (l *line) allotPlan() {
	p, made := &l.plan, l.ownPool()
	over := func(kind kindOfTime) *pool {
		if own, have := byTime(l, kind); have {
			return own
		}
		return made
	}
	over(makeready).allotSpan(p.makeready, func(g *group, s cost.Span) { g.plan.makeready += s })
	over(washUp).allotSpan(p.washUp, func(g *group, s cost.Span) { g.plan.washUp += s })
	made.allotSpan(p.run, func(g *group, s cost.Span) { g.plan.run += s })
	made.allot(p.good, fine, func(g *group, d exact) { g.plan.good = g.plan.good.Add(d) })
	made.allot(p.waste, fine, func(g *group, d exact) { g.plan.waste = g.plan.waste.Add(d) })
	for _, g := range l.groups {
		g.plan.standard = granted(l.rates, g.plan.makeready+g.plan.washUp, g.plan.run)
		g.plan.cost = g.plan.standard
	}
	// What the plan was made with other rates than the plant file has now.
	made.allot(p.cost.Sub(p.standard), fine, func(g *group, d exact) { g.plan.cost = g.plan.cost.Add(d) })
}

// split splits the difference of the time of a group from its plan; see Variance.
func (g *group) split() {
	l, money := g.line, &g.money
	money.add(colPlanTime, g.plan.cost)
	if l.cells == 0 {
		money.add(colScope, g.plan.cost.Neg())
		return
	}
	if l.plan.makeready+l.plan.run+l.plan.washUp == 0 { // a plan of money alone can not be split
		money.add(colTime, money.sum(colMakeready, colStopped).Sub(g.plan.cost))
		return
	}
	running, granted := l.rates[run], l.rates[run].Mul(span(g.plan.run))
	forGood, forMade := granted, granted
	if l.counts() {
		whole := running.Mul(span(l.plan.run))
		forGood = whole.Mul(g.good).DivRound(l.plan.good, fine)
		forMade = whole.Mul(g.made()).DivRound(l.plan.in, fine)
	}
	lost := l.rates[idle].Mul(span(g.times[idle] + g.times[stopped]))
	used := running.Mul(span(g.times[run]))
	changed := l.rates[makeready].Mul(span(g.times[makeready] + g.times[washUp]))
	money.add(colQuantity, forGood.Sub(granted))
	money.add(colWaste, forMade.Sub(forGood))
	money.add(colTime, used.Sub(forMade).Add(lost))
	money.add(colChangeover, changed.Sub(l.rates[makeready].Mul(span(g.plan.makeready+g.plan.washUp))))
	actual := money.sum(colMakeready, colStopped)
	money.add(colRate, actual.Sub(changed.Add(used).Add(lost)).Sub(g.plan.cost.Sub(g.plan.standard)))
}
