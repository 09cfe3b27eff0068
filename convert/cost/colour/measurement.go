package colour

import (
	"cmp"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"math"
	"time"

	"quoin/jdf"
	"quoin/validate/plant"
)

// Kind is what was measured, or worked out of what was measured.
type Kind string

// The kinds, with the unit of their values.
const (
	CIELAB         Kind = "lab"             // Measurement.Lab; a Point has the colour difference
	Density        Kind = "density"         // optical density
	NeutralDensity Kind = "neutral density" // optical density through a visual filter
	ToneIncrease   Kind = "tone increase"   // percent of tone value, beyond the nominal
	RegisterX      Kind = "register x"      // millimetres
	RegisterY      Kind = "register y"      // millimetres
	InkZone        Kind = "ink zone"        // percent of the full opening of an ink key
	MidtoneSpread  Kind = "midtone spread"  // percent of tone value; worked out, never read
)

// Usage is what a measurement is for.
type Usage string

// The usages.
const (
	Standard Usage = "standard" // a sheet of the run
	Master   Usage = "master"   // the approved sheet
	Preset   Usage = "preset"   // not measured, but set before the run
)

// Unknown is the Sheet or the Nominal of a measurement that has none.
const Unknown = -1

// Paper is the colorant of a patch without ink.
const Paper = "Paper"

// Measurement is one value that was measured.
type Measurement struct {
	Job       string    `json:"job"`
	Part      string    `json:"part"`
	Device    string    `json:"device"` // that printed, or that reported where no other is named
	Time      time.Time `json:"time,omitzero"`
	Sheet     int64     `json:"sheet"` // number within the run, Unknown where none is given
	SheetName string    `json:"sheetName,omitempty"`
	Side      string    `json:"side,omitempty"`      // Front or Back
	Zone      int       `json:"zone,omitempty"`      // ink zone, from 1; 0 where it is not known
	Across    float64   `json:"across,omitempty"`    // position across the sheet in mm; 0 where it is not known
	Colorant  string    `json:"colorant,omitempty"`  // separation; several joined by +; Paper
	Reference string    `json:"reference,omitempty"` // of register: what it is against
	Kind      Kind      `json:"kind"`
	Nominal   float64   `json:"nominal"` // tone value in the data, percent; 100 is a solid; or Unknown
	Value     float64   `json:"value"`   // in the unit of Kind; 0 for CIELAB
	Lab       plant.Lab `json:"lab,omitzero"`
	Usage     Usage     `json:"usage"`
	Field     int       `json:"field,omitempty"` // which of the strip, from 1

	Conditions Conditions `json:"conditions,omitzero"`
	Source     Source     `json:"source"`
}

// Conditions are how a value was measured, in the words of the ticket; what is
// "" or 0 was not said.
type Conditions struct {
	Density      string `json:"density,omitempty"` // density standard, such as ANSIE
	Illumination string `json:"illumination,omitempty"`
	Observer     int    `json:"observer,omitempty"` // degrees
	Filter       string `json:"filter,omitempty"`   // None, Pol or UV
	Backing      string `json:"backing,omitempty"`  // Black, Substrate or White
	White        string `json:"white,omitempty"`    // Absolute, or Substrate when values are relative to the paper
	Ink          string `json:"ink,omitempty"`      // Dry or Wet
	Mode         string `json:"mode,omitempty"`     // such as M1
}

// Source is where something was said. Place is known while the document is at
// hand; the rest can be kept.
type Source struct {
	File   string    `json:"file"`
	Line   int       `json:"line"`   // from 1
	Column int       `json:"column"` // from 1, in code points
	Path   string    `json:"path,omitempty"`
	Place  jdf.Place `json:"-"`
}

func sourceAt(p jdf.Place) Source {
	pos := p.Pos()
	return Source{File: p.File(), Line: pos.Line, Column: pos.Column, Path: p.Path(), Place: p}
}

// place is that of the document, or else one that knows no more than the Source.
func (s Source) place() jdf.Place {
	if s.Place.Known() || s.File == "" {
		return s.Place
	}
	return jdf.PlaceIn(s.File, jdf.Pos{Line: s.Line, Column: s.Column}, s.Path)
}

// Key is the hash of all that is said, without the place: 32 hexadecimal
// digits. Two reports of the same measurement have the same.
func (m *Measurement) Key() string {
	buf := make([]byte, 0, 320)
	c := &m.Conditions
	for _, s := range []string{
		m.Job, m.Part, m.Device, m.SheetName, m.Side, m.Colorant, m.Reference, string(m.Kind), string(m.Usage),
		c.Density, c.Illumination, c.Filter, c.Backing, c.White, c.Ink, c.Mode,
	} { // each with its length, so that no two measurements write the same bytes
		buf = binary.AppendUvarint(buf, uint64(len(s)))
		buf = append(buf, s...)
	}
	for _, n := range []int64{
		m.Time.Unix(), int64(m.Time.Nanosecond()), m.Sheet, int64(m.Zone), int64(m.Field), int64(c.Observer),
	} {
		buf = binary.BigEndian.AppendUint64(buf, uint64(n))
	}
	for _, v := range []float64{m.Across, m.Nominal, m.Value, m.Lab.L, m.Lab.A, m.Lab.B} {
		buf = binary.BigEndian.AppendUint64(buf, math.Float64bits(v+0)) // -0 and 0 are the same
	}
	sum := sha256.Sum256(buf)
	return hex.EncodeToString(sum[:16])
}

// compare puts measurements into one order, whatever order they come in.
func (m *Measurement) compare(n *Measurement) int {
	return cmp.Or(cmp.Compare(m.Job, n.Job), cmp.Compare(m.Part, n.Part), cmp.Compare(m.Device, n.Device),
		cmp.Compare(m.SheetName, n.SheetName), cmp.Compare(m.Side, n.Side), m.Time.Compare(n.Time),
		cmp.Compare(m.Sheet, n.Sheet), cmp.Compare(m.Field, n.Field), cmp.Compare(m.Kind, n.Kind),
		cmp.Compare(m.Colorant, n.Colorant), cmp.Compare(m.Zone, n.Zone))
}

// key tells conditions apart.
func (c Conditions) key() string {
	return fmt.Sprintf("%q %d", []string{c.Density, c.Illumination, c.Filter, c.Backing, c.White, c.Ink, c.Mode},
		c.Observer)
}
