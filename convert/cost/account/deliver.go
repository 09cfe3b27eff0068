package account

import (
	"github.com/shopspring/decimal"
)

// Judge holds a delivered quantity against an order and a tolerance in percent, whose
// edges count as inside. What is inside is billed as delivered, and so is what is
// short, once that is agreed; of more than the tolerance takes no more than that, in
// whole copies.
//
// Source: the trade custom of 10 % over or under, as taught by citytech.cuny.edu; both
// the percentage and what is billed are open to agreement.
func Judge(ordered, delivered, tolerance decimal.Decimal) Delivery {
	margin := ordered.Mul(tolerance).Shift(-2)
	d := Delivery{
		Ordered: ordered, Delivered: delivered, Least: ordered.Sub(margin), Most: ordered.Add(margin),
		Outcome: Inside, Bill: delivered,
	}
	switch {
	case delivered.LessThan(d.Least):
		d.Outcome = Short
	case delivered.GreaterThan(d.Most):
		d.Outcome, d.Bill = Over, d.Most.Floor()
	}
	return d
}

// sumDeliveries judges the orders of jobs that the filter takes something of. The
// quantity is that of the whole job, since an order is not delivered by days.
func (m *maker) sumDeliveries() {
	seen := map[string]bool{}
	for _, l := range m.lines {
		if l.taken {
			seen[l.job] = true
		}
	}
	shipped := map[string]decimal.Decimal{}
	for _, ship := range m.Shipped {
		shipped[ship.Job] = shipped[ship.Job].Add(ship.Quantity)
		c := Cell{Job: ship.Job, Day: ship.Day}
		seen[ship.Job] = seen[ship.Job] || m.sieve.has(&c)
	}
	byJob := map[string][]*line{}
	for _, l := range m.lines {
		byJob[l.job] = append(byJob[l.job], l)
	}
	for _, job := range sortedKeys(m.orders) {
		o := m.orders[job]
		if !seen[job] || !o.Ordered.IsPositive() {
			continue
		}
		quantity, given := shipped[job]
		if !given {
			quantity = m.made(byJob[job], o.Ordered)
		}
		if !quantity.IsPositive() {
			continue // not delivered yet
		}
		d := Judge(o.Ordered, quantity, m.plant.Tolerance)
		d.Job, d.Customer, d.Shipped = job, o.Customer, given
		m.delivered = append(m.delivered, d)
	}
}

// made is what the last operation of a job made: of those whose plan is to make the
// quantity ordered, the one with the least beyond it; without such plans, the
// machine that stands last in the way of work through a plant. It is zero while that
// has made nothing.
func (m *maker) made(lines []*line, ordered decimal.Decimal) decimal.Decimal {
	var last *line
	want := exactly(ordered)
	later := func(l, than *line) bool {
		a, b := m.units[l.device], m.units[than.device]
		return a != nil && (b == nil || a.trade > b.trade)
	}
	for _, l := range lines {
		enough := !l.plan.good.LessThan(want)
		if l.device == "" || l.plan.known && !enough {
			continue
		}
		switch {
		case last == nil || l.plan.known && !last.plan.known:
			last = l
		case last.plan.known && !l.plan.known:
		case !l.plan.known || l.plan.good.Equal(last.plan.good):
			if later(l, last) {
				last = l
			}
		case l.plan.good.LessThan(last.plan.good):
			last = l
		}
	}
	if last == nil {
		return decimal.Zero
	}
	return last.good.decimal()
}
