package schedule

import "math"

// rule is a way of choosing which task a machine takes next: the one with the
// least number.
type rule struct {
	name string
	rank func(d *dispatch, x int) float64
}

// priorities are the rules that the search tries as beginnings.
//
// Common practice, no source: the usual rules of the shop floor.
var priorities = []rule{
	{"due time first", func(d *dispatch, x int) float64 { return d.due(x) }},
	{"least slack first", func(d *dispatch, x int) float64 { return d.due(x) - float64(d.left[x]) }},
	{"urgent by weight first", func(d *dispatch, x int) float64 { return -d.urgency(x) }},
	{"urgent by weight with little changeover first", func(d *dispatch, x int) float64 {
		return -d.urgency(x) * math.Exp(-float64(d.wash[x]+d.makeready[x])/d.changeover)
	}},
	{"shortest work left by weight first", func(d *dispatch, x int) float64 {
		return float64(d.left[x]) / float64(d.problem.jobs[d.tasks[x].job].weight)
	}},
	{"most work left first", func(d *dispatch, x int) float64 { return -float64(d.left[x]) }},
	{"least changeover first", func(d *dispatch, x int) float64 {
		return float64(d.wash[x] + d.makeready[x])
	}},
	{"as given", func(d *dispatch, x int) float64 { return float64(d.tasks[x].job) }},
}

// dispatch builds a schedule task by task.
type dispatch struct {
	*timing
	left    []int64 // work from the task on to the end of its job, the longest way
	waiting []int   // tasks before which something is not laid yet, by number of those
	open    []int   // tasks that can be laid
	soonest [][2]int64

	changeover float64 // mean makeready
}

// build lays all tasks by a rule. Among the tasks that can be laid it looks for
// the one that would be done first; of all that could begin on its machine
// before that, the rule chooses.
//
// Source: B. Giffler and G. L. Thompson, "Algorithms for Solving
// Production-Scheduling Problems", Operations Research 8 (1960): schedules made
// this way are active.
func (p *problem) build(r rule) *timing {
	d := &dispatch{timing: newTiming(p), waiting: make([]int, len(p.tasks)), soonest: make([][2]int64, len(p.tasks))}
	d.left = p.workLeft()
	for _, k := range p.tasks {
		d.changeover += float64(k.makeready) / float64(len(p.tasks))
	}
	d.changeover = max(1, d.changeover)
	d.begin()
	for x := range d.tasks {
		if d.waiting[x] = len(d.tasks[x].before); d.waiting[x] == 0 {
			d.opened(x)
		}
	}
	for n := range d.order {
		i := d.choose(r)
		x := d.open[i]
		d.open = append(d.open[:i], d.open[i+1:]...)
		m := d.tasks[x].machine
		d.order[n], d.place[x] = x, n
		d.set(x, d.on[m])
		d.take(x)
		for _, y := range d.open {
			if d.tasks[y].machine == m {
				d.look(y)
			}
		}
		for _, l := range d.tasks[x].after {
			if d.waiting[l.task]--; d.waiting[l.task] == 0 {
				d.opened(l.task)
			}
		}
	}
	d.finish()
	return d.timing
}

func (d *dispatch) opened(x int) {
	d.open = append(d.open, x)
	d.look(x)
}

// look works out when a task would begin and be done on its machine.
func (d *dispatch) look(x int) {
	d.set(x, d.on[d.tasks[x].machine])
	d.soonest[x] = [2]int64{d.start[x], d.end[x]}
}

// choose is the place in open of the task to lay next.
func (d *dispatch) choose(r rule) int {
	first := 0
	for i, x := range d.open {
		if d.soonest[x][1] < d.soonest[d.open[first]][1] {
			first = i
		}
	}
	m, end := d.tasks[d.open[first]].machine, d.soonest[d.open[first]][1]
	best, rank := first, r.rank(d, d.open[first])
	for i, x := range d.open {
		if d.tasks[x].machine != m || d.soonest[x][0] >= end {
			continue
		}
		// The number of the task decides between equals.
		if v := r.rank(d, x); v < rank || v == rank && x < d.open[best] {
			best, rank = i, v
		}
	}
	return best
}

// due is that of the task's job; jobs without one come last.
func (d *dispatch) due(x int) float64 {
	j := &d.problem.jobs[d.tasks[x].job]
	if !j.hasDue {
		return float64(d.far)
	}
	return float64(j.due)
}

// urgency is weight over work left, and less the more slack there is in units
// of the work left.
//
// Source: A. P. J. Vepsalainen and T. E. Morton, "Priority rules for job shops
// with weighted tardiness costs", Management Science 33 (1987); with changeovers
// Y. H. Lee, K. Bhaskaran and M. Pinedo, IIE Transactions 29 (1997).
func (d *dispatch) urgency(x int) float64 {
	j := &d.problem.jobs[d.tasks[x].job]
	left := float64(max(1, d.left[x]))
	slack := max(0, d.due(x)-left-float64(d.soonest[x][0]))
	return float64(j.weight) / left * math.Exp(-slack/(2*left))
}

// workLeft is the longest way from each task to the end of its job, in seconds
// of work and drying, without shifts.
func (p *problem) workLeft() []int64 {
	left := make([]int64, len(p.tasks))
	// Tasks stand after those that come before them.
	for x := len(p.tasks) - 1; x >= 0; x-- {
		for _, l := range p.tasks[x].after {
			left[x] = max(left[x], l.lag+left[l.task])
		}
		left[x] += p.tasks[x].makeready + p.tasks[x].run
	}
	return left
}
