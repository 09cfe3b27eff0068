package colour

import (
	"time"

	"quoin/validate/plant"
)

// Verdict says how a value stands to its tolerance.
type Verdict string

// The verdicts.
const (
	NotJudged Verdict = "not judged" // no aim, no tolerance, or measured under other conditions
	In        Verdict = "in"         // in tolerance
	Near      Verdict = "near"       // in tolerance, near its edge
	Out       Verdict = "out"
)

// Against says what a value was held against.
type Against string

// What values are held against.
const (
	Nothing     Against = ""
	OKSheet     Against = "OK sheet"
	Aim         Against = "aim"
	Presetting  Against = "presetting"
	Coincidence Against = "coincidence" // of register: no deviation at all
)

// Order is what the points of a series are put in order by.
type Order string

// The orders. The trend of a series is by 1000 sheets or by the hour.
const (
	NoOrder  Order = ""
	BySheets Order = "sheets"
	ByTime   Order = "time"
)

// Run is what was measured of one side of one sheet of a job on one device.
type Run struct {
	Job       string    `json:"job"`
	Part      string    `json:"part"`
	Device    string    `json:"device"`
	SheetName string    `json:"sheetName,omitempty"`
	Side      string    `json:"side,omitempty"`
	Stock     string    `json:"stock,omitempty"` // coating of the paper, "" where it is not known
	Aims      string    `json:"aims,omitempty"`  // name of the aims in the plant file, "" when none fit
	From      time.Time `json:"from,omitzero"`
	To        time.Time `json:"to,omitzero"`
	Sheets    int       `json:"sheets"`  // that were measured
	Verdict   Verdict   `json:"verdict"` // the worst of its series
	Drifting  bool      `json:"drifting"`
	Series    []*Series `json:"series"`
}

// Series is one quantity along a run: what a chart draws.
type Series struct {
	Zone      int     `json:"zone,omitempty"` // 0 for the whole sheet, or where it is not known
	Colorant  string  `json:"colorant,omitempty"`
	Kind      Kind    `json:"kind"`
	Nominal   float64 `json:"nominal"` // percent, or Unknown
	Reference string  `json:"reference,omitempty"`
	Unit      string  `json:"unit,omitempty"`
	Order     Order   `json:"order"`

	// Target and Tolerance are those that hold at the end of the run: the band
	// to draw. A colour has its target in TargetLab, and its points are drawn
	// by their difference from it.
	Against   Against    `json:"against,omitempty"`
	Target    float64    `json:"target"`
	TargetLab *plant.Lab `json:"targetLab,omitempty"`
	Tolerance float64    `json:"tolerance,omitempty"` // 0 when nothing is judged

	In      int     `json:"in"` // how many points have the verdict
	Near    int     `json:"near"`
	Out     int     `json:"out"`
	Worst   float64 `json:"worst"` // deviation furthest from the target
	Verdict Verdict `json:"verdict"`
	Why     string  `json:"why,omitempty"` // it is not judged
	Trend   *Trend  `json:"trend,omitempty"`
	NoTrend string  `json:"noTrend,omitempty"` // why there is none
	Drift   *Drift  `json:"drift,omitempty"`
	Points  []Point `json:"points"`

	measured Conditions
}

// Drift tells when a series that is on its way out will be there, if it goes on
// as it does. Each is a sheet number, or hours from the first point.
type Drift struct {
	Out      float64 `json:"out"`
	Soonest  float64 `json:"soonest"` // by the steepest slope of the interval
	Latest   float64 `json:"latest"`  // by the flattest
	Downward bool    `json:"downward"`
}

// Point is one sheet of a series.
type Point struct {
	Sheet int64     `json:"sheet"` // Unknown where none is given
	Time  time.Time `json:"time,omitzero"`
	OK    bool      `json:"okSheet,omitempty"` // it is an OK sheet, and held against the aim
	Value float64   `json:"value"`             // in the unit of the series; of a colour, its difference as Deviation
	Count int       `json:"count"`             // values that it is the median of

	Lab  *plant.Lab `json:"lab,omitempty"`
	DE76 *float64   `json:"dE76,omitempty"`
	DE00 *float64   `json:"dE00,omitempty"`

	Against   Against `json:"against,omitempty"`
	Deviation float64 `json:"deviation"` // from what it is held against
	Tolerance float64 `json:"tolerance,omitempty"`
	Verdict   Verdict `json:"verdict"`
	Source    Source  `json:"source"`

	x float64 // by which the run is in order
}

// units are those of the kinds, as reports write them.
var units = map[Kind]string{
	CIELAB: "dE", Density: "D", NeutralDensity: "D", ToneIncrease: "%", RegisterX: "mm", RegisterY: "mm",
	InkZone: "%", MidtoneSpread: "%",
}
