package convert

import (
	"math"

	"quoin/jdf"
	"quoin/jdf/value"
)

// setHook converts a set whose structure changes; nil for all others.
func (x *lowerer) setHook(name string) func(p *part, set jdf.Node) bool {
	switch name {
	case "Color":
		return x.colors
	case "NodeInfo":
		return x.nodeInfo
	case "Contact":
		return x.contacts
	}
	return nil
}

func (x *lowerer) addHooks() {
	x.hooks["Layout/PlacedObject"] = x.placed
	x.hooks["*/AddressLine"] = x.addressLine
	x.hooks["Layout/Position"] = x.barePosition
	x.hooks["XJDF/AuditPool"] = x.audits
	x.attrs["Position/@BinderySignatureID"] = x.positionOf
	x.attrs["Position/@GangElementID"], x.attrs["Position/@StackDepth"] = x.ofStripping, x.ofStripping
	x.attrs["Position/@PositionOrd"] = x.inOrder
	x.attrs["CutBlock/@Box"] = x.box
	x.attrs["NodeInfo/@Status"], x.attrs["NodeInfo/@StatusDetails"] = x.nodeStatus, x.nodeStatus
	for _, name := range []string{"SheetWidthMin", "SheetWidthMax", "SheetHeightMin", "SheetHeightMax"} {
		x.attrs["ConvertingConfig/@"+name] = x.sheetRange
	}
}

// nodeStatus writes the state of a whole node into the node itself.
func (x *lowerer) nodeStatus(a jdf.Attr, at int32, f *frame) bool {
	if x.filling == nil || len(x.filling.part) > 0 || x.now.f.e.has(a.Local()) {
		return false
	}
	return x.put(x.now.f, a.Local(), a.Value(), at, x.say("is JDF/@", a.Local(), " there"))
}

// nodeInfo writes a NodeInfo that says nothing but the state into the node.
func (x *lowerer) nodeInfo(p *part, set jdf.Node) bool {
	res := set.Child("Resource")
	info := res.Child("NodeInfo")
	if !res.Valid() || res.NextContent().Valid() || res.Child("Part").Valid() || res.Child("AmountPool").Valid() {
		return false
	}
	for range info.Content() {
		return false
	}
	for a := range info.Attrs() {
		if a.Local() != "Status" && a.Local() != "StatusDetails" {
			return false
		}
	}
	const why = "the state stands in the node itself there"
	for _, n := range []jdf.Node{set, res, info} {
		if !n.Valid() {
			continue
		}
		x.mark(p.f.e, n, why)
		at := x.led.of(n)
		for a := range n.Attrs() {
			at++
			if n == info {
				x.put(p.f, a.Local(), a.Value(), at, why)
				continue
			}
			x.led.lose(at, "the state of a node is no resource of its own there")
		}
		for c := range n.Content() {
			if !c.Is("Resource", "NodeInfo") {
				x.led.loseAll(c, "the state of a node is no resource of its own there")
			}
		}
	}
	for _, name := range []string{"Name", "Usage"} {
		if at := x.led.attr(set, name); at != none {
			x.led.keep(at, why)
		}
	}
	return true
}

// colors gathers colours in a pool, which ColorantControl names.
func (x *lowerer) colors(p *part, set jdf.Node) bool {
	m := x.newMaterial("ColorPool", "ColorPool", nil)
	m.f.e.set("Status", "Available")
	x.mark(m.f.e, set, "colours stand in a ColorPool there")
	at := x.led.of(set)
	for a := range set.Attrs() {
		at++
		switch a.Local() {
		case "Name", "Usage":
			m.f.e.slots = append(m.f.e.slots, at)
			x.led.keep(at, "ColorantControl names the pool there")
		default:
			x.led.lose(at, "a pool has no place for it")
		}
	}
	for c := range set.Content() {
		if !c.Is("Resource") {
			x.led.loseAll(c, "a pool has no place for it")
		}
	}
	for res := range set.ChildrenNamed("Resource") {
		x.color(p, m, res)
	}
	p.colors = append(p.colors, m)
	return true
}

func (x *lowerer) color(p *part, m *material, res jdf.Node) {
	spec := res.Child("Color")
	f := x.open(m.f, "Color", jdf.Node{})
	f.s = x.sectionOf("Color", "Color")
	x.mark(f.e, res, "a colour is an entry of the pool there")
	name := res.Child("Part").Get("Separation")
	part := res.Child("Part")
	if at := x.led.attr(part, "Separation"); at != none {
		x.mark(f.e, part, "the name of the colour stands in Color/@Name there")
		x.put(f, "Name", name, at, "is Color/@Name there")
	} else {
		f.e.set("Name", firstOf(spec.Get("ActualColorName"), "unknown"))
	}
	at := x.led.of(res)
	for a := range res.Attrs() {
		at++
		x.attribute(a, at, f, x.sectionOf("Resource", "Resource").down, true)
	}
	if spec.Valid() {
		x.mark(f.e, spec, "a colour is an entry of the pool there")
		f.owner = spec
		p.queue = append(p.queue, func() { x.fill(spec, f, nil) })
	}
	for c := range res.Content() {
		if !c.Is("Color") {
			x.led.loseAll(c, "an entry of a pool has no place for it")
		}
	}
}

