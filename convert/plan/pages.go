package plan

import "quoin/validate/plant"

// inside is what is drawn in a piece: the trimmed pages and the lines that it is
// folded along, from its lower left corner.
type inside struct {
	pages []Box
	folds []Line
}

// insideOf works out where the pages of a piece lie that lies upright or turned. The folds of flat work
// divide it evenly; the panels that fold in are made shorter in prepress.
func insideOf(pl *Plan, s *Sheet, turned bool) inside {
	open := plant.Size(s.Piece)
	if s.Turned {
		open = open.Turned()
	}
	var in inside
	switch {
	case s.Section == 0 && s.Fold == "":
		return in
	case s.Section == 0:
		in = evenly(open, s.FoldGrid[0], s.FoldGrid[1])
	case s.Fold == "":
		in.pages = []Box{{X: s.GrindOff, Y: s.Trim, Width: pl.Finished.Width, Height: pl.Finished.Height}}
	case s.FoldGrid[0]%2 == 0:
		in = section(pl.Finished, s, s.FoldGrid[0], s.FoldGrid[1], open)
	default:
		// The spine lies between the rows, and the pages on their side.
		in = section(pl.Finished, s, s.FoldGrid[1], s.FoldGrid[0], open.Turned()).turned(open.Width)
	}
	if turned {
		in = in.turned(open.Height)
	}
	return in
}

func evenly(open plant.Size, columns, rows int) (in inside) {
	for c := 1; c < columns; c++ {
		x := open.Width * plant.Length(c) / plant.Length(columns)
		in.folds = append(in.folds, Line{x, 0, x, open.Height})
	}
	for r := 1; r < rows; r++ {
		y := open.Height * plant.Length(r) / plant.Length(rows)
		in.folds = append(in.folds, Line{0, y, open.Width, y})
	}
	return in
}

// section lays pages in pairs that share a spine; see sectionSize.
func section(page Format, s *Sheet, columns, rows int, open plant.Size) (in inside) {
	wide, high := page.Width+s.Trim+s.GrindOff, page.Height+2*s.Trim
	for r := range rows {
		for c := range columns {
			x := plant.Length(c)*wide + s.Trim
			if c%2 == 1 {
				x = plant.Length(c)*wide + s.GrindOff + s.Spine
			}
			in.pages = append(in.pages, Box{X: x, Y: plant.Length(r)*high + s.Trim, Width: page.Width, Height: page.Height})
		}
	}
	for c := 1; c < columns; c++ {
		x := plant.Length(c) * wide
		in.folds = append(in.folds, Line{x, 0, x, open.Height})
	}
	if s.Spine > 0 {
		in.folds = append(in.folds, Line{wide + s.Spine, 0, wide + s.Spine, open.Height})
	}
	for r := 1; r < rows; r++ {
		y := plant.Length(r) * high
		in.folds = append(in.folds, Line{0, y, open.Width, y})
	}
	return in
}

// turned is what is inside a piece of a height after a quarter turn against the
// clock: its head, which was above, lies to the left.
func (in inside) turned(height plant.Length) (out inside) {
	for _, b := range in.pages {
		out.pages = append(out.pages, Box{X: height - b.Y - b.Height, Y: b.X, Width: b.Height, Height: b.Width})
	}
	for _, l := range in.folds {
		out.folds = append(out.folds, Line{height - l.Y2, l.X1, height - l.Y1, l.X2})
	}
	return out
}
