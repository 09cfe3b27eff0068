package jdf

// PlaceIn makes a Place in a file whose text is not at hand, such as one that
// was read long ago: its position and path are known, its line can not be shown.
func PlaceIn(file string, pos Pos, path string) Place {
	// Start only puts places of one file in order; a text that is not there has no bytes.
	const columns = 1 << 24
	start := pos.Line*columns + min(pos.Column, columns-1)
	return PlaceAt(&Source{Name: file, only: &pos}, start, start, path)
}
