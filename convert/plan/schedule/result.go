package schedule

import (
	"fmt"
	"math"
	"slices"
	"time"

	"quoin/convert/plan"
	"quoin/validate"
	"quoin/validate/plant"
)

// result turns what was found into a Schedule.
type result struct {
	*timing
	works  []Work
	bounds *bounds
	opt    Options
	moved  map[*plan.Operation]string // operations on other machines than planned, with those
}

func (r *result) at(t int64) time.Time { return time.Unix(t, 0).In(zoneOf(r.plant)) }

func spent(s int64) plan.Time { return plan.Time{Duration: time.Duration(s) * time.Second} }

func (r *result) schedule(found *search, bound objective) *Schedule {
	s := &Schedule{
		Plant: r.plant.Name, Zone: zoneOf(r.plant).String(), Now: r.opt.Now, Latest: r.opt.Latest,
		Jobs: []*Job{}, Machines: []*Machine{}, Notes: []string{},
		Search: Search{Rule: found.rule, Trials: found.tried, Taken: found.taken, Seed: r.opt.Seed},
	}
	for j := range r.problem.jobs {
		s.Jobs = append(s.Jobs, r.job(j))
	}
	byMachine := r.operations(s.Jobs)
	end := r.now
	for _, j := range s.Jobs {
		r.finish(j)
		end = max(end, j.End.Unix())
		if j.Late.Duration > 0 {
			s.Totals.LateJobs++
			s.Totals.Late.Duration += j.Late.Duration
		}
	}
	last := r.lastEnd(byMachine)
	for m, ops := range byMachine {
		for _, id := range r.ids(m, ops) {
			own := slices.DeleteFunc(slices.Clone(ops), func(o *Operation) bool { return o.Machine != id.ID })
			s.Machines = append(s.Machines, r.machine(m, id, own, last))
		}
	}
	v := r.value
	s.Totals.WeightedLate = measure(v.late, bound.late)
	s.Totals.Makespan = measure(end-r.now, bound.makespan-r.now)
	s.Totals.Changeover = measure(v.changeover, bound.changeover)
	s.Totals.StockChanges = int(v.stock)
	s.Totals.End = r.at(end)
	s.Notes = r.notes(s)
	return s
}

// measure rounds the gap to hundredths of a percent, never to nothing.
func measure(value, bound int64) Measure {
	m := Measure{Value: value, Bound: bound}
	if value > bound {
		m.Gap = max(0.01, math.Round(float64(value-bound)/float64(value)*10000)/100)
	}
	return m
}

// job is a Job without what its operations decide.
func (r *result) job(j int) *Job {
	w := r.works[j]
	out := &Job{
		Number: j + 1, JobID: w.Plan.JobID, Name: w.Plan.Name, Priority: w.priority(),
		Earliest: r.at(r.bounds.jobs[j]), Operations: []*Operation{}, due: w.Due,
		Start: r.at(r.problem.jobs[j].ready), End: r.at(r.problem.jobs[j].ready),
	}
	if at, given := r.instant(w.Due); given {
		due := r.at(at)
		out.Due = &due
	}
	out.Late = spent(r.lateness(j))
	return out
}

// lateness is the seconds that a job is over its due time.
func (r *result) lateness(j int) int64 {
	if d := &r.problem.jobs[j]; d.hasDue {
		return max(0, r.timing.jobs[j]-d.due)
	}
	return 0
}

// operations fills the operations of the jobs, and gives them by machine, in
// time order.
func (r *result) operations(jobs []*Job) [][]*Operation {
	latest := r.latest()
	byMachine := make([][]*Operation, len(r.machines))
	made := make([]*Operation, len(r.tasks))
	for _, x := range r.order {
		k := &r.tasks[x]
		start := r.start[x]
		if r.opt.Latest {
			start = latest[x]
		}
		o := r.operation(x, start)
		o.EarliestStart, o.LatestStart = r.at(r.start[x]), r.at(latest[x])
		o.Slack = spent(latest[x] - r.start[x])
		o.Job, o.JobID = jobs[k.job].Number, jobs[k.job].JobID
		made[x] = o
		byMachine[k.machine] = append(byMachine[k.machine], o)
	}
	for x, o := range made {
		j := jobs[r.tasks[x].job]
		j.Operations = append(j.Operations, o)
	}
	for m, ops := range byMachine {
		r.washing(m, ops, made)
	}
	return byMachine
}

// operation is a task that begins at an instant, without washing up.
func (r *result) operation(x int, start int64) *Operation {
	k := &r.tasks[x]
	c := r.machines[k.machine].calendar
	makeready := r.makeready[x]
	ready := c.add(start, makeready)
	end := c.add(ready, k.run)
	begin := ready
	if k.run > 0 {
		begin = c.resume(ready)
	}
	o := &Operation{
		Step: k.op.Step, Sheet: k.op.Sheet, Machine: k.op.Device, Planned: r.moved[k.op],
		Start: r.at(start), RunStart: r.at(begin), End: r.at(end),
		Makeready: spent(makeready), Run: spent(k.run), Slices: []Slice{},
	}
	r.work(o, Makeready, c.pieces(start, makeready))
	r.work(o, Run, c.pieces(ready, k.run))
	return o
}

