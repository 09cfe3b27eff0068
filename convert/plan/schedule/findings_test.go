package schedule

import (
	"context"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/convert/plan"
	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/validate"
	"quoin/validate/plant"
)

func cutting(id string, ready, run int, by time.Time) Work {
	return Work{
		Plan: &plan.Plan{JobID: id, Operations: []*plan.Operation{op(plan.StepCut, "S1", "knife", ready, run)}},
		Due:  due(by),
	}
}

// printing is a job that is printed, dried for two hours and cut.
func printing(by time.Time) Work {
	w := cutting("SM-1", 10, 50, by)
	w.Plan.Operations = append([]*plan.Operation{op(plan.StepPrint, "S1", "press", 20, 100)}, w.Plan.Operations...)
	return w
}

func TestLate(t *testing.T) {
	days := plant.On(time.Monday, time.Tuesday)
	p := works([]plant.Shift{{Days: days, From: 8 * 60, To: 12 * 60}}, time.UTC)
	clock := func(day, hour int) time.Time { return time.Date(2026, 11, day, hour, 0, 0, 0, time.UTC) }
	const or = "or agree on another date with the customer, or plan it on other machines"
	for name, c := range map[string]struct {
		works []Work
		ids   string
		say   string
		do    string
	}{
		"in time": {works: []Work{printing(clock(24, 9))}},
		"work at night would do": {
			[]Work{printing(clock(23, 20))}, "plant/late",
			`job "SM-1" can not be ready by Mon 2026-11-23 20:00, not even with all machines to itself; ` +
				`by Tue 2026-11-24 09:00 at the earliest, 13 h 00 min over`,
			"work outside the shifts: round the clock it could be ready by Mon 2026-11-23 11:00; " +
				"dry it faster: without drying time it could be ready by Mon 2026-11-23 11:00; " + or,
		},
		"no more can be done": {
			[]Work{printing(clock(23, 8))}, "plant/late",
			`job "SM-1" can not be ready by Mon 2026-11-23 08:00, not even with all machines to itself; ` +
				`by Tue 2026-11-24 09:00 at the earliest, 1 d 01 h 00 min over`,
			strings.TrimPrefix(or, "or "),
		},
		"behind another": {
			[]Work{cutting("SM-1", 10, 110, clock(23, 10)), cutting("SM-2", 10, 110, clock(23, 10))}, "plant/late-behind",
			`job "SM-2" is ready by Mon 2026-11-23 12:00, 2 h 00 min over its due time Mon 2026-11-23 10:00: ` +
				`"cut S1" waits 4 h 00 min for machine "knife", behind job "SM-1"`,
			lateBehind.Do,
		},
	} {
		s, findings := laid(t, c.works, p, Options{Now: clock(23, 6)})
		var ids []string
		for _, f := range findings {
			ids = append(ids, f.Rule.ID)
			require.Equal(t, c.say, f.Message(), name)
			require.Equal(t, c.do, f.Advice(), name)
		}
		require.Equal(t, c.ids, strings.Join(ids, " "), name)
		require.Equal(t, len(findings), s.Totals.LateJobs, name)
	}
}

// TestLatePlace: the finding stands at the due time in the ticket.
func TestLatePlace(t *testing.T) {
	doc, faults, err := jdf.Read("order.xjdf", strings.NewReader(`<?xml version="1.0"?>
<XJDF xmlns="http://www.CIP4.org/JDFSchema_2_0" Version="2.2" JobID="SM-1" Types="Product">
  <ProductList><Product ID="p" Amount="100" IsRoot="true"/></ProductList>
  <ResourceSet Name="NodeInfo"><Resource><NodeInfo End="2026-11-23T06:00:00+01:00" FirstStart="2026-11-23T05:30:00Z"
    JobPriority="70"/></Resource></ResourceSet>
</XJDF>`), jdf.Limits{})
	require.NoError(t, err)
	require.Empty(t, faults)
	pl := cutting("SM-1", 10, 50, monday).Plan
	s, findings := laid(t, []Work{WorkOf(pl, job.Decode(doc))}, works(nil, time.UTC), Options{Now: monday})
	require.Len(t, findings, 1)
	require.Equal(t, "order.xjdf", findings[0].Place.File())
	require.Equal(t, 4, findings[0].Place.Pos().Line)
	require.Equal(t, 70, s.Jobs[0].Priority)
	require.Equal(t, "05:30", s.Jobs[0].Start.Format("15:04"))
}

