package plan

import "quoin/validate/plant"

// LaminateStep is what only a run of a laminator has.
type LaminateStep struct {
	Film   string       `json:"film"`   // gloss, matt, soft touch
	Side   Surface      `json:"side"`   // that the film goes on in this run
	Across plant.Length `json:"across"` // edge of the sheet that lies across the run
	Speed  int          `json:"speed"`  // sheets an hour
}

// VarnishStep is what only a run of a varnishing machine beside the presses has.
type VarnishStep struct {
	Coating string   `json:"coating"`
	Side    Surface  `json:"side"`
	Dryers  []string `json:"dryers,omitempty"`
	Drying  Time     `json:"drying"` // before the sheets can go on
	Speed   int      `json:"speed"`  // sheets an hour
}

// DieStep is what only a run of a die cutter has.
type DieStep struct {
	Ups     int          `json:"ups"`     // positions of the die
	Gripper plant.Length `json:"gripper"` // leading edge that holds nothing that is cut
	Speed   int          `json:"speed"`   // sheets an hour
}

// HandStep is what only hand work has.
type HandStep struct {
	Task        string `json:"task"`        // process of the standard
	PerThousand Time   `json:"perThousand"` // of all hands together
}

// Surface is the side of a sheet that a run is for.
type Surface string

// The surfaces.
const (
	Front Surface = "front"
	Back  Surface = "back"
	Both  Surface = "both" // in one run
)

// Surfaces is how many sides of the sheet those are.
func (s Surface) Surfaces() int {
	if s == Both {
		return 2
	}
	return 1
}
