package convert

import (
	"slices"
	"strings"

	"quoin/jdf"
)

// made is a product node, and the component that it makes.
type made struct {
	n         jdf.Node // the Product
	f         *frame
	component *material
	parts     []string // IDs of its parts
}

// productList makes a node of each product, inside that of the product that it
// is a part of.
func (x *lowerer) productList(p *part) {
	list := p.n.Child("ProductList")
	if !list.Valid() {
		return
	}
	x.mark(x.root.e, list, "each product is a node there")
	at := x.led.of(list)
	for range list.Attrs() {
		at++
		x.led.lose(at, "there is no list of products there")
	}
	var all []*made
	parent := map[string]*made{}
	for n := range list.ChildrenNamed("Product") {
		id := firstOf(n.Get("ID"), n.Path())
		if old := x.products[id]; old != nil && alike(old.n, n) {
			x.keepAll(n, "the product stands there once for several tickets")
			continue
		}
		m := &made{n: n, parts: refsOf(n)}
		x.products[id] = m
		all = append(all, m)
		for _, part := range m.parts {
			if parent[part] == nil && part != id {
				parent[part] = m
			}
		}
	}
	for c := range list.Content() {
		if !c.Is("Product") {
			x.led.loseAll(c, remarkLost)
		}
	}
	x.place(p, all, parent)
}

// refsOf lists the products that the intents of a product name.
func refsOf(n jdf.Node) []string {
	var ids []string
	var walk func(e jdf.Node)
	walk = func(e jdf.Node) {
		for a := range e.Attrs() {
			switch a.Local() {
			case "ChildRefs", "ChildRef", "Container":
				for id := range strings.FieldsSeq(a.Value()) {
					if !slices.Contains(ids, id) {
						ids = append(ids, id)
					}
				}
			}
		}
		for c := range e.Children() {
			walk(c)
		}
	}
	for i := range n.ChildrenNamed("Intent") {
		walk(i)
	}
	return ids
}

// place makes the nodes, outer products first. A single product that is no part
// of another is the root itself.
func (x *lowerer) place(p *part, all []*made, parent map[string]*made) {
	var roots []*made
	for _, m := range all {
		if around(m, parent) == nil {
			roots = append(roots, m)
		}
	}
	if len(roots) == 0 {
		roots = all[:min(1, len(all))] // products in a ring: the first is as good as any
	}
	single := len(roots) == 1 && !x.described
	x.described = true
	if !single && len(roots) > 0 {
		x.root.e.set("Type", "ProcessGroup")
		if p.f == x.root && len(p.types) == 0 {
			x.root.s = x.sectionOf("XJDF", "JDF")
		}
	}
	for _, m := range roots {
		f := x.root
		if !single {
			f = x.open(x.root, "JDF", jdf.Node{})
		}
		x.productNode(p, m, f, true, parent)
	}
	for _, m := range all {
		if m.f == nil {
			x.productNode(p, m, x.open(x.root, "JDF", jdf.Node{}), false, parent)
		}
	}
	for _, m := range all {
		x.partLinks(m, parent)
	}
}

// around is the product that another is a part of, or nil where following that
// would go in a ring.
func around(m *made, parent map[string]*made) *made {
	up := parent[m.n.Get("ID")]
	for p, n := up, 0; p != nil; p, n = parent[p.n.Get("ID")], n+1 {
		if p == m || n > len(parent) {
			return nil
		}
	}
	return up
}

func (x *lowerer) productNode(p *part, m *made, f *frame, outer bool, parent map[string]*made) {
	if m.f != nil {
		return
	}
	m.f = f
	f.e.set("Type", "Product")
	f.s = x.sectionOf("Product", "JDF")
	x.mark(f.e, m.n, "a product is a node there")
	x.component(m, outer)
	owner := f.owner
	f.owner = m.n
	x.fill(m.n, f, func(local string) bool { return x.ofComponent(m, local) })
	f.owner = owner
	for i := range m.n.ChildrenNamed("Intent") {
		x.intent(p, m, i)
	}
	for _, id := range m.parts {
		c := x.products[id]
		if c != nil && c.f == nil && around(c, parent) == m {
			x.productNode(p, c, x.open(f, "JDF", jdf.Node{}), false, parent)
		}
	}
}

// component makes what a product node makes, and the link to it.
func (x *lowerer) component(m *made, outer bool) {
	id := m.n.Get("ID")
	m.component = x.newMaterial("Component", firstOf(prefixed("c_", id), "c_Product"), nil)
	e := m.component.f.e
	e.set("Status", "Unavailable")
	e.set("ComponentType", map[bool]string{true: "FinalProduct", false: "PartialProduct"}[outer])
	link := x.linkIn(m.f, "ComponentLink", m.component, "Output")
	for _, name := range []string{"Amount", "MinAmount", "MaxAmount"} {
		if at := x.led.attr(m.n, name); at != none {
			x.put(link, name, m.n.Get(name), at, "is an amount of what the node makes there")
		}
	}
	for _, name := range []string{"ProductType", "ProductTypeDetails"} {
		if at := x.led.attr(m.n, name); at != none {
			x.put(m.component.f, name, m.n.Get(name), at, "is said of what the node makes there")
		}
	}
}

