package convert

import (
	"strings"

	"quoin/jdf"
)

// head writes what a ticket is about.
func (x *riser) head(t *ticket) {
	t.f.e.set("Version", x.opt.Version.String())
	t.f.e.set("Types", strings.Join(t.types, " "))
	if len(t.nodes) == 0 {
		return
	}
	n := t.nodes[0]
	for p := n; p.Valid(); p = p.Parent() {
		if at := x.led.attr(p, "JobID"); at != none {
			x.put(t.f, "JobID", p.Get("JobID"), at, "")
			break
		}
	}
	if !t.f.e.has("JobID") {
		t.f.e.set("JobID", x.token(firstOf(n.Get("JobPartID"), n.Get("ID"), "_"), false))
	}
}

func firstOf(values ...string) string {
	for _, v := range values {
		if v != "" {
			return v
		}
	}
	return ""
}

// node converts what a JDF node says of itself.
func (x *riser) node(t *ticket, n jdf.Node, lead bool) {
	x.led.keep(x.led.of(n), "a node of the tree is a ticket of its own, or a part of one, there")
	f := t.f
	if t == x.product {
		f = x.productOf(t, n)
	}
	f.owner = n
	x.fill(n, f, func(local string) bool {
		switch local {
		case "@Type", "@Types":
			x.led.keep(x.led.attr(n, local[1:]), "Types lists the processes there")
			return true
		case "@Version":
			x.led.keep(x.led.attr(n, "Version"), "the generations have versions of their own")
			return true
		case "@JobID":
			return t.f.e.has("JobID") && lead || x.led.slots[x.led.attr(n, "JobID")].refs > 0
		case "@JobPartID", "@ProjectID", "@Category", "@RelatedJobID", "@RelatedJobPartID", "@RelatedProjectID",
			"@ICSVersions", "@DescriptiveName":
			if t != x.product || !lead {
				return false
			}
			x.put(t.f, local[1:], n.Get(local[1:]), x.led.attr(n, local[1:]), "")
			return local != "@DescriptiveName"
		case "@Status", "@StatusDetails":
			if lead {
				return true
			}
			x.led.lose(x.led.attr(n, local[1:]), "the ticket has the state of its outermost node")
			return true
		case "JDF", "ResourcePool":
			return true
		}
		return false
	})
	if t == x.product {
		for c := range n.Children() {
			if c.Is("Comment", "GeneralID") && !x.led.lost(x.led.of(c)) {
				x.led.change(x.led.of(c), "stands in the Product there")
			}
		}
	}
}

// group notes what is left of a node that only holds others.
func (x *riser) group(n jdf.Node) {
	x.led.keep(x.led.of(n), "a node that only holds others is left out; its parts are tickets")
	const why = "a group of nodes is no ticket there"
	at := x.led.of(n)
	t := x.owner(n)
	for range n.Attrs() {
		at++
		x.led.lose(at, why)
	}
	for p := range n.Content() {
		switch {
		case p.Is("JDF", "ResourcePool"):
		case p.Is("AuditPool", "Comment", "GeneralID") && t != nil:
			f := t.f
			f.owner = n
			x.now = t
			x.child(p, f, x.trieOf(f.s), true)
			x.run(t)
		default:
			x.led.loseAll(p, why)
		}
	}
}

// inherit gives a ticket what a node around its own has, where it has none
// itself: the customer, the dates, and what a group links for all its parts.
func (x *riser) inherit(t *ticket) {
	if len(t.nodes) == 0 {
		return
	}
	for p := t.nodes[0].Parent(); p.Valid(); p = p.Parent() {
		if x.of[p.Index()] != nil && x.of[p.Index()] != t && x.opt.Split != Product {
			continue // it stands in the ticket of that node
		}
		for link := range p.Child("ResourceLinkPool").Children() {
			r := x.ids[link.Get("rRef")]
			switch {
			case !r.Valid() || r.Local()+"Link" != link.Local():
			case link.Is("CustomerInfoLink", "NodeInfoLink"):
				if t.set(r.Local()) == nil {
					x.emit(t, r, link, 0)
				}
			case x.of[p.Index()] == nil && x.linked[link.Get("rRef")]:
				x.repeated(link)
			case x.of[p.Index()] == nil && t.homes[r.Index()] == nil:
				x.emit(t, r, link, 0)
			}
		}
		for c := range p.Children() {
			if c.Is("CustomerInfo", "NodeInfo") && t.set(c.Local()) == nil {
				x.emit(t, c, jdf.Node{}, 0)
			}
		}
	}
}

// repeated notes a link of a group that a part of it has too.
func (x *riser) repeated(link jdf.Node) {
	const why = "the tickets of the parts name it themselves"
	x.led.keep(x.led.of(link), why)
	for _, name := range []string{"rRef", "Usage", "ProcessUsage"} {
		x.led.keep(x.led.attr(link, name), why)
	}
}

// set is the first set of a name.
func (t *ticket) set(name string) *elem {
	for _, s := range t.f.e.kids {
		if s.local == "ResourceSet" && s.get("Name") == name {
			return s
		}
	}
	return nil
}

// status writes the state of the node into NodeInfo.
func (x *riser) status(t *ticket) {
	if len(t.nodes) == 0 {
		return
	}
	n := t.nodes[0]
	if !n.Has("Status") && !n.Has("StatusDetails") {
		return
	}
	set := t.set("NodeInfo")
	if set == nil {
		set = x.openSet(t, "NodeInfo", "Input", "", "").e
	}
	if len(set.kids) == 0 {
		set.add("Resource").add("NodeInfo")
	}
	for _, res := range set.kids {
		if info := res.child("NodeInfo"); info != nil {
			x.putStatus(info, n)
		}
	}
}

func (x *riser) putStatus(info *elem, n jdf.Node) {
	f := &frame{e: info, t: x.to.Element("NodeInfo").Type()}
	at := x.led.attr(n, "Status")
	v, ok := x.table.word("node status", n.Get("Status"), true)
	switch {
	case at == none:
	case !ok || v == "-":
		x.led.lose(at, x.say("the status ", n.Get("Status"), " has no counterpart"))
	case info.has("Status"):
		x.led.lose(at, "NodeInfo has a status of its own")
	default:
		x.put(f, "Status", v, at, "is NodeInfo/@Status there")
	}
	if at := x.led.attr(n, "StatusDetails"); at != none {
		x.put(f, "StatusDetails", n.Get("StatusDetails"), at, "is NodeInfo/@StatusDetails there")
	}
}

// private takes an element of a private namespace into the ticket.
func (x *riser) private(t *ticket, n jdf.Node) {
	// Fit moves it outwards, and into a set of its name.
	t.f.e.kids = append(t.f.e.kids, x.copyForeign(n))
	x.emitted[n.Index()] = true
}
