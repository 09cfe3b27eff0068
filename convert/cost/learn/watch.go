package learn

import (
	"cmp"
	"iter"
	"math"
	"slices"
	"time"

	"quoin/convert/cost"
	"quoin/jdf/job"
)

// Quantity is a planned figure that is learned.
type Quantity string

// The quantities.
const (
	Makeready Quantity = "makeready"
	Run       Quantity = "run time"
	WashUp    Quantity = "wash-up"
	Setup     Quantity = "setup waste"
	Running   Quantity = "running waste"
)

// quantities are in the order of reports.
var quantities = [...]Quantity{Makeready, Run, WashUp, Setup, Running}

// Implausible is the ratio of actual and plan, either way, beyond which a figure
// is taken for a mistake of booking.
const Implausible = 5

// seen is what a task came to, by quantity, in hours or pieces.
type seen struct {
	task   cost.Task
	first  time.Time
	last   time.Time
	times  [3]time.Duration // makeready, run, wash-up
	stops  time.Duration
	waste  [2]float64 // of the makeready, of the run
	good   float64
	open   bool // a phase has no end, or was made of a summary
	amount bool // amounts were counted
	rework bool
}

type taskKey struct{ job, part, device string }

// watch adds up the entries of each task that has a plan.
func watch(tasks []cost.Task, entries iter.Seq[cost.Entry]) []*seen {
	byKey := map[taskKey]*seen{}
	for _, t := range cost.MergeTasks(tasks) {
		byKey[taskKey{t.Job, t.Part, t.Device}] = &seen{task: t}
	}
	for e := range entries {
		if s := byKey[taskKey{e.Job, e.Part, e.Device}]; s != nil && e.Job != "" {
			s.add(e)
		}
	}
	var all []*seen
	for _, s := range byKey {
		if !s.first.IsZero() {
			all = append(all, s)
		}
	}
	slices.SortFunc(all, func(a, b *seen) int {
		return cmp.Or(cmp.Compare(a.task.Job, b.task.Job), cmp.Compare(a.task.Part, b.task.Part),
			cmp.Compare(a.task.Device, b.task.Device))
	})
	return all
}

func (s *seen) add(e cost.Entry) {
	if s.first.IsZero() || e.Start.Before(s.first) {
		s.first = e.Start
	}
	if e.End.After(s.last) {
		s.last = e.End
	}
	s.open = s.open || e.Open || e.FromRun
	s.rework = s.rework || e.Work == "Rework"
	s.amount = s.amount || e.Counted
	length := time.Duration(e.Time)
	switch e.State {
	case job.StateMakeready:
		s.times[0] += length
		s.waste[0] += e.Waste.InexactFloat64()
	case job.StateRun:
		s.times[1] += length
		s.waste[1] += e.Waste.InexactFloat64()
		s.good += e.Good.InexactFloat64()
	case job.StateWash:
		s.times[2] += length
	case job.StateStopped:
		s.stops += length
	}
}

// pair is what was planned for what was done, and what it came to: hours or
// pieces. It is false where one of them is not known.
func (s *seen) pair(q Quantity) (plan, actual float64, known bool) {
	t := &s.task
	setup := t.Setup.InexactFloat64()
	through := t.Good.Add(t.Waste).InexactFloat64() - setup
	did := s.good + s.waste[1]
	if !t.Split {
		// A ticket does not part its waste: what came out good is compared.
		through, did = t.Good.InexactFloat64(), s.good
	}
	counted := s.amount && through > 0 && did > 0
	switch q {
	case Makeready:
		plan, actual = time.Duration(t.Makeready).Hours(), s.times[0].Hours()
	case Run:
		if counted {
			plan, actual = time.Duration(t.Run).Hours()*did/through, s.times[1].Hours()
		}
	case WashUp:
		plan, actual = time.Duration(t.WashUp).Hours(), s.times[2].Hours()
	case Setup:
		if s.amount {
			plan, actual = setup, s.waste[0]
		}
	case Running:
		if counted && t.Split && s.stops <= s.times[1] {
			plan, actual = (through-t.Good.InexactFloat64())*did/through, s.waste[1]
		}
	}
	spoils := s.amount && (q == Setup || q == Running && counted)
	return plan, actual, plan > 0 && (actual > 0 || spoils) && !s.open
}

// enough reports whether so much was planned that whole sheets say something: of
// 0.2 percent of 300 sheets, nobody can be half or twice off. It looks at the plan
// alone, since to leave out what came out well would teach too much waste.
func (s *seen) enough(q Quantity, plan float64) bool {
	const leastSetup, leastRunning = 8, 20
	t := &s.task
	in, out := t.In.InexactFloat64(), t.Good.Add(t.Waste).InexactFloat64()
	if in <= 0 || out <= 0 {
		in, out = 1, 1
	}
	switch q {
	case Setup:
		return plan*in/out >= leastSetup
	case Running:
		return plan*in/out >= leastRunning
	}
	return true
}

// ratio is the logarithm of actual over plan.
func (s *seen) ratio(q Quantity) (log float64, known, odd bool) {
	plan, actual, known := s.pair(q)
	if !known || !s.enough(q, plan) {
		return 0, false, false
	}
	if actual == 0 {
		return 0, false, true
	}
	log = math.Log(actual / plan)
	odd = math.Abs(log) > math.Log(Implausible)
	return log, !odd, odd
}
