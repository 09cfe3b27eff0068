package plan

import "quoin/validate/plant"

// PrintStep is what only a press run has.
type PrintStep struct {
	Digital     bool     `json:"digital"`
	Style       Style    `json:"style"`
	Makereadies int      `json:"makereadies"`
	Passes      int      `json:"passes"`      // trips of a sheet through the press
	Impressions int      `json:"impressions"` // trips of all sheets, waste with them
	Dryers      []string `json:"dryers,omitempty"`
	Speed       int      `json:"speed"` // sheets an hour
	// ZoneWidth and Zones are presets of the ink zones, where plant and ticket tell
	// what they need.
	ZoneWidth plant.Length `json:"zoneWidth,omitempty"`
	Zones     []Zones      `json:"zones,omitempty"`
	// Path is the makeready tasks that decide its time, where the plant file has tasks.
	Path []string `json:"path,omitempty"`
}

// CutStep is what only a guillotine run has.
type CutStep struct {
	PerLift  int   `json:"perLift"` // sheets in a lift
	Lifts    int   `json:"lifts"`
	Cuts     int   `json:"cuts"`     // of one lift
	LiftTime Time  `json:"liftTime"` // of one lift: loading it and all its cuts
	Program  []Cut `json:"program"`  // the cuts of one lift in their order
}

// Cut is one stroke of the knife.
//
// A pile lies against the back gauge with the knife in front of it, and what is
// in front of the knife comes off. Whatever comes to the table, the sheet first
// and its strips later, lies as it was printed, its gripper edge to the operator
// and its tail at the gauge; a bought sheet lies with its width along the gauge.
type Cut struct {
	Number int          `json:"number"` // from 1
	Turn   int          `json:"turn"`   // clockwise quarter turns of what lies on the table, before the cut
	Back   Edge         `json:"back"`   // the edge of the sheet that lies at the gauge then, or the side it was on
	Gauge  plant.Length `json:"gauge"`  // from the back gauge to the knife
	// First and last strip under the knife, side by side; both 0 for the whole
	// sheet. Strips are numbered from 1, from the gripper or from the left edge.
	Strips [2]int `json:"strips"`
	Frees  Freed  `json:"frees"` // what comes off
	Line   Line   `json:"line"`  // of the cut on the sheet
}

// Edge is an edge of a sheet, as it is printed with the gripper edge below. The
// edges of a bought sheet are called like those of a printed one.
type Edge string

// The edges.
const (
	Tail    Edge = "tail"
	Left    Edge = "left"
	Gripper Edge = "gripper"
	Right   Edge = "right"
)

// Freed is what a cut takes off.
type Freed string

// What comes off in front of the knife.
const (
	FreesTrim  Freed = "trim"  // waste: an edge or a gutter
	FreesStrip Freed = "strip" // a row or column of pieces
	FreesPiece Freed = "piece"
	FreesPart  Freed = "part" // a half of a bought sheet, or of a half
	FreesEdge  Freed = "edge" // no more than the draw of the cut before it, to square the edge
)

// Line is a straight line on a sheet, along one of its edges.
type Line struct {
	X1 plant.Length `json:"x1"`
	Y1 plant.Length `json:"y1"`
	X2 plant.Length `json:"x2"`
	Y2 plant.Length `json:"y2"`
}

// FoldStep is what only a folder run has.
type FoldStep struct {
	Code  string `json:"code"`
	Folds int    `json:"folds"`
	Speed int    `json:"speed"` // sheets an hour
}

// StitchStep is what only a stitcher run has.
type StitchStep struct {
	Sections  int          `json:"sections"`
	Stitches  int          `json:"stitches"`
	Thickness plant.Length `json:"thickness"` // of the closed book
	Speed     int          `json:"speed"`     // copies an hour
}

// BindStep is what only a binder run has.
type BindStep struct {
	Sections int          `json:"sections"` // gathered, the cover not counted
	Block    plant.Length `json:"block"`    // thickness of the block
	Spine    plant.Length `json:"spine"`    // block and cover
	GrindOff plant.Length `json:"grindOff"` // milled off the spine
	Speed    int          `json:"speed"`    // copies an hour
}
