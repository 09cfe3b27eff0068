package convert

import (
	"slices"

	"quoin/jdf"
)

// linkAll writes the links of a ticket. What its processes may not link stands
// at a group around its node, which may link anything: so the ticket keeps its
// type, and the way back finds what it works with.
func (x *lowerer) linkAll(p *part) {
	x.now = p
	for _, k := range p.links {
		x.linkOf(p, k)
	}
	x.standIns(p)
	pool := p.f.e.child("ResourceLinkPool")
	if pool == nil || len(p.types) == 0 {
		return
	}
	var outer []*elem
	pool.kids = slices.DeleteFunc(pool.kids, func(link *elem) bool {
		if link.space != "" || x.anyLinks(p.types, link.local) {
			return false
		}
		outer = append(outer, link)
		return true
	})
	if len(outer) > 0 {
		x.groupAround(p).add("ResourceLinkPool").kids = outer
	}
}

// groupAround puts a group of processes between the node of a ticket and what
// is around it. Around the root it becomes the root.
func (x *lowerer) groupAround(p *part) *elem {
	group := &elem{local: "JDF", kids: []*elem{p.f.e}}
	group.set("Type", "ProcessGroup")
	if p.f != x.root {
		for i, c := range x.root.e.kids {
			if c == p.f.e {
				x.root.e.kids[i] = group
			}
		}
		return group
	}
	p.f.e.attrs = slices.DeleteFunc(p.f.e.attrs, func(a attr) bool {
		moves := a.name == "JobID" || a.name == "Version"
		if moves {
			group.attrs = append(group.attrs, a)
		}
		return moves
	})
	x.root = &frame{e: group, t: p.f.t, owner: p.n}
	return group
}

// anyLinks reports whether one of the processes may have a link of a name.
func (x *lowerer) anyLinks(processes []string, link string) bool {
	return slices.ContainsFunc(processes, func(process string) bool { return x.mayLink(process, link) })
}

// mayLink reports whether a process may have a link of a name.
func (x *lowerer) mayLink(process, link string) bool {
	t := x.to.Type(process)
	for b := t; ; b = b.Base() {
		if b == nil {
			return true // not of the standard: its links are open
		}
		if b.Name() == "JDFAbstractNode" {
			break
		}
	}
	_, pool := t.Model().Child("ResourceLinkPool")
	if pool == nil {
		return false
	}
	_, e := pool.Type().Model().Child(link)
	return e != nil
}

// linkOf writes one link with its amounts. A set without usage is only referred
// to, and has no link.
func (x *lowerer) linkOf(p *part, k *linkage) {
	set := k.set
	name := k.m.kind + "Link"
	usage := set.Get("Usage")
	product := p.f.e.get("Type") == "Product"
	if usage == "" || product && !x.mayLink("Product", name) {
		x.unlinked(k, usage)
		return
	}
	pool := p.f.e.child("ResourceLinkPool")
	if pool == nil {
		pool = p.f.e.add("ResourceLinkPool")
	}
	f := &frame{e: pool.add(name), t: x.to.Element("ResourceLink").Type(), owner: set}
	f.e.set("rRef", k.m.id)
	x.mark(f.e, set, "a set with a usage is a link there")
	at := x.led.of(set)
	for a := range set.Attrs() {
		at++
		x.setAttribute(a, at, f, k)
	}
	for c := range set.Content() {
		switch {
		case c.Kind() != jdf.KindElement:
			x.led.loseAll(c, remarkLost)
		case c.Is("Resource"):
		case c.Is("Comment", "GeneralID"), foreign(c.Space()):
			x.child(c, f, &trie{}, true)
		default:
			x.led.loseAll(c, x.say("a link has no ", c.Local()))
		}
	}
	if len(k.leaves) < len(k.m.leaves) {
		x.selected(f, k)
	}
	x.amounts(f, k)
}

// setAttribute writes an attribute of a set: that of its use to the link, that
// of the material to each Resource.
func (x *lowerer) setAttribute(a jdf.Attr, at int32, f *frame, k *linkage) {
	switch {
	case a.Name().Space != "":
		x.foreignAttribute(a, at, f)
	case a.Local() == "Name":
		f.e.slots = append(f.e.slots, at)
		x.led.keep(at, "the name of the element says it")
	case a.Local() == "Unit":
		if x.put(k.m.f, "Unit", a.Value(), at, "is the unit of the resource there") {
			return
		}
	case a.Local() == "ID":
		x.led.lose(at, "a link has no ID there")
	default:
		x.attribute(a, at, f, &trie{}, true)
	}
}

// unlinked notes a set that is only referred to.
func (x *lowerer) unlinked(k *linkage, usage string) {
	e := k.m.f.e
	x.mark(e, k.set, "a set is a resource in the pool there")
	at := x.led.of(k.set)
	for a := range k.set.Attrs() {
		at++
		switch a.Local() {
		case "Name":
			e.slots = append(e.slots, at)
			x.led.keep(at, "the name of the element says it")
		case "Unit":
			x.put(k.m.f, "Unit", a.Value(), at, "is the unit of the resource there")
		case "Usage":
			x.led.lose(at, "a product may not link such a resource there")
		default:
			x.led.lose(at, "a resource without link has no place for it")
		}
	}
	for c := range k.set.Content() {
		if !c.Is("Resource") {
			x.led.loseAll(c, "a resource without link has no place for it")
		}
	}
	for _, l := range k.leaves {
		x.stockAmount(l)
	}
}

