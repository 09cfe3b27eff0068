package rehearsal_test

import (
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/rehearsal"
	"quoin/jdf/job"
	"quoin/validate/plant"
)

func saltmarsh(t *testing.T) *plant.Plant {
	t.Helper()
	p, found, err := plant.LoadFile("../../../../testdata/plant/saltmarsh.yaml")
	require.NoError(t, err)
	require.Empty(t, found)
	return p
}

func centre(t *testing.T, p *plant.Plant, id string) *plant.CostCentre {
	t.Helper()
	for _, c := range p.CostCentres {
		if c.ID == id {
			return c
		}
	}
	require.Fail(t, "no cost centre "+id)
	return nil
}

// printing is a run of a press, as a plan of 5000 sheets has it.
func printing(n int) rehearsal.Work {
	return rehearsal.Work{
		Job: "J" + strconv.Itoa(n), Part: "01-print", Sheet: "S1", Device: "offset-b2", Centre: "press-b2",
		Kind: rehearsal.Press, Makeready: 40 * time.Minute, Run: 30 * time.Minute, WashUp: 24 * time.Minute,
		In: 5600, Out: 5000, PerIn: 1, SetupWaste: 440, RunWaste: 160, Paper: true, Stock: "x", Grammage: 250,
		Coating: "gloss", Front: []string{"Cyan", "Magenta", "Yellow", "Black"}, Plates: 4,
	}
}

func TestSameSeedSameAct(t *testing.T) {
	a := rehearsal.Play(printing(1), 5600, 7, nil)
	require.Equal(t, a, rehearsal.Play(printing(1), 5600, 7, nil))
	require.NotEqual(t, a.Phases, rehearsal.Play(printing(1), 5600, 8, nil).Phases)
	require.NotEqual(t, a.Phases, rehearsal.Play(printing(2), 5600, 7, nil).Phases)
}

// What goes in comes out, good or waste, and in the phases as in the sum.
func TestAmountsAddUp(t *testing.T) {
	habits := rehearsal.HabitsOf(saltmarsh(t))
	for n := range 300 {
		for _, perIn := range []int{1, 8} {
			for _, paper := range []bool{true, false} {
				w := printing(n)
				w.PerIn, w.Out, w.Paper = perIn, w.Out*perIn, paper
				supply := 20 * n
				a := rehearsal.Play(w, supply, 3, habits)
				good, waste := 0, 0
				for _, p := range a.Phases {
					require.GreaterOrEqual(t, p.Good, 0)
					require.GreaterOrEqual(t, p.Waste, 0)
					require.True(t, p.Good == 0 || p.State == job.StateRun)
					good, waste = good+p.Good, waste+p.Waste
				}
				require.Equal(t, [2]int{a.Good, a.Waste}, [2]int{good, waste})
				require.Equal(t, a.Taken*perIn, good+waste)
				if paper {
					require.LessOrEqual(t, a.Taken, supply+supply*5/100+1)
				} else {
					require.Equal(t, supply, a.Taken, "a later step works up all it is handed")
				}
			}
		}
	}
}

// A habit moves the mean of what is drawn by its factor, and nothing else does.
func TestHabitsShow(t *testing.T) {
	mean := func(habits []rehearsal.Habit) (ready, waste float64) {
		const n = 400
		cal := rehearsal.CalendarOf(saltmarsh(t), nil)
		for i := range n {
			a := rehearsal.Play(printing(i), 5600, 5, habits)
			require.NoError(t, a.Place(time.Date(2026, 3, 2, 6, 0, 0, 0, time.UTC), cal))
			ready += a.Time(job.StateMakeready).Minutes() / n
			waste += float64(a.Waste) / n
		}
		return ready, waste
	}
	plainReady, plainWaste := mean(nil)
	require.InEpsilon(t, 40, plainReady, 0.03, "as planned")
	require.InEpsilon(t, 600, plainWaste, 0.05, "as planned")
	ready, waste := mean([]rehearsal.Habit{{Kind: rehearsal.Press, Grammage: 170, Makeready: 1.25, Setup: 1.5}})
	require.InEpsilon(t, 1.25, ready/plainReady, 0.02)
	require.InEpsilon(t, 220, waste-plainWaste, 0.05)
	ready, _ = mean([]rehearsal.Habit{{Kind: rehearsal.Press, Grammage: 251, Makeready: 1.25}})
	require.Equal(t, plainReady, ready, "the stock is lighter than the habit asks")
}

// Shifts are by the clock on the wall: the night in which it is put forward is
// an hour shorter.
//
// Source: Directive 2000/84/EC: summer time begins on the last Sunday of March at 1:00 UTC.
func TestCalendarOfSaltmarsh(t *testing.T) {
	p := saltmarsh(t)
	cal := rehearsal.CalendarOf(p, centre(t, p, "press-b1"))
	at := func(s string) time.Time {
		v, err := time.Parse(time.RFC3339, s)
		require.NoError(t, err)
		return v
	}
	for _, c := range [][3]string{
		{"2026-03-27T21:00:00+01:00", "2026-03-27T14:00:00+01:00", "2026-03-27T22:00:00+01:00"}, // Fri
		{"2026-03-27T07:00:00+01:00", "2026-03-27T06:00:00+01:00", "2026-03-27T22:00:00+01:00"}, // two shifts that touch
		{"2026-03-27T22:00:00+01:00", "2026-03-28T06:00:00+01:00", "2026-03-28T12:00:00+01:00"}, // Sat
		{"2026-03-28T12:00:00+01:00", "2026-03-30T06:00:00+02:00", "2026-03-30T22:00:00+02:00"}, // Mon, in summer time
		{"2026-12-23T22:00:00+01:00", "2026-12-28T06:00:00+01:00", "2026-12-28T22:00:00+01:00"}, // holidays
	} {
		s, ok := cal.Next(at(c[0]))
		require.True(t, ok)
		require.True(t, s.From.Equal(at(c[1])), "%s: begins %s", c[0], s.From)
		require.True(t, s.To.Equal(at(c[2])), "%s: ends %s", c[0], s.To)
	}
	require.Equal(t, 0, cal.Shift(at("2026-03-27T07:00:00+01:00")))
	require.Equal(t, 1, cal.Shift(at("2026-03-27T15:00:00+01:00")))

	always := rehearsal.CalendarOf(&plant.Plant{Zone: time.UTC}, nil)
	s, ok := always.Next(at("2026-03-27T12:00:00Z"))
	require.True(t, ok)
	require.Greater(t, s.To.Sub(s.From), 6*24*time.Hour)
	never := rehearsal.CalendarOf(p, &plant.CostCentre{Shifts: []plant.Shift{{From: 360, To: 840}}})
	_, ok = never.Next(at("2026-03-27T12:00:00Z"))
	require.False(t, ok)
}