// TestNotLaid: what can not be laid gives findings and no schedule.
func TestNotLaid(t *testing.T) {
	p := works([]plant.Shift{{Days: plant.On(time.Monday), From: 0, To: 60}}, time.UTC)
	for id, w := range map[string]Work{
		"plant/machine-missing": {Plan: &plan.Plan{
			JobID: "SM-1", Operations: []*plan.Operation{op(plan.StepCut, "S1", "saw", 1, 1)},
		}},
		// An hour a week for 2000 hours.
		"plant/no-working-time": cutting("SM-1", 10, 2000*60, monday),
	} {
		s, findings, err := Make(context.Background(), []Work{w}, p, Options{Now: monday})
		require.NoError(t, err)
		require.Nil(t, s)
		require.Len(t, findings, 1)
		require.Equal(t, id, findings[0].Rule.ID)
		require.NotContains(t, findings[0].Message()+findings[0].Advice(), "{")
	}
}

func TestMisuse(t *testing.T) {
	p := works(nil, time.UTC)
	_, _, err := Make(context.Background(), nil, p, Options{})
	require.ErrorContains(t, err, "time to begin at")
	_, _, err = Make(context.Background(), []Work{{}}, p, Options{Now: monday})
	require.ErrorContains(t, err, "work 1 has no plan")
	stopped, cancel := context.WithCancel(context.Background())
	cancel()
	_, _, err = Make(stopped, twoHundred()[:5], p, Options{Now: monday})
	require.ErrorIs(t, err, context.Canceled)
}

// TestNothing: no jobs, and a plan without operations, make a schedule that is
// empty, and can be written.
func TestNothing(t *testing.T) {
	for _, w := range [][]Work{nil, {{Plan: &plan.Plan{Name: "Nothing to do"}}}} {
		s, findings := laid(t, w, &plant.Plant{Name: "Saltmarsh Print Works"}, Options{Now: monday.Add(time.Millisecond)})
		require.Empty(t, findings)
		require.Empty(t, s.Machines)
		require.Equal(t, monday.Add(time.Second), s.Totals.End)
		var out strings.Builder
		require.NoError(t, Text(&out, s))
		require.NoError(t, SVG(&out, s))
		require.Contains(t, out.String(), "all times are UTC")
	}
}

// TestPriorities: a priority that no ticket should have counts as the nearest.
func TestPriorities(t *testing.T) {
	for given, want := range map[int]int{-7: 0, 0: 0, 100: 100, 1 << 40: 100} {
		w := cutting("SM-1", 10, 50, monday)
		w.Priority = job.Of(given, jdf.Place{})
		s, _ := laid(t, []Work{w}, works(nil, time.UTC), Options{Now: monday})
		require.Equal(t, want, s.Jobs[0].Priority)
		require.Equal(t, int64(3600*(want+1)), s.Totals.WeightedLate.Value)
	}
	s, _ := laid(t, []Work{cutting("SM-1", 10, 50, monday)}, works(nil, time.UTC), Options{Now: monday})
	require.Equal(t, DefaultPriority, s.Jobs[0].Priority)
}

func TestRules(t *testing.T) {
	seen := map[string]bool{}
	for _, r := range Rules() {
		require.False(t, seen[r.ID], r.ID)
		seen[r.ID] = true
		require.Equal(t, validate.GroupPlant, r.Group())
		require.NotEmpty(t, r.Do)
		require.NotEmpty(t, r.Why)
		require.NotZero(t, r.Severity)
		require.False(t, strings.HasSuffix(r.Say, "."), r.ID)
	}
	require.Len(t, seen, 4)
}