func prefixed(prefix, s string) string {
	if s == "" {
		return ""
	}
	return prefix + s
}

// ofComponent tells what component has written already, and what follows from
// the tree.
func (x *lowerer) ofComponent(m *made, local string) bool {
	switch local {
	case "@Amount", "@MinAmount", "@MaxAmount", "@ProductType", "@ProductTypeDetails", "Intent":
		return true
	case "@IsRoot":
		at := x.led.attr(m.n, "IsRoot")
		m.f.e.slots = append(m.f.e.slots, at)
		x.led.keep(at, "the tree of nodes says which product is a part")
		return true
	case "@ID":
		id := m.n.Get("ID")
		why := ""
		if x.names[id] {
			why = "another element has the ID already"
		}
		id = x.unique(id)
		m.f.e.attrs = append(m.f.e.attrs, attr{name: "ID", value: id, slot: x.led.attr(m.n, "ID")})
		x.led.keep(x.led.attr(m.n, "ID"), why)
		return true
	case "@DescriptiveName":
		// Where the ticket has a name too, the node has that one; a product that is
		// named as its ticket needs no second name.
		name := m.n.Get("DescriptiveName")
		if m.f.e.get("DescriptiveName") == name {
			return false
		}
		at := x.led.attr(m.n, "DescriptiveName")
		x.put(m.component.f, "DescriptiveName", name, at, "is the name of what the node makes there")
		return true
	}
	return false
}

func (x *lowerer) linkIn(f *frame, name string, m *material, usage string) *frame {
	pool := f.e.child("ResourceLinkPool")
	if pool == nil {
		pool = f.e.add("ResourceLinkPool")
	}
	link := &frame{e: pool.add(name), t: x.to.Element("ResourceLink").Type()}
	link.e.set("rRef", m.id).set("Usage", usage)
	return link
}

// partLinks makes a product take its parts, where they are not inside its node.
func (x *lowerer) partLinks(m *made, parent map[string]*made) {
	if m.f == nil {
		return
	}
	for _, id := range m.parts {
		c := x.products[id]
		if c != nil && c != m && c.component != nil && around(c, parent) != m {
			x.linkIn(m.f, "ComponentLink", c.component, "Input")
		}
	}
}

// intent makes the intent resource of a product, and its link.
func (x *lowerer) intent(p *part, m *made, i jdf.Node) {
	name := i.Get("Name")
	spec := i.Child(name)
	kind := name
	for _, s := range x.table.down[name] {
		if s.op == '=' && x.to.Element(s.left) != nil {
			kind = s.left
		}
	}
	for c := range i.Children() {
		if foreign(c.Space()) {
			m.f.e.kids = append(m.f.e.kids, x.copyForeign(c))
			x.mark(m.f.e, i, "a private intent stands in the node itself there")
		}
	}
	if spec.Is("AssemblingIntent") && onlyItems(spec) {
		x.inTree(m, i, spec)
		return
	}
	if t := x.typeIn("ResourcePool", kind); t == nil || !spec.Valid() {
		x.led.loseAll(i, x.say("there is no ", name, " there"))
		return
	}
	r := x.newMaterial(kind, "i_"+kind, nil)
	x.linkIn(m.f, kind+"Link", r, "Input")
	f := r.f
	f.s, f.owner = x.sectionOf(name, kind), spec
	f.e.set("Status", "Available")
	x.mark(f.e, i, "an intent is a resource of its own there")
	x.mark(f.e, spec, x.renamed(name, kind))
	at := x.led.of(i)
	for a := range i.Attrs() {
		at++
		if a.Local() == "Name" && a.Name().Space == "" {
			f.e.slots = append(f.e.slots, at)
			x.led.keep(at, "the name of the element says it")
			continue
		}
		x.attribute(a, at, f, x.sectionOf("Resource", "Resource").down, true)
	}
	for c := range i.Content() {
		if c != spec && c.Kind() != jdf.KindElement {
			x.led.loseAll(c, remarkLost)
		}
	}
	p.queue = append(p.queue, func() { x.fillIntent(f, r, spec) })
}

func (x *lowerer) fillIntent(f *frame, r *material, spec jdf.Node) {
	switch {
	case spec.Is("ColorIntent"):
		x.surfaces(f, r, spec)
		return
	case spec.Is("AssemblingIntent"):
		x.assembling(f, spec)
		return
	}
	x.fill(spec, f, func(local string) bool {
		if local == "@ChildRefs" {
			at := x.led.attr(spec, "ChildRefs")
			f.e.slots = append(f.e.slots, at)
			x.led.keep(at, "the parts are nodes inside that of the product there")
			return true
		}
		return false
	})
}

// surfaces makes a partition of each side.
func (x *lowerer) surfaces(f *frame, r *material, spec jdf.Node) {
	f.e.set("PartIDKeys", "Side")
	x.fill(spec, f, func(local string) bool { return local == "SurfaceColor" })
	for s := range spec.ChildrenNamed("SurfaceColor") {
		g := x.open(f, "ColorIntent", s)
		x.put(g, "Side", s.Get("Surface"), x.led.attr(s, "Surface"), "is the partition key Side there")
		g.s, g.owner = x.sectionOf("SurfaceColor", "ColorIntent"), s
		x.fill(s, g, func(local string) bool { return local == "@Surface" })
	}
}
