package account

import (
	"cmp"
	"slices"

	"quoin/convert/cost"
)

// statement rounds the groups and writes everything down.
func (m *maker) statement() *Statement {
	s := &Statement{
		Plant: m.Plant.Name, Currency: m.Plant.Currency, Places: m.Plant.Places, By: m.by, Filter: m.filter,
		Rows: []Row{}, Materials: []Material{}, Shifts: []Shift{}, Devices: []Device{}, Stops: []Stop{},
		Deliveries: []Delivery{}, Deviations: []Deviation{}, Waiting: []string{}, // lists in JSON, also where empty
	}
	s.From, s.To = m.period()
	items := m.items()
	totals := round(items, m.Plant.Places)
	m.writeRows(s, items)
	m.writeMaterials(s, &totals)
	m.writeOEE(s)
	m.writeStops(s)
	m.writeDeliveries(s)
	m.writeDeviations(s)
	m.writeColour(s)
	m.writeWaiting(s)
	return s
}

// period is the days of the filter, or else of the cells that it takes.
func (m *maker) period() (from, to string) {
	for i := range m.cells {
		if c := &m.cells[i]; c.Day != "" && m.taken[i] {
			if from == "" || c.Day < from {
				from = c.Day
			}
			to = max(to, c.Day)
		}
	}
	return cmp.Or(m.filter.From, from), cmp.Or(m.filter.To, to)
}

// items puts the groups together by row and device, in their order.
func (m *maker) items() []*item {
	all := map[[2]string]*item{}
	for _, g := range m.groups {
		key := [2]string{g.row, g.device}
		if all[key] == nil {
			all[key] = &item{row: g.row, device: g.device}
		}
		all[key].groups = append(all[key].groups, g)
	}
	items := make([]*item, 0, len(all))
	for _, i := range all {
		slices.SortFunc(i.groups, func(a, b *group) int { return a.line.compare(b.line.work) })
		for _, g := range i.groups {
			i.raw.addAll(&g.money)
		}
		items = append(items, i)
	}
	slices.SortFunc(items, func(a, b *item) int {
		return cmp.Or(cmp.Compare(a.row, b.row), cmp.Compare(a.device, b.device))
	})
	return items
}

// writeRows writes the items as lines of rows. Whatever is over a line is a sum of
// what is shown.
func (m *maker) writeRows(s *Statement, items []*item) {
	byDevice := map[string]*Line{}
	for _, i := range items {
		if n := len(s.Rows); n == 0 || s.Rows[n-1].Key != i.row {
			s.Rows = append(s.Rows, m.row(i.row))
		}
		row := &s.Rows[len(s.Rows)-1]
		line := m.writeLine(i)
		row.Lines = append(row.Lines, line)
		row.Figures = row.Figures.plus(line.Figures)
		if below := m.by.Below(); below != "" {
			for _, g := range i.groups {
				row.Parts = append(row.Parts, g.below...)
			}
		}
		if byDevice[line.Device] == nil {
			byDevice[line.Device] = &Line{Device: line.Device, Name: line.Name}
		}
		byDevice[line.Device].add(line)
		s.Total.Figures = s.Total.Figures.plus(line.Figures)
	}
	for n := range s.Rows {
		slices.Sort(s.Rows[n].Parts)
		s.Rows[n].Parts = slices.Compact(s.Rows[n].Parts)
	}
	s.Total.Only = m.filter
	s.Total.Lines = []Line{}
	for _, device := range sortedKeys(byDevice) {
		s.Total.Lines = append(s.Total.Lines, *byDevice[device])
	}
	for _, row := range s.Rows {
		s.Total.Parts = append(s.Total.Parts, row.Key)
	}
	s.Total.Below = m.by
}

func (m *maker) row(key string) Row {
	return Row{Key: key, Name: m.name(key), Below: m.by.Below(), Only: m.only(key), Lines: []Line{}}
}

// name is what a row is called beside its key.
func (m *maker) name(key string) string {
	switch m.by {
	case ByJob:
		return m.orders[key].Name
	case ByDevice:
		return m.nameOf(key)
	case ByCentre:
		if c := m.centres[key]; c != nil {
			return c.Name
		}
	}
	return ""
}

func (m *maker) nameOf(device string) string {
	if u := m.units[device]; u != nil {
		return u.Name
	}
	return ""
}

func (m *maker) writeLine(i *item) Line {
	l := Line{Device: i.device, Name: m.nameOf(i.device)}
	l.Actual, l.Plan, l.Variance, l.Extra = i.shown.write()
	var good, waste, planGood, planWaste exact
	for _, g := range i.groups {
		l.Times = addTimes(l.Times, g.times)
		l.Unpriced += g.unpriced
		l.Entries += g.entries
		good, waste = plus(good, g.good), plus(waste, g.waste)
		p := &l.Plan
		p.Known = p.Known || g.plan.known
		p.Makeready, p.Run, p.WashUp = p.Makeready+g.plan.makeready, p.Run+g.plan.run, p.WashUp+g.plan.washUp
		planGood, planWaste = plus(planGood, g.plan.good), plus(planWaste, g.plan.waste)
	}
	l.Good, l.Waste = good.decimal(), waste.decimal()
	l.PlannedGood, l.PlannedWaste = planGood.decimal(), planWaste.decimal()
	return l
}

