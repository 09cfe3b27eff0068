package rehearsal

import (
	"cmp"
	"fmt"
	"math"
	"time"

	"quoin/validate/plant"
)

// Job is the steps of one plan, with when they may begin and should be done.
type Job struct {
	ID      string
	Release time.Time
	Due     time.Time
	Steps   []Step
}

// Shop is the machines of a plant at work.
type Shop struct {
	Plant  *plant.Plant
	Seed   uint64
	Habits []Habit
}

// task is a step that waits for its turn.
type task struct {
	job, step int
	ready     time.Time
}

// Run plays all jobs on the machines, each step as soon as its machine is free
// and all that comes before it is done and dry. Of those that could begin at
// once, the job that is due first goes first. The acts stand in the order of the
// jobs and their steps. The error says that a plant is closed or a plan has a
// machine that the plant has not.
func (s *Shop) Run(jobs []Job) ([][]*Act, error) {
	centres := map[string]*plant.CostCentre{}
	for _, c := range s.Plant.CostCentres {
		centres[c.ID] = c
	}
	acts := make([][]*Act, len(jobs))
	var waiting []task
	for i, j := range jobs {
		acts[i] = make([]*Act, len(j.Steps))
		for k, step := range j.Steps {
			if len(step.After) == 0 {
				waiting = append(waiting, task{i, k, j.Release})
			}
		}
	}
	free := map[string]time.Time{}
	for len(waiting) > 0 {
		best, at, err := s.pick(jobs, waiting, free, centres)
		if err != nil {
			return nil, err
		}
		t := waiting[best]
		waiting = append(waiting[:best], waiting[best+1:]...)
		step := jobs[t.job].Steps[t.step]
		act := Play(step.Work, supply(jobs[t.job], acts[t.job], t.step), s.Seed, s.Habits)
		if err := act.Place(at, CalendarOf(s.Plant, centres[step.Centre])); err != nil {
			return nil, err
		}
		acts[t.job][t.step], free[step.Device] = act, act.End()
		waiting = append(waiting, released(jobs[t.job], acts[t.job], t.job, t.step)...)
	}
	return acts, nil
}

// pick finds the step that begins first. What is not released yet can not begin
// before it, for it waits for something that begins no earlier.
func (s *Shop) pick(
	jobs []Job, waiting []task, free map[string]time.Time, centres map[string]*plant.CostCentre,
) (int, time.Time, error) {
	best, from := -1, time.Time{}
	for i, t := range waiting {
		step := jobs[t.job].Steps[t.step]
		at := t.ready
		if f := free[step.Device]; f.After(at) {
			at = f
		}
		open, ok := CalendarOf(s.Plant, centres[step.Centre]).Next(at)
		if !ok {
			return 0, at, fmt.Errorf("play job %q: %q has no shift in the year from %s",
				step.Job, step.Device, at.Format(time.DateOnly))
		}
		if open.From.After(at) {
			at = open.From
		}
		if best < 0 || s.before(jobs, t, at, waiting[best], from) {
			best, from = i, at
		}
	}
	return best, from, nil
}

func (s *Shop) before(jobs []Job, t task, at time.Time, u task, from time.Time) bool {
	return cmp.Or(at.Compare(from), jobs[t.job].Due.Compare(jobs[u.job].Due),
		cmp.Compare(t.job, u.job), cmp.Compare(t.step, u.step)) < 0
}

// supply is what a step has to work on, in the unit of its In: what the steps
// before it made, the least of them where several come together, or the paper
// of the plan.
func supply(j Job, acts []*Act, step int) int {
	s := j.Steps[step]
	if len(s.After) == 0 {
		return s.In
	}
	least := math.MaxInt
	for _, k := range s.After {
		// Several leaves may make one block: as the plan has them.
		per := max(1, int(math.Round(float64(j.Steps[k].Out)/float64(max(1, s.In)))))
		least = min(least, acts[k].Good/per)
	}
	return least
}

// released lists the steps that can go on now that one is done.
func released(j Job, acts []*Act, number, done int) []task {
	var all []task
	for k, step := range j.Steps {
		waits := false
		var ready time.Time
		follows := false
		for _, before := range step.After {
			follows = follows || before == done
			if acts[before] == nil {
				waits = true
				break
			}
			if end := acts[before].End().Add(j.Steps[before].Drying); end.After(ready) {
				ready = end
			}
		}
		if follows && !waits {
			all = append(all, task{number, k, ready})
		}
	}
	return all
}
