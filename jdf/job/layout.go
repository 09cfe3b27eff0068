package job

import "quoin/jdf/value"

// layout reads a Layout, or the StrippingParams that JDF uses before there is one.
func (d *decoder) layout(l *leaf) {
	lay := &Layout{
		Node: l.node(), Part: l.part,
		WorkStyle: First(
			Text(l.with("WorkStyle"), "WorkStyle"), Text(l.with("SourceWorkStyle"), "SourceWorkStyle")),
		Surface: Parsed(l.with("SurfaceContentsBox"), "SurfaceContentsBox", value.ParseRectangle, d.fault),
	}
	for _, p := range l.children("Position") {
		lay.Positions = append(lay.Positions, Position{
			Node:      p,
			Signature: Text(p, "BinderySignatureID"),
			Box:       Parsed(p, "AbsoluteBox", value.ParseRectangle, d.fault),
		})
	}
	if ref := l.with("PaperRef").Attr("PaperRef"); ref.Valid() {
		lay.Paper = d.mediaByID(ref.Value())
	} else if m := d.inner(l, "Media"); m.Valid() && m.Is("Media") {
		lay.Paper = d.mediaOf(&leaves(m)[0])
	}
	d.job.Layouts = append(d.job.Layouts, lay)
	d.inlineSignature(l)
}

// inlineSignature reads a bindery signature that stands in a stripping itself,
// once for all partitions of the stripping that inherit it.
func (d *decoder) inlineSignature(l *leaf) {
	n := l.child("BinderySignature")
	if !n.Valid() || n.Has("ID") {
		return
	}
	for _, s := range d.job.Signatures {
		if s.Node == n {
			return
		}
	}
	d.signature(&leaves(n)[0])
}

func (d *decoder) signature(l *leaf) {
	s := &Signature{
		Node: l.node(), Part: l.part,
		Type:     Text(l.with("BinderySignatureType"), "BinderySignatureType"),
		Catalog:  Text(l.with("FoldCatalog"), "FoldCatalog"),
		NumberUp: Parsed(l.with("NumberUp"), "NumberUp", value.ParseXYPair, d.fault),
	}
	if id, ok := l.part.Lookup("BinderySignatureID"); ok {
		s.ID = Of(id, l.wrap.Place())
	} else {
		s.ID = Text(l.wrap, "ID")
	}
	d.job.Signatures = append(d.job.Signatures, s)
}

// described reports whether resources of a kind say something of the whole ticket.
func described(kind string) bool {
	switch kind {
	case "Media", "Component", "Layout", "StrippingParams", "BinderySignature":
		return true
	}
	return false
}

// describe takes the resources that say something of the whole ticket.
func (d *decoder) describe(e *entry) {
	l := &e.leaf
	switch e.kind {
	case "Media":
		d.job.Media = append(d.job.Media, d.mediaOf(l))
	case "Component":
		d.job.Components = append(d.job.Components, d.componentOf(l))
	case "Layout", "StrippingParams":
		d.layout(l)
	case "BinderySignature":
		d.signature(l)
	}
}
