package rehearsal

import (
	"math"
	"time"

	"quoin/jdf/job"
)

// Reading is one measurement of one side of a sheet that was pulled in the run.
type Reading struct {
	Sheet    int       `json:"sheet"` // good sheets before it
	At       time.Time `json:"at"`
	Side     string    `json:"side"` // Front or Back
	Patches  []Patch   `json:"patches"`
	Register Register  `json:"register"`
}

// Patch is one field of the control strip.
type Patch struct {
	Separation string     `json:"separation,omitempty"` // "" for the paper
	Tint       float64    `json:"tint"`                 // 1 for a solid, 0 for the paper
	Density    float64    `json:"density"`
	Lab        [3]float64 `json:"lab"`
}

// Register is how far a separation lies from black, in millimetres.
type Register struct {
	Separation string     `json:"separation"`
	Offset     [2]float64 `json:"offset"`
}

// Drift is a separation that creeps away in the course of a run.
type Drift struct {
	Side       string  `json:"side"`
	Separation string  `json:"separation"`
	Density    float64 `json:"density"` // from the first sheet to the last
}

// aim is what a solid of an ink should be.
type aim struct {
	density float64
	lab     [3]float64
}

// aims of the process inks by whether the paper is coated.
//
// From memory: CIELAB aims of the offset process standard, 2004 edition, on
// white backing. The densities are usual ones of practice.
func aims(separation string, coated bool) (aim, bool) {
	on := map[string]aim{
		"Cyan": {1.45, [3]float64{55, -37, -50}}, "Magenta": {1.45, [3]float64{48, 74, -3}},
		"Yellow": {1.35, [3]float64{89, -5, 93}}, "Black": {1.75, [3]float64{16, 0, 0}},
	}
	off := map[string]aim{
		"Cyan": {1.05, [3]float64{58, -25, -43}}, "Magenta": {1.00, [3]float64{54, 58, -2}},
		"Yellow": {0.98, [3]float64{86, -4, 75}}, "Black": {1.20, [3]float64{31, 1, 1}},
	}
	if coated {
		a, ok := on[separation]
		return a, ok
	}
	a, ok := off[separation]
	return a, ok
}

// How the colour of a run behaves. All made up.
const (
	pullEvery  = 500 // good sheets between two readings
	leastPulls = 4
	mostPulls  = 16
	setting    = 0.03 // spread of what the operator makes of the aim
	driftShare = 0.15 // of runs in which an ink drifts
	wander     = 0.018
	gain       = 0.16 // tone value increase at 50 %
)

// measure pulls sheets of an offset run and reads its process inks.
func (a *Act) measure(d *Dice) {
	sides := []struct {
		name   string
		colors []string
	}{{"Front", a.Front}, {"Back", a.Back}}
	if a.Kind != Press || a.Good == 0 {
		return
	}
	a.drift(d)
	set := map[string]float64{} // what the run begins with, off the aim
	for _, side := range sides {
		for _, c := range side.colors {
			set[side.name+c] = d.Normal(setting)
		}
	}
	pulls := max(leastPulls, min(mostPulls, a.Good/pullEvery+1))
	for i := range pulls {
		share := float64(i) / float64(pulls-1)
		for _, side := range sides {
			r := Reading{Sheet: int(float64(a.Good) * share), Side: side.name}
			for _, c := range side.colors {
				solid, ok := aims(c, a.Coating != "none")
				if !ok {
					continue // the standard has no aim for a special ink
				}
				r.Patches = append(r.Patches, patches(d, c, solid, set[side.name+c]+a.crept(side.name, c)*share)...)
				if c != "Black" {
					r.Register = Register{c, [2]float64{round(d.Normal(0.02), 3), round(d.Normal(0.02), 3)}}
				}
			}
			if len(r.Patches) > 0 {
				r.Patches = append(r.Patches, bare(d))
				a.Readings = append(a.Readings, r)
			}
		}
	}
}

// drift decides whether an ink creeps away, and which.
func (a *Act) drift(d *Dice) {
	if !d.Chance(driftShare) || len(a.Front) == 0 {
		return
	}
	by := d.Between(0.16, 0.30)
	if d.Chance(0.4) {
		by = -by
	}
	a.Drift = &Drift{Side: "Front", Separation: a.Front[d.Whole(0, len(a.Front)-1)], Density: round(by, 3)}
}

func (a *Act) crept(side, separation string) float64 {
	if a.Drift == nil || a.Drift.Side != side || a.Drift.Separation != separation {
		return 0
	}
	return a.Drift.Density
}

// bare is a patch of the paper, which densities are measured against.
func bare(d *Dice) Patch {
	return Patch{Lab: [3]float64{
		round(paper+d.Normal(0.2), 2), round(d.Normal(0.15), 2), round(-2+d.Normal(0.15), 2),
	}}
}

const paper = 95.0 // lightness

// patches are the solid and the midtone of an ink, off their aims by so much
// density and a little noise. More ink is darker and more colourful; how much is
// made up.
func patches(d *Dice, separation string, solid aim, off float64) []Patch {
	off += d.Normal(wander)
	full := Patch{Separation: separation, Tint: 1, Density: round(solid.density+off, 3)}
	for i, v := range solid.lab {
		if i == 0 {
			v -= 12 * off
		} else {
			v *= 1 + 0.25*off
		}
		full.Lab[i] = round(v+d.Normal(0.35), 2)
	}
	// Density of a midtone by the formula of Murray and Davies, solved for it.
	covered := 0.5 + gain + 0.25*off + d.Normal(0.006)
	tint := -math.Log10(1 - covered*(1-math.Pow(10, -full.Density)))
	half := Patch{Separation: separation, Tint: 0.5, Density: round(tint, 3)}
	for i, v := range full.Lab {
		white := 0.0
		if i == 0 {
			white = paper
		}
		half.Lab[i] = round(white+(v-white)*covered, 2)
	}
	return []Patch{full, half}
}

// pulled gives the readings their times, when the phases have theirs.
func (a *Act) pulled() {
	for i := range a.Readings {
		left := a.Readings[i].Sheet
		for _, p := range a.Phases {
			if p.State != job.StateRun {
				continue
			}
			a.Readings[i].At = p.End
			if left <= p.Good && p.Good > 0 {
				share := float64(left) / float64(p.Good)
				a.Readings[i].At = p.Start.Add(seconds(float64(p.Length()) * share))
				break
			}
			left -= p.Good
		}
	}
}

func round(v float64, places int) float64 {
	unit := math.Pow(10, float64(places))
	return math.Round(v*unit) / unit
}
