package account

import (
	"cmp"
	"slices"

	"quoin/convert/cost"
)

// stopSum is what is gathered of a reason.
type stopSum struct {
	time    cost.Span
	count   int
	devices map[string]bool
	money   exact // times hour
}

// stopOf adds a cell of a device that stood still, at its rate.
func (m *maker) stopOf(c *Cell, r rate) {
	stop := m.stops[c.Reason]
	if stop == nil {
		stop = &stopSum{devices: map[string]bool{}}
		m.stops[c.Reason] = stop
	}
	stop.time += c.Time
	stop.count += c.Entries
	stop.devices[c.Device] = true
	stop.money = plus(stop.money, r.full[stopped].Mul(span(c.Time)))
}

// writeStops ranks the reasons of stops by time, count and cost.
func (m *maker) writeStops(s *Statement) {
	reasons := sortedKeys(m.stops)
	costs := make([]exact, len(reasons))
	for n, reason := range reasons {
		costs[n] = m.stops[reason].money.DivRound(hour, 2*fine)
	}
	costs = rounded(costs, exactly(s.Total.Actual.Stopped), s.Places)
	for n, reason := range reasons {
		stop := m.stops[reason]
		s.Stops = append(s.Stops, Stop{
			Reason: reason, Devices: sortedKeys(stop.devices), Time: stop.time, Count: stop.count, Cost: costs[n].decimal(),
		})
	}
	rank(s.Stops, func(a, b *Stop) int { return cmp.Compare(b.Count, a.Count) }, func(x *Stop, n int) { x.ByCount = n })
	rank(s.Stops, func(a, b *Stop) int { return b.Cost.Cmp(a.Cost) }, func(x *Stop, n int) { x.ByCost = n })
	byTime := func(a, b *Stop) int { return cmp.Compare[cost.Span](b.Time, a.Time) }
	rank(s.Stops, byTime, func(x *Stop, n int) { x.ByTime = n })
}

// rank sorts the stops, and tells each its place; those that are equal share one.
func rank(stops []Stop, compare func(a, b *Stop) int, set func(*Stop, int)) {
	slices.SortFunc(stops, func(a, b Stop) int { return cmp.Or(compare(&a, &b), cmp.Compare(a.Reason, b.Reason)) })
	place := 0
	for n := range stops {
		if n == 0 || compare(&stops[n-1], &stops[n]) != 0 {
			place = n + 1
		}
		set(&stops[n], place)
	}
}
