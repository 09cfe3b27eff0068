package convert

import (
	"slices"
	"strings"

	"quoin/jdf"
)

// productOf is the Product of a node. A node that is no product, but has
// intents, gets one in its own ticket.
func (x *riser) productOf(t *ticket, n jdf.Node) *frame {
	if f := x.products[n.Index()]; f != nil {
		return f
	}
	list := t.sets["ProductList"]
	if list == nil {
		list = x.open(t.f, "ProductList", jdf.Node{})
		t.sets["ProductList"] = list
	}
	f := x.open(list, "Product", jdf.Node{})
	f.owner = n
	f.s = x.sectionOf("JDF", "Product")
	x.products[n.Index()] = f
	root := true
	for p := n.Parent(); p.Valid(); p = p.Parent() {
		if p.Get("Type") == "Product" {
			root = false
		}
	}
	f.e.set("IsRoot", map[bool]string{true: "true", false: "false"}[root])
	return f
}

// nodeOf is the JDF node that owns a pool entry or a link.
func nodeOf(n jdf.Node) jdf.Node {
	for p := n.Parent(); p.Valid(); p = p.Parent() {
		if p.Is("JDF") {
			return p
		}
	}
	return jdf.Node{}
}

// intent puts an intent into the Product of the node that links it.
func (x *riser) intent(t *ticket, r, link jdf.Node) bool {
	node := nodeOf(r)
	if link.Valid() {
		node = nodeOf(link)
	}
	name := r.Local()
	if list := x.table.up[name]; len(list) > 0 && list[0].right != "SurfaceColor" {
		name = list[0].right
	}
	if e := x.to.Element(name); e == nil || e.Head() != "ProductIntent" || !node.Valid() {
		return false
	}
	f := x.productOf(t, node)
	if link.Valid() {
		x.keepAll(link, "an intent stands in its Product there")
	}
	t.homes[r.Index()] = []home{}
	t.queue = append(t.queue, func() {
		if name == "ColorIntent" {
			x.colorIntent(f, r, node)
			return
		}
		for i, l := range x.leavesOf(r) {
			if i > 0 {
				x.led.loseAll(l.chain[0], "an intent has no partitions there")
				continue
			}
			x.intentLeaf(f, name, l)
		}
	})
	return true
}

// openIntent makes the Intent and the element in it.
func (x *riser) openIntent(f *frame, name string) (wrap, spec *frame) {
	wrap = x.open(f, "Intent", jdf.Node{})
	wrap.e.set("Name", name)
	spec = &frame{e: wrap.e.add(name), t: x.to.Element(name).Type(), up: wrap}
	return wrap, spec
}

func (x *riser) intentLeaf(f *frame, name string, l *leaf) {
	_, spec := x.openIntent(f, name)
	spec.s = x.sectionOf(l.chain[0].Local(), name)
	for _, n := range l.chain {
		x.mark(spec.e, n, x.renamed(n.Local(), name))
		spec.owner = n
		x.fillIntent(n, spec, l)
	}
}

// fillIntent writes an intent without what is only of use to a resource.
func (x *riser) fillIntent(n jdf.Node, spec *frame, l *leaf) {
	x.fill(n, spec, func(local string) bool {
		name, isAttr := strings.CutPrefix(local, "@")
		switch {
		case !isAttr:
			return local == n.Local()
		case name == "ID", name == "Status":
			x.led.lose(x.led.attr(n, name), "an intent is no resource of its own there")
			return true
		case l.keyed(name):
			x.led.keep(x.led.attr(n, name), "the Product has no partitions there")
			return true
		}
		return false
	})
}

// colorIntent makes a SurfaceColor for each side that is printed.
func (x *riser) colorIntent(f *frame, r, node jdf.Node) {
	_, spec := x.openIntent(f, "ColorIntent")
	for _, l := range x.leavesOf(r) {
		sides := []string{"Front"}
		switch side, _ := l.get("Side"); {
		case side != "":
			sides = []string{side}
		case x.printsBack(node) && x.printsFront(node):
			sides = []string{"Front", "Back"}
		case x.printsBack(node):
			sides = []string{"Back"}
		}
		for _, side := range sides {
			g := x.open(spec, "SurfaceColor", jdf.Node{})
			g.up = spec.up
			g.s = x.sectionOf("ColorIntent", "SurfaceColor")
			g.e.set("Surface", side)
			for _, n := range l.chain {
				x.mark(g.e, n, "each side has a SurfaceColor there")
				g.owner = n
				x.fillIntent(n, g, l)
			}
		}
	}
}

