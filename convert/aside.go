package convert

import "quoin/jdf"

// keptAside is the reason of what has no counterpart, and is kept as private
// data in the namespace of its own generation.
const keptAside = "there is no counterpart; it is kept as private data of the other generation"

// aside keeps an attribute that was lost as a private one of its own
// generation, where that is asked for. An ID is any name, and is not kept.
func (c *conv) aside(a jdf.Attr, at int32, f *frame) {
	if c.keep && !c.same && a.Local() != "ID" && a.Name().Space == "" && f.t != nil && f.t.Foreign() && c.led.lost(at) {
		c.putAside(f.e, a.Local(), a.Value(), at)
	}
}

// putAside writes a private attribute of the generation of the source.
func (c *conv) putAside(e *elem, name, v string, at int32) {
	name = nameIn(c.from.Namespace(), name)
	if e.has(name) {
		c.led.lose(at, "the partition has a value of its own")
		return
	}
	e.attrs = append(e.attrs, attr{name: name, value: v, slot: at})
	c.led.keep(at, keptAside)
}

// asideElement keeps an element that was lost, with all in it, likewise.
func (c *conv) asideElement(n jdf.Node, f *frame) {
	if c.keep && !c.same && !foreign(n.Space()) && f.t != nil && (f.t.Model().Foreign() >= 0 || f.t.Mixed()) &&
		c.led.lost(c.led.of(n)) {
		f.e.kids = append(f.e.kids, c.copyAside(n))
	}
}

// copyAside takes an element of the source's generation over as private data.
func (c *conv) copyAside(n jdf.Node) *elem {
	e := c.copyForeign(n)
	c.led.change(c.led.of(n), keptAside)
	return e
}

// homeward writes an attribute that was kept as private data of the generation
// which is written now. What it says goes before what was made in its place.
func (c *conv) homeward(a jdf.Attr, at int32, f *frame) {
	const why = "it was kept as private data, and comes home"
	name := a.Local()
	g := f
	switch {
	case f.t != nil && f.t.Attribute(name) != nil:
	case f.up != nil && f.up.t != nil && f.up.t.Attribute(name) != nil:
		g = f.up
	case f.up != nil && f.up.e.local == "Resource" && c.partHas(name):
		g = c.partOf(f.up)
	default:
		c.led.lose(at, c.say(f.e.local, " has no ", name))
		return
	}
	if !c.good(a.Value(), g.t.Attribute(name).Type) {
		c.led.lose(at, c.say("its value is not allowed in ", g.e.local, "/@", name))
		return
	}
	for i := range g.e.attrs {
		if b := &g.e.attrs[i]; b.name == name {
			c.led.drop(b.slot, "what was kept as private data goes before it")
			b.value, b.slot = a.Value(), at
			c.led.keep(at, why)
			return
		}
	}
	g.e.attrs = append(g.e.attrs, attr{name: name, value: a.Value(), slot: at})
	c.led.keep(at, why)
}

// ours reports whether a name is of the generation that is written, kept in a
// document of the other.
func (c *conv) ours(space string) bool { return !c.same && space == c.to.Namespace() }

// partHas reports whether the target has a partition key of a name.
func (c *conv) partHas(name string) bool { return c.to.Element("Part").Type().Attribute(name) != nil }

// partOf is the Part of a Resource, made where there is none.
func (c *conv) partOf(res *frame) *frame {
	e := res.e.child("Part")
	if e == nil {
		e = res.e.add("Part")
	}
	return &frame{e: e, t: c.to.Element("Part").Type()}
}

// partKey writes a partition key into a Part of the 2.x generation. A key that
// it does not have, and a value that it can not take as it is, are kept as
// private data: without them parts could not be told apart.
func (x *riser) partKey(a jdf.Attr, at int32, p *frame) {
	before := len(p.e.attrs)
	x.attribute(a, at, p, x.trieOf(p.s), true)
	if a.Name().Space != "" || a.Local() == "Condition" {
		return
	}
	if len(p.e.attrs) > before {
		last := p.e.attrs[len(p.e.attrs)-1]
		t := p.t.Attribute(last.name)
		if last.slot != at || t == nil || t.Type.Name() == "IntegerRange" || last.value == a.Value() {
			return
		}
	}
	x.putAside(p.e, a.Local(), a.Value(), at)
}
