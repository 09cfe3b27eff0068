package account

import (
	"cmp"
	"slices"

	"quoin/convert/cost"
	"quoin/jdf/job"
)

// writeStops ranks the reasons of stops by time, count and cost.
func (m *maker) writeStops(s *Statement) {
	byReason := map[string]*Stop{}
	devices := map[string]map[string]bool{}
	money := map[string]exact{}
	for i := range m.cells {
		c := &m.cells[i]
		if c.State != job.StateStopped || !m.taken[i] {
			continue
		}
		stop := byReason[c.Reason]
		if stop == nil {
			stop = &Stop{Reason: c.Reason}
			byReason[c.Reason], devices[c.Reason] = stop, map[string]bool{}
		}
		stop.Time += c.Time
		stop.Count += c.Entries
		devices[c.Reason][c.Device] = true
		money[c.Reason] = money[c.Reason].Add(m.rate(c).full[stopped].Mul(span(c.Time)))
	}
	reasons := sortedKeys(byReason)
	costs := make([]exact, len(reasons))
	for n, reason := range reasons {
		costs[n] = money[reason].DivRound(hour, 2*fine)
	}
	costs = rounded(costs, exactly(s.Total.Actual.Stopped), s.Places)
	for n, reason := range reasons {
		stop := byReason[reason]
		stop.Devices, stop.Cost = sortedKeys(devices[reason]), costs[n].decimal()
		s.Stops = append(s.Stops, *stop)
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
