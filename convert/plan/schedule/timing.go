package schedule

import "cmp"

// objective is what a schedule is judged by, heaviest first.
type objective struct {
	late       int64 // seconds by weight
	makespan   int64 // end of the last task
	changeover int64
	stock      int64
}

func (o objective) compare(p objective) int {
	return cmp.Or(
		cmp.Compare(o.late, p.late), cmp.Compare(o.makespan, p.makespan),
		cmp.Compare(o.changeover, p.changeover), cmp.Compare(o.stock, p.stock),
	)
}

// timing is tasks laid as soon as an order lets them: an order of all tasks in
// which each comes after what has to be done before it. Each machine takes its
// tasks in that order.
type timing struct {
	*problem
	order     []int
	place     []int   // of a task in order
	start     []int64 // of the makeready
	ready     []int64 // end of the makeready
	end       []int64
	prev      []int   // on the machine, -1 for none
	wash      []int64 // of the machine before the task
	makeready []int64 // that the task takes after prev
	jobs      []int64 // ends
	value     objective

	on []int // last task of each machine, while laying
}

func newTiming(p *problem) *timing {
	n := len(p.tasks)
	return &timing{
		problem: p, order: make([]int, n), place: make([]int, n), start: make([]int64, n), ready: make([]int64, n),
		end: make([]int64, n), prev: make([]int, n), wash: make([]int64, n), makeready: make([]int64, n),
		jobs: make([]int64, len(p.jobs)), on: make([]int, len(p.machines)),
	}
}

// copyFrom takes over another timing of the same problem.
func (t *timing) copyFrom(u *timing) {
	copy(t.order, u.order)
	copy(t.place, u.place)
	copy(t.start, u.start)
	copy(t.ready, u.ready)
	copy(t.end, u.end)
	copy(t.prev, u.prev)
	copy(t.wash, u.wash)
	copy(t.makeready, u.makeready)
	copy(t.jobs, u.jobs)
	t.value = u.value
}

// begin is a schedule without tasks. A job without any is done when it may
// begin.
func (t *timing) begin() {
	t.value = objective{makespan: t.now}
	for m := range t.on {
		t.on[m] = -1
	}
	for j := range t.jobs {
		t.jobs[j] = t.problem.jobs[j].ready
		t.value.late += t.lateAt(j, t.jobs[j])
	}
}

// lay works out all times from a place of the order on; those before it stand.
// It gives up, and is false, when the jobs are more than so much late.
func (t *timing) lay(from int, most int64) bool {
	t.begin()
	for _, x := range t.order[:from] {
		t.take(x)
	}
	for i, x := range t.order[from:] {
		t.place[x] = from + i
		t.set(x, t.on[t.tasks[x].machine])
		if t.take(x); t.value.late > most {
			return false
		}
	}
	t.finish()
	return true
}

// set lays a task after another on its machine.
func (t *timing) set(x, prev int) {
	k := &t.tasks[x]
	t.prev[x] = prev
	t.wash[x], t.makeready[x] = t.change(prev, x)
	c := t.machines[k.machine].calendar
	t.start[x], t.ready[x], t.end[x] = c.run(t.from(x), t.makeready[x], k.run, k.split)
}

// from is when the machine is washed and the sheets of a task are there.
func (t *timing) from(x int) int64 {
	at := t.sheets(x)
	if p := t.prev[x]; p >= 0 {
		at = max(at, t.machines[t.tasks[x].machine].calendar.add(t.end[p], t.wash[x]))
	}
	return at
}

// sheets is when the sheets of a task are there.
func (t *timing) sheets(x int) int64 {
	at := t.problem.jobs[t.tasks[x].job].ready
	for _, l := range t.tasks[x].before {
		at = max(at, t.end[l.task]+l.lag)
	}
	return at
}

// take counts a task that was laid.
func (t *timing) take(x int) {
	k := &t.tasks[x]
	t.on[k.machine] = x
	t.value.changeover += t.wash[x] + t.makeready[x]
	if p := t.prev[x]; p >= 0 {
		t.value.stock += t.stockChange(p, x)
	}
	if end := t.end[x]; end > t.jobs[k.job] {
		t.value.late += t.lateAt(k.job, end) - t.lateAt(k.job, t.jobs[k.job])
		t.jobs[k.job] = end
	}
}

// finish counts what comes when all tasks are laid.
func (t *timing) finish() {
	for _, end := range t.jobs {
		t.value.makespan = max(t.value.makespan, end)
	}
	for _, x := range t.on {
		if x >= 0 {
			t.value.changeover += t.finalWash(x)
		}
	}
}

// lateAt is the seconds that a job which ends at an instant is late, by weight.
func (p *problem) lateAt(j int, end int64) int64 {
	d := &p.jobs[j]
	if !d.hasDue {
		return 0
	}
	return d.weight * max(0, end-d.due)
}
