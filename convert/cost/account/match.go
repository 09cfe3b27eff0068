package account

import (
	"cmp"
	"slices"

	"quoin/convert/cost"
	"quoin/validate/plant"
)

// work is what plan and cells are matched by.
type work struct{ job, part, device string }

// line is one piece of work: what a plan has of it, and the groups of cells that did
// it.
type line struct {
	work
	tasks  []cost.Task
	plan   planned
	rates  [kindsOfTime]exact // standard
	groups []*group
	pool   *pool // see ownPool

	// Of all cells, also of those that the filter leaves out.
	times [kindsOfTime]cost.Span
	good  exact
	waste exact
	cells int
	taken bool // whether the filter takes any of them
}

// planned is the sum of the tasks of a line.
type planned struct {
	known                  bool
	makeready, run, washUp cost.Span
	in, good, waste        exact
	standard               exact      // its times at the standard rates, times hour
	cost                   exact      // as the plan has it, times hour
	class                  cost.Class // of its first task that has one
}

func (l *line) made() exact { return plus(l.good, l.waste) }

// counts reports whether both plan and devices tell amounts.
func (l *line) counts() bool {
	return l.plan.in.IsPositive() && l.plan.good.IsPositive() && l.made().IsPositive()
}

// match makes the lines. Within a job and device, plan and cells of one part belong
// together; what is left on both sides, such as cells that name no part, belongs
// together too. Work of a part that was planned on one device and done on another of
// its kind is one line.
func (m *maker) match() {
	begun := map[string]bool{}
	for _, l := range m.lines {
		begun[l.job] = true // what was spent already
	}
	done := map[work]int{} // the place in works
	var works []work
	of := make([]int, len(m.cells))
	for i := range m.cells {
		c := &m.cells[i]
		w := work{c.Job, c.Part, c.Device}
		if i > 0 && w == works[of[i-1]] {
			of[i] = of[i-1] // cells of one piece of work often follow each other
			continue
		}
		n, known := done[w]
		if !known {
			n = len(works)
			done[w], works = n, append(works, w)
		}
		of[i] = n
	}
	for _, w := range works {
		begun[w.job] = true
	}
	tasks := map[work][]cost.Task{}
	for _, t := range m.Tasks {
		if begun[t.Job] && !idleTask(&t) {
			key := work{t.Job, t.Part, t.Device}
			tasks[key] = append(tasks[key], t)
		}
	}
	var undone, unplanned []work
	for key := range tasks {
		switch _, known := done[key]; {
		case known:
			m.line(key, tasks[key])
		case m.lineOf[key] == nil:
			undone = append(undone, key)
		}
	}
	for _, key := range works {
		if tasks[key] == nil {
			unplanned = append(unplanned, key)
		}
	}
	slices.SortFunc(undone, work.compare)
	slices.SortFunc(unplanned, work.compare)
	m.pair(undone, unplanned, tasks)
	slices.SortFunc(m.lines, func(a, b *line) int { return a.compare(b.work) })
	for _, l := range m.lines {
		if l.cells == 0 { // else it was done before it was spent on
			m.reckon(l)
		}
	}
	for i, n := range of {
		if i > 0 && n == of[i-1] {
			m.lineAt = append(m.lineAt, m.lineAt[i-1])
			continue
		}
		m.lineAt = append(m.lineAt, m.lineOf[works[n]])
	}
}

// idleTask reports whether a plan grants nothing.
func idleTask(t *cost.Task) bool { return t.Makeready+t.Run+t.WashUp == 0 && t.Cost.IsZero() }

// looseLine finds or makes the line of a cell of no job, which is never that of work
// planned elsewhere.
func (m *maker) looseLine(c *Cell) *line {
	w := work{part: c.Part, device: c.Device}
	l := m.lineOf[w]
	if l == nil {
		l = m.line(w, m.loose[w])
		m.reckon(l)
	}
	return l
}

