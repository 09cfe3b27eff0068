package rehearsal

import (
	"math"
	"time"

	"github.com/shopspring/decimal"

	"quoin/convert/plan"
	"quoin/validate/plant"
)

// Kind is the kind of machine that a step is for.
type Kind string

// The kinds of machine.
const (
	Press      Kind = "press"
	Digital    Kind = "digital"
	Guillotine Kind = "guillotine"
	Folder     Kind = "folder"
	Stitcher   Kind = "stitcher"
	Binder     Kind = "binder"
	Other      Kind = "other"
)

// Ink is what a step is planned to take of one ink.
type Ink struct {
	Name  string          `json:"name"`
	Grams decimal.Decimal `json:"grams"`
}

// Work is one step that a machine is asked to do: what its ticket says, in
// plain figures.
type Work struct {
	Job    string `json:"job"`
	Part   string `json:"part"` // JobPartID of the step
	Sheet  string `json:"sheet,omitempty"`
	Device string `json:"device"`
	Centre string `json:"centre"` // of the plant file
	Kind   Kind   `json:"kind"`

	// Planned.
	Makeready  time.Duration `json:"-"`
	Run        time.Duration `json:"-"`
	WashUp     time.Duration `json:"-"`
	In         int           `json:"in"`
	Out        int           `json:"out"`
	PerIn      int           `json:"perIn"`      // pieces that come out for one that goes in
	SetupWaste int           `json:"setupWaste"` // in the unit of In
	RunWaste   int           `json:"runWaste"`

	Stock    string  `json:"stock,omitempty"` // id in the plant file
	Paper    bool    `json:"paper,omitempty"` // it takes the paper from the store
	Grammage float64 `json:"grammage,omitempty"`
	Coating  string  `json:"coating,omitempty"` // of the paper: none, gloss, …

	Front  []string `json:"front,omitempty"` // separations
	Back   []string `json:"back,omitempty"`
	Plates int      `json:"plates,omitempty"`
	Inks   []Ink    `json:"inks,omitempty"`
}

// Step is a Work in its place in a job.
type Step struct {
	Work
	After  []int         // the steps before it, by index
	Drying time.Duration // before what comes out can go on
}

// StepsOf lists the steps of a plan that have a machine, with the part ids
// under which tickets name the plan's operations.
func StepsOf(pl *plan.Plan, p *plant.Plant, parts []string) []Step {
	var all []Step
	last := map[string]int{} // the step that a sheet was last in
	for i, o := range pl.Operations {
		if o.Device == "" {
			continue // plates lie ready: the plant file has no machine for them
		}
		s := Step{Work: workOf(pl, o, parts[i]), Drying: drying(p, o)}
		if o.Sheet == "" {
			for _, sheet := range pl.Sheets {
				if k, ok := last[sheet.Name]; ok {
					s.After = append(s.After, k)
				}
			}
		} else if k, ok := last[o.Sheet]; ok {
			s.After = append(s.After, k)
		}
		s.Paper = len(s.After) == 0
		if o.Sheet != "" {
			last[o.Sheet] = len(all)
		}
		all = append(all, s)
	}
	return all
}

func workOf(pl *plan.Plan, o *plan.Operation, part string) Work {
	w := Work{
		Job: pl.JobID, Part: part, Sheet: o.Sheet, Device: o.Device, Centre: o.CostCentre, Kind: kindOf(o),
		Makeready: o.Makeready.Duration, Run: o.Run.Duration, WashUp: o.WashUp.Duration,
		In: o.In, Out: o.Out, PerIn: 1, SetupWaste: o.SetupWaste, RunWaste: o.RunningWaste,
	}
	if in := o.In - o.SetupWaste - o.RunningWaste; in > 0 {
		w.PerIn = max(1, int(math.Round(float64(o.Out)/float64(in))))
	}
	for _, s := range pl.Sheets {
		if s.Name != o.Sheet && o.Sheet != "" {
			continue
		}
		// What takes all sheets together is as heavy as its heaviest.
		if s.Stock.Grammage > w.Grammage {
			w.Stock, w.Grammage, w.Coating = s.Stock.ID, s.Stock.Grammage, s.Stock.Coating
		}
		switch o.Step {
		case plan.StepCut:
			w.PerIn = s.Ups()
		case plan.StepStock:
			w.PerIn = s.Stock.Parts()
		case plan.StepPrint:
			w.Front, w.Back, w.Plates = s.Front, s.Back, s.Plates
			w.Inks = inks(pl, s.Name)
		}
	}
	return w
}

func kindOf(o *plan.Operation) Kind {
	switch o.Step {
	case plan.StepPrint:
		if o.Print.Digital {
			return Digital
		}
		return Press
	case plan.StepCut, plan.StepStock:
		return Guillotine
	case plan.StepFold:
		return Folder
	case plan.StepStitch:
		return Stitcher
	case plan.StepBind:
		return Binder
	}
	return Other
}

func inks(pl *plan.Plan, sheet string) []Ink {
	var all []Ink
	for _, m := range pl.Materials {
		if m.Kind == plan.Ink && m.Sheet == sheet {
			all = append(all, Ink{m.Name, m.Kilos.Shift(3)})
		}
	}
	return all
}

func drying(p *plant.Plant, o *plan.Operation) time.Duration {
	if o.Step != plan.StepPrint {
		return 0
	}
	for _, m := range p.Presses {
		if m.ID == o.Device {
			return m.DryingTime
		}
	}
	return 0
}
