package schedule

import (
	"context"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/convert/plan"
	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/jdf/value"
	"quoin/validate/plant"
)

// TestProperties: what holds of every schedule, laid either way.
func TestProperties(t *testing.T) {
	berlin := zone(t, "Europe/Berlin")
	for seed := range uint64(24) {
		random := rand.New(rand.NewPCG(seed, 3))
		p := works(nil, berlin)
		if seed%2 > 0 {
			p = works(twoShifts(), berlin)
		}
		// Over the clock change of the end of March.
		now := time.Date(2026, 3, 26, 13, 17, 0, 0, berlin)
		w := randomWorks(random, 1+random.IntN(15), 3, now, 4)
		for _, latest := range []bool{false, true} {
			s, _ := laid(t, w, p, Options{Now: now, Trials: 300, Seed: seed, Latest: latest})
			checkMachines(t, s, p)
			checkJobs(t, s, w, p)
			checkMeasures(t, s)
		}
	}
}

// checkMachines: a machine does one thing at a time, in its shifts, and all of
// the work.
func checkMachines(t *testing.T, s *Schedule, p *plant.Plant) {
	t.Helper()
	shifts := p.CostCentres[0].Shifts
	for _, m := range s.Machines {
		at := s.Now
		for _, o := range m.Operations {
			sums := map[Activity]time.Duration{}
			for _, w := range o.Slices {
				require.False(t, w.From.Before(at), "%s %s", m.ID, o.JobID)
				require.True(t, w.To.After(w.From))
				require.True(t, inShift(w, shifts), "%v", w)
				at = w.To
				sums[w.Activity] += w.To.Sub(w.From)
			}
			require.Equal(t, o.Makeready.Duration, sums[Makeready])
			require.Equal(t, o.Run.Duration, sums[Run])
			require.Equal(t, o.WashUp.Duration, sums[WashUp])
			require.LessOrEqual(t, slices.IndexFunc(o.Slices[1:], func(w Slice) bool { return w.Activity == Makeready }), -1)
			require.Equal(t, o.Start, o.Slices[0].From)
		}
		require.LessOrEqual(t, m.Busy, 100.0)
	}
}

// inShift walks a slice by minutes, on the clock of the wall.
func inShift(w Slice, shifts []plant.Shift) bool {
	if len(shifts) == 0 {
		return true
	}
	for at := w.From; at.Before(w.To); at = at.Add(time.Minute) {
		minute := at.Hour()*60 + at.Minute()
		if !slices.ContainsFunc(shifts, func(s plant.Shift) bool {
			return s.Days.Has(at.Weekday()) && s.From <= minute && minute < s.To
		}) {
			return false
		}
	}
	return true
}

// checkJobs: operations follow each other as the plan has it, with drying.
func checkJobs(t *testing.T, s *Schedule, works []Work, p *plant.Plant) {
	t.Helper()
	for i, j := range s.Jobs {
		require.Len(t, j.Operations, len(works[i].Plan.Operations))
		ends := map[string]time.Time{}
		all := s.Now
		if f := works[i].NotBefore; f.Given {
			all = later(all, f.Value.Time())
		}
		for k, o := range j.Operations {
			planned := works[i].Plan.Operations[k]
			require.Equal(t, planned.Step, o.Step)
			require.Equal(t, planned.Run, o.Run)
			from := all
			for sheet, end := range ends {
				if o.Sheet == sheet || o.Sheet == "" {
					from = later(from, end)
				}
			}
			require.False(t, o.Start.Before(from), "%s %s %s", o.JobID, o.Step, o.Sheet)
			require.GreaterOrEqual(t, o.Slack.Duration, time.Duration(0))
			require.False(t, o.Start.Before(o.EarliestStart))
			require.False(t, o.Start.After(o.LatestStart))
			ends[o.Sheet] = o.End.Add(drying(p, o.Machine))
		}
		require.False(t, j.End.Before(j.Earliest), j.JobID)
		if j.Due != nil {
			require.Equal(t, max(0, j.End.Sub(*j.Due)) > 0, j.Late.Duration > 0, j.JobID)
		}
	}
}

// checkMeasures: no bound is over what was found, and the totals are those of
// the jobs.
func checkMeasures(t *testing.T, s *Schedule) {
	t.Helper()
	end, weighted := s.Now, time.Duration(0)
	for _, j := range s.Jobs {
		end = later(end, j.End)
		weighted += j.Late.Duration * time.Duration(j.Priority+1)
	}
	require.True(t, end.Equal(s.Totals.End))
	require.Equal(t, int64(end.Sub(s.Now).Seconds()), s.Totals.Makespan.Value)
	require.Equal(t, int64(weighted.Seconds()), s.Totals.WeightedLate.Value)
	for _, m := range []Measure{s.Totals.WeightedLate, s.Totals.Makespan, s.Totals.Changeover} {
		require.LessOrEqual(t, m.Bound, m.Value)
		require.GreaterOrEqual(t, m.Bound, int64(0))
		require.Equal(t, m.Bound == m.Value, m.Gap == 0)
	}
}

