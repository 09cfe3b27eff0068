package account

import (
	"cmp"
	"slices"

	"quoin/convert/cost"
)

// statement rounds the groups and writes everything down.
func (m *maker) statement() *Statement {
	s := &Statement{
		Plant: m.plant.Name, Currency: m.plant.Currency, Places: m.plant.Places, By: m.by, Filter: m.filter,
		Rows: []Row{}, Materials: []Material{}, Shifts: []Shift{}, Devices: []Device{}, Stops: []Stop{},
		Deliveries: []Delivery{}, Deviations: []Deviation{}, Waiting: []string{}, // lists in JSON, also where empty
	}
	s.From, s.To = cmp.Or(m.filter.From, m.from), cmp.Or(m.filter.To, m.to)
	items := m.sorted()
	totals := round(items, m.plant.Places)
	m.writeRows(s, items)
	m.writeMaterials(s, &totals)
	m.writeOEE(s)
	m.writeStops(s)
	slices.SortStableFunc(m.delivered, func(a, b Delivery) int { return cmp.Compare(a.Job, b.Job) })
	s.Deliveries = append(s.Deliveries, m.delivered...)
	m.writeDeviations(s)
	s.Total.Colour = m.colour
	slices.Sort(m.waiting)
	s.Waiting = append(s.Waiting, slices.Compact(m.waiting)...)
	return s
}

// sorted gives the items in their order.
func (m *maker) sorted() []*item {
	items := make([]*item, 0, len(m.items))
	for _, i := range m.items {
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
			s.Rows = append(s.Rows, m.row(i))
		}
		row := &s.Rows[len(s.Rows)-1]
		line := m.writeLine(i)
		row.Lines = append(row.Lines, line)
		row.Figures = row.Figures.plus(line.Figures)
		if byDevice[line.Device] == nil {
			byDevice[line.Device] = &Line{Device: line.Device, Name: line.Name}
		}
		byDevice[line.Device].add(line)
		s.Total.Figures = s.Total.Figures.plus(line.Figures)
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

func (m *maker) row(i *item) Row {
	row := Row{Key: i.row, Name: i.name, Below: m.by.Below(), Only: m.only(i.row), Lines: []Line{}}
	if r := m.rows[i.row]; r != nil {
		if len(r.below) > 0 {
			row.Parts = sortedKeys(r.below)
		}
		row.Colour = r.colour
	}
	return row
}

// rowName is what a row is called beside its key.
func (m *maker) rowName(key string) string {
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
	l.Times = addTimes(l.Times, i.times)
	l.Unpriced, l.Entries = i.unpriced, i.entries
	p := &i.plan
	l.Plan.Known, l.Plan.Makeready, l.Plan.Run, l.Plan.WashUp = p.known, p.makeready, p.run, p.washUp
	l.Good, l.Waste = i.good.decimal(), i.waste.decimal()
	l.PlannedGood, l.PlannedWaste = p.good.decimal(), p.waste.decimal()
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

// charged is what the filter takes of one material, before it is rounded.
type charged struct {
	Material
	column  column
	money   exact
	planned exact
	empty   bool // there is nothing to show of it but money
}

// sumGoods takes down the materials of a chapter.
func (m *maker) sumGoods() {
	for _, g := range m.goods {
		used, planned := g.pool.share(g.used, fine), g.pool.share(g.planned, fine)
		c := charged{
			column: columnOf(g.kind), empty: used.IsZero() && planned.IsZero(),
			money:   g.pool.share(g.cost.Mul(hour), fine).DivRound(hour, 2*fine),
			planned: g.pool.share(g.planCost.Mul(hour), fine).DivRound(hour, 2*fine),
			Material: Material{
				Job: g.job, Part: g.part, Kind: g.kind, Name: g.name, Quantity: used.Round(4).decimal(), Unit: g.unit,
				Kilos: used.Mul(g.factor).Round(4).decimal(), Planned: planned.Round(4).decimal(), Reported: g.reported,
			},
		}
		if len(g.lines) == 1 {
			c.Device = g.lines[0].device
		}
		for _, u := range g.uses {
			if u.Lot != "" && !slices.Contains(c.Lots, u.Lot) {
				c.Lots = append(c.Lots, u.Lot)
			}
		}
		m.charged = append(m.charged, c)
	}
}

// writeMaterials writes what the filter takes of each material.
func (m *maker) writeMaterials(s *Statement, totals *sums) {
	slices.SortStableFunc(m.charged, func(a, b charged) int { return cmp.Compare(a.Job, b.Job) })
	var byColumn [columns][]exact
	plans := make([]exact, len(m.charged))
	for n := range m.charged {
		c := &m.charged[n]
		byColumn[c.column] = append(byColumn[c.column], c.money)
		plans[n] = c.planned
	}
	for c := colPaper; c <= colOther; c++ {
		byColumn[c] = rounded(byColumn[c], totals[c], s.Places)
	}
	plans = rounded(plans, totals[colPlanMaterial], s.Places)
	var next [columns]int // of each column
	for n := range m.charged {
		c := &m.charged[n]
		c.Cost, c.PlanCost = byColumn[c.column][next[c.column]].decimal(), plans[n].decimal()
		next[c.column]++
		if !c.empty {
			s.Materials = append(s.Materials, c.Material)
		}
	}
}

// sumWaiting notes jobs that are planned and of which nothing is reported.
func (m *maker) sumWaiting() {
	begun, waiting := map[string]bool{}, map[string]bool{}
	for _, l := range m.lines {
		if l.cells > 0 {
			begun[l.job] = true
		}
	}
	for i := range m.Tasks {
		waiting[m.Tasks[i].Job] = true
	}
	for job := range waiting {
		c := Cell{Job: job}
		if !begun[job] && m.sieve.has(&c) {
			m.waiting = append(m.waiting, job)
		}
	}
}

// sumColour counts what was measured in each row.
func (m *maker) sumColour() {
	for _, c := range m.Colour {
		cell := Cell{Job: c.Job, Device: c.Device, Day: c.Day}
		if u := m.units[c.Device]; u != nil && u.CostCentre != nil {
			cell.Centre = u.CostCentre.ID
		}
		if !m.sieve.has(&cell) {
			continue
		}
		r := m.rowOf(m.key(m.by, &cell))
		r.colour = r.colour.plus(c)
		m.colour = m.colour.plus(c)
	}
}
