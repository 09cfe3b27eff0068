package convert

import (
	"slices"
	"strings"

	"quoin/jdf"
	"quoin/schemas"
)

// versioner writes a document in another version of its generation.
type versioner struct {
	*conv
	opt   Options
	names map[string]bool // IDs of the document
	ids   map[string]jdf.Node

	pending []jdf.Node // resources that go into the node that is being copied
}

// version converts inside a generation. The 1.x generation notes in which
// versions a name may be used; what the target version does not have is
// renamed, moved to where that version has it, or lost. Of the 2.x generation
// nothing is known of when its names came in; only the version is rewritten.
func (r *Result) version(docs []*jdf.Document, target jdf.Kind, opt Options) error {
	for i, d := range docs {
		set := setOf(target.First())
		x := &versioner{
			conv: newConv(r.led, set, set), opt: opt, names: map[string]bool{},
			ids: map[string]jdf.Node{},
		}
		x.same = true
		if target.First() {
			x.conv.version = schemas.MakeVersion(opt.Version.Major, opt.Version.Minor)
		}
		for n := range d.Elements() {
			if id := n.Get("ID"); id != "" {
				x.names[id] = true
				x.ids[id] = n
			}
		}
		root := d.Root()
		e := &elem{local: root.Local()}
		x.copy(root, e)
		e.set("Version", opt.Version.String())
		p := newPrefixes(docs)
		ext := "." + strings.ToLower(target.String())
		if x.finish(e, p) {
			name := r.name(e, i, ext)
			if target.Message() {
				name = r.messageName(d, i, ext)
			}
			r.Outputs = append(r.Outputs, Output{name, target, e, p})
		}
	}
	return nil
}

// copy takes an element over as it is, but for what the version has elsewhere.
func (x *versioner) copy(n jdf.Node, e *elem) {
	x.mark(e, n, "")
	at := x.led.of(n)
	for a := range n.Attrs() {
		at++
		x.copyAttribute(n, a, at, e)
	}
	for p := range n.Content() {
		switch {
		case p.Kind() == jdf.KindText || p.Kind() == jdf.KindCDATA:
			x.text(e, p)
		case p.Kind() != jdf.KindElement:
			x.led.loseAll(p, remarkLost)
		case foreign(p.Space()):
			e.kids = append(e.kids, x.copyForeign(p))
		case n.Is("JDF") && p.Is("NodeInfo", "CustomerInfo") && x.from13():
			x.intoPool(n, p, e)
		case n.Is("ResourceLinkPool") && p.Is("NodeInfoLink", "CustomerInfoLink") && !x.from13():
			x.intoNode(p, e)
		default:
			c := e.add(p.Local())
			x.copy(p, c)
		}
	}
	x.settle(n, e)
}

// from13 reports whether the target keeps NodeInfo and CustomerInfo as
// resources, which it does from 1.3 on.
//
// Source: the published JDF schema, last version of JDF/NodeInfo.
func (x *versioner) from13() bool {
	return x.conv.version == 0 || x.conv.version >= schemas.MakeVersion(1, 3)
}

func (x *versioner) copyAttribute(n jdf.Node, a jdf.Attr, at int32, e *elem) {
	name, v := a.Name(), a.Value()
	why := ""
	switch {
	case name.Space == jdf.NamespaceXSI && name.Local == "schemaLocation":
		x.led.lose(at, "it names the schema of another version")
		return
	case name.Space == jdf.NamespaceXSI:
		v = x.standardType(n, v)
		if v != a.Value() {
			why = "the standard has the default namespace there"
		}
	case name.Space != "":
	case name.Local == "Version" || name.Local == "MaxVersion":
		if n.Is("JDF", "JMF", "XJDF", "XJMF", "Query", "Command", "Signal", "Response", "Acknowledge", "Registration") &&
			v != x.opt.Version.String() {
			v, why = x.opt.Version.String(), "the version is the one asked for"
		}
	default:
		if m := x.moveOf(n, name.Local); m != "" {
			name.Local, why = m, x.say("the version calls it ", m)
		}
	}
	for _, b := range e.attrs {
		if b.name == nameIn(name.Space, name.Local) {
			x.led.lose(at, x.say(name.Local, " has another value already"))
			return
		}
	}
	e.attrs = append(e.attrs, attr{nameIn(name.Space, name.Local), v, at})
	x.led.keep(at, why)
}