// TestMoreMachines: where no changeover is saved, giving a machine's operations
// to two of them makes no bound worse.
func TestMoreMachines(t *testing.T) {
	now := monday
	better := 0
	for seed := range uint64(30) {
		random := rand.New(rand.NewPCG(seed, 5))
		p := works(twoShifts(), time.UTC)
		second := *p.Guillotines[0]
		second.ID = "knife-2"
		p.Guillotines = append(p.Guillotines, &second)
		var one, two []Work
		for i := range 10 {
			pl, split := &plan.Plan{JobID: fmt.Sprint(i)}, &plan.Plan{JobID: fmt.Sprint(i)}
			o := op(plan.StepCut, "S1", "knife", random.IntN(30), 10+random.IntN(200))
			o2 := *o
			if random.IntN(2) == 0 {
				o2.Device = "knife-2"
			}
			f := op(plan.StepFold, "S1", "folder", 10, 10+random.IntN(60))
			pl.Operations, split.Operations = []*plan.Operation{o, f}, []*plan.Operation{&o2, f}
			by := due(now.Add(time.Duration(1+random.IntN(20)) * time.Hour))
			one, two = append(one, Work{Plan: pl, Due: by}), append(two, Work{Plan: split, Due: by})
		}
		far := now.AddDate(1, 0, 0).Unix()
		a := newBounds(newProblem(one, p, now, true)).bound(far)
		b := newBounds(newProblem(two, p, now, true)).bound(far)
		require.LessOrEqual(t, b.late, a.late, "seed %d", seed)
		require.LessOrEqual(t, b.makespan, a.makespan, "seed %d", seed)
		require.LessOrEqual(t, b.changeover, a.changeover, "seed %d", seed)
		if b.late < a.late {
			better++
		}
	}
	require.NotZero(t, better)
}

// TestSame: the same input gives the same bytes, and JSON comes back the same.
func TestSame(t *testing.T) {
	first, err := json.Marshal(tenJobs(t))
	require.NoError(t, err)
	second, err := json.Marshal(tenJobs(t))
	require.NoError(t, err)
	require.JSONEq(t, string(first), string(second))
	var back Schedule
	require.NoError(t, json.Unmarshal(first, &back))
	again, err := json.Marshal(&back)
	require.NoError(t, err)
	require.JSONEq(t, string(first), string(again))
}

// TestSearchHelps: the search ends no worse than any rule, and better than most.
func TestSearchHelps(t *testing.T) {
	w := randomWorks(rand.New(rand.NewPCG(9, 9)), 25, 3, monday, 4)
	p := newProblem(w, works(twoShifts(), zone(t, "Europe/Berlin")), monday, true)
	found, err := p.find(context.Background(), Options{Trials: 2000}, objective{})
	require.NoError(t, err)
	better := 0
	for _, r := range priorities {
		v := p.build(r).value
		require.LessOrEqual(t, found.best.value.compare(v), 0, r.name)
		if found.best.value.late < v.late {
			better++
		}
	}
	require.Greater(t, better, len(priorities)/2)
}

// TestTimesOfTickets: a due time without zone is read off the plant's clock,
// one with a zone is an instant, and an infinite one is none.
func TestTimesOfTickets(t *testing.T) {
	p := works(nil, zone(t, "Europe/Berlin"))
	for text, want := range map[string]string{
		"2026-11-24T12:00:00":       "2026-11-24T11:00:00Z",
		"2026-11-24T12:00:00-05:00": "2026-11-24T17:00:00Z",
		"INF":                       "",
	} {
		at := value.DateTime{Infinite: 1}
		if text != "INF" {
			var err error
			at, err = value.ParseDateTime(text)
			require.NoError(t, err)
		}
		w := Work{
			Plan: &plan.Plan{JobID: "SM-1", Operations: []*plan.Operation{op(plan.StepCut, "S1", "knife", 10, 50)}},
			Due:  job.Of(at, jdf.Place{}),
		}
		s, _ := laid(t, []Work{w}, p, Options{Now: monday})
		if want == "" {
			require.Nil(t, s.Jobs[0].Due)
			continue
		}
		require.Equal(t, want, s.Jobs[0].Due.UTC().Format(time.RFC3339))
	}
}
