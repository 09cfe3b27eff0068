package convert

import (
	"strconv"

	"quoin/jdf"
)

// inCells reports whether the 1.x generation says an attribute of a cell in the
// StripCellParams of the stripping, and the 2.x generation in the cell itself.
//
// Source: the published schemas.
func inCells(name string) bool {
	switch name {
	case "BleedFace", "BleedFoot", "BleedHead", "BleedSpine", "Mask", "MaskBleed", "MaskSeparation", "Sides",
		"TrimFace", "TrimFoot", "TrimHead", "TrimSize":
		return true
	}
	return false
}

// stripCells moves what a stripping says of its cells into the cells of the
// bindery signature that it names: into the one with the index of the partition,
// or into all.
func (x *riser) stripCells(n jdf.Node, f *frame) bool {
	l, t := x.leaf, x.now
	if l == nil || f.e.local != "Layout" {
		return false
	}
	// The signature is asked for while the stripping is filled, and filled after.
	t.queue = append(t.queue, func() {
		t.queue = append(t.queue, func() { x.fillCells(t, n, l) })
	})
	return true
}

func (x *riser) fillCells(t *ticket, n jdf.Node, l *leaf) {
	const why = "is said of each SignatureCell there"
	cells := x.cellsOf(t, l)
	if len(cells) == 0 {
		x.led.loseAll(n, "the stripping names no bindery signature that has the cell")
		return
	}
	for _, cell := range cells {
		g := &frame{e: cell, t: x.to.Element("BinderySignature").Type()}
		g.t = x.typeOf(g.t, "SignatureCell")
		x.mark(cell, n, why)
		at := x.led.of(n)
		for a := range n.Attrs() {
			at++
			if a.Name().Space == "" && inCells(a.Local()) {
				x.put(g, a.Local(), a.Value(), at, why)
				continue
			}
			x.attribute(a, at, g, &trie{}, true)
		}
	}
	x.led.loseAll(n, "SignatureCell has no place for it")
}

// cellsOf are the cells of the bindery signature that a leaf of a stripping names.
func (x *riser) cellsOf(t *ticket, l *leaf) []*elem {
	for _, n := range l.chain {
		target := n.Child("BinderySignature")
		if ref := n.Child("BinderySignatureRef"); ref.Valid() {
			target = x.follow(ref)
		}
		homes := t.homes[target.Index()]
		if !target.Valid() || len(homes) == 0 {
			continue
		}
		var cells []*elem
		for _, c := range homes[0].spec.e.kids {
			if c.local == "SignatureCell" {
				cells = append(cells, c)
			}
		}
		index, ok := l.get("CellIndex")
		if i, err := strconv.Atoi(index); ok && err == nil {
			if i < 0 || i >= len(cells) {
				return nil
			}
			return cells[i : i+1]
		}
		if cells == nil {
			cells = []*elem{homes[0].spec.e.add("SignatureCell")}
		}
		return cells
	}
	return nil
}

// cellsInto writes what the cells of a bindery signature say of trims and bleeds
// into the stripping that names it. Where the cells differ, only the one with the
// index of the partition can be said there.
func (x *lowerer) cellsInto(l *leafOf, signature jdf.Node) {
	const why = "is StripCellParams of the stripping there"
	var cells []jdf.Node
	for c := range signature.Child("BinderySignature").ChildrenNamed("SignatureCell") {
		cells = append(cells, c)
	}
	for _, a := range l.part {
		if i, err := strconv.Atoi(a.Value()); a.Local() == "CellIndex" && err == nil && i >= 0 && i < len(cells) {
			cells = cells[i : i+1]
		}
	}
	if l.f.e.child("StripCellParams") != nil || len(cells) == 0 {
		return
	}
	var g *frame
	for a := range cells[0].Attrs() {
		if a.Name().Space != "" || !inCells(a.Local()) || !allSay(cells, a.Local(), a.Value()) {
			continue
		}
		if g == nil {
			g = x.open(l.f, "StripCellParams", jdf.Node{})
		}
		x.put(g, a.Local(), a.Value(), x.led.attr(cells[0], a.Local()), why)
		for _, c := range cells[1:] {
			g.e.slots = append(g.e.slots, x.led.attr(c, a.Local()))
			x.led.keep(x.led.attr(c, a.Local()), why)
		}
	}
}

func allSay(cells []jdf.Node, name, value string) bool {
	for _, c := range cells {
		if c.Get(name) != value {
			return false
		}
	}
	return true
}
