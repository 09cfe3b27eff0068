package plan

import (
	"slices"

	"quoin/validate/plant"
)

// upsAlong is the number of pieces that lie in a row:
// floor((avail - 2*bleed + gutter) / (trim + gutter)), never below zero.
//
// Common practice, no source: the usual step-and-repeat formula.
func upsAlong(avail, trim, bleed, gutter plant.Length) int {
	if trim <= 0 || avail < trim+2*bleed {
		return 0
	}
	return int((avail - 2*bleed + gutter) / (trim + gutter))
}

// margins are the strips of a press sheet that can not hold pieces.
type margins struct {
	lead, trail, side plant.Length
}

// marginsFor is what a press and a style leave unprinted. Turning the sheet
// end over end brings the tail under the grippers, so perfecting and tumbling
// need a grip at both ends; a tumbled form is printed from the same plates from
// either end and has to lie in the middle.
func marginsFor(p *plant.Press, s Style) margins {
	m := margins{lead: p.Gripper, trail: p.Tail + p.ColorBar, side: p.Side}
	switch s {
	case Perfecting:
		m.trail = max(p.Gripper, p.Tail) + p.ColorBar
	case WorkAndTumble:
		m.trail = max(p.Gripper, p.Tail) + p.ColorBar
		m.lead = m.trail
	}
	return m
}

// field is pieces of one kind in columns and rows.
type field struct {
	columns, rows int
	piece         plant.Size // as it lies
	turned        bool
	item          int // of the products that share the sheet; 0 for the only one
}

func (f field) ups() int { return f.columns * f.rows }

// outline is the extent of all pieces together, without bleed.
func (f field) outline(gutter plant.Length) plant.Size {
	return plant.Size{
		Width:  plant.Length(f.columns)*(f.piece.Width+gutter) - gutter,
		Height: plant.Length(f.rows)*(f.piece.Height+gutter) - gutter,
	}
}

// grid is how pieces stand on a sheet: a field, and more fields behind it along
// the run, or beside it across the cylinder. Fields share no strip, so that a
// guillotine can part them.
type grid struct {
	field
	more          []field
	beside        bool
	bleed, gutter plant.Length
	margins       margins
}

func (g grid) fields() []field { return append([]field{g.field}, g.more...) }

func (g grid) ups() int {
	n := g.field.ups()
	for _, f := range g.more {
		n += f.ups()
	}
	return n
}

// shared reports whether several products are on the sheet.
func (g grid) shared() bool {
	return slices.ContainsFunc(g.more, func(f field) bool { return f.item != g.item })
}

// outline is the extent of all fields together, without bleed.
func (g grid) outline() plant.Size {
	all := g.field.outline(g.gutter)
	for _, f := range g.more {
		s := f.outline(g.gutter)
		if g.beside {
			all.Width, all.Height = all.Width+g.gutter+s.Width, max(all.Height, s.Height)
		} else {
			all.Width, all.Height = max(all.Width, s.Width), all.Height+g.gutter+s.Height
		}
	}
	return all
}

// layOut fills a press sheet with a piece as it lies. Turning and tumbling need
// as many columns or rows on the one half as on the other.
func layOut(sheet, piece plant.Size, bleed, gutter plant.Length, m margins, s Style) grid {
	g := grid{field: field{piece: piece}, bleed: bleed, gutter: gutter, margins: m}
	g.columns = upsAlong(sheet.Width-2*m.side, piece.Width, bleed, gutter)
	g.rows = upsAlong(sheet.Height-m.lead-m.trail, piece.Height, bleed, gutter)
	switch s {
	case WorkAndTurn:
		g.columns -= g.columns % 2
	case WorkAndTumble:
		g.rows -= g.rows % 2
	}
	return g
}

// mixed fills a press sheet with a field of upright and one of turned pieces,
// behind each other or side by side, in every division that leaves room for both.
// A turned form needs each field to have its mirror, so it takes fields behind
// each other; a tumbled one takes them side by side. Layouts that no straight cut
// from edge to edge divides, pin-wheels among them, are not laid: a guillotine
// can not cut them.
func mixed(sheet, piece plant.Size, bleed, gutter plant.Length, m margins, s Style) []grid {
	var all []grid
	if s != WorkAndTumble {
		all = append(all, behind(sheet, piece, bleed, gutter, m, s)...)
	}
	if s != WorkAndTurn {
		// Fields side by side are fields behind each other on the sheet turned over its corner.
		style := s
		if s == WorkAndTumble {
			style = WorkAndTurn
		}
		over := margins{lead: m.side, trail: m.side}
		wide, high := sheet.Height-m.lead-m.trail, sheet.Width
		for _, g := range behind(plant.Size{Width: wide, Height: high}, piece.Turned(), bleed, gutter, over, style) {
			for _, f := range []*field{&g.field, &g.more[0]} {
				f.columns, f.rows, f.piece = f.rows, f.columns, f.piece.Turned()
			}
			g.beside, g.margins = true, m
			all = append(all, g)
		}
	}
	return all
}

// behind lays rows of upright pieces, and turned ones on what is left behind them.
func behind(sheet, piece plant.Size, bleed, gutter plant.Length, m margins, s Style) []grid {
	up := layOut(sheet, piece, bleed, gutter, m, s)
	across := layOut(sheet, piece.Turned(), bleed, gutter, m, s)
	if piece.Width == piece.Height || up.columns == 0 || across.columns == 0 {
		return nil
	}
	var all []grid
	high := sheet.Height - m.lead - m.trail
	for rows := 1; rows <= up.rows; rows++ {
		left := high - plant.Length(rows)*(piece.Height+gutter)
		f := across.field
		if f.rows, f.turned = upsAlong(left, f.piece.Height, bleed, gutter), true; f.rows == 0 {
			break
		}
		g := up
		g.rows, g.more = rows, []field{f}
		all = append(all, g)
	}
	return all
}

// placed is a field with its lower left corner on the sheet.
type placed struct {
	field
	left, low plant.Length
}

// place puts the fields in the middle across the sheet, and against the gripper
// margin along it, where a tumbled form is in the middle too.
func (g grid) place(sheet plant.Size, s Style) []placed {
	all := g.outline()
	left, low := (sheet.Width-all.Width)/2, g.margins.lead+g.bleed
	if s == WorkAndTumble {
		low = (sheet.Height - all.Height) / 2
	}
	var list []placed
	for _, f := range g.fields() {
		size := f.outline(g.gutter)
		p := placed{field: f, left: left, low: low}
		if g.beside {
			if s == WorkAndTumble {
				p.low = (sheet.Height - size.Height) / 2
			}
			left += size.Width + g.gutter
		} else {
			p.left = (sheet.Width - size.Width) / 2
			low += size.Height + g.gutter
		}
		list = append(list, p)
	}
	return list
}

// boxes places the pieces, field by field, row by row from the lower left.
func (g grid) boxes(sheet plant.Size, s Style) []Box {
	boxes := make([]Box, 0, g.ups())
	for _, f := range g.place(sheet, s) {
		for r := range f.rows {
			for c := range f.columns {
				boxes = append(boxes, Box{
					X: f.left + plant.Length(c)*(f.piece.Width+g.gutter), Y: f.low + plant.Length(r)*(f.piece.Height+g.gutter),
					Width: f.piece.Width, Height: f.piece.Height, Turned: f.turned, Product: f.item,
				})
			}
		}
	}
	return boxes
}
