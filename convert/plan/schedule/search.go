package schedule

import (
	"cmp"
	"context"
	"math"
	"math/rand/v2"
	"slices"
)

// How the search goes about. None of it is a figure of the plant: it changes
// how good a schedule is found, never what a schedule costs.
const (
	memory   = 10  // trials that the search looks back when it takes a worse order
	patience = 0.1 // share of all trials without a better order, after which it goes back to the best
	reach    = 8   // one task is moved past less than 2 to the power of this
	kicks    = 4   // changes made at once when it goes back
)

// search improves an order by late acceptance: a change is kept when it is no
// worse than where the search stands or stood some trials ago.
//
// Source: E. K. Burke and Y. Bykov, "The late acceptance Hill-Climbing
// heuristic", European Journal of Operational Research 258 (2017).
type search struct {
	*problem
	random  *rand.Rand
	now     *timing // where it stands
	next    *timing // what is tried
	best    *timing
	mark    []bool // of tasks, while moving
	moved   []int
	stayed  []int
	history []objective
	rule    string
	tried   int
	taken   int
}

// find looks for the best order; bound stops it when nothing better is possible.
func (p *problem) find(ctx context.Context, opt Options, bound objective) (*search, error) {
	s := &search{
		problem: p, random: rand.New(rand.NewPCG(opt.Seed, 0)), now: newTiming(p), next: newTiming(p),
		mark: make([]bool, len(p.tasks)), history: make([]objective, memory),
	}
	for _, r := range priorities {
		if t := p.build(r); s.best == nil || t.value.compare(s.best.value) < 0 {
			s.best, s.rule = t, r.name
		}
	}
	s.restart()
	stale := 0
	for s.tried < opt.Trials && len(p.tasks) > 1 && s.best.value != bound {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		old := s.best.value
		s.step()
		if stale++; s.best.value.compare(old) < 0 {
			stale = 0
		}
		if float64(stale) > max(memory, patience*float64(opt.Trials)) {
			stale = 0
			s.restart()
			s.kick()
		}
	}
	return s, nil
}

// restart goes back to the best order.
func (s *search) restart() {
	s.now.copyFrom(s.best)
	s.sort(s.now)
	for i := range s.history {
		s.history[i] = s.now.value
	}
}

// kick makes several changes whatever comes of them.
func (s *search) kick() {
	for range kicks {
		if s.propose(math.MaxInt64) {
			s.now, s.next = s.next, s.now
			s.sort(s.now)
		}
	}
	for i := range s.history {
		s.history[i] = s.now.value
	}
}

// step tries one change.
func (s *search) step() {
	slot := s.tried % memory
	s.tried++
	if !s.propose(max(s.now.value.late, s.history[slot].late)) {
		return
	}
	v := s.next.value
	if v.compare(s.now.value) <= 0 || v.compare(s.history[slot]) <= 0 {
		s.now, s.next = s.next, s.now
		s.sort(s.now)
	}
	if v.compare(s.best.value) < 0 {
		s.best.copyFrom(s.now)
		s.taken++
	}
	s.history[slot] = s.now.value
}

// sort puts the order into that of the starts, which changes no time: what has
// to be done before a task, or is before it on its machine, begins no later and
// stands before it.
func (s *search) sort(t *timing) {
	slices.SortStableFunc(t.order, func(a, b int) int { return cmp.Compare(t.start[a], t.start[b]) })
	for i, x := range t.order {
		t.place[x] = i
	}
}

// propose makes next out of now by one change, and is false when there is none,
// or when it makes jobs more than so much late.
func (s *search) propose(most int64) bool {
	a, b, ok := s.pair()
	if !ok {
		return false
	}
	s.next.copyFrom(s.now)
	from, ok := s.swap(a, b)
	if !ok {
		return false
	}
	return s.next.lay(from, most)
}

// pair chooses two tasks of a machine, the first before the second: most often
// on a critical path.
func (s *search) pair() (a, b int, ok bool) {
	if s.random.IntN(10) < 7 {
		if a, b, ok = s.critical(); ok {
			return a, b, true
		}
	}
	b = s.random.IntN(len(s.tasks))
	a = s.back(b, s.steps())
	return a, b, a >= 0 && a != b
}

