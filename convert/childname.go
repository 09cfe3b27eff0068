package convert

import (
	"strings"

	"quoin/jdf"
	"quoin/schemas"
)

// childByName converts a child without row by what the dictionary of the target
// has of its name: a reference, an attribute, or an element.
func (c *conv) childByName(n, target jdf.Node, kind string, f *frame) bool {
	if f.t == nil {
		return false
	}
	if c.upward {
		for _, name := range []string{kind + "Ref", kind + "Refs"} {
			if a := f.t.Attribute(name); a != nil && isReference(a.Type) {
				c.toAttribute(f, name, "", n, target, kind)
				return true
			}
		}
		if a := f.t.Attribute(kind); a != nil && !isReference(a.Type) {
			c.toAttribute(f, kind, "", n, target, kind)
			return true
		}
	}
	local := kind
	if _, e := f.t.Model().Child(local); e == nil {
		local = n.Local()
	}
	if _, e := f.t.Model().Child(local); e == nil {
		return false
	}
	g := c.open(f, local, n)
	if g.s == nil {
		g.s = c.sectionOf(kind, local)
	}
	c.inside(n, target, g)
	return true
}

// toAttribute writes what a child element says as an attribute: the id of what
// it names or holds, the value of a span, or a list of names.
func (c *conv) toAttribute(f *frame, name, values string, n, target jdf.Node, kind string) {
	a := f.t.Attribute(name)
	if a != nil && isReference(a.Type) {
		c.referenceTo(f, name, n, target, kind)
		return
	}
	part, v := theValue(target)
	if part == "" {
		c.led.loseAll(n, c.say(f.e.local, "/@", name, " can not take what it says"))
		return
	}
	why := c.say("is ", f.e.local, "/@", name, " there")
	if values != "" {
		mapped, dropped := c.table.mapped(values, v, c.upward)
		if mapped == "" && dropped {
			c.led.loseAll(n, c.say("the value ", v, " has no counterpart"))
			return
		}
		v = mapped
	}
	if part == "Range" {
		v = firstOfRange(v)
	}
	if f.e.has(name) || !c.put(f, name, v, c.valueSlot(target, part), why) {
		c.led.loseAll(n, c.say(f.e.local, "/@", name, " can not take its value"))
		return
	}
	last := &f.e.attrs[len(f.e.attrs)-1]
	c.led.keep(c.led.of(n), why)
	f.e.slots = append(f.e.slots, c.led.of(n))
	if last.slot == none {
		c.keepNames(n, f, why)
	}
	c.led.loseAll(n, c.say("only one value of ", n.Local(), " has a place there"))
}

// valueSlot is the slot of the attribute that held the value.
func (c *conv) valueSlot(n jdf.Node, part string) int32 {
	if part == "names" || part == "text" {
		return none
	}
	return c.led.attr(n, part)
}

// keepNames notes the parts of a list of names, which are one attribute there.
func (c *conv) keepNames(n jdf.Node, f *frame, why string) {
	for p := range n.Content() {
		if p.Kind() != jdf.KindElement || p.Is("SeparationSpec") {
			f.e.slots = append(f.e.slots, c.led.of(p))
			c.led.keep(c.led.of(p), why)
		}
		if at := c.led.attr(p, "Name"); p.Kind() == jdf.KindElement && at != none {
			f.e.slots = append(f.e.slots, at)
			c.led.keep(at, why)
		}
	}
}

// theValue is what an element says in one value, and where in it that stands.
func theValue(n jdf.Node) (part, v string) {
	for _, name := range []string{"Actual", "Preferred", "Range"} {
		if n.Has(name) {
			return name, n.Get(name)
		}
	}
	var names []string
	for s := range n.ChildrenNamed("SeparationSpec") {
		if s.Has("Name") {
			names = append(names, plainToken(s.Get("Name")))
		}
	}
	if names != nil {
		return "names", strings.Join(names, " ")
	}
	if t := strings.TrimSpace(n.Text()); t != "" {
		return "text", t
	}
	return "", ""
}

// firstOfRange is the lower end of the first of several ranges.
func firstOfRange(v string) string {
	if before, _, ok := strings.Cut(v, "~"); ok {
		return strings.TrimSpace(before)
	}
	return v
}