func (r *result) work(o *Operation, what Activity, spans []span) {
	for _, s := range spans {
		o.Slices = append(o.Slices, Slice{Activity: what, From: r.at(s.from), To: r.at(s.to)})
	}
}

// washing adds what is washed up after each operation of a machine.
func (r *result) washing(m int, ops []*Operation, made []*Operation) {
	c := r.machines[m].calendar
	wash := func(o *Operation, seconds int64) {
		o.WashUp = spent(seconds)
		r.work(o, WashUp, c.pieces(o.End.Unix(), seconds))
	}
	for _, x := range r.machines[m].tasks {
		if p := r.prev[x]; p >= 0 {
			wash(made[p], r.wash[x])
		}
	}
	if len(ops) > 0 {
		last := slices.IndexFunc(made, func(o *Operation) bool { return o == ops[len(ops)-1] })
		wash(ops[len(ops)-1], r.finalWash(last))
	}
}

// finish fills in what the operations of a job decide.
func (r *result) finish(j *Job) {
	for i, o := range j.Operations {
		if i == 0 || o.Start.Before(j.Start) {
			j.Start = o.Start
		}
		if i == 0 || o.End.After(j.End) {
			j.End = o.End
		}
		if i == 0 || o.Slack.Duration < j.Slack.Duration {
			j.Slack = o.Slack
		}
	}
}

// lastEnd is when the last machine is done, washed up.
func (r *result) lastEnd(byMachine [][]*Operation) time.Time {
	last := r.opt.Now
	for _, ops := range byMachine {
		for _, o := range ops {
			if n := len(o.Slices); n > 0 && o.Slices[n-1].To.After(last) {
				last = o.Slices[n-1].To
			}
		}
	}
	return last
}

// ids are the machines of a resource that have work, in the order of the plant
// file. Those that share people share a resource.
func (r *result) ids(m int, ops []*Operation) []*plant.Machine {
	var all []*plant.Machine
	add := func(k *plant.Machine) {
		if r.byID[k.ID] == m && slices.ContainsFunc(ops, func(o *Operation) bool { return o.Machine == k.ID }) {
			all = append(all, k)
		}
	}
	for _, p := range r.plant.Presses {
		add(&p.Machine)
	}
	for _, k := range others(r.plant) {
		add(k)
	}
	return all
}

func (r *result) machine(m int, id *plant.Machine, ops []*Operation, last time.Time) *Machine {
	c := r.machines[m].calendar
	out := &Machine{ID: id.ID, Name: id.Name, Operations: ops, Shifts: []Period{}}
	for _, o := range ops {
		out.Changeover.Duration += o.Makeready.Duration + o.WashUp.Duration
		out.Run.Duration += o.Run.Duration
	}
	working := c.worked(last.Unix())
	midnight := wall(last.Year(), last.Month(), last.Day()+1, 0, zoneOf(r.plant)).Unix()
	for _, s := range c.pieces(r.now, c.worked(midnight)) {
		out.Shifts = append(out.Shifts, Period{r.at(s.from), r.at(s.to)})
	}
	if working > 0 {
		busy := (out.Changeover.Seconds() + out.Run.Seconds()) / float64(working) * 100
		out.Busy = math.Round(busy*10) / 10
	}
	return out
}

// notes say what was assumed.
func (r *result) notes(s *Schedule) []string {
	notes := []string{}
	if zoneOf(r.plant) == time.UTC {
		notes = append(notes, "all times are UTC: the plant file names no other time zone")
	}
	var always, split, open []string
	for _, out := range s.Machines {
		m := &r.machines[r.byID[out.ID]]
		if c := m.plant.CostCentre; c == nil || len(c.Shifts) == 0 {
			always = append(always, out.ID)
		}
		if slices.ContainsFunc(m.tasks, func(x int) bool { return r.tasks[x].split }) {
			split = append(split, out.ID)
		}
	}
	for _, j := range s.Jobs {
		if j.Due == nil {
			open = append(open, jobName(r.works[j.Number-1].Plan))
		}
	}
	add := func(names []string, say string) {
		if len(names) > 0 {
			notes = append(notes, say+": "+validate.Choices(names))
		}
	}
	add(always, "no shifts in the plant file, so work goes on round the clock")
	add(split, "a makeready is longer than any shift, so it is split")
	add(open, "no due time")
	add(slices.Compact(slices.Clone(r.crewed)), "machines that wait for each other, as the crew is too small for all")
	if len(r.moved) > 0 {
		notes = append(notes, fmt.Sprintf(
			"operations on other machines than planned: %d; the bounds are those of these machines", len(r.moved)))
	}
	return notes
}