// back is the task so many places before one on its machine, or the first.
func (s *search) back(x, steps int) int {
	a := s.now.prev[x]
	for ; steps > 1 && a >= 0 && s.now.prev[a] >= 0; steps-- {
		a = s.now.prev[a]
	}
	return a
}

// critical walks back from the end of a job that decides the objective, and
// chooses one of the tasks that waited for their machine, and one before it.
func (s *search) critical() (a, b int, ok bool) {
	x := s.lastOf(s.decisive())
	s.moved = s.moved[:0]
	for x >= 0 {
		prev, before := s.now.cause(x)
		if prev >= 0 {
			s.moved = append(s.moved, x)
			x = prev
		} else {
			x = before
		}
	}
	if len(s.moved) == 0 {
		return 0, 0, false
	}
	b = s.moved[s.random.IntN(len(s.moved))]
	return s.back(b, s.steps()), b, true
}

// steps is how many tasks one is moved past: few most often, many at times.
func (s *search) steps() int { return 1 + s.random.IntN(1<<s.random.IntN(reach)) }

// decisive is a job that is late, the later of two chosen by chance, else the
// one that ends last.
func (s *search) decisive() int {
	if s.now.value.late > 0 {
		a, b := s.lateJob(), s.lateJob()
		if s.now.late(a) < s.now.late(b) {
			return b
		}
		return a
	}
	last := 0
	for j := range s.problem.jobs {
		if s.now.jobs[j] > s.now.jobs[last] {
			last = j
		}
	}
	return last
}

// lateJob is any job that is late.
func (s *search) lateJob() int {
	start := s.random.IntN(len(s.problem.jobs))
	for i := range s.problem.jobs {
		if j := (start + i) % len(s.problem.jobs); s.now.late(j) > 0 {
			return j
		}
	}
	return start
}

// late is the seconds that a job is late, by its weight.
func (t *timing) late(j int) int64 { return t.lateAt(j, t.jobs[j]) }

// lastOf is the task that a job ends with, or -1.
func (s *search) lastOf(j int) int {
	last := -1
	for _, x := range s.problem.jobs[j].tasks {
		if last < 0 || s.now.end[x] >= s.now.end[last] {
			last = x
		}
	}
	return last
}

// cause is what a task waited for: the one before it on its machine, or else
// the one whose sheets came last; both are -1 when it waited for none.
func (t *timing) cause(x int) (prev, before int) {
	sheets := t.sheets(x)
	if p := t.prev[x]; p >= 0 {
		c := t.machines[t.tasks[x].machine].calendar
		if c.add(t.end[p], t.wash[x]) > sheets {
			return p, -1
		}
	}
	for _, l := range t.tasks[x].before {
		if t.end[l.task]+l.lag == sheets {
			return -1, l.task
		}
	}
	return -1, -1
}

// swap puts a task before another of its machine that stands before it, with
// all that has to be done for it, or the other after it, with all that waits
// for that. It gives the place from which the order is another.
func (s *search) swap(a, b int) (from int, ok bool) {
	low, high := s.next.place[a], s.next.place[b]
	window := s.next.order[low : high+1]
	s.moved, s.stayed = s.moved[:0], s.stayed[:0]
	if s.random.IntN(2) == 0 {
		s.mark[b] = true
		for i := len(window) - 1; i >= 0; i-- {
			s.part(window[i], s.tasks[window[i]].after)
		}
		slices.Reverse(s.moved)
		slices.Reverse(s.stayed)
		ok = !s.mark[a]
		copy(window, s.moved)
		copy(window[len(s.moved):], s.stayed)
	} else {
		s.mark[a] = true
		for _, x := range window {
			s.part(x, s.tasks[x].before)
		}
		ok = !s.mark[b]
		copy(window, s.stayed)
		copy(window[len(s.stayed):], s.moved)
	}
	for _, x := range window {
		s.mark[x] = false
	}
	return low, ok
}

// part puts a task with those that move when it is marked, or tied to one.
func (s *search) part(x int, ties []link) {
	for _, l := range ties {
		s.mark[x] = s.mark[x] || s.mark[l.task]
	}
	if s.mark[x] {
		s.moved = append(s.moved, x)
	} else {
		s.stayed = append(s.stayed, x)
	}
}
