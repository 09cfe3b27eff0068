package convert

import (
	"slices"
	"strings"

	"quoin/jdf"
)

// inserts turns the list of an InsertingIntent into the items of an
// AssemblingIntent. Which products they are is known when all products are.
func (x *riser) inserts(list jdf.Node, f *frame) bool {
	x.mark(f.e, list, "each insert is an element of its own there")
	at := x.led.of(list)
	for range list.Attrs() {
		at++
		x.led.lose(at, "there is no list of inserts there")
	}
	for c := range list.Content() {
		if c.Is("Insert") {
			x.insert(c, f)
			continue
		}
		x.led.loseAll(c, "there is no list of inserts there")
	}
	return true
}

func (x *riser) insert(n jdf.Node, f *frame) {
	kind := "BlowIn"
	if _, how := theValue(n.Child("Method")); how == "BindIn" {
		kind = "BindIn"
	}
	g := x.open(f, kind, n)
	x.fill(n, g, func(local string) bool { return local == "@Folio" || local == "Method" })
	if m := n.Child("Method"); m.Valid() {
		x.mark(g.e, m, "the name of the element says it")
		x.keepAll(m, "the name of the element says it")
	}
	first, last, ranged := strings.Cut(n.Get("Folio"), "~")
	first, last = strings.TrimSpace(first), strings.TrimSpace(last)
	folio := x.led.attr(n, "Folio")
	if kind == "BindIn" {
		x.put(g, "Folio", first, folio, "")
		return
	}
	x.put(g, "FolioFrom", first, folio, "is BlowIn/@FolioFrom there")
	if ranged {
		x.put(g, "FolioTo", last, folio, "is BlowIn/@FolioTo there")
	}
}

// assembled names the parts of a product in its AssemblingIntent: the first is
// what the others go into; those with a place of their own come last. It reports
// whether the product has such an intent.
func (x *riser) assembled(f *frame, parts []string) bool {
	i := slices.IndexFunc(f.e.kids, func(e *elem) bool { return e.child("AssemblingIntent") != nil })
	if i < 0 {
		return false
	}
	fit := &fitter{conv: x.conv}
	if len(parts) == 0 {
		fit.remove(f.e.kids[i], "an AssemblingIntent needs a container, which is not named here")
		f.e.kids = slices.Delete(f.e.kids, i, i+1)
		return false
	}
	spec := f.e.kids[i].child("AssemblingIntent").set("Container", parts[0])
	rest := parts[1:]
	for len(spec.kids) > len(rest) {
		fit.remove(spec.kids[len(spec.kids)-1], "the product has no part that is inserted there")
		spec.kids = spec.kids[:len(spec.kids)-1]
	}
	loose := len(rest) - len(spec.kids)
	for j, e := range spec.kids {
		e.set("ChildRef", rest[loose+j])
	}
	for _, id := range rest[:loose] {
		spec.add("AssemblyItem").set("ChildRef", id)
	}
	return true
}

// assembling turns what goes into a container into a list of inserts. The parts
// themselves are nodes inside that of the product, in the same order.
func (x *lowerer) assembling(f *frame, spec jdf.Node) {
	const parts = "the parts are nodes inside that of the product there"
	said := func(n jdf.Node, name string) {
		if at := x.led.attr(n, name); at != none {
			f.e.slots = append(f.e.slots, at)
			x.led.keep(at, parts)
		}
	}
	said(spec, "Container")
	var list *frame
	x.fill(spec, f, func(local string) bool {
		switch local {
		case "@Container", "AssemblyItem", "BlowIn", "BindIn", "StickOn":
			return true
		}
		return false
	})
	for c := range spec.Children() {
		switch {
		case c.Is("AssemblyItem"):
			x.mark(f.e, c, parts)
			said(c, "ChildRef")
		case c.Is("BlowIn", "BindIn", "StickOn"):
			if list == nil {
				list = x.open(f, "InsertList", jdf.Node{})
			}
			said(c, "ChildRef")
			x.placedInsert(x.open(list, "Insert", c), c)
		}
	}
}

func (x *lowerer) placedInsert(g *frame, n jdf.Node) {
	how := "BindIn"
	if n.Is("BlowIn") {
		how = "BlowIn"
	}
	if n.Has("Folio") || n.Has("FolioFrom") {
		g.e.set("Folio", firstOf(n.Get("Folio"), n.Get("FolioFrom")))
		if n.Has("FolioTo") && n.Get("FolioTo") != n.Get("FolioFrom") {
			g.e.set("Folio", n.Get("FolioFrom")+" ~ "+n.Get("FolioTo"))
		}
		for _, name := range []string{"Folio", "FolioFrom", "FolioTo"} {
			if at := x.led.attr(n, name); at != none {
				g.e.slots = append(g.e.slots, at)
				x.led.keep(at, "is Insert/@Folio there")
			}
		}
	}
	x.open(g, "Method", jdf.Node{}).e.set("Actual", how).set("DataType", "EnumerationSpan")
	x.fill(n, g, func(local string) bool {
		return local == "@ChildRef" || local == "@Folio" || local == "@FolioFrom" || local == "@FolioTo"
	})
}

// onlyItems reports whether an assembly says no more than what goes together.
func onlyItems(spec jdf.Node) bool {
	for c := range spec.Children() {
		if !c.Is("AssemblyItem") {
			return false
		}
	}
	return true
}

// inTree notes an assembly that the tree of product nodes says in full.
func (x *lowerer) inTree(m *made, intent, spec jdf.Node) {
	const why = "the parts are nodes inside that of the product there"
	x.mark(m.f.e, intent, why)
	x.led.keep(x.led.attr(intent, "Name"), why)
	x.mark(m.f.e, spec, why)
	x.led.keep(x.led.attr(spec, "Container"), why)
	for c := range spec.Content() {
		x.keepAll(c, why)
	}
	x.led.loseAll(intent, "the node of a product has no place for it")
}
