package jdf

import "cmp"

// Place is a stretch of a source text, and what stands there: an element, one
// of its attributes, or, for files that are not tickets, a path in words. It is
// kept small, since a Job of a large ticket holds many: node and attribute are
// numbers in the document that the source was read into.
type Place struct {
	Source     *Source
	Start, End int // byte offsets, End exclusive

	node int32   // index of the element, or 0
	attr int32   // index of the attribute and 1, or 0
	path *string // of a source that is not a ticket
}

// PlaceAt makes a Place in a source that is not a ticket, such as a plant
// file. The path names the thing in that file's own terms.
func PlaceAt(src *Source, start, end int, path string) Place {
	p := Place{Source: src, Start: start, End: end}
	if path != "" {
		p.path = &path
	}
	return p
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
	n := p.Node()
	switch {
	case n.Valid() && p.attr > 0:
		return n.Path() + "/@" + Attr{n, uint32(p.attr - 1)}.Local()
	case n.Valid():
		return n.Path()
	case p.path != nil:
		return *p.path
	}
	return ""
}

// Node is the element at or around the place; it is not valid for a source
// that is not a ticket.
func (p Place) Node() Node {
	if p.Source == nil || p.node == 0 {
		return Node{}
	}
	return Node{p.Source.doc, p.node}
}

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