// referenceTo writes the id of what a child names, or of the resource that is
// made of it when it stands in place.
func (c *conv) referenceTo(f *frame, name string, n, target jdf.Node, kind string) {
	list := f.t.Attribute(name).Type.Variety() == schemas.List
	if f.e.has(name) && !list {
		c.led.loseAll(n, c.say(f.e.local, "/@", name, " names one thing only"))
		return
	}
	id, ok := c.refer(target, kind, f)
	if !ok {
		c.led.loseAll(n, c.say("what it names has no place there"))
		return
	}
	why := c.say("is ", f.e.local, "/@", name, " there")
	at := int32(none)
	if n != target {
		at = c.led.attr(n, "rRef")
		c.led.keep(at, why)
	}
	if old := f.e.get(name); old == "" {
		f.e.attrs = append(f.e.attrs, attr{name: name, value: id, slot: at})
	} else if f.e.slots = append(f.e.slots, at); !hasWord(old, id) {
		f.e.set(name, old+" "+id)
	}
	if n == target {
		return
	}
	f.e.slots = append(f.e.slots, c.led.of(n))
	c.led.keep(c.led.of(n), why)
	c.led.loseAll(n, "a reference names a whole resource there")
}

func hasWord(list, word string) bool {
	for w := range strings.FieldsSeq(list) {
		if w == word {
			return true
		}
	}
	return false
}

// toElement writes a value as a child element of the 1.x generation: a span, a
// list of separations, or a reference.
func (c *conv) toElement(f *frame, s step, v string, at int32, why string) bool {
	t := c.typeOf(f.t, s.name)
	if t == nil {
		return false
	}
	switch {
	case isSpan(t):
		g := c.open(f, s.name, jdf.Node{})
		g.e.set("DataType", t.Attribute("DataType").Value)
		return c.put(g, "Actual", v, at, why)
	case t.Attribute("rRef") != nil && t.Attribute("Class") == nil, strings.HasSuffix(s.name, "Ref"):
		return c.pointAll(v, strings.TrimSuffix(s.name, "Ref"), at, f)
	}
	if _, e := t.Model().Child("SeparationSpec"); e != nil {
		g := c.open(f, s.name, jdf.Node{})
		for w := range strings.FieldsSeq(v) {
			h := c.open(g, "SeparationSpec", jdf.Node{})
			h.e.attrs = append(h.e.attrs, attr{name: "Name", value: w, slot: at})
			c.led.keep(at, why)
		}
		return true
	}
	if t.Text() != nil {
		g := c.open(f, s.name, jdf.Node{})
		g.e.text = v
		g.e.slots = append(g.e.slots, at)
		c.led.keep(at, why)
		return true
	}
	return c.pointAll(v, s.name, at, f)
}

func (c *conv) pointAll(ids, kind string, at int32, f *frame) bool {
	done := false
	for id := range strings.FieldsSeq(ids) {
		done = c.point(id, kind, at, f) || done
	}
	return done
}

// spread writes an attribute of the 2.x generation as the element that the 1.x
// generation has of its name: a span, a list of separations, or a reference.
func (c *conv) spread(name, v string, at int32, f *frame) bool {
	for _, local := range []string{name, strings.TrimSuffix(name, "Ref"), strings.TrimSuffix(name, "Refs")} {
		if c.typeOf(f.t, local) != nil {
			return c.toElement(f, step{name: local}, v, at, c.say("is the element ", local, " there"))
		}
	}
	return false
}

func isSpan(t *schemas.Type) bool {
	for ; t != nil; t = t.Base() {
		if t.Name() == "AbstractSpan" {
			return true
		}
	}
	return false
}

// generic are the attributes that belong to a resource as such, and say nothing
// where it is written into another element.
func (c *conv) generic() func(local string) bool {
	return func(local string) bool {
		switch local {
		case "@ID", "@Class", "@Status", "@PartIDKeys", "@PartUsage", "@Locked", "@SpawnStatus", "@AgentName",
			"@AgentVersion", "@Author", "@rRefs", "@SpawnIDs":
			return true
		}
		return false
	}
}