// Nothing is done outside shifts, nothing is lost where a shift ends, and a
// makeready is done in one go.
func TestPlaceKeepsToShifts(t *testing.T) {
	p := saltmarsh(t)
	cal := rehearsal.CalendarOf(p, centre(t, p, "press-b2"))
	split := 0
	for n := range 200 {
		w := printing(n)
		w.Run *= 20 // longer than a shift
		a := rehearsal.Play(w, 5600, 1, nil)
		at := time.Date(2026, 3, 2, 6, n*13, 0, 0, p.Zone)
		require.NoError(t, a.Place(at, cal))
		good, ready := 0, 0
		for i, ph := range a.Phases {
			require.False(t, ph.Start.Before(at))
			require.True(t, ph.End.After(ph.Start))
			open, ok := cal.Next(ph.Start)
			require.True(t, ok && !ph.Start.Before(open.From) && !ph.End.After(open.To), "in one stretch of work")
			if i > 0 {
				require.False(t, ph.Start.Before(a.Phases[i-1].End))
				if ph.State == a.Phases[i-1].State {
					split++
				}
			}
			if ph.State == job.StateMakeready {
				ready++
			}
			good += ph.Good
		}
		require.Equal(t, a.Good, good)
		require.Equal(t, 1, ready)
		for _, r := range a.Readings {
			require.False(t, r.At.Before(a.Start()) || r.At.After(a.End()))
		}
	}
	require.Greater(t, split, 100)
}

func TestClosedPlant(t *testing.T) {
	p := saltmarsh(t)
	a := rehearsal.Play(printing(1), 5600, 1, nil)
	err := a.Place(time.Date(2026, 3, 2, 6, 0, 0, 0, p.Zone), rehearsal.CalendarOf(p, &plant.CostCentre{
		Shifts: []plant.Shift{{From: 360, To: 840}},
	}))
	require.EqualError(t, err,
		`place job "J1" on "offset-b2": its cost centre "press-b2" has no shift in the year from 2026-03-02`)
}

// Inks are near their aims unless they drift, and those that drift end as far
// off as the truth says.
func TestReadings(t *testing.T) {
	drifting, runs := 0, 300
	for n := range runs {
		a := rehearsal.Play(printing(n), 5600, 9, nil)
		require.NotEmpty(t, a.Readings)
		first := map[string]float64{}
		last := map[string]float64{}
		for _, r := range a.Readings {
			for _, p := range r.Patches {
				switch p.Tint {
				case 1:
					if _, ok := first[p.Separation]; !ok {
						first[p.Separation] = p.Density
					}
					last[p.Separation] = p.Density
				case 0:
					require.Zero(t, p.Density, "densities are over the paper")
				default:
					require.Less(t, p.Density, last[p.Separation], "a midtone is lighter than its solid")
				}
			}
		}
		require.Len(t, first, 4)
		for ink := range first {
			want := 0.0
			if a.Drift != nil && a.Drift.Separation == ink {
				want = a.Drift.Density
				drifting++
			}
			require.InDelta(t, want, last[ink]-first[ink], 0.11)
		}
	}
	require.InDelta(t, 0.15, float64(drifting)/float64(runs), 0.07)
}

// An act that is cut and goes on later makes the same as one that is not.
func TestCutAndResume(t *testing.T) {
	always := rehearsal.CalendarOf(&plant.Plant{Zone: time.UTC}, nil)
	from := time.Date(2026, 3, 2, 6, 0, 0, 0, time.UTC)
	for n := range 200 {
		whole := rehearsal.Play(printing(n), 5600, 2, nil)
		require.NoError(t, whole.Place(from, always))
		a := rehearsal.Play(printing(n), 5600, 2, nil)
		require.NoError(t, a.Place(from, always))
		at := from.Add(time.Duration(n*31+1) * time.Second)
		if !at.Before(a.End()) {
			continue
		}
		rest := a.Cut(at)
		require.Equal(t, at, a.End())
		require.NotEmpty(t, rest)
		require.LessOrEqual(t, a.Good, whole.Good)
		require.Equal(t, strconv.Itoa(a.Good), a.Uses[len(a.Uses)-1].Good.String(), "what was made is told")
		require.NoError(t, a.Resume(rest, at.Add(time.Hour), always))
		require.Equal(t, [3]int{whole.Good, whole.Waste, whole.Taken}, [3]int{a.Good, a.Waste, a.Taken})
		require.Equal(t, whole.Uses, a.Uses)
		require.Len(t, a.Readings, len(whole.Readings))
		require.Equal(t, whole.End().Add(time.Hour), a.End())
	}
}
