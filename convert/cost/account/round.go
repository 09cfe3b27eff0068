package account

import (
	"cmp"
	"slices"

	"quoin/convert/cost"
)

// item is what is rounded by itself: the share of one device in one row, gathered
// from its groups.
type item struct {
	row, device string
	name        string // of the row, in words
	times       [kindsOfTime]cost.Span
	unpriced    cost.Span
	entries     int
	good, waste exact
	plan        portion
	raw         sums // times hour
	exact       sums // in currency
	shown       sums // rounded
}

// rowSum is what is gathered of a row beside its items.
type rowSum struct {
	below  map[string]bool // keys of the rows under it
	colour Colour
}

func (m *maker) rowOf(key string) *rowSum {
	r := m.rows[key]
	if r == nil {
		r = &rowSum{below: map[string]bool{}}
		m.rows[key] = r
	}
	return r
}

// sumGroups adds the groups of a chapter to their items, in the order of the work.
func (m *maker) sumGroups() {
	slices.SortStableFunc(m.lines, func(a, b *line) int { return a.compare(b.work) })
	for _, l := range m.lines {
		for _, g := range l.groups {
			key := [2]string{g.row, g.device}
			i := m.items[key]
			if i == nil {
				i = &item{row: g.row, device: g.device, name: m.rowName(g.row)}
				m.items[key] = i
			}
			i.add(g)
		}
	}
}

func (i *item) add(g *group) {
	for k := range kindsOfTime {
		i.times[k] += g.times[k]
	}
	i.unpriced += g.unpriced
	i.entries += g.entries
	i.good, i.waste = plus(i.good, g.good), plus(i.waste, g.waste)
	p := &i.plan
	p.known = p.known || g.plan.known
	p.makeready, p.run, p.washUp = p.makeready+g.plan.makeready, p.run+g.plan.run, p.washUp+g.plan.washUp
	p.good, p.waste = plus(p.good, g.plan.good), plus(p.waste, g.plan.waste)
	i.raw.addAll(&g.money)
}

// currency turns money times hour into money. Quotients that were cut off far behind
// the point come back to what they stand for.
func (s *sums) currency() sums {
	var all sums
	for c := range columns {
		if !s[c].IsZero() {
			all[c] = s[c].DivRound(hour, 2*fine)
		}
	}
	return all
}

// actual, planned and variance are sums of columns.
func (s *sums) actual() exact   { return s.sum(colMakeready, colPurchases) }
func (s *sums) planned() exact  { return s.sum(colPlanTime, colPlanPurchases) }
func (s *sums) variance() exact { return s.sum(colQuantity, colScope) }

func (s *sums) sum(from, to column) exact {
	var sum exact
	for c := from; c <= to; c++ {
		sum = plus(sum, s[c])
	}
	return sum
}

// rounded rounds each column, and lets the largest part of the variance take what
// rounding leaves between the variance and actual less plan.
func (s *sums) rounded(places int32) sums {
	var all sums
	for c := range columns {
		if !s[c].IsZero() {
			all[c] = s[c].Round(places)
		}
	}
	rest := all.actual().Sub(all.planned()).Sub(all.variance())
	largest := colQuantity
	for c := colQuantity; c <= colScope; c++ {
		if s[c].Abs().GreaterThan(s[largest].Abs()) {
			largest = c
		}
	}
	all.add(largest, rest)
	return all
}

// round rounds all items so that each column adds up, over all and over those of each
// device, to its total rounded, and the parts of the variance of each item to its
// actual less planned cost. The totals, which it gives, and those of the devices do not
// depend on what the rows are.
func round(items []*item, places int32) sums {
	byDevice := map[string][]*item{}
	var whole sums
	for _, i := range items {
		whole.addAll(&i.raw)
		i.exact = i.raw.currency()
		byDevice[i.device] = append(byDevice[i.device], i)
	}
	exact := whole.currency()
	totals := exact.rounded(places)
	names := sortedKeys(byDevice)
	devices := make([]*item, len(names))
	for n, name := range names {
		devices[n] = &item{device: name}
		for _, i := range byDevice[name] {
			devices[n].raw.addAll(&i.raw)
		}
		devices[n].exact = devices[n].raw.currency()
	}
	roundTo(devices, &totals, places)
	for n, name := range names {
		roundTo(byDevice[name], &devices[n].shown, places)
	}
	return totals
}

// roundTo rounds items so that they add up to totals that are rounded already.
func roundTo(items []*item, totals *sums, places int32) {
	for c := range columns {
		roundColumn(items, c, totals[c], places)
	}
	even(items, places)
}

// roundColumn rounds a column of items; see rounded.
func roundColumn(items []*item, c column, total exact, places int32) {
	all := make([]exact, len(items))
	for n, i := range items {
		all[n] = i.exact[c]
	}
	for n, shown := range rounded(all, total, places) {
		items[n].shown[c] = shown
	}
}

// rounded rounds by the method of the largest remainder: each figure by itself, then
// those that lost or won most by it move by one unit, until the sum is right.
func rounded(all []exact, total exact, places int32) []exact {
	type rest struct {
		at   int
		rest exact
	}
	shown := make([]exact, len(all))
	rests := make([]rest, 0, len(all))
	missing := total
	for n, e := range all {
		if e.IsZero() {
			continue
		}
		shown[n] = e.Round(places)
		missing = missing.Sub(shown[n])
		rests = append(rests, rest{n, e.Sub(shown[n])})
	}
	units := missing.Shift(places).IntPart()
	if units == 0 || len(all) == 0 {
		return shown
	}
	if len(rests) == 0 {
		rests = append(rests, rest{})
	}
	slices.SortStableFunc(rests, func(a, b rest) int { return b.rest.Cmp(a.rest) })
	step := num(int64(cmp.Compare(units, 0))).Shift(-places)
	if units < 0 {
		units = -units
		slices.Reverse(rests)
	}
	for n := range units {
		at := rests[n%int64(len(rests))].at
		shown[at] = plus(shown[at], step)
	}
	return shown
}

// even moves units of the variance between items, within a column, until the parts
// of each add up. What one item has too much another has too little.
func even(items []*item, places int32) {
	unit := num(1).Shift(-places)
	var low, high []*item // once for each unit
	for _, i := range items {
		off := i.shown.actual().Sub(i.shown.planned()).Sub(i.shown.variance()).Shift(places).IntPart()
		for range off {
			low = append(low, i)
		}
		for range -off {
			high = append(high, i)
		}
	}
	for n, to := range low {
		from := high[n]
		c := common(to, from)
		to.shown.add(c, unit)
		from.shown.add(c, unit.Neg())
	}
}

// common is the part of the variance that counts most in both items.
func common(a, b *item) column {
	best, most := colQuantity, num(-1)
	for c := colQuantity; c <= colScope; c++ {
		both := a.exact[c].Abs()
		if other := b.exact[c].Abs(); other.LessThan(both) {
			both = other
		}
		if both.GreaterThan(most) {
			best, most = c, both
		}
	}
	return best
}
