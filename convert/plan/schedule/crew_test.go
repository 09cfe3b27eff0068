package schedule

import (
	"context"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/convert/plan"
	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/jdf/value"
	"quoin/validate/plant"

	"github.com/shopspring/decimal"
)

// TestCrew: machines that share one person never run at the same time, and no
// more run at once than there are people; with people enough the notes are silent.
func TestCrew(t *testing.T) {
	for crew := 3; crew <= 5; crew++ {
		p := works(twoShifts(), zone(t, "Europe/Berlin"))
		p.CostCentres[0].Crew = crew
		w := randomWorks(rand.New(rand.NewPCG(5, uint64(crew))), 12, 3, monday, 7)
		s, _ := laid(t, w, p, Options{Now: monday, Trials: 2000})
		var busy []Slice
		for _, m := range s.Machines {
			if m.ID == "press" || m.ID == "digital" {
				continue // each has a person of its own
			}
			for _, o := range m.Operations {
				busy = append(busy, o.Slices...)
			}
		}
		require.NotEmpty(t, busy)
		for _, a := range busy {
			at := 0
			for _, b := range busy {
				if !b.From.After(a.From) && b.To.After(a.From) {
					at++
				}
			}
			require.LessOrEqual(t, at, crew-2, "%d people at %s", crew, a.From)
		}
		require.Equal(t, crew < 5, strings.Contains(strings.Join(s.Notes, "\n"), "crew is too small"))
		require.GreaterOrEqual(t, s.Totals.Makespan.Value, s.Totals.Makespan.Bound)
	}
}

// saltmarsh is the demo plant with a second guillotine, twice as slow to cut.
func saltmarsh(t *testing.T, second bool) *plant.Plant {
	t.Helper()
	p, findings, err := plant.LoadFile(filepath.Join("..", "..", "..", "testdata", "plant", "saltmarsh.yaml"))
	require.NoError(t, err)
	require.Empty(t, findings)
	if second {
		g := *p.Guillotines[0]
		centre := *g.CostCentre
		g.ID, g.Cut, g.CostCentre = "guillotine-2", 2*g.Cut, &centre
		p.Guillotines = append(p.Guillotines, &g)
	}
	return p
}

// TestMoved: work that waits for one guillotine goes to a second one where that
// helps, with the times of that one, and the plan's machine stands beside it.
func TestMoved(t *testing.T) {
	fact := func(v string) job.Fact[decimal.Decimal] { return job.Of(decimal.RequireFromString(v), jdf.Place{}) }
	var all []Work
	for i := range 8 {
		p := &job.Product{Root: true}
		p.Amount.Good = fact("400")
		p.Size = job.Of(value.Shape{X: value.FromMM(85 + float64(i)).Points(), Y: value.FromMM(55).Points()}, jdf.Place{})
		p.Media.Weight = job.Of(250.0, jdf.Place{})
		p.Front.Colors = job.Of([]string{"Black"}, jdf.Place{})
		// Planned where there is but one guillotine.
		pl, _ := plan.Make(&job.Job{Products: []*job.Product{p}}, saltmarsh(t, false), plan.Options{})
		require.NotNil(t, pl)
		all = append(all, Work{Plan: pl, Due: due(monday.Add(3 * time.Hour))})
	}
	one, _ := laid(t, all, saltmarsh(t, false), Options{Now: monday, Trials: 3000})
	two, _ := laid(t, all, saltmarsh(t, true), Options{Now: monday, Trials: 3000})
	require.LessOrEqual(t, two.Totals.WeightedLate.Value, one.Totals.WeightedLate.Value)
	all1, all2 := one.Totals, two.Totals
	require.Less(t, all2.WeightedLate.Value+all2.Makespan.Value, all1.WeightedLate.Value+all1.Makespan.Value)
	moved := 0
	for _, j := range two.Jobs {
		for _, o := range j.Operations {
			if o.Planned != "" {
				moved++
				require.Equal(t, []string{"guillotine-2", "guillotine-1"}, []string{o.Machine, o.Planned})
				require.Positive(t, o.Run.Duration)
			}
		}
	}
	require.Positive(t, moved)
	require.Contains(t, strings.Join(two.Notes, "\n"), "other machines than planned")
	require.True(t, slices.ContainsFunc(two.Machines, func(m *Machine) bool { return m.ID == "guillotine-2" }))
	again, _, err := Make(context.Background(), all, saltmarsh(t, true), Options{Now: monday, Trials: 3000})
	require.NoError(t, err)
	require.Equal(t, two.Totals, again.Totals)
	for _, w := range all {
		for _, o := range w.Plan.Operations {
			require.NotEqual(t, "guillotine-2", o.Device, "the plan itself is left as it is")
		}
	}
}