// sidesOf is what the layout intent of a node says of the sides.
func (x *riser) sidesOf(node jdf.Node) string {
	for link := range node.Child("ResourceLinkPool").Children() {
		if r := x.ids[link.Get("rRef")]; link.Is("LayoutIntentLink") && r.Valid() {
			return r.Get("Sides")
		}
	}
	return ""
}

func (x *riser) printsBack(node jdf.Node) bool {
	s := x.sidesOf(node)
	return strings.HasPrefix(s, "TwoSided") || s == "OneSidedBack"
}

func (x *riser) printsFront(node jdf.Node) bool { return x.sidesOf(node) != "OneSidedBack" }

// productComponent turns what a product node makes into its Product, and leaves
// out what it takes: the parts are named by ChildRefs.
func (x *riser) productComponent(t *ticket, r, link jdf.Node) bool {
	node := nodeOf(link)
	if node.Get("Type") != "Product" {
		return false
	}
	const why = "the parts of a product are named by ChildRefs there"
	if link.Get("Usage") != "Output" {
		x.keepAll(link, why)
		t.homes[r.Index()] = []home{}
		t.queue = append(t.queue, func() { x.led.loseAll(r, why) })
		return true
	}
	f := x.productOf(t, node)
	g := &frame{e: f.e, t: f.t, s: x.sectionOf("Component", "Product"), owner: r}
	t.homes[r.Index()] = []home{}
	t.queue = append(t.queue, func() {
		x.productLink(f, link)
		for _, l := range x.leavesOf(r) {
			for _, n := range l.chain {
				x.mark(g.e, n, "what a product node makes is its Product there")
				x.fill(n, g, func(local string) bool {
					return local == n.Local() || l.keyed(strings.TrimPrefix(local, "@")) && local[0] == '@' ||
						local == "@DescriptiveName" && x.named(t, g, n, node)
				})
			}
		}
		x.led.loseAll(r, "a Product has no place for it")
	})
	return true
}

// named gives the product the name of what its node makes. The name of the
// outermost node is that of the job where the two differ, and of the product
// alone where they are the same.
func (x *riser) named(t *ticket, g *frame, component, node jdf.Node) bool {
	at := x.led.attr(component, "DescriptiveName")
	name := component.Get("DescriptiveName")
	g.e.set("DescriptiveName", name)
	g.e.slots = append(g.e.slots, at)
	x.led.keep(at, "is the name of the Product there")
	if node == t.nodes[0] && node.Get("DescriptiveName") == name {
		for i, a := range t.f.e.attrs {
			if a.name == "DescriptiveName" {
				x.led.drop(a.slot, "the name of the Product says it")
				t.f.e.attrs = slices.Delete(t.f.e.attrs, i, i+1)
				x.led.keep(x.led.attr(node, "DescriptiveName"), "is the name of the Product there")
				break
			}
		}
	}
	return true
}

// productLink writes the amounts of the link to what a product node makes.
func (x *riser) productLink(f *frame, link jdf.Node) {
	const why = "what a product node makes is its Product there"
	x.led.keep(x.led.of(link), why)
	at := x.led.of(link)
	for a := range link.Attrs() {
		at++
		switch name := a.Local(); {
		case a.Name().Space != "":
			x.foreignAttribute(a, at, f)
		case name == "Amount", name == "MinAmount", name == "MaxAmount":
			x.put(f, name, a.Value(), at, "is an amount of the Product there")
		case name == "rRef", name == "Usage":
			x.led.keep(at, why)
		default:
			x.lostByRow("ResourceLink", a, at)
		}
	}
	for p := range link.Content() {
		if pool := p; p.Is("AmountPool") && !f.e.has("Amount") {
			x.productAmount(f, pool)
		}
		x.led.loseAll(p, "a Product has one amount there")
	}
}

// productAmount takes the good amount of a pool that is for all of a product.
func (x *riser) productAmount(f *frame, pool jdf.Node) {
	for n := range pool.ChildrenNamed("PartAmount") {
		c := n.Child("Part").Get("Condition")
		if at := x.led.attr(n, "Amount"); at != none && (c == "" || c == "Good") {
			x.put(f, "Amount", n.Get("Amount"), at, "is Product/@Amount there")
			return
		}
	}
}

// structure names the parts of each product in its BindingIntent.
func (x *riser) structure(t *ticket) {
	for _, n := range t.nodes {
		f := x.products[n.Index()]
		if f == nil {
			continue
		}
		var parts []string
		for _, c := range t.nodes {
			if g := x.products[c.Index()]; g != nil && productAround(c) == n {
				parts = append(parts, x.productID(g, c))
			}
		}
		if x.assembled(f, parts) {
			continue
		}
		switch len(parts) {
		case 0:
			continue
		case 1:
			// ChildRefs holds two ids or more; a product of one kind of part names it twice.
			//
			// Source: the published sample further/book-product-complex-2.xjdf.
			parts = append(parts, parts[0])
		}
		x.bound(f).set("ChildRefs", strings.Join(parts, " "))
	}
}

