package schedule

import (
	"math"
	"slices"
	"time"

	"quoin/convert/plan"
	"quoin/jdf/job"
	"quoin/jdf/value"
	"quoin/validate"
	"quoin/validate/plant"
)

// link is what has to be done before or after a task, and the time between.
type link struct {
	task int
	lag  int64 // seconds, drying
}

// task is one operation as the search sees it; times are seconds.
type task struct {
	job, machine int
	op           *plan.Operation
	makeready    int64 // in full
	run          int64
	split        bool // the makeready fits into no shift
	before       []link
	after        []link

	// What a changeover depends on; zero and less mean that it does not.
	ink    int // class of the changer, -1 for none
	coat   string
	series int // of forms that a digital press runs on one makeready, -1 for none
	stock  string
	weight float64 // g/m2
}

// jobTimes is what a job asks for, in seconds since 1970.
type jobTimes struct {
	ready, due int64
	hasDue     bool
	weight     int64
	tasks      []int // in the order of work
}

// machine is a unary resource.
type machine struct {
	plant    *plant.Machine
	id, name string
	calendar *calendar
	changer  *changer // presses only
	coating  int64    // makeready of the coater, saved when it goes on
	tasks    []int
}

// problem is all that is to be laid.
type problem struct {
	plant    *plant.Plant
	now, far int64
	tasks    []task
	jobs     []jobTimes
	machines []machine
	byID     map[string]int
	crewed   []string // cost centres whose machines wait for people
	findings []validate.Finding
}

// seconds rounds up, so that nothing is laid shorter than it is. No work is
// less than none.
func seconds(d time.Duration) int64 { return max(0, int64((d+time.Second-1)/time.Second)) }

// newProblem takes the plans apart. Its findings are what can not be laid. With
// crews, machines that share too few people are not laid side by side.
func newProblem(works []Work, p *plant.Plant, now time.Time, crews bool) *problem {
	b := &problem{plant: p, now: now.Unix(), far: now.AddDate(yearsAhead, 0, 0).Unix()}
	b.addMachines(now, crews)
	for i, w := range works {
		t := jobTimes{ready: b.now, weight: int64(w.priority()) + 1}
		if at, given := b.instant(w.NotBefore); given {
			t.ready = min(max(at, b.now), b.far)
		}
		if at, given := b.instant(w.Due); given {
			// Farther than that is as good as never, and keeps all sums in 64 bits.
			reach := b.far - b.now
			t.due, t.hasDue = min(max(at, b.now-reach), b.far+reach), true
		}
		b.jobs = append(b.jobs, t)
		b.addPlan(i, w)
	}
	for i := range b.machines {
		if c := b.machines[i].changer; c != nil {
			c.tabulate()
		}
	}
	for i := range b.tasks {
		t := &b.tasks[i]
		for _, l := range t.before {
			b.tasks[l.task].after = append(b.tasks[l.task].after, link{i, l.lag})
		}
		m := &b.machines[t.machine]
		t.split = t.makeready > m.calendar.longest
		m.tasks = append(m.tasks, i)
		b.jobs[t.job].tasks = append(b.jobs[t.job].tasks, i)
	}
	return b
}

// instant is a moment of a ticket in seconds, rounded down.
func (b *problem) instant(f job.Fact[value.DateTime]) (int64, bool) {
	if !f.Given || f.Value.Infinite != 0 {
		return 0, false
	}
	t := f.Value.Time()
	if !f.Value.HasZone {
		t = wall(t.Year(), t.Month(), t.Day(), t.Hour()*60+t.Minute(), zoneOf(b.plant)).
			Add(time.Duration(t.Second()) * time.Second)
	}
	return t.Unix(), true
}

// addMachines makes a resource of each machine of the plant; those of one cost
// centre share its calendar. Where a cost centre has fewer people than machines, its
// machines share as many resources as it has people, each in its turn: for one
// person that is exact, for more it is one of the ways of sharing.
// Presses, whose changeovers depend on what they print, have a resource of their own.
func (b *problem) addMachines(now time.Time, crews bool) {
	b.byID = map[string]int{}
	calendars := map[*plant.CostCentre]*calendar{}
	add := func(m *plant.Machine) *machine {
		c := calendars[m.CostCentre]
		if c == nil {
			var shifts []plant.Shift
			if m.CostCentre != nil {
				shifts = m.CostCentre.Shifts
			}
			c = newCalendar(shifts, b.plant, now)
			calendars[m.CostCentre] = c
		}
		b.byID[m.ID] = len(b.machines)
		b.machines = append(b.machines, machine{plant: m, id: m.ID, name: m.Name, calendar: c})
		return &b.machines[len(b.machines)-1]
	}
	for _, p := range b.plant.Presses {
		m := add(&p.Machine)
		m.changer, m.coating = &changer{press: p}, seconds(p.CoatingMakeready)
	}
	several := map[*plant.CostCentre][]*plant.Machine{}
	for _, m := range others(b.plant) {
		several[m.CostCentre] = append(several[m.CostCentre], m)
	}
	for _, m := range others(b.plant) {
		c, all := m.CostCentre, several[m.CostCentre]
		i, hands := slices.Index(all, m), people(b.plant, c)
		if !crews || i < hands {
			add(m)
			continue
		}
		b.byID[m.ID] = b.byID[all[i%hands].ID]
		b.crewed = append(b.crewed, c.ID)
	}
}

// people is how many machines beside its presses a cost centre can man at once, one
// at least. A machine without cost centre waits for nobody.
func people(p *plant.Plant, c *plant.CostCentre) int {
	if c == nil || c.Crew <= 0 {
		return math.MaxInt
	}
	n := c.Crew
	for _, m := range p.Presses {
		if m.CostCentre == c {
			n--
		}
	}
	return max(1, n)
}

