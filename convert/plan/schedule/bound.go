package schedule

import (
	"cmp"
	"container/heap"
	"math"
	"slices"
)

// mostMatched is how many tasks or jobs of a machine are matched for a bound,
// which takes their number to the third power. Leaving the others out only
// makes a bound lower.
const mostMatched = 300

// bounds works out what no schedule can come below, each figure for itself.
// Everything is relaxed towards less: tasks take the least changeover that any
// task before them on their machine leaves, washing up takes nothing, and where
// a machine is looked at as a whole, work on it may be interrupted at will.
type bounds struct {
	*problem
	least []int64 // makeready that a task has at least
	head  []int64 // before which it can not begin
	done  []int64 // before which it can not be done
	jobs  []int64 // before which a job can not be done
}

func newBounds(p *problem) *bounds {
	n := len(p.tasks)
	b := &bounds{
		problem: p, least: make([]int64, n), head: make([]int64, n), done: make([]int64, n),
		jobs: make([]int64, len(p.jobs)),
	}
	for x := range p.tasks {
		b.least[x] = b.leastMakeready(x)
	}
	for x := range p.tasks {
		t := &p.tasks[x]
		at := p.jobs[t.job].ready
		for _, l := range t.before {
			at = max(at, b.done[l.task]+l.lag)
		}
		b.head[x], b.done[x] = at, b.end(x, at)
	}
	for j := range p.jobs {
		b.jobs[j] = p.jobs[j].ready
		for _, x := range p.jobs[j].tasks {
			b.jobs[j] = max(b.jobs[j], b.done[x])
		}
	}
	return b
}

func (b *bounds) leastMakeready(x int) int64 {
	t := &b.tasks[x]
	least := t.makeready
	if t.coat == "" && t.series < 0 {
		return least
	}
	for _, y := range b.machines[t.machine].tasks {
		if y != x {
			_, makeready := b.change(y, x)
			least = min(least, makeready)
		}
	}
	return least
}

// end is when a task would be done at the earliest that can begin from an
// instant on.
func (b *bounds) end(x int, at int64) int64 {
	t := &b.tasks[x]
	_, _, end := b.machines[t.machine].calendar.run(at, b.least[x], t.run, t.split)
	return end
}

// alone raises the ends of jobs to what their own operations leave that are on
// the same machine.
func (b *bounds) alone() {
	for j := range b.jobs {
		b.jobs[j] = b.soonest(b.problem.jobs[j].tasks, b.jobs[j])
	}
}

// bound is the figures together; the end of the last job is never over limit,
// that of a schedule which was found.
func (b *bounds) bound(limit int64) objective {
	o := objective{makespan: b.now}
	b.alone()
	for j := range b.jobs {
		o.makespan = max(o.makespan, b.jobs[j])
		o.late += b.lateAt(j, b.jobs[j])
	}
	var all []int
	for x := range b.tasks {
		all = append(all, x)
	}
	o.makespan = min(limit, max(o.makespan, b.soonest(all, o.makespan)))
	for m := range b.machines {
		o.late = max(o.late, b.lateOn(m))
		o.changeover += b.changeoverOn(m)
		o.stock += b.stockChangesOn(m)
	}
	return o
}

// soonest is the first instant, from one on that is known to bound it, by which
// tasks could all be done with their jobs' ends behind them when each machine
// works on them with interruptions.
func (b *bounds) soonest(tasks []int, from int64) int64 {
	feasible := func(end int64) bool { return b.possible(tasks, end) }
	if len(tasks) < 2 || feasible(from) {
		return from
	}
	step := int64(1)
	for !feasible(from + step) {
		if from+step >= b.far {
			return from
		}
		step *= 2
	}
	low, high := from+step/2, from+step
	for low+1 < high {
		if mid := low + (high-low)/2; feasible(mid) {
			high = mid
		} else {
			low = mid
		}
	}
	return high
}

// piece is a task in the working time of its machine.
type piece struct{ release, work, deadline int64 }

// possible reports whether each machine can do its tasks between their heads
// and the latest times that an end of all leaves them. With interruptions,
// taking always the one with the earliest deadline decides it.
//
// Source: J. R. Jackson, "Scheduling a production line to minimize maximum
// tardiness", Research Report 43, UCLA (1955); with release times and
// interruptions W. A. Horn, "Some simple scheduling algorithms", Naval Research
// Logistics Quarterly 21 (1974).
func (b *bounds) possible(tasks []int, end int64) bool {
	latest := make(map[int]int64, len(tasks)) // start
	byMachine := make([][]piece, len(b.machines))
	for _, x := range slices.Backward(tasks) {
		t := &b.tasks[x]
		by := end
		for _, l := range t.after {
			if s, have := latest[l.task]; have {
				by = min(by, s-l.lag)
			}
		}
		c := b.machines[t.machine].calendar
		latest[x] = c.runBack(by, b.least[x], t.run, t.split)
		byMachine[t.machine] = append(byMachine[t.machine],
			piece{c.worked(b.head[x]), b.least[x] + t.run, c.worked(by)})
	}
	for _, pieces := range byMachine {
		if !meets(pieces) {
			return false
		}
	}
	return true
}

// byDeadline is a heap of pieces, the earliest deadline on top.
type byDeadline []piece

func (h byDeadline) Len() int           { return len(h) }
func (h byDeadline) Less(i, k int) bool { return h[i].deadline < h[k].deadline }
func (h byDeadline) Swap(i, k int)      { h[i], h[k] = h[k], h[i] }
func (h *byDeadline) Push(p any)        { *h = append(*h, p.(piece)) }
func (h *byDeadline) Pop() any {
	last := len(*h) - 1
	p := (*h)[last]
	*h = (*h)[:last]
	return p
}

// meets reports whether pieces can be worked with interruptions so that each
// meets its deadline.
func meets(pieces []piece) bool {
	slices.SortFunc(pieces, func(a, b piece) int { return cmp.Compare(a.release, b.release) })
	var open byDeadline
	var now int64
	for i := 0; i < len(pieces) || len(open) > 0; {
		if len(open) == 0 {
			now = max(now, pieces[i].release)
		}
		for ; i < len(pieces) && pieces[i].release <= now; i++ {
			heap.Push(&open, pieces[i])
		}
		until := int64(math.MaxInt64)
		if i < len(pieces) {
			until = pieces[i].release
		}
		done := min(open[0].work, until-now)
		now += done
		if open[0].work -= done; now > open[0].deadline {
			return false
		}
		if open[0].work == 0 {
			heap.Pop(&open)
		}
	}
	return true
}