func addTimes(t cost.Times, more [kindsOfTime]cost.Span) cost.Times {
	t.Makeready, t.Run, t.WashUp = t.Makeready+more[makeready], t.Run+more[run], t.WashUp+more[washUp]
	t.Idle, t.Stopped, t.Unknown = t.Idle+more[idle], t.Stopped+more[stopped], t.Unknown+more[notKnown]
	return t
}

// write turns rounded columns into what a statement shows.
func (s *sums) write() (Money, Plan, Variance, Extra) {
	actual := Money{
		Makeready: s[colMakeready].decimal(),
		Run:       s[colRun].decimal(),
		WashUp:    s[colWashUp].decimal(),
		Idle:      s[colIdle].decimal(),
		Stopped:   s[colStopped].decimal(),
		Time:      s.sum(colMakeready, colStopped).decimal(),
		Paper:     s[colPaper].decimal(),
		Plates:    s[colPlates].decimal(),
		Ink:       s[colInk].decimal(),
		Coating:   s[colCoating].decimal(),
		Other:     s[colOther].decimal(),
		Material:  s.sum(colPaper, colOther).decimal(),
		Purchases: s[colPurchases].decimal(),
		Total:     s.actual().decimal(),
	}
	plan := Plan{
		Time:      s[colPlanTime].decimal(),
		Material:  s[colPlanMaterial].decimal(),
		Purchases: s[colPlanPurchases].decimal(),
		Total:     s.planned().decimal(),
	}
	variance := Variance{
		Quantity:   s[colQuantity].decimal(),
		Time:       s[colTime].decimal(),
		Rate:       s[colRate].decimal(),
		Waste:      s[colWaste].decimal(),
		Changeover: s[colChangeover].decimal(),
		Scope:      s[colScope].decimal(),
		Total:      s.variance().decimal(),
	}
	return actual, plan, variance, Extra{Rework: s[colRework].decimal(), Premiums: s[colPremiums].decimal()}
}

func (l *Line) add(m Line) {
	l.Figures = l.Figures.plus(m.Figures)
	l.Good, l.Waste = l.Good.Add(m.Good), l.Waste.Add(m.Waste)
	l.PlannedGood, l.PlannedWaste = l.PlannedGood.Add(m.PlannedGood), l.PlannedWaste.Add(m.PlannedWaste)
}

// writeMaterials writes what the filter takes of each material.
func (m *maker) writeMaterials(s *Statement, totals *sums) {
	var byColumn [columns][]exact
	plans := make([]exact, len(m.goods))
	for n, g := range m.goods {
		c := columnOf(g.kind)
		byColumn[c] = append(byColumn[c], g.pool.share(g.cost.Mul(hour), fine).DivRound(hour, 2*fine))
		plans[n] = g.pool.share(g.planCost.Mul(hour), fine).DivRound(hour, 2*fine)
	}
	for c := colPaper; c <= colOther; c++ {
		byColumn[c] = rounded(byColumn[c], totals[c], s.Places)
	}
	plans = rounded(plans, totals[colPlanMaterial], s.Places)
	var next [columns]int // of each column
	for n, g := range m.goods {
		c := columnOf(g.kind)
		money := byColumn[c][next[c]]
		next[c]++
		used, planned := g.pool.share(g.used, fine), g.pool.share(g.planned, fine)
		if used.IsZero() && planned.IsZero() {
			continue
		}
		out := Material{
			Job: g.job, Part: g.part, Kind: g.kind, Name: g.name, Quantity: used.Round(4).decimal(), Unit: g.unit,
			Kilos: used.Mul(g.factor).Round(4).decimal(), Planned: planned.Round(4).decimal(), Reported: g.reported,
			Cost: money.decimal(), PlanCost: plans[n].decimal(),
		}
		if len(g.lines) == 1 {
			out.Device = g.lines[0].device
		}
		for _, u := range g.uses {
			if u.Lot != "" && !slices.Contains(out.Lots, u.Lot) {
				out.Lots = append(out.Lots, u.Lot)
			}
		}
		s.Materials = append(s.Materials, out)
	}
}

// writeWaiting lists jobs that are planned and of which nothing is reported.
func (m *maker) writeWaiting(s *Statement) {
	begun, waiting := map[string]bool{}, map[string]bool{}
	for _, l := range m.lines {
		if l.cells > 0 {
			begun[l.job] = true
		}
	}
	for _, t := range m.Tasks {
		waiting[t.Job] = true
	}
	for job := range waiting {
		c := Cell{Job: job}
		if !begun[job] && m.sieve.has(&c) {
			s.Waiting = append(s.Waiting, job)
		}
	}
	slices.Sort(s.Waiting)
}

func (m *maker) writeColour(s *Statement) {
	rows := map[string]int{}
	for n, row := range s.Rows {
		rows[row.Key] = n
	}
	for _, c := range m.Colour {
		cell := Cell{Job: c.Job, Device: c.Device, Day: c.Day}
		if u := m.units[c.Device]; u != nil && u.CostCentre != nil {
			cell.Centre = u.CostCentre.ID
		}
		if !m.sieve.has(&cell) {
			continue
		}
		if n, have := rows[m.key(m.by, &cell)]; have {
			s.Rows[n].Colour = s.Rows[n].Colour.plus(c)
		}
		s.Total.Colour = s.Total.Colour.plus(c)
	}
}
