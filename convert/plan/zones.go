package plan

import (
	"math"
	"slices"

	"quoin/validate/plant"
)

// Zones is how much ink the zones of a press need for one separation of a form.
type Zones struct {
	Back       bool   `json:"back,omitempty"` // of the back form; a turned form is a front
	Separation string `json:"separation"`
	// Settings is the share of each zone that is inked, from 0 to 1, from the left
	// as the form is seen with its gripper edge below.
	Settings []float64 `json:"settings"`
}

// inkZones are the presets of an offset form, none where the plant does not state
// the zones of the press or the ticket does not state the coverage. Only a mean
// over the piece is known, so a zone gets that share of the pieces above it.
//
// From memory: ink zone settings of the standard are the mean coverage of a zone,
// from 0 to 1.
func (f form) inkZones(p *plant.Plant) (plant.Length, []Zones) {
	width, number := zonesOf(p, f.press.ID)
	if width == 0 || f.press.Kind == plant.Digital {
		return 0, nil
	}
	var all []Zones
	for _, c := range f.colorsOf() {
		z := Zones{Back: c.back, Separation: c.name, Settings: make([]float64, number)}
		known := false
		for _, b := range f.sheet.Positions {
			s := f.sideAt(b, c.back)
			if !slices.Contains(s.colors, c.name) {
				continue
			}
			if !s.told {
				return 0, nil
			}
			known = true
			left := b.X - f.bleed
			if c.back && f.printing.style == WorkAndBack {
				left = f.lay.sheet.Width - b.X - b.Width - f.bleed // the sheet is turned over its side edge
			}
			z.ink(left, b.Width+2*f.bleed, b.Height+2*f.bleed, f.lay.sheet, width, s.coverage.InexactFloat64()/100)
		}
		if known {
			z.round()
			all = append(all, z)
		}
	}
	return width, all
}

// zonesOf is the width and the number of the zones of a press, as many as its
// widest sheet covers where the plant file states no number.
func zonesOf(p *plant.Plant, press string) (plant.Length, int) {
	if p.Colour == nil {
		return 0, 0
	}
	for _, z := range p.Colour.Zones {
		if z.Press != press || z.Width <= 0 {
			continue
		}
		if z.Zones > 0 {
			return z.Width, z.Zones
		}
		for _, m := range p.Presses {
			if m.ID == press {
				return z.Width, int((m.MaxSheet.Width + z.Width - 1) / z.Width)
			}
		}
	}
	return 0, 0
}

// formColor is a separation of one of the forms of a sheet.
type formColor struct {
	name string
	back bool
}

func (f form) colorsOf() []formColor {
	var all []formColor
	switch f.printing.style {
	case WorkAndTurn, WorkAndTumble:
		for _, c := range unite(f.part.front.colors, f.part.back.colors) {
			all = append(all, formColor{c, false})
		}
		return all
	}
	for _, c := range f.part.front.colors {
		all = append(all, formColor{c, false})
	}
	for _, c := range f.part.back.colors {
		all = append(all, formColor{c, true})
	}
	return all
}

// sideAt is what is printed on a position of a form. A turned form has the front
// on its left half and the back on its right one, a tumbled one the front at the
// gripper.
func (f form) sideAt(b Box, back bool) side {
	switch f.printing.style {
	case WorkAndTurn:
		back = 2*b.X >= f.lay.sheet.Width
	case WorkAndTumble:
		back = 2*b.Y >= f.lay.sheet.Height
	}
	if back {
		return f.part.back
	}
	return f.part.front
}

// ink adds a piece to the zones that it lies above. The middle of the sheet runs in
// the middle of the press.
func (z *Zones) ink(left, wide, high plant.Length, sheet plant.Size, width plant.Length, coverage float64) {
	edge := (plant.Length(len(z.Settings))*width - sheet.Width) / 2
	for i := range z.Settings {
		from := plant.Length(i)*width - edge
		over := min(left+wide, from+width) - max(left, from)
		if over > 0 {
			share := float64(over) / float64(width) * float64(high) / float64(sheet.Height)
			z.Settings[i] += share * coverage
		}
	}
}

// round keeps four digits, and no zone over its full opening.
func (z *Zones) round() {
	for i, v := range z.Settings {
		z.Settings[i] = min(1, math.Round(v*10_000)/10_000)
	}
}