// contacts makes contacts that the customer information names, where there is
// one; a process seldom links them.
func (x *lowerer) contacts(p *part, set jdf.Node) bool {
	before := len(p.links)
	x.set(p, set)
	for _, k := range p.links[before:] {
		p.contacts = append(p.contacts, k.m)
	}
	return true
}

// afterSets names pools and contacts where the 1.x generation does.
func (x *lowerer) afterSets(p *part) {
	for _, k := range p.links {
		switch k.m.kind {
		case "ColorantControl":
			for _, m := range p.colors {
				if k.m.f.e.child("ColorPoolRef") == nil {
					k.m.f.e.add("ColorPoolRef").set("rRef", m.id)
				}
			}
		case "CustomerInfo":
			for _, m := range p.contacts {
				k.m.f.e.add("ContactRef").set("rRef", m.id)
			}
		}
	}
}

// placed turns a PlacedObject into the content or mark object that it is about.
func (x *lowerer) placed(n jdf.Node, f *frame) bool {
	kind := "ContentObject"
	if n.Child("MarkObject").Valid() {
		kind = "MarkObject"
	}
	g := x.open(f, kind, n)
	g.s = x.sectionOf("PlacedObject", "ContentObject")
	g.owner = n
	x.fill(n, g, func(local string) bool { return local == kind })
	if inner := n.Child(kind); inner.Valid() {
		x.mark(g.e, inner, "is the object itself there")
		g.owner = inner
		g.s = nil
		x.fill(inner, g, nil)
	}
	return true
}

// barePosition leaves out a position that only names a bindery signature: that
// is said by reference.
func (x *lowerer) barePosition(n jdf.Node, f *frame) bool {
	if x.filling == nil || x.filling.m.kind != "StrippingParams" || n.Parent().Child("Position") != n {
		return false
	}
	for a := range n.Attrs() {
		if a.Local() != "BinderySignatureID" {
			return false
		}
	}
	count := 0
	for range n.Parent().ChildrenNamed("Position") {
		count++
	}
	a := n.Attr("BinderySignatureID")
	if count > 1 || !a.Valid() || x.signature(a.Value()) == nil {
		return false
	}
	x.mark(f.e, n, "a stripping names its bindery signature by reference there")
	return x.positionOf(a, x.led.attr(n, "BinderySignatureID"), f)
}

// positionOf names the bindery signature of a stripping by reference.
func (x *lowerer) positionOf(a jdf.Attr, at int32, f *frame) bool {
	if x.filling == nil || x.filling.m.kind != "StrippingParams" {
		return false
	}
	id := a.Value()
	l := x.signature(id)
	if l == nil {
		x.led.lose(at, "no BinderySignature has the name")
		return true
	}
	e := x.filling.f.e
	ref := e.child("BinderySignatureRef")
	if ref == nil {
		x.cellsInto(x.filling, l.res)
	}
	switch {
	case ref == nil:
		ref = e.add("BinderySignatureRef")
		ref.attrs = append(ref.attrs, attr{name: "rRef", value: l.m.id, slot: at})
		if len(l.part) > 0 {
			p := ref.add("Part")
			for i, name := range x.jdfKeys(namesOf(l.part)) {
				p.set(name, l.part[i].Value())
			}
		}
		x.led.keep(at, "is the reference element BinderySignatureRef there")
	case ref.get("rRef") == l.m.id:
		ref.slots = append(ref.slots, at)
		x.led.keep(at, "is the reference element BinderySignatureRef there")
	default:
		x.led.lose(at, "the positions of a partition share one bindery signature there")
	}
	return true
}

// signature finds the BinderySignature of a name in the ticket.
func (x *lowerer) signature(id string) *leafOf {
	for _, k := range x.now.links {
		if k.m.kind != "BinderySignature" {
			continue
		}
		for _, l := range k.leaves {
			if l.res.Child("Part").Get("BinderySignatureID") == id || l.res.Get("ID") == id {
				return l
			}
		}
	}
	return nil
}

// box turns the box of a cut block into a size and the way to its place.
func (x *lowerer) box(a jdf.Attr, at int32, f *frame) bool {
	r, err := value.ParseRectangle(a.Value())
	if err != nil {
		return false
	}
	// Sums of decimals leave dust; a millionth of a point is no size.
	dusted := func(f float64) float64 { return math.Round(f*1e6) / 1e6 }
	size := value.XYPair{X: dusted(r.URX - r.LLX), Y: dusted(r.URY - r.LLY)}
	move := value.Identity()
	move.TX, move.TY = r.LLX, r.LLY
	const why = "is BlockSize and BlockTrf there"
	x.put(f, "BlockSize", size.String(), at, why)
	x.put(f, "BlockTrf", move.String(), at, why)
	return true
}

// sheetRange joins the ends of the range of a sheet size.
func (x *lowerer) sheetRange(a jdf.Attr, at int32, f *frame) bool {
	name := a.Local()[:len(a.Local())-len("Min")]
	least, most := a.Owner().Get(name+"Min"), a.Owner().Get(name+"Max")
	v := firstOf(least, most) + " ~ " + firstOf(most, least)
	why := x.say("is ", name, " there")
	if f.e.has(name) {
		f.e.slots = append(f.e.slots, at)
		x.led.keep(at, why)
		return true
	}
	return x.put(f, name, v, at, why)
}
