package schedule

import "slices"

// latest is when each task has to begin at the latest, in the order that was
// found on all machines, so that no job is late, or later than it is, or, when
// it has no due time, done after the last of all jobs.
func (t *timing) latest() []int64 {
	latest := make([]int64, len(t.tasks))
	following := make([]int, len(t.tasks))
	for x := range following {
		following[x] = -1
	}
	for x, p := range t.prev {
		if p >= 0 {
			following[p] = x
		}
	}
	for _, x := range slices.Backward(t.order) {
		k := &t.tasks[x]
		c := t.machines[k.machine].calendar
		by := t.target(k.job)
		for _, l := range k.after {
			by = min(by, latest[l.task]-l.lag)
		}
		if y := following[x]; y >= 0 {
			by = min(by, c.sub(latest[y], t.wash[y]))
		}
		latest[x] = c.runBack(by, t.makeready[x], k.run, k.split)
	}
	return latest
}

// target is when a job has to be done.
func (t *timing) target(j int) int64 {
	d := &t.problem.jobs[j]
	if !d.hasDue {
		return t.value.makespan
	}
	return min(t.far-1, max(d.due, t.jobs[j]))
}
