package schedule

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/convert/plan"
	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/jdf/value"
	"quoin/validate"
	"quoin/validate/plant"
)

func zone(t testing.TB, name string) *time.Location {
	t.Helper()
	z, err := time.LoadLocation(name)
	require.NoError(t, err)
	return z
}

// twoShifts is an early and a late shift from Monday to Friday.
func twoShifts() []plant.Shift {
	days := plant.On(time.Monday, time.Tuesday, time.Wednesday, time.Thursday, time.Friday)
	return []plant.Shift{{Days: days, From: 6 * 60, To: 14 * 60}, {Days: days, From: 14 * 60, To: 22 * 60}}
}

// works is a small plant: a press with coater, a digital press, a guillotine, a
// folder and a stitcher.
func works(shifts []plant.Shift, z *time.Location) *plant.Plant {
	centre := &plant.CostCentre{ID: "floor", Shifts: shifts, Crew: 5}
	m := func(id string) plant.Machine { return plant.Machine{ID: id, Name: "The " + id, CostCentre: centre} }
	return &plant.Plant{
		Name: "Saltmarsh Print Works", Zone: z, CostCentres: []*plant.CostCentre{centre},
		Presses: []*plant.Press{
			{
				Machine: m("press"), Kind: plant.Offset, Units: 5, WashUp: 6 * time.Minute, WashUpColor: 4 * time.Minute,
				CoatingMakeready: 10 * time.Minute, DryingTime: 2 * time.Hour,
			},
			{Machine: m("digital"), Kind: plant.Digital, Units: 4},
		},
		Guillotines: []*plant.Guillotine{{Machine: m("knife")}},
		Folders:     []*plant.Folder{{Machine: m("folder")}},
		Stitchers:   []*plant.Stitcher{{Machine: m("stitcher")}},
	}
}

// op is an operation of so many minutes.
func op(step plan.Step, sheet, device string, makeready, run int) *plan.Operation {
	return &plan.Operation{
		Step: step, Sheet: sheet, Device: device,
		Makeready: plan.Time{Duration: time.Duration(makeready) * time.Minute},
		Run:       plan.Time{Duration: time.Duration(run) * time.Minute},
	}
}

func due(t time.Time) job.Fact[value.DateTime] {
	return job.Of(value.DateTimeOf(t), jdf.Place{})
}

var (
	process  = []string{"Cyan", "Magenta", "Yellow", "Black"}
	palettes = [][]string{process, {"Black"}, {"Black", "Harbour Blue"}, {"Cyan", "Yellow"}, {"Signal Red"}}
	coatings = []string{"", "aqueous", "UV"}
	stocks   = []plan.StockUse{
		{ID: "silk-90", Grammage: 90}, {ID: "silk-135", Grammage: 135}, {ID: "board", Grammage: 300},
	}
)

// randomWorks makes n jobs of one sheet and more, due within so many days.
func randomWorks(random *rand.Rand, n, sheets int, now time.Time, days int) []Work {
	var all []Work
	for i := range n {
		pl := &plan.Plan{JobID: fmt.Sprintf("SM-%d", 2001+i), Name: fmt.Sprintf("Random work %d", i+1)}
		for s := range 1 + random.IntN(sheets) {
			addSheet(random, pl, fmt.Sprintf("S%d", s+1))
		}
		if len(pl.Sheets) > 1 {
			stitch := op(plan.StepStitch, "", "stitcher", 20+random.IntN(30), 20+random.IntN(120))
			pl.Operations = append(pl.Operations, stitch)
		}
		w := Work{Plan: pl, Priority: job.Of(random.IntN(101), jdf.Place{})}
		if random.IntN(8) > 0 {
			w.Due = due(now.Add(time.Duration(2+random.IntN(24*days)) * time.Hour))
		}
		if random.IntN(4) == 0 {
			w.NotBefore = due(now.Add(time.Duration(random.IntN(12*days)) * time.Hour))
		}
		all = append(all, w)
	}
	return all
}

func addSheet(random *rand.Rand, pl *plan.Plan, name string) {
	s := &plan.Sheet{
		Name: name, Stock: stocks[random.IntN(len(stocks))], Front: palettes[random.IntN(len(palettes))],
		Style: plan.Simplex,
	}
	device, coat := "press", random.IntN(len(coatings))
	if random.IntN(5) == 0 {
		device, coat = "digital", 0
	}
	s.CoatFront = coatings[coat]
	pl.Sheets = append(pl.Sheets, s)
	ready := 12 + 2*len(s.Front)
	if coat > 0 {
		ready += 10
	}
	if random.IntN(2) == 0 {
		pl.Operations = append(pl.Operations, op(plan.StepStock, name, "knife", 10, 5+random.IntN(30)))
	}
	pl.Operations = append(pl.Operations, op(plan.StepPrint, name, device, ready, 10+random.IntN(90)))
	if random.IntN(3) > 0 {
		pl.Operations = append(pl.Operations, op(plan.StepCut, name, "knife", 10, 10+random.IntN(40)))
	}
	if random.IntN(2) == 0 {
		pl.Operations = append(pl.Operations, op(plan.StepFold, name, "folder", 25, 10+random.IntN(60)))
	}
}

func laid(t testing.TB, w []Work, p *plant.Plant, opt Options) (*Schedule, []validate.Finding) {
	t.Helper()
	s, findings, err := Make(context.Background(), w, p, opt)
	require.NoError(t, err)
	require.NotNil(t, s, "%v", findings)
	return s, findings
}