// others is all machines that are no presses.
func others(p *plant.Plant) []*plant.Machine {
	var all []*plant.Machine
	for _, m := range p.Guillotines {
		all = append(all, &m.Machine)
	}
	for _, m := range p.Coaters {
		all = append(all, &m.Machine)
	}
	for _, m := range p.Laminators {
		all = append(all, &m.Machine)
	}
	for _, m := range p.DieCutters {
		all = append(all, &m.Machine)
	}
	for _, m := range p.Folders {
		all = append(all, &m.Machine)
	}
	for _, m := range p.Stitchers {
		all = append(all, &m.Machine)
	}
	for _, m := range p.Binders {
		all = append(all, &m.Machine)
	}
	for _, m := range p.HandWork {
		all = append(all, &m.Machine)
	}
	return all
}

// addPlan makes a task of each operation of a plan. What names a sheet follows
// what was done to that sheet before; what names none takes all of them.
func (b *problem) addPlan(number int, w Work) {
	last := map[string]int{} // task by sheet; "" for what takes all
	series := map[string]int{}
	for _, op := range w.Plan.Operations {
		if op.Step == plan.StepPlates && op.Device == "" {
			continue
		}
		m, have := b.byID[op.Device]
		if !have {
			b.findings = append(b.findings, machineMissing.At(w.Due.Place, validate.F("job", jobName(w.Plan)),
				validate.F("operation", operationName(op)), validate.F("machine", op.Device),
				validate.F("plant", b.plant.Name)))
			continue
		}
		t := task{job: number, machine: m, op: op, ink: -1, series: -1}
		t.makeready, t.run = seconds(op.Makeready.Duration), seconds(op.Run.Duration)
		id := len(b.tasks)
		if op.Sheet == "" {
			for _, s := range w.Plan.Sheets {
				t.before = b.link(t.before, last, s.Name)
				delete(last, s.Name)
			}
			t.before = b.link(t.before, last, "")
		} else if _, begun := last[op.Sheet]; begun {
			t.before = b.link(t.before, last, op.Sheet)
		} else {
			t.before = b.link(t.before, last, "")
		}
		last[op.Sheet] = id
		if c := b.machines[m].changer; c != nil {
			b.describe(&t, c, w.Plan, series)
		}
		b.tasks = append(b.tasks, t)
	}
}

// link adds the last task of a sheet to what comes before another.
func (b *problem) link(list []link, last map[string]int, sheet string) []link {
	i, have := last[sheet]
	if !have {
		return list
	}
	return append(list, link{i, seconds(drying(b.plant, b.tasks[i].op.Device))})
}

// drying is the time before sheets can go on from a machine.
func drying(p *plant.Plant, id string) time.Duration {
	for _, m := range p.Presses {
		if m.ID == id {
			return m.DryingTime
		}
	}
	for _, m := range p.Coaters {
		if m.ID == id {
			return m.DryingTime
		}
	}
	return 0
}

// describe fills in what changeovers of a press depend on. The forms of a part
// are one series of a digital press, which takes a makeready again only when
// something came between.
func (b *problem) describe(t *task, c *changer, pl *plan.Plan, series map[string]int) {
	var sheet *plan.Sheet
	for _, s := range pl.Sheets {
		if s.Name == t.op.Sheet {
			sheet = s
		}
	}
	if sheet == nil {
		return
	}
	t.stock, t.weight = sheet.Stock.ID, sheet.Stock.Grammage
	if c.press.Kind == plant.Digital {
		key := sheet.Part + "\x00" + c.press.ID
		if first, have := series[key]; have {
			t.series = first
			t.makeready = max(t.makeready, b.tasks[first].makeready)
			return
		}
		t.series, series[key] = len(b.tasks), len(b.tasks)
		return
	}
	t.ink = c.class(inkOf(sheet, c.press.Units))
	t.coat = max(sheet.CoatFront, sheet.CoatBack)
}

// change is what lies between two tasks of a machine: washing up after the
// first, and making the second ready. Before stands for a machine that is clean
// where it is -1.
func (b *problem) change(before, task int) (wash, makeready int64) {
	t := &b.tasks[task]
	if before < 0 {
		return 0, t.makeready
	}
	f, m := &b.tasks[before], &b.machines[t.machine]
	makeready = t.makeready
	if t.ink >= 0 && f.ink >= 0 {
		wash = m.changer.wash[f.ink][t.ink]
	}
	if t.coat != "" && t.coat == f.coat {
		makeready = max(0, makeready-m.coating)
	}
	if t.series >= 0 && t.series == f.series {
		makeready = 0
	}
	return wash, makeready
}

// finalWash is the washing after the last task of a machine.
func (b *problem) finalWash(task int) int64 {
	t := &b.tasks[task]
	if t.ink < 0 {
		return 0
	}
	return b.machines[t.machine].changer.last[t.ink]
}

// stockChange is how many changes of stock lie between two tasks: one for
// another stock, and another one when it is lighter. Presses run light to heavy.
//
// Common practice, no source. The plant file has no figure for it, so it only
// decides between orders that are the same in all else.
func (b *problem) stockChange(before, task int) int64 {
	f, t := &b.tasks[before], &b.tasks[task]
	if f.stock == t.stock {
		return 0
	}
	if t.weight < f.weight {
		return 2
	}
	return 1
}

func jobName(pl *plan.Plan) string {
	if pl.JobID != "" {
		return pl.JobID
	}
	return pl.Name
}

func operationName(op *plan.Operation) string {
	if op.Sheet == "" {
		return string(op.Step)
	}
	return string(op.Step) + " " + op.Sheet
}