// productAround is the product node that a node is a part of.
func productAround(n jdf.Node) jdf.Node {
	for p := n.Parent(); p.Valid(); p = p.Parent() {
		if p.Get("Type") == "Product" {
			return p
		}
	}
	return jdf.Node{}
}

func (x *riser) productID(f *frame, n jdf.Node) string {
	if !f.e.has("ID") {
		f.e.set("ID", x.token(firstOf(n.Get("ID"), n.Get("JobPartID"), "Product"), true))
	}
	return f.e.get("ID")
}

// bound is the binding intent of a product; one that has none, but parts, gets
// one that binds nothing.
func (x *riser) bound(f *frame) *elem {
	for _, name := range []string{"BindingIntent", "VariableIntent"} {
		i := slices.IndexFunc(f.e.kids, func(e *elem) bool { return e.child(name) != nil })
		if i >= 0 {
			return f.e.kids[i].child(name)
		}
	}
	_, spec := x.openIntent(f, "BindingIntent")
	return spec.e.set("BindingType", "None")
}

// delivery turns a delivery intent into delivery parameters, a Resource for each
// drop.
func (x *riser) delivery(t *ticket, r, link jdf.Node) bool {
	set := x.openSet(t, "DeliveryParams", link.Get("Usage"), link.Get("ProcessUsage"), "")
	if link.Valid() {
		x.keepAll(link, "a link is a ResourceSet with a usage there")
	}
	t.homes[r.Index()] = []home{}
	t.queue = append(t.queue, func() {
		drops := slices.Collect(r.ChildrenNamed("DropIntent"))
		if len(drops) == 0 {
			x.drop(set, r, jdf.Node{}, "")
		}
		for i, d := range drops {
			key := ""
			if len(drops) > 1 {
				key = "Drop" + string(rune('A'+i%26))
			}
			x.drop(set, r, d, key)
		}
		x.led.loseAll(r, "DeliveryParams has no place for it")
	})
	return true
}

func (x *riser) drop(set *frame, r, d jdf.Node, key string) {
	res := x.open(set, "Resource", jdf.Node{})
	res.up = set
	if key != "" {
		x.open(res, "Part", jdf.Node{}).e.set("DropID", key)
	}
	spec := &frame{e: res.e.add("DeliveryParams"), t: x.to.Element("DeliveryParams").Type(), up: res}
	if d.Valid() {
		spec.owner, spec.s = d, x.sectionOf(d.Local(), "DeliveryParams")
		x.mark(spec.e, d, "a drop is a Resource there")
		isItem := func(local string) bool { return local == "DropItemIntent" || local == "DropItem" }
		x.fill(d, spec, isItem)
		for item := range d.Children() {
			if isItem(item.Local()) {
				x.dropItem(spec, item)
			}
		}
	}
	spec.owner, spec.s = r, x.sectionOf(r.Local(), "DeliveryParams")
	x.mark(spec.e, r, "is DeliveryParams there")
	x.fill(r, spec, func(local string) bool {
		return local == "DropIntent" || local == "Drop" || local == "@ID" || local == "@Status" ||
			spec.e.has(strings.TrimPrefix(local, "@"))
	})
}

// dropItem names the product or component that is delivered.
func (x *riser) dropItem(spec *frame, item jdf.Node) {
	g := x.open(spec, "DropItem", item)
	x.fill(item, g, func(local string) bool { return local[0] != '@' })
	for c := range item.Children() {
		target := c
		if c.Has("rRef") {
			target = x.follow(c)
		}
		id := x.productMade(target)
		if id == "" && item.Is("DropItem") && target.Is("Component") {
			id, _ = x.reference(target, "", nil)
		}
		if id != "" && !g.e.has("ItemRef") {
			g.e.set("ItemRef", id)
			x.keepAll(c, "is DropItem/@ItemRef there")
			for p := range c.Content() {
				x.led.loseAll(p, "a drop names a whole product there")
			}
			continue
		}
		x.led.loseAll(c, "a drop names a product there")
	}
}

// productMade is the ID of the Product whose node makes a component.
func (x *riser) productMade(component jdf.Node) string {
	if x.product == nil || !component.Valid() {
		return ""
	}
	for _, n := range x.product.nodes {
		for link := range n.Child("ResourceLinkPool").Children() {
			if link.Is("ComponentLink") && link.Get("Usage") == "Output" && link.Get("rRef") == component.Get("ID") {
				return x.productID(x.productOf(x.product, n), n)
			}
		}
	}
	return ""
}
