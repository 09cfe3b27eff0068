package plan

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/validate/plant"
)

// twins doubles a list of machines; rename gives the doubles their ids.
func twins[M any](list []*M, rename func(*M)) []*M {
	for _, m := range list {
		c := *m
		rename(&c)
		list = append(list, &c)
	}
	return list
}

// TestElsewhere: on a machine that is like its own in all but its name, an operation
// takes the same times and costs the same, and a smaller one is not offered.
func TestElsewhere(t *testing.T) {
	doubled := func() *plant.Plant {
		p := saltmarsh(t)
		p.Guillotines = twins(p.Guillotines, func(m *plant.Guillotine) { m.ID += "-twin" })
		p.Folders = twins(p.Folders, func(m *plant.Folder) { m.ID += "-twin" })
		p.Stitchers = twins(p.Stitchers, func(m *plant.Stitcher) { m.ID += "-twin" })
		p.Binders = twins(p.Binders, func(m *plant.Binder) { m.ID += "-twin" })
		p.Laminators = twins(p.Laminators, func(m *plant.Laminator) { m.ID += "-twin" })
		p.Coaters = twins(p.Coaters, func(m *plant.Coater) { m.ID += "-twin" })
		p.DieCutters = twins(p.DieCutters, func(m *plant.DieCutter) { m.ID += "-twin" })
		p.HandWork = twins(p.HandWork, func(m *plant.HandWork) { m.ID += "-twin" })
		return p
	}
	single, double, small := saltmarsh(t), doubled(), doubled()
	small.Guillotines[1].MaxWidth = 100 * mm
	small.Folders[1].Catalog = nil
	small.Stitchers[1].Pockets = 0
	small.Binders[1].Stations = 0
	small.Laminators[1].Films = nil
	small.Coaters[1].Coatings = nil
	small.DieCutters[1].Gripper = 500 * mm
	for _, h := range small.HandWork {
		if len(h.ID) > 5 && h.ID[len(h.ID)-5:] == "-twin" {
			h.Task = "Other"
		}
	}
	rng := rand.New(rand.NewPCG(6, 28))
	seen := map[Step]int{}
	for range 120 {
		pl, _ := Make(randomJob(rng, single), single, Options{})
		if pl == nil {
			continue
		}
		for _, o := range pl.Operations {
			found := Elsewhere(pl, o, double)
			if o.Step == StepPlates || o.Step == StepPrint {
				require.Empty(t, found)
				continue
			}
			require.Len(t, found, 1, o.Step)
			f := found[0]
			require.Equal(t, o.Device+"-twin", f.Device)
			require.Equal(t, []Time{o.Makeready, o.Run}, []Time{f.Makeready, f.Run}, o.Step)
			require.True(t, o.Cost.Equal(f.Cost), o.Step)
			require.Empty(t, Elsewhere(pl, o, small), o.Step)
			seen[o.Step]++
		}
	}
	for _, s := range order[3:] {
		require.Positive(t, seen[s], s)
	}
}