func (w work) compare(v work) int {
	return cmp.Or(cmp.Compare(w.job, v.job), cmp.Compare(w.device, v.device), cmp.Compare(w.part, v.part))
}

// pair finds lines for what has no partner of its own.
func (m *maker) pair(undone, unplanned []work, tasks map[work][]cost.Task) {
	left := map[string][]work{} // plans without cells, by job
	for _, p := range undone {
		left[p.job] = append(left[p.job], p)
	}
	lump := map[work]*line{} // by job and device
	take := func(real work, meets func(p work) bool) *line {
		var mine []cost.Task
		left[real.job] = slices.DeleteFunc(left[real.job], func(p work) bool {
			if !meets(p) {
				return false
			}
			mine = append(mine, tasks[p]...)
			return true
		})
		if mine == nil {
			return nil
		}
		return m.line(real, mine)
	}
	var alone []work
	for _, real := range unplanned {
		at := work{job: real.job, device: real.device}
		if lump[at] == nil && real.job != "" {
			lump[at] = take(real, func(p work) bool { return p.device == real.device })
		}
		if lump[at] == nil {
			alone = append(alone, real)
			continue
		}
		m.lineOf[real] = lump[at]
	}
	for _, real := range alone {
		moved := func(p work) bool {
			to, from := m.units[real.device], m.units[p.device]
			return p.part == real.part && to != nil && from != nil && to.trade == from.trade
		}
		if real.job == "" || take(real, moved) == nil {
			m.line(real, nil)
		}
	}
	for _, job := range sortedKeys(left) {
		for _, p := range left[job] {
			m.line(p, tasks[p])
		}
	}
}

func (m *maker) line(w work, tasks []cost.Task) *line {
	l := &line{work: w, tasks: tasks}
	m.lines = append(m.lines, l)
	m.lineOf[w] = l
	return l
}

// reckon adds up the plan of a line.
func (m *maker) reckon(l *line) {
	slices.SortFunc(l.tasks, func(a, b cost.Task) int {
		if order := cmp.Or(cmp.Compare(a.Part, b.Part), cmp.Compare(a.Process, b.Process)); order != 0 {
			return order
		}
		return cmp.Compare(a.Key(), b.Key()) // which takes its time
	})
	p := &l.plan
	for _, t := range l.tasks {
		if !p.known {
			l.rates = standard(m.centreOfTask(t))
		}
		p.known = true
		p.makeready, p.run, p.washUp = p.makeready+t.Makeready, p.run+t.Run, p.washUp+t.WashUp
		// What goes in is reckoned in the unit of what comes out, as the device
		// counts it: a cutter takes sheets and makes pieces.
		good, waste := exactly(t.Good), exactly(t.Waste)
		p.in, p.good, p.waste = p.in.Add(good).Add(waste), p.good.Add(good), p.waste.Add(waste)
		of := granted(standard(m.centreOfTask(t)), t.Makeready+t.WashUp, t.Run)
		if t.Cost.IsZero() {
			p.cost = p.cost.Add(of)
		} else {
			p.cost = p.cost.Add(exactly(t.Cost).Mul(hour))
		}
		if p.class == (cost.Class{}) {
			p.class = t.Class
		}
	}
	if p.known {
		p.standard = granted(l.rates, p.makeready+p.washUp, p.run)
	}
}

// centreOfTask is the cost centre whose rates a task is planned with.
func (m *maker) centreOfTask(t cost.Task) *plant.CostCentre {
	if c := m.centres[t.CostCentre]; c != nil {
		return c
	}
	if u := m.units[t.Device]; u != nil {
		return u.CostCentre
	}
	return nil
}

// granted is what changeover and run time cost at some rates, times hour.
func granted(rates [kindsOfTime]exact, changeover, running cost.Span) exact {
	return rates[makeready].Mul(span(changeover)).Add(rates[run].Mul(span(running)))
}

func span(s cost.Span) exact { return num(int64(s)) }
