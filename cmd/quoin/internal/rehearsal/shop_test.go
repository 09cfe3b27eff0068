package rehearsal_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/rehearsal"
)

// jobs that print two sheets each, on two presses, fold them and stitch both.
func books(n int) []rehearsal.Job {
	var all []rehearsal.Job
	from := time.Date(2026, 3, 2, 5, 0, 0, 0, time.UTC)
	for i := range n {
		step := func(part, sheet, device, centre string, k rehearsal.Kind, after ...int) rehearsal.Step {
			w := printing(i)
			w.Part, w.Sheet, w.Device, w.Centre, w.Kind, w.Paper = part, sheet, device, centre, k, len(after) == 0
			if len(after) > 0 {
				w.In, w.Out, w.SetupWaste, w.RunWaste, w.WashUp = 5000, 4900, 50, 50, 0
			}
			return rehearsal.Step{Work: w, After: after}
		}
		j := rehearsal.Job{Release: from.Add(time.Duration(i) * time.Hour), Due: from.AddDate(0, 0, 3+i%4)}
		j.Steps = []rehearsal.Step{
			step("01", "S1", "offset-b2", "press-b2", rehearsal.Press),
			step("02", "S2", "offset-b1", "press-b1", rehearsal.Press),
			step("03", "S1", "folder-1", "folding", rehearsal.Folder, 0),
			step("04", "S2", "folder-1", "folding", rehearsal.Folder, 1),
			step("05", "", "stitcher-1", "stitching", rehearsal.Stitcher, 2, 3),
		}
		j.ID = j.Steps[0].Job
		for k := range j.Steps {
			if j.Steps[k].Kind == rehearsal.Press {
				j.Steps[k].Drying = 4 * time.Hour
			}
		}
		all = append(all, j)
	}
	return all
}

// A machine does one thing at a time, nothing begins before it can, and the
// draws do not depend on what else is in the works.
func TestShopKeepsOrder(t *testing.T) {
	p := saltmarsh(t)
	shop := &rehearsal.Shop{Plant: p, Seed: 2, Habits: rehearsal.HabitsOf(p)}
	jobs := books(25)
	acts, err := shop.Run(jobs)
	require.NoError(t, err)
	byDevice := map[string][]*rehearsal.Act{}
	for i, j := range jobs {
		require.Len(t, acts[i], len(j.Steps))
		for k, s := range j.Steps {
			a := acts[i][k]
			byDevice[a.Device] = append(byDevice[a.Device], a)
			require.False(t, a.Start().Before(j.Release))
			for _, b := range s.After {
				require.False(t, a.Start().Before(acts[i][b].End().Add(j.Steps[b].Drying)), "%s %s", j.ID, a.Part)
				require.LessOrEqual(t, a.Taken, acts[i][b].Good)
			}
		}
	}
	for _, all := range byDevice {
		for i, a := range all {
			for _, b := range all[:i] {
				require.True(t, !a.Start().Before(b.End()) || !b.Start().Before(a.End()), "%s and %s overlap", a.Job, b.Job)
			}
		}
	}
	again, err := shop.Run(jobs)
	require.NoError(t, err)
	require.Equal(t, acts, again)
	alone, err := shop.Run(jobs[3:4])
	require.NoError(t, err)
	for k, a := range alone[0] {
		require.Equal(t, [2]int{acts[3][k].Good, acts[3][k].Waste}, [2]int{a.Good, a.Waste})
	}
}

// Idle time fills the shifts between the steps of a machine to the second.
func TestIdleFillsTheShifts(t *testing.T) {
	p := saltmarsh(t)
	shop := &rehearsal.Shop{Plant: p, Seed: 2}
	acts, err := shop.Run(books(6))
	require.NoError(t, err)
	truth := &rehearsal.Truth{}
	for _, a := range acts {
		truth.Steps = append(truth.Steps, a[4])
	}
	truth.Settle()
	cal := rehearsal.CalendarOf(p, centre(t, p, "stitching"))
	idle := rehearsal.IdleOf("stitcher-1", truth.Steps, cal)
	require.NotEmpty(t, idle)
	var spent, manned time.Duration
	for _, i := range idle {
		spent += i.End.Sub(i.Start)
	}
	for _, a := range truth.Steps {
		for _, ph := range a.Phases {
			spent += ph.Length()
		}
	}
	last := truth.Steps[len(truth.Steps)-1].End()
	for at := truth.Steps[0].Start(); at.Before(last); {
		open, ok := cal.Next(at)
		require.True(t, ok)
		from, to := open.From, open.To
		if at.After(from) {
			from = at
		}
		if last.Before(to) {
			to = last
		}
		if to.After(from) {
			manned += to.Sub(from)
		}
		at = open.To
	}
	require.Equal(t, manned, spent)
}
