package plant

import (
	"slices"
	"strings"
)

// Colour is what a plant prints to: how it measures, what it aims at on each
// kind of stock, and how far a run may be off. Every number of it is the
// plant's own; none stands in the program.
type Colour struct {
	Mark
	Measuring Measuring

	// Formula decides which colour difference is held against the tolerances.
	Formula DifferenceFormula

	Near          float64 // share of a tolerance, in percent, over which a value counts as near its edge
	Within        float64 // share of the measured sheets, in percent, that has to keep the tolerance
	TrendSheets   int     // measured sheets from which a trend is spoken of, at least 5
	Confidence    float64 // of the interval around a trend, in percent
	LookAhead     float64 // how far a trend is drawn out, in percent of the stretch measured
	YuleNielsen   float64 // n of the tone value formula; 1 is the formula of Murray and Davies
	Register      Length  // deviation in either direction that is accepted; zero when not stated
	MidtoneSpread float64 // of cyan, magenta and yellow, in percent of tone value; zero when not stated
	Midtones      Range   // tints that the spread is of, percent
	InkZone       float64 // deviation of an ink key, in percent of its full opening; zero when not stated

	Zones []ZoneWidth // of the presses that ink by zones
	Aims  []*Aims
}

// DifferenceFormula is a formula for the difference of two colours.
type DifferenceFormula string

// The formulas: CIELAB of 1976, and CIEDE2000.
const (
	DifferenceOf1976 DifferenceFormula = "dE76"
	DifferenceOf2000 DifferenceFormula = "dE00"
)

// Measuring is how a plant measures, in the words of tickets; what is "" or
// zero it does not state.
type Measuring struct {
	Density      string // density standard, such as ANSIE or DIN16536
	Illumination string // such as D50
	Observer     int    // degrees
	Filter       string // None, Pol or UV
	Backing      string // Black, Substrate or White
}

// ZoneWidth is how wide the ink zones of a press are.
type ZoneWidth struct {
	Press string // DeviceID
	Width Length
	Zones int // 0 when not stated
}

// Aims are what is aimed at on some kinds of stock.
type Aims struct {
	Mark
	Name   string
	Stock  []string // coatings of paper, as stocks have them: none, gloss, silk, matt
	Solids []Solid
	Tones  []Tone
}

// Solid is the aim for a full tone of one colorant, or of several over each
// other, or for the bare paper.
type Solid struct {
	Mark
	Colorant string  // as separations are named; several are joined by +, as in Magenta+Yellow; Paper
	Lab      *Lab    // nil when not stated
	Accept   float64 // colour difference of the sheet that is approved against Lab; zero when not stated
	Vary     float64 // colour difference of the run against the approved sheet; zero when not stated

	Density     float64 // aim; zero when not stated
	DensityVary float64 // deviation from the approved sheet, or from Density; zero when not stated
}

// Lab is a colour in CIELAB.
type Lab struct {
	L float64 `json:"L"`
	A float64 `json:"a"`
	B float64 `json:"b"`
}

// Tone is the aim for a tint: how much its tone value increases in print.
type Tone struct {
	Mark
	Tint      float64  // in the data, percent
	Colorants []string // all process colours when empty
	Increase  float64  // percent of tone value
	Accept    float64  // deviation of the approved sheet from Increase; zero when not stated
	Vary      float64  // deviation of the run from the approved sheet; zero when not stated
}

// On finds the aims for a kind of stock, by its coating. A plant that has only
// one set of aims uses it where the kind is not known.
func (c *Colour) On(coating string) *Aims {
	if c == nil {
		return nil
	}
	for _, a := range c.Aims {
		if slices.Contains(a.Stock, coating) {
			return a
		}
	}
	if coating == "" && len(c.Aims) == 1 {
		return c.Aims[0]
	}
	return nil
}

// Solid finds the aim for the full tone of a colorant, whatever the case of its
// name and the order of several; nil when there is none.
func (a *Aims) Solid(colorant string) *Solid {
	if a == nil {
		return nil
	}
	want := colorantKey(colorant)
	for i := range a.Solids {
		if colorantKey(a.Solids[i].Colorant) == want {
			return &a.Solids[i]
		}
	}
	return nil
}

// Tone finds the aim for a tint of a colorant; nil when there is none. An aim
// that names the colorant goes before one for all process colours.
func (a *Aims) Tone(colorant string, tint float64) *Tone {
	if a == nil {
		return nil
	}
	want := colorantKey(colorant)
	var general *Tone
	for i := range a.Tones {
		t := &a.Tones[i]
		switch {
		case t.Tint != tint:
		case slices.ContainsFunc(t.Colorants, func(name string) bool { return colorantKey(name) == want }):
			return t
		case len(t.Colorants) == 0 && slices.Contains(processColorants, want):
			general = t
		}
	}
	return general
}

var processColorants = []string{"black", "cyan", "magenta", "yellow"}

// colorantKey is the same for names that differ in case or order only.
func colorantKey(name string) string {
	parts := strings.Split(strings.ToLower(name), "+")
	for i := range parts {
		parts[i] = strings.TrimSpace(parts[i])
	}
	slices.Sort(parts)
	return strings.Join(parts, "+")
}

// ZoneWidth is the width of the ink zones of a press, zero when not stated.
func (c *Colour) ZoneWidth(press string) Length {
	if c == nil {
		return 0
	}
	for _, z := range c.Zones {
		if z.Press == press {
			return z.Width
		}
	}
	return 0
}
