package convert

import "quoin/jdf"

// withoutCounterpart carries a resource that the 2.x generation does not have as
// a set of private resources, in its own namespace: valid there, and known to who
// knows it. One that says nothing is lost.
func (x *riser) withoutCounterpart(t *ticket, r, link jdf.Node, why string) {
	if !x.speaks(r) || foreign(r.Space()) {
		x.led.loseAll(r, why)
		if link.Valid() {
			x.led.loseAll(link, why)
		}
		return
	}
	const usage = "a link is a ResourceSet with a usage there"
	set := x.open(t.f, "ResourceSet", jdf.Node{})
	set.e.set("Name", x.prefixes.of[jdf.NamespaceJDF]+":"+r.Local())
	if link.Valid() {
		x.mark(set.e, link, usage)
		x.led.keep(x.led.attr(link, "rRef"), usage)
		for _, name := range []string{"Usage", "ProcessUsage", "CombinedProcessIndex"} {
			if at := x.led.attr(link, name); at != none {
				x.put(set, name, link.Get(name), at, "")
			}
		}
		x.led.loseAll(link, "a set of private resources tells no more of its use")
	}
	res := x.open(set, "Resource", jdf.Node{})
	if t.homes[r.Index()] == nil {
		t.homes[r.Index()] = []home{}
	}
	x.opened[r.Index()] = true
	res.e.kids = append(res.e.kids, x.copyAside(r))
}

// speaks reports whether a resource says more than that it is there.
func (x *riser) speaks(r jdf.Node) bool {
	generic := x.generic()
	for a := range r.Attrs() {
		if a.Name().Space != jdf.NamespaceXSI && !generic("@"+a.Local()) {
			return true
		}
	}
	for range r.Children() {
		return true
	}
	return false
}

// restore brings home the resources that a set of private resources holds for the 1.x
// generation, with the link that the set stands for.
func (x *lowerer) restore(p *part, set jdf.Node) bool {
	found := false
	for res := range set.ChildrenNamed("Resource") {
		for c := range res.Children() {
			if !x.ours(c.Space()) {
				continue
			}
			found = true
			m := x.restored(c)
			x.mark(m.f.e, res, "a private resource stands in the pool itself there")
			if set.Has("Usage") {
				x.restoreLink(p, set, m)
			}
		}
	}
	if found {
		x.mark(x.root.e, set, "a set of private resources is left out around them")
		x.led.keep(x.led.attr(set, "Name"), "the name of the element says it")
		x.led.loseAll(set, "a private resource has no place for it")
	}
	return found
}

// restored is the resource that an element was, once for all tickets.
func (x *lowerer) restored(c jdf.Node) *material {
	key := "home\n" + c.Local() + "\n" + c.Get("ID")
	if m := x.stock[key]; m != nil {
		x.keepAll(c, "the resource stands there once for several tickets")
		return m
	}
	e := x.copyForeign(c)
	m := &material{f: &frame{e: e}, kind: c.Local(), id: e.get("ID")}
	if m.id == "" {
		m.id = x.unique("r_" + m.kind)
		e.set("ID", m.id)
	}
	x.names[m.id] = true
	x.stock[key] = m
	x.order = append(x.order, m)
	return m
}

func (x *lowerer) restoreLink(p *part, set jdf.Node, m *material) {
	link := x.linkIn(p.f, m.kind+"Link", m, set.Get("Usage"))
	link.e.slots = append(link.e.slots, x.led.attr(set, "Usage"))
	x.led.keep(x.led.attr(set, "Usage"), "a set with a usage is a link there")
	for _, name := range []string{"ProcessUsage", "CombinedProcessIndex"} {
		if at := x.led.attr(set, name); at != none {
			x.put(link, name, set.Get(name), at, "")
		}
	}
}
