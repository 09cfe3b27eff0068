package cost

import (
	"cmp"
	"slices"
	"time"

	"github.com/shopspring/decimal"
)

// byCentre adds up the lines of each cost centre. What has none stands under "".
func (r *reporter) byCentre(costs *Costs) {
	sums := map[string]Figures{}
	for _, j := range costs.Jobs {
		for _, l := range j.Lines {
			sums[l.Centre] = sums[l.Centre].plus(l.Figures)
		}
	}
	for _, id := range keys(sums) {
		c := Centre{ID: id, Figures: sums[id]}
		if known := r.centres[id]; known != nil {
			c.Name = known.Name
		}
		costs.Centres = append(costs.Centres, c)
	}
}

// byDevice adds up what each device did, and works out what is not accounted for.
func (r *reporter) byDevice(costs *Costs, l *Ledger, plans map[string][]Planned) {
	sums, goods := map[string]Figures{}, map[string]Made{}
	for _, j := range costs.Jobs {
		for _, line := range j.Lines {
			sums[line.Device] = sums[line.Device].plus(line.Figures)
			goods[line.Device] = goods[line.Device].plus(line.Made)
		}
	}
	first, last := map[string]time.Time{}, map[string]time.Time{}
	for _, e := range l.Entries {
		if t, ok := first[e.Device]; !ok || e.Start.Before(t) {
			first[e.Device] = e.Start
		}
		if t, ok := last[e.Device]; !ok || e.End.After(t) {
			last[e.Device] = e.End
		}
	}
	for _, id := range keys(sums) {
		if _, seen := first[id]; id == "" || !seen {
			continue // work of no device may lie side by side; a plan alone is no time
		}
		f, out := sums[id], goods[id]
		d := Device{ID: id, Figures: f, Made: out}
		if m := r.machines[id]; m != nil {
			d.Name = m.Name
		}
		d.Unallocated = max(0, between(first[id], last[id])-f.Total())
		made := out.Good.Add(out.Waste)
		// Nights and days without shift stand in the unallocated time, and no
		// calendar tells them from lost hours: busy is what was reported.
		d.OEE = Effectiveness(f.Total(), f.Run, plannedTime(id, made, plans), made, out.Good)
		costs.Devices = append(costs.Devices, d)
	}
	slices.SortFunc(costs.Devices, func(a, b Device) int { return cmp.Compare(a.ID, b.ID) })
}

// plannedTime is the time in which a device should have made so much, by the
// mean speed that its plans reckon with; 0 without plans.
func plannedTime(device string, made decimal.Decimal, plans map[string][]Planned) Span {
	var run Span
	var amount decimal.Decimal
	for _, plan := range plans {
		for _, p := range plan {
			if p.Device == device {
				run = run.plus(p.Run)
				amount = amount.Add(p.Good).Add(p.Waste)
			}
		}
	}
	if !amount.IsPositive() {
		return 0
	}
	return Span(decimal.NewFromInt(int64(run)).Mul(made).DivRound(amount, 0).IntPart())
}
