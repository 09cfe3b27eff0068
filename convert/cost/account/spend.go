package account

import (
	"slices"

	"quoin/convert/cost"
	"quoin/jdf/job"
)

// The columns of money that are rounded each; all other money is a sum of them.
type column uint8

const (
	// Actual: the first are in the order of kindOfTime.
	colMakeready column = iota
	colRun
	colWashUp
	colIdle
	colStopped
	colPaper
	colPlates
	colInk
	colCoating
	colOther
	colPurchases
	// Plan.
	colPlanTime
	colPlanMaterial
	colPlanPurchases
	// Variance.
	colQuantity
	colTime
	colRate
	colWaste
	colChangeover
	colScope
	// Shares of others, which no sum has.
	colRework
	colPremiums
	columns
)

// sums is money of all columns, times hour.
type sums [columns]exact

func (s *sums) add(c column, d exact) {
	switch {
	case d.IsZero():
	case s[c].IsZero():
		s[c] = d
	default:
		s[c] = s[c].Add(d)
	}
}

// addAll leaves out the many columns that are zero, for time is spent on their sums.
func (s *sums) addAll(t *sums) {
	for c := range columns {
		switch {
		case t[c].IsZero():
		case s[c].IsZero():
			s[c] = t[c]
		default:
			s[c] = s[c].Add(t[c])
		}
	}
}

// groupKey is what is added up before plans are shared out: the cells of a line that
// stand in one row. The cells that the filter leaves out are not in any.
type groupKey struct {
	row  string
	line *line
}

// group is the share of a line in a row.
type group struct {
	row, device string
	line        *line
	times       [kindsOfTime]cost.Span
	unpriced    cost.Span
	entries     int
	good, waste exact
	plan        portion
	money       sums
	reasons     map[string]cost.Span // of stops
	phases      [kindsOfTime]int
	below       string // key of the row under the row that was noted last
}

// portion is the share of a group in the plan of its line.
type portion struct {
	known                  bool
	makeready, run, washUp cost.Span
	good, waste            exact
	standard, cost         exact // as in planned
}

func (g *group) made() exact { return plus(g.good, g.waste) }

// plus adds, and is quick where there is nothing to add.
func plus(a, b exact) exact {
	switch {
	case b.IsZero():
		return a
	case a.IsZero():
		return b
	}
	return a.Add(b)
}

func (g *group) total() cost.Span {
	var sum cost.Span
	for _, t := range g.times {
		sum += t
	}
	return sum
}

// group finds or makes the group of a cell.
func (m *maker) group(c *Cell, l *line) *group {
	key := groupKey{m.key(m.by, c), l}
	g := m.groups[key]
	isNew := g == nil
	if isNew {
		g = &group{row: key.row, device: c.Device, line: l}
		m.groups[key] = g
		l.groups = append(l.groups, g)
	}
	if below := m.by.Below(); below != "" {
		if under := m.key(below, c); isNew || under != g.below {
			g.below = under
			m.rowOf(key.row).below[under] = true
		}
	}
	return g
}

// key is the row that a cell stands in.
func (m *maker) key(by By, c *Cell) string {
	switch by {
	case ByJob:
		return c.Job
	case ByPart:
		if c.Part == "" {
			return c.Job
		}
		key := c.Job + "/" + c.Part
		m.parts[key] = [2]string{c.Job, c.Part}
		return key
	case ByCentre:
		return c.Centre
	case ByDevice:
		return c.Device
	case ByOperator:
		return c.Operator
	case ByCustomer:
		return m.orders[c.Job].Customer
	case ByShift:
		return c.Shift
	case ByWeek:
		return m.date(c.Day).week
	case ByMonth:
		return m.date(c.Day).month
	}
	return c.Day
}

// spend prices a cell and puts it into its line, and into its group and all that is
// counted by cells where the filter takes it.
func (m *maker) spend(c *Cell, l *line) {
	kind := kindOf(c.State)
	l.times[kind] += c.Time
	good, waste := exactly(c.Good), exactly(c.Waste)
	l.good, l.waste = plus(l.good, good), plus(l.waste, waste)
	l.cells++
	if !m.sieve.has(c) {
		return
	}
	l.taken = true
	m.dayOf(c)
	m.effectOf(c, l)
	g := m.group(c, l)
	g.times[kind] += c.Time
	g.phases[kind] += c.Entries
	g.entries += c.Entries
	g.good, g.waste = plus(g.good, good), plus(g.waste, waste)
	if c.State == job.StateStopped {
		if g.reasons == nil {
			g.reasons = map[string]cost.Span{}
		}
		g.reasons[c.Reason] += c.Time
	}
	r := m.rate(c)
	if c.State == job.StateStopped {
		m.stopOf(c, r)
	}
	if r.centre == nil || kind == notKnown {
		g.unpriced += c.Time
		return
	}
	t := span(c.Time)
	money := r.full[kind].Mul(t)
	g.money.add(column(kind), money)
	if r.premium[kind].IsPositive() {
		g.money.add(colPremiums, r.premium[kind].Mul(t))
	}
	if c.Work == "Alteration" || c.Work == "Rework" {
		g.money.add(colRework, money)
	}
}

// dayOf widens the period by the day of a cell.
func (m *maker) dayOf(c *Cell) {
	if c.Day != "" {
		if m.from == "" || c.Day < m.from {
			m.from = c.Day
		}
		m.to = max(m.to, c.Day)
	}
}

// idlePlans makes the groups of plans that nothing is reported of, though the job
// has begun. They belong to no day.
func (m *maker) idlePlans() {
	for _, l := range m.lines {
		if l.cells > 0 {
			continue
		}
		c := Cell{Job: l.job, Part: l.part, Device: l.device}
		if centre := m.centreOfTask(l.tasks[0]); centre != nil {
			c.Centre = centre.ID
		}
		if m.sieve.has(&c) {
			m.group(&c, l)
		}
	}
	for _, l := range m.lines {
		slices.SortFunc(l.groups, func(a, b *group) int {
			if a.row < b.row {
				return -1
			}
			return 1 // a line has one group in a row
		})
	}
}
