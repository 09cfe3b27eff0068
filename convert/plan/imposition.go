package plan

import "quoin/validate/plant"

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

// grid is how pieces stand on a sheet.
type grid struct {
	columns, rows int
	piece         plant.Size // as it lies
	turned        bool
	bleed, gutter plant.Length
	margins       margins
}

func (g grid) ups() int { return g.columns * g.rows }

// block is the outline of all pieces together, without bleed.
func (g grid) block() plant.Size {
	return plant.Size{
		Width:  plant.Length(g.columns)*(g.piece.Width+g.gutter) - g.gutter,
		Height: plant.Length(g.rows)*(g.piece.Height+g.gutter) - g.gutter,
	}
}

// layOut fills a press sheet with a piece as it lies. Turning and tumbling need
// as many columns or rows on the one half as on the other.
func layOut(sheet, piece plant.Size, bleed, gutter plant.Length, m margins, s Style) grid {
	g := grid{piece: piece, bleed: bleed, gutter: gutter, margins: m}
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

// boxes places the pieces: in the middle across the sheet, and against the
// gripper margin along it, where a tumbled form is in the middle too.
func (g grid) boxes(sheet plant.Size, s Style) []Box {
	all := g.block()
	left := (sheet.Width - all.Width) / 2
	low := g.margins.lead + g.bleed
	if s == WorkAndTumble {
		low = (sheet.Height - all.Height) / 2
	}
	boxes := make([]Box, 0, g.ups())
	for r := range g.rows {
		for c := range g.columns {
			boxes = append(boxes, Box{
				X: left + plant.Length(c)*(g.piece.Width+g.gutter), Y: low + plant.Length(r)*(g.piece.Height+g.gutter),
				Width: g.piece.Width, Height: g.piece.Height,
			})
		}
	}
	return boxes
}
