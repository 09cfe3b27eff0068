package convert

import (
	"strings"

	"quoin/jdf"
)

// fillLeaf writes a Resource, and the element that it holds, into its partition.
func (x *lowerer) fillLeaf(l *leafOf, set jdf.Node) {
	why := "a Resource and what it holds are one element there"
	if len(l.part) > 0 {
		why = "a Resource with a Part is a partition there"
	}
	f := l.f
	if f.full {
		x.keepAll(l.res, "the resource stands there once for several tickets")
		return
	}
	f.full = true
	x.mark(f.e, l.res, why)
	x.ownParts(l)
	kind := set.Get("Name")
	f.s = x.sectionOf(kind, l.m.kind)
	f.owner = l.res
	generic := x.sectionOf("Resource", "Resource")
	x.wrapped(l.res, f, generic.down, f.s)
	for p := range l.res.Content() {
		switch {
		case p.Kind() != jdf.KindElement:
			x.led.loseAll(p, remarkLost)
		case foreign(p.Space()):
			f.e.kids = append(f.e.kids, x.copyForeign(p))
		case p.Is("Part", "AmountPool"):
		case p.Local() == kind:
			x.mark(f.e, p, x.renamed(p.Local(), l.m.kind))
			f.owner = p
			x.filling = l
			x.fill(p, f, nil)
			f.owner = l.res
		default:
			x.child(p, f, &trie{}, true)
		}
	}
	l.done(f)
}

// wrapped writes the attributes of a Resource: some have a place in the element
// that it holds, the rest are those of any resource.
func (x *lowerer) wrapped(res jdf.Node, f *frame, generic *trie, s *section) {
	at := x.led.of(res)
	for a := range res.Attrs() {
		at++
		name := a.Local()
		switch {
		case a.Name().Space != "":
			x.foreignAttribute(a, at, f)
		case name == "ID":
			why := "partitions share the ID of their resource there"
			if f.e.get("ID") == a.Value() {
				why = ""
			}
			f.e.slots = append(f.e.slots, at)
			x.led.keep(at, why)
		case s != nil && s.down.around[1][name] != nil:
			x.byRow(s.down.around[1][name][0], a.Value(), at, f)
		default:
			x.attribute(a, at, f, generic, true)
		}
	}
}

// ownParts notes the parts of a Resource: the first became partitions, others
// become partitions that are identical to it.
func (x *lowerer) ownParts(l *leafOf) {
	first := true
	for p := range l.res.ChildrenNamed("Part") {
		x.mark(l.f.e, p, "a Part is a partition there")
		at := x.led.of(p)
		for a := range p.Attrs() {
			at++
			switch {
			case !x.led.open(at):
			case a.Name().Space != "":
				x.foreignAttribute(a, at, l.f)
			case first:
				x.otherKey(l, a, at)
			}
		}
		if !first {
			x.identicalPart(l, p)
		}
		first = false
	}
}

// otherKey writes a key that can not partition there.
func (x *lowerer) otherKey(l *leafOf, a jdf.Attr, at int32) {
	switch {
	case a.Local() == "ContactType" && l.m.kind == "Contact":
		x.contactType(l, a, at)
	case a.Local() == "BinderySignatureID" && a.Value() == l.res.Get("ID"):
		l.f.e.slots = append(l.f.e.slots, at)
		x.led.keep(at, "the ID of the resource names the bindery signature there")
	case a.Owner().AttrNS(jdf.NamespaceJDF, x.jdfKey(a.Local())).Valid():
		l.f.e.slots = append(l.f.e.slots, at)
		x.led.keep(at, "what was kept as private data goes before it")
	default:
		x.putAside(l.f.e, a.Local(), a.Value(), at)
	}
}

func (x *lowerer) contactType(l *leafOf, a jdf.Attr, at int32) {
	const why = "is listed in Contact/@ContactTypes there"
	if old := l.f.e.get("ContactTypes"); old != "" {
		l.f.e.set("ContactTypes", old+" "+a.Value())
		l.f.e.slots = append(l.f.e.slots, at)
		x.led.keep(at, why)
		return
	}
	x.put(l.f, "ContactTypes", a.Value(), at, why)
}

// identicalPart makes a partition that says it is identical to another.
func (x *lowerer) identicalPart(l *leafOf, p jdf.Node) {
	if l.m.kind == "Contact" {
		for a := range p.Attrs() {
			if a.Local() == "ContactType" {
				x.contactType(l, a, x.led.attr(p, "ContactType"))
			}
		}
		return
	}
	var keys []jdf.Attr
	for _, name := range l.m.keys {
		if a := p.Attr(name); a.Valid() {
			keys = append(keys, a)
		}
	}
	if len(keys) != len(l.m.keys) || len(keys) == 0 {
		x.led.loseAll(p, "a partition has one value of each key there")
		return
	}
	if len(l.m.by[(&leafOf{part: keys}).partText()]) > 0 {
		x.led.loseAll(p, "the partition has content of its own")
		return
	}
	g := x.partition(l.m, keys)
	if len(g.e.kids) > 0 {
		return // two Resources name the part; the first is its twin
	}
	x.partOf(x.open(g, "Identical", jdf.Node{}), l.part)
}

// done names the state of a material by that of its partitions.
func (l *leafOf) done(f *frame) {
	root := l.m.f.e
	if f.e == root {
		return
	}
	if s := f.e.get("Status"); s != "" && !root.has("Status") {
		root.set("Status", s)
	}
}

// pointTo makes the reference element for the ID of a Resource.
func (x *lowerer) pointTo(id, kind string, at int32, f *frame) bool {
	if p := x.products[id]; p != nil && kind == "Component" {
		g := x.open(f, "ComponentRef", jdf.Node{})
		g.e.attrs = append(g.e.attrs, attr{name: "rRef", value: p.component.id, slot: at})
		x.led.keep(at, "is the reference element ComponentRef there")
		return true
	}
	l := x.now.byID[id]
	if l == nil {
		return false
	}
	name := l.m.kind + "Ref"
	if x.typeOf(f.t, name) == nil {
		return false
	}
	g := x.open(f, name, jdf.Node{})
	g.e.attrs = append(g.e.attrs, attr{name: "rRef", value: l.m.id, slot: at})
	x.led.keep(at, x.say("is the reference element ", name, " there"))
	if len(l.part) > 0 {
		x.partOf(g, l.part)
	}
	return true
}

// partText is the keys of a leaf as text.
func (l *leafOf) partText() string {
	var b strings.Builder
	for _, a := range l.part {
		b.WriteString(a.Local() + "=" + a.Value() + " ")
	}
	return b.String()
}
