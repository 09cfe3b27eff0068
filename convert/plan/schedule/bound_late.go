package schedule

import (
	"cmp"
	"container/heap"
	"slices"
)

// share is what a job has to do on one machine, all its tasks there as one.
type share struct {
	job           int
	release, work int64 // in working time of the machine
	tasks         []int
}

// lateOn is a bound of the lateness of all jobs that a machine has, by weight.
//
// Whatever the order, the k-th job that leaves the machine does so no sooner
// than the k-th of the schedule that always takes the shortest work left, with
// interruptions. So each schedule gives each job one of these places, and costs
// no less than the cheapest way of giving out the places. What follows on other
// machines is added as if they were free.
//
// Source: C. Chu, "A branch-and-bound algorithm to minimize total tardiness
// with different release dates", Naval Research Logistics 39 (1992), for equal
// weights; the places are given out by weight here.
func (b *bounds) lateOn(m int) int64 {
	shares := b.shares(m)
	if len(shares) > mostMatched {
		slices.SortStableFunc(shares, func(p, q share) int {
			return cmp.Compare(b.problem.jobs[p.job].due, b.problem.jobs[q.job].due)
		})
		shares = shares[:mostMatched]
	}
	if len(shares) < 2 {
		return 0
	}
	c := b.machines[m].calendar
	ends := shortestFirst(shares)
	cost := make([][]int64, len(shares))
	for i, s := range shares {
		cost[i] = make([]int64, len(ends))
		for k, worked := range ends {
			leaves := c.add(b.now, worked)
			cost[i][k] = b.lateAt(s.job, max(b.jobs[s.job], b.jobAfter(s.tasks, leaves)))
		}
	}
	return match(cost)
}

// shares is the jobs with a due time that a machine works for.
func (b *bounds) shares(m int) []share {
	c := b.machines[m].calendar
	place := map[int]int{}
	var all []share
	for _, x := range b.machines[m].tasks {
		t := &b.tasks[x]
		if !b.problem.jobs[t.job].hasDue {
			continue
		}
		i, have := place[t.job]
		if !have {
			i = len(all)
			place[t.job] = i
			all = append(all, share{job: t.job, release: c.worked(b.head[x])})
		}
		s := &all[i]
		s.release = min(s.release, c.worked(b.head[x]))
		s.work += b.least[x] + t.run
		s.tasks = append(s.tasks, x)
	}
	return all
}

// jobAfter is when a job is done at the earliest when the last of some of its
// tasks is done at an instant, whichever that is.
func (b *bounds) jobAfter(tasks []int, end int64) int64 {
	first := b.far
	for _, x := range tasks {
		first = min(first, b.follow(x, end))
	}
	return first
}

// follow is when what comes after a task can be done.
func (b *bounds) follow(x int, end int64) int64 {
	last := end
	for _, l := range b.tasks[x].after {
		last = max(last, b.follow(l.task, b.end(l.task, end+l.lag)))
	}
	return last
}

// byWork is a heap of the work left, the least on top.
type byWork []int64

func (h byWork) Len() int           { return len(h) }
func (h byWork) Less(i, k int) bool { return h[i] < h[k] }
func (h byWork) Swap(i, k int)      { h[i], h[k] = h[k], h[i] }
func (h *byWork) Push(v any)        { *h = append(*h, v.(int64)) }
func (h *byWork) Pop() any {
	last := len(*h) - 1
	v := (*h)[last]
	*h = (*h)[:last]
	return v
}

// shortestFirst is when the shares are done, rising, when the one with the
// least work left always goes first.
//
// Source: L. Schrage, "A proof of the optimality of the shortest remaining
// processing time discipline", Operations Research 16 (1968).
func shortestFirst(shares []share) []int64 {
	byRelease := slices.SortedFunc(slices.Values(shares), func(p, q share) int {
		return cmp.Compare(p.release, q.release)
	})
	var open byWork
	var now int64
	var ends []int64
	for i := 0; i < len(byRelease) || len(open) > 0; {
		if len(open) == 0 {
			now = max(now, byRelease[i].release)
		}
		for ; i < len(byRelease) && byRelease[i].release <= now; i++ {
			heap.Push(&open, byRelease[i].work)
		}
		if i < len(byRelease) && byRelease[i].release < now+open[0] {
			open[0] -= byRelease[i].release - now
			now = byRelease[i].release
			continue
		}
		now += heap.Pop(&open).(int64)
		ends = append(ends, now)
	}
	return ends
}