// standardType is the name of a type without the prefix of the standard.
func (x *versioner) standardType(n jdf.Node, v string) string {
	if prefix, local, ok := strings.Cut(v, ":"); ok {
		if space, bound := n.Lookup(prefix); bound && space == x.to.Namespace() {
			return local
		}
	}
	return v
}

// moveOf is the name that the version has for an attribute, or "" where it has
// the name itself.
func (x *versioner) moveOf(n jdf.Node, name string) string {
	if x.conv.version == 0 {
		return ""
	}
	for _, m := range x.table.moves {
		if m.element != n.Local() {
			continue
		}
		for _, way := range [][2]string{{m.old, m.new}, {m.new, m.old}} {
			if way[0] != name {
				continue
			}
			t := x.typeOfNode(n)
			if t == nil || t.Attribute(way[0]) == nil || t.Attribute(way[1]) == nil {
				continue
			}
			if x.outside(t.Attribute(way[0]).Span) && !x.outside(t.Attribute(way[1]).Span) {
				return way[1]
			}
		}
	}
	return ""
}

// typeOfNode is the type of an element of the source.
func (x *versioner) typeOfNode(n jdf.Node) *schemas.Type {
	if e := x.from.Element(n.Local()); e != nil {
		return e.Type()
	}
	if p := n.Parent(); p.Valid() {
		if t := x.typeOfNode(p); t != nil {
			return x.typeOf(t, n.Local())
		}
	}
	return nil
}

// intoPool makes a resource of what an old version writes into the node.
func (x *versioner) intoPool(node, n jdf.Node, e *elem) {
	const why = "it is a resource of its own from version 1.3 on"
	kind := n.Local()
	pool := childOf(e, "ResourcePool")
	res := pool.add(kind)
	x.copy(n, res)
	x.led.keep(x.led.of(n), why)
	id := "r_" + kind
	for i := 2; x.names[id]; i++ {
		id = "r_" + kind + "_" + itoa(i)
	}
	x.names[id] = true
	if !res.has("ID") {
		res.set("ID", id)
	}
	res.set("Class", "Parameter")
	if !res.has("Status") {
		res.set("Status", "Available")
	}
	childOf(e, "ResourceLinkPool").add(kind+"Link").set("rRef", res.get("ID")).set("Usage", "Input")
}

func childOf(e *elem, local string) *elem {
	if c := e.child(local); c != nil {
		return c
	}
	return e.add(local)
}

// intoNode writes a linked NodeInfo or CustomerInfo into the node, where old
// versions have it.
func (x *versioner) intoNode(link jdf.Node, e *elem) {
	const why = "it stands in the node itself before version 1.3"
	r := x.ids[link.Get("rRef")]
	if !r.Valid() || r.Child(r.Local()).Valid() {
		x.led.loseAll(link, "a partitioned resource can not stand in the node itself before version 1.3")
		return
	}
	x.pending = append(x.pending, r)
	x.keepAll(link, why)
}

// settle finishes a node after all that is in it: what was linked moves in, and
// pools that are empty now go.
func (x *versioner) settle(n jdf.Node, e *elem) {
	if !n.Is("JDF") {
		return
	}
	merge(e, "ResourcePool")
	merge(e, "ResourceLinkPool")
	for _, r := range x.pending {
		c := e.add(r.Local())
		x.copy(r, c)
		c.attrs = slices.DeleteFunc(c.attrs, func(a attr) bool {
			drop := a.name == "ID" || a.name == "Class" || a.name == "Status"
			if drop {
				x.led.drop(a.slot, "it is no resource before version 1.3")
			}
			return drop
		})
		x.unpool(e, r)
	}
	x.pending = nil
}

// merge joins the pools of a name, of which one was made on the way.
func merge(e *elem, name string) {
	first := e.child(name)
	e.kids = slices.DeleteFunc(e.kids, func(c *elem) bool {
		if c == first || c.local != name || c.space != "" {
			return false
		}
		first.kids = append(first.kids, c.kids...)
		first.attrs = append(first.attrs, c.attrs...)
		first.slots = append(first.slots, c.slots...)
		return true
	})
}

// unpool takes a resource that moved into its node out of the pool there.
func (x *versioner) unpool(e *elem, r jdf.Node) {
	pool := e.child("ResourcePool")
	if pool == nil {
		return
	}
	pool.kids = slices.DeleteFunc(pool.kids, func(c *elem) bool {
		if c.get("ID") != r.Get("ID") {
			return false
		}
		f := &fitter{conv: x.conv}
		f.remove(c, "it stands in the node itself before version 1.3")
		return true
	})
}
