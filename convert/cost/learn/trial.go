package learn

import (
	"fmt"
	"math"
	"slices"
	"time"
)

// leastWeeks is how many weeks a trial wants; where the teaching jobs have fewer,
// it goes by days.
const leastWeeks = 3

// Trial is what a figure was worth among the jobs that taught. Each week is
// planned with what the other weeks teach, so that no job judges what it taught.
// Errors are medians of the absolute errors of single tasks, in percent of what
// happened.
type Trial struct {
	By     string  `json:"by"`     // "week" or "day"
	Folds  int     `json:"folds"`  // weeks or days
	Better int     `json:"better"` // of them, whose own error fell
	Before float64 `json:"before"` // of all tasks, with the present figure
	After  float64 `json:"after"`
}

// passed reports whether the figure is better: over all tasks, and in more than
// half of the weeks, lest one odd week decides.
func (t *Trial) passed() bool { return t.Folds > 1 && t.After < t.Before && 2*t.Better > t.Folds }

// words are the numbers of a trial that a figure did not pass.
func (t *Trial) words() string {
	if t.Folds < 2 {
		return "kept: all jobs are of one day, and no other day can judge the figure"
	}
	return fmt.Sprintf("kept: there is no better figure; tried by %ss, the median error goes from %.1f to %.1f %%, "+
		"better in %d of %d", t.By, t.Before, t.After, t.Better, t.Folds)
}

// trial tries out what a sample teaches. Where take is not nil it parts the work
// in two classes, and what both deviate by is tried.
func (s *sample) trial(take func(*seen) bool) *Trial {
	t := &Trial{By: "week"}
	ends := s.ends()
	fold := func(one *seen) string {
		end := ends[one.task.Job]
		if t.By == "day" {
			return end.Format(time.DateOnly)
		}
		year, week := end.ISOWeek()
		return fmt.Sprintf("%04d-%02d", year, week)
	}
	if s.folds(fold) < leastWeeks {
		t.By = "day"
	}
	t.Folds = s.folds(fold)
	if t.Folds < 2 {
		return t
	}
	members := map[string][]int{}
	var names []string
	for i, one := range s.of {
		name := fold(one)
		if members[name] == nil {
			names = append(names, name)
		}
		members[name] = append(members[name], i)
	}
	var before, after []float64
	for _, name := range names {
		_, rest := s.only(func(one *seen) bool { return fold(one) == name })
		factor := rest.teaches(take)
		var was, is []float64
		for _, i := range members[name] {
			planned := math.Exp(-s.logs[i])
			was = append(was, 100*math.Abs(planned-1))
			is = append(is, 100*math.Abs(planned*factor-1))
		}
		before, after = append(before, was...), append(after, is...)
		if middle(is) < middle(was) {
			t.Better++
		}
	}
	t.Before, t.After = middle(before), middle(after)
	return t
}

// ends are when the jobs of a sample were last worked on.
func (s *sample) ends() map[string]time.Time {
	ends := map[string]time.Time{}
	for _, one := range s.of {
		if one.last.After(ends[one.task.Job]) {
			ends[one.task.Job] = one.last.UTC()
		}
	}
	return ends
}

func (s *sample) folds(fold func(*seen) string) int {
	names := map[string]bool{}
	for _, one := range s.of {
		names[fold(one)] = true
	}
	return len(names)
}

// teaches is the factor that a sample would propose, 1 where its classes deviate
// to different sides, or one of them is empty.
func (s *sample) teaches(take func(*seen) bool) float64 {
	if take == nil {
		return math.Exp(pairMean(slices.Sorted(slices.Values(s.logs))))
	}
	in, out := s.only(take)
	if len(in.of) == 0 || len(out.of) == 0 {
		return 1
	}
	a, b := in.teaches(nil), out.teaches(nil)
	if (a > 1) != (b > 1) {
		return 1
	}
	return nearerOne(a, b)
}

// middle is the median of values in any order, which it sorts.
func middle(values []float64) float64 {
	slices.Sort(values)
	return median(values)
}
