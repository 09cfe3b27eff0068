package jdf

import "cmp"

// Place is a stretch of a source text, and what stands there: an element, one
// of its attributes, or, for files that are not tickets, a path in words.
type Place struct {
	Source     *Source
	Start, End int // byte offsets, End exclusive

	node Node
	attr string
	path string
}

// PlaceAt makes a Place in a source that is not a ticket, such as a plant
// file. The path names the thing in that file's own terms.
func PlaceAt(src *Source, start, end int, path string) Place {
	return Place{Source: src, Start: start, End: end, path: path}
}

// Known reports whether the place is in some source.
func (p Place) Known() bool { return p.Source != nil }

// File is the name of the source, or "".
func (p Place) File() string {
	if p.Source == nil {
		return ""
	}
	return p.Source.Name
}

// Pos is where the stretch begins. The zero Pos says that the place is not known.
func (p Place) Pos() Pos {
	if p.Source == nil {
		return Pos{}
	}
	return p.Source.Pos(p.Start)
}

// EndPos is the position just after the stretch.
func (p Place) EndPos() Pos {
	if p.Source == nil {
		return Pos{}
	}
	return p.Source.Pos(p.End)
}

// Path names the element or attribute, as in /JDF/ResourcePool/Media[2]/@Weight.
// An index is given where there are several siblings of the name.
func (p Place) Path() string {
	if !p.node.Valid() {
		return p.path
	}
	if p.attr == "" {
		return p.node.Path()
	}
	return p.node.Path() + "/@" + p.attr
}

// Node is the element at or around the place; it is not valid for a source
// that is not a ticket.
func (p Place) Node() Node { return p.node }

// Overlaps reports whether two places have a part of one source in common.
func (p Place) Overlaps(q Place) bool {
	return p.Source == q.Source && p.Start < q.End && q.Start < p.End
}

// Compare orders places by file, start and end.
func (p Place) Compare(q Place) int {
	return cmp.Or(
		cmp.Compare(p.File(), q.File()),
		cmp.Compare(p.Start, q.Start),
		cmp.Compare(p.End, q.End),
	)
}