// stockAmount writes the amount of a Resource without link into the resource.
func (x *lowerer) stockAmount(l *leafOf) {
	pool := l.res.Child("AmountPool")
	if !pool.Valid() {
		return
	}
	n := pool.Child("PartAmount")
	at := x.led.attr(n, "Amount")
	if at != none && x.put(l.f, "Amount", n.Get("Amount"), at, "is the amount of the resource there") {
		x.mark(l.f.e, pool, "the amount stands in the resource there")
		x.mark(l.f.e, n, "the amount stands in the resource there")
	}
	x.led.loseAll(pool, "a resource without link has one amount there")
}

// selected lists the partitions that a link picks.
func (x *lowerer) selected(f *frame, k *linkage) {
	seen := map[string]bool{}
	for _, l := range k.leaves {
		if text := l.partText(); len(l.part) > 0 && !seen[text] {
			seen[text] = true
			x.partOf(f, l.part)
		}
	}
}

func (x *lowerer) partOf(f *frame, keys []jdf.Attr) *frame {
	p := x.open(f, "Part", jdf.Node{})
	names := x.jdfKeys(namesOf(keys))
	for i, a := range keys {
		p.e.set(names[i], x.keyValue(a))
	}
	return p
}

// amounts gathers the amounts of the Resources into the link.
func (x *lowerer) amounts(f *frame, k *linkage) {
	var pool *frame
	for _, l := range k.leaves {
		for ap := range l.res.ChildrenNamed("AmountPool") {
			if x.plainAmount(f, k, l, ap) {
				continue
			}
			if pool == nil {
				pool = x.open(f, "AmountPool", jdf.Node{})
			}
			x.mark(pool.e, ap, "amounts stand in the link there")
			for n := range ap.Content() {
				if n.Is("PartAmount") {
					x.partAmount(pool, l, n)
				} else {
					x.led.loseAll(n, remarkLost)
				}
			}
		}
	}
}

// plainAmount writes a single amount of a single unpartitioned Resource as
// attributes of the link.
func (x *lowerer) plainAmount(f *frame, k *linkage, l *leafOf, ap jdf.Node) bool {
	n := ap.Child("PartAmount")
	if len(k.leaves) > 1 || len(l.part) > 0 || !n.Valid() || n.Has("Waste") || n.NextContent().Valid() {
		return false
	}
	for range n.Content() {
		return false
	}
	const why = "is an amount of the link there"
	x.mark(f.e, ap, why)
	x.mark(f.e, n, why)
	x.fill(n, f, nil)
	return true
}

// partAmount writes a PartAmount for what is good, and one for each waste.
func (x *lowerer) partAmount(pool *frame, l *leafOf, n jdf.Node) {
	const why = "good and waste are amounts of their own there"
	wasted := n.Has("Waste") || n.Child("PartWaste").Valid()
	good := x.open(pool, "PartAmount", n)
	keys := l.part
	for p := range n.ChildrenNamed("Part") {
		x.mark(good.e, p, "")
		keys = append(keys[:len(keys):len(keys)], x.jdfPart(p)...)
	}
	part := x.partOf(good, keys)
	if wasted || len(part.e.attrs) == 0 {
		part.e.set("Condition", "Good")
	}
	x.fill(n, good, func(local string) bool { return local == "@Waste" || local == "Part" || local == "PartWaste" })
	bad := func(condition, v string, at int32) *frame {
		w := x.open(pool, "PartAmount", jdf.Node{})
		x.partOf(w, keys).e.set("Condition", condition)
		x.put(w, "Amount", v, at, why)
		return w
	}
	if at := x.led.attr(n, "Waste"); at != none {
		bad("Waste", n.Get("Waste"), at)
	}
	for w := range n.ChildrenNamed("PartWaste") {
		if !n.Has("Waste") || w.Has("WasteDetails") {
			g := bad(firstOf(w.Get("WasteDetails"), "Waste"), w.Get("Waste"), x.led.attr(w, "Waste"))
			x.mark(g.e, w, why)
			if at := x.led.attr(w, "WasteDetails"); at != none {
				g.e.slots = append(g.e.slots, at)
				x.led.keep(at, "is Part/@Condition there")
			}
		}
		x.led.loseAll(w, "waste has one amount there")
	}
}

// jdfPart keeps the keys of a Part that the 1.x generation has.
func (x *lowerer) jdfPart(p jdf.Node) []jdf.Attr {
	var keys []jdf.Attr
	t := x.to.Type("Part")
	at := x.led.of(p)
	for a := range p.Attrs() {
		at++
		if a.Name().Space != "" || t.Attribute(x.jdfKeys([]string{a.Local()})[0]) == nil {
			x.led.lose(at, x.say(a.Local(), " is no partition key there"))
			continue
		}
		x.led.keep(at, "")
		keys = append(keys, a)
	}
	return keys
}
