package rehearsal

import "quoin/validate/plant"

// Habit is a way in which machines really differ from the plant file. A factor
// of 0 leaves a figure as planned.
type Habit struct {
	Name string `json:"name"`

	// Whom it is of: all of them have to hold.
	Kind     Kind    `json:"kind,omitempty"`     // "" is every kind
	Device   string  `json:"device,omitempty"`   // "" is every machine of the kind
	Coating  string  `json:"coating,omitempty"`  // of the paper; "" is every one
	Grammage float64 `json:"grammage,omitempty"` // from which it holds, in g/m2

	// Times the planned figure.
	Makeready float64 `json:"makeready,omitempty"`
	Run       float64 `json:"run,omitempty"` // time of a sheet
	WashUp    float64 `json:"washUp,omitempty"`
	Setup     float64 `json:"setup,omitempty"`   // waste of the makeready
	Running   float64 `json:"running,omitempty"` // waste of the run
}

func (h Habit) meets(w Work) bool {
	return (h.Kind == "" || h.Kind == w.Kind) && (h.Device == "" || h.Device == w.Device) &&
		(h.Coating == "" || h.Coating == w.Coating) && w.Grammage >= h.Grammage
}

// heavy is the grammage from which stock is called heavy here.
const heavy = 170

// HabitsOf are those that machines of a plant have when rehearsed. They are
// made up: large enough to be found in a month of jobs, small enough to be
// overlooked without looking.
func HabitsOf(p *plant.Plant) []Habit {
	all := []Habit{
		{Name: "spoilage is higher on uncoated paper", Kind: Press, Coating: "none", Setup: 1.15, Running: 1.6},
		{Name: "the folder runs slower than its plate says", Kind: Folder, Run: 1.22},
		{Name: "the binder takes longer to heat and set", Kind: Binder, Makeready: 1.12},
		{Name: "the digital press is ready sooner than planned", Kind: Digital, Makeready: 0.85},
	}
	presses := 0
	for _, m := range p.Presses {
		if m.Kind != plant.Offset {
			continue
		}
		switch presses++; presses {
		case 1:
			all = append(all, Habit{
				Name: "makeready takes longer on heavy stock", Kind: Press, Device: m.ID, Grammage: heavy, Makeready: 1.25,
			})
		case 2:
			all = append(all, Habit{Name: "washing up takes longer than planned", Kind: Press, Device: m.ID, WashUp: 1.3})
		}
	}
	return all
}

// bent is the product of the habits that a step meets.
func bent(habits []Habit, w Work) Habit {
	sum := Habit{Makeready: 1, Run: 1, WashUp: 1, Setup: 1, Running: 1}
	times := func(to *float64, by float64) {
		if by > 0 {
			*to *= by
		}
	}
	for _, h := range habits {
		if h.meets(w) {
			times(&sum.Makeready, h.Makeready)
			times(&sum.Run, h.Run)
			times(&sum.WashUp, h.WashUp)
			times(&sum.Setup, h.Setup)
			times(&sum.Running, h.Running)
		}
	}
	return sum
}
