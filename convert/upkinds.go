package convert

import (
	"math"
	"strings"

	"quoin/jdf"
	"quoin/jdf/value"
)

// kindHook converts a resource whose structure changes.
type kindHook func(t *ticket, r, link jdf.Node) bool

// kinds are the resources whose structure changes.
func (x *riser) kinds() map[string]kindHook {
	if x.special == nil {
		x.special = map[string]kindHook{
			"ColorPool": x.colorPool, "CutBlock": x.cutBlocks, "Component": x.productComponent,
			"DeliveryIntent": x.delivery, "DeliveryParams": x.drops, "TransferCurvePool": x.curves,
		}
	}
	return x.special
}

func (x *riser) addHooks() {
	x.hooks["*/ColorPool"], x.hooks["*/ColorPoolRef"] = x.poolInside, x.poolInside
	x.hooks["*/TransferCurvePool"], x.hooks["*/TransferCurvePoolRef"] = x.poolInside, x.poolInside
	x.hooks["CustomerInfo/Contact"], x.hooks["CustomerInfo/ContactRef"] = x.contact, x.contact
	x.hooks["StrippingParams/BinderySignature"] = x.stripped
	x.hooks["StrippingParams/BinderySignatureRef"] = x.stripped
	x.hooks["StrippingParams/StripCellParams"] = x.stripCells
	x.hooks["Layout/ContentObject"], x.hooks["Layout/MarkObject"] = x.placed, x.placed
	x.hooks["CuttingParams/CutBlock"], x.hooks["CuttingParams/CutBlockRef"] = x.cutBlockInside, x.cutBlockInside
	x.hooks["DeliveryParams/Drop"] = x.oneDrop
	x.hooks["JDF/AuditPool"] = x.audits
	x.hooks["InsertingIntent/InsertList"] = x.inserts
	x.hooks["JDF/ResourceLinkPool"] = func(jdf.Node, *frame) bool { return true }
	for _, name := range []string{"NodeInfo", "CustomerInfo"} {
		x.hooks["JDF/"+name] = x.oldInfo
	}
	x.attrs["Contact/@ContactTypes"] = x.contactTypes
	x.attrs["Color/@Name"] = x.colorName
	x.attrs["RunList/@FirstPage"] = x.firstPage
	x.attrs["StrippingParams/@GangElementID"] = x.ofPositions
	x.attrs["StrippingParams/@StackDepth"] = x.ofPositions
	x.attrs["CutBlock/@BlockSize"] = x.blockSize
	x.attrs["CutBlock/@BlockTrf"] = x.blockTrf
	x.attrs["ConvertingConfig/@SheetWidth"], x.attrs["ConvertingConfig/@SheetHeight"] = x.sheetRange, x.sheetRange
}

// oldInfo takes the NodeInfo and CustomerInfo that old versions write inside
// the node as resources.
func (x *riser) oldInfo(n jdf.Node, _ *frame) bool {
	x.emit(x.now, n, jdf.Node{}, 0)
	return true
}

// poolInside makes resources of a pool that another resource holds or names.
func (x *riser) poolInside(n jdf.Node, f *frame) bool {
	pool := n
	if n.Has("rRef") {
		if pool = x.follow(n); !pool.Valid() {
			return false
		}
		x.refMoved(n, f)
		x.mark(f.e, n, "what it names is a ResourceSet there")
	}
	if pool.Is("ColorPool", "TransferCurvePool") && !x.poolDone(pool) {
		x.emit(x.now, pool, jdf.Node{}, 0)
	}
	return true
}

func (x *riser) poolDone(pool jdf.Node) bool { return x.now.homes[pool.Index()] != nil }

// colorPool makes a Color of each entry, partitioned by its name.
func (x *riser) colorPool(t *ticket, r, link jdf.Node) bool {
	x.pool(t, r, link, "Color", "Color")
	return true
}

// curves makes a TransferCurve of each curve of a pool.
func (x *riser) curves(t *ticket, r, link jdf.Node) bool {
	x.led.keep(x.led.of(r), "each curve is a Resource there")
	for s := range r.ChildrenNamed("TransferCurveSet") {
		x.pool(t, s, link, "TransferCurve", "TransferCurve")
	}
	x.led.loseAll(r, "each curve is a Resource there")
	return true
}

// pool makes Resources of the entries of a pool.
func (x *riser) pool(t *ticket, r, link jdf.Node, child, name string) {
	usage := link.Get("Usage")
	set := x.openSet(t, name, usage, link.Get("ProcessUsage"), link.Get("CombinedProcessIndex"))
	why := x.say("each ", child, " is a Resource there")
	x.mark(set.e, r, why)
	at := x.led.of(r)
	for a := range r.Attrs() {
		at++
		if a.Name().Space != "" {
			x.foreignAttribute(a, at, set)
			continue
		}
		x.led.lose(at, x.say("the pool is left out; ", why))
	}
	made := []home{}
	for i := 0; ; i++ {
		n := nth(r, child, i)
		if !n.Valid() {
			break
		}
		made = append(made, x.openLeaf(t, set, name, n, &leaf{chain: []jdf.Node{n}}, i))
	}
	for p := range r.Content() {
		if !p.Is(child) {
			x.led.loseAll(p, why)
		}
	}
	t.homes[r.Index()] = made
	if link.Valid() {
		t.queue = append(t.queue, func() { x.link(set, link, made) })
	}
}

func nth(n jdf.Node, child string, i int) jdf.Node {
	for c := range n.ChildrenNamed(child) {
		if i == 0 {
			return c
		}
		i--
	}
	return jdf.Node{}
}

// colorName turns the name of a colour into its partition key. A name that is
// no token is kept as the actual name.
func (x *riser) colorName(a jdf.Attr, at int32, f *frame) bool {
	if f.up == nil || f.e.local != "Color" {
		return false
	}
	p := x.partFrame(f.up)
	x.put(p, "Separation", a.Value(), at, "is the partition key Separation there")
	if name := p.e.get("Separation"); name != a.Value() && !a.Owner().Has("ActualColorName") {
		f.e.set("ActualColorName", a.Value())
	}
	return true
}

// partFrame is the Part of a Resource, made where there is none.
func (x *riser) partFrame(res *frame) *frame {
	if e := res.e.child("Part"); e != nil {
		return &frame{e: e, t: x.to.Element("Part").Type()}
	}
	return x.open(res, "Part", jdf.Node{})
}

// contact makes a resource of the contacts of a customer.
func (x *riser) contact(n jdf.Node, f *frame) bool {
	target := n
	if n.Has("rRef") {
		if target = x.follow(n); !target.Valid() {
			return false
		}
		x.refMoved(n, f)
		x.mark(f.e, n, "what it names is a ResourceSet there")
	}
	if x.now.homes[target.Index()] != nil {
		return true
	}
	set := x.openSet(x.now, "Contact", "Input", "", "")
	x.emitted[target.Index()] = true
	made := []home{}
	for i, l := range x.leavesOf(target) {
		made = append(made, x.openLeaf(x.now, set, "Contact", target, l, i))
	}
	x.now.homes[target.Index()] = made
	return true
}

// contactTypes gives a contact a Part for each of its roles.
func (x *riser) contactTypes(a jdf.Attr, at int32, f *frame) bool {
	if f.up == nil {
		return false
	}
	for w := range strings.FieldsSeq(a.Value()) {
		p := x.open(f.up, "Part", jdf.Node{})
		x.put(p, "ContactType", w, at, "is the partition key ContactType there")
	}
	return true
}

// placed turns a content or mark object into a PlacedObject around one.
func (x *riser) placed(n jdf.Node, f *frame) bool {
	g := x.open(f, "PlacedObject", n)
	inner := x.open(g, n.Local(), jdf.Node{})
	g.made = map[string]*frame{n.Local() + "=": inner}
	x.fill(n, g, nil)
	return true
}

// stripped names the bindery signature of a stripping by its id, in each
// position; where there is no position, one is made.
func (x *riser) stripped(n jdf.Node, f *frame) bool {
	target := n
	if n.Has("rRef") {
		if target = x.follow(n); !target.Valid() {
			return false
		}
	}
	if !target.Is("BinderySignature") {
		return false
	}
	id, ok := x.reference(target, "BinderySignature", f)
	if !ok {
		return false
	}
	for _, h := range x.now.homes[target.Index()] {
		x.now.queue = append(x.now.queue, func() { x.signed(h) })
		if name, ok := h.leaf.get("BinderySignatureName"); ok && h.res.e.get("ID") == id {
			id = x.token(name, false)
		}
	}
	if n != target {
		x.refMoved(n, f)
		x.mark(f.e, n, "each Position names its bindery signature there")
	}
	e := f.e
	x.now.queue = append(x.now.queue, func() {
		if e.child("Position") == nil {
			e.add("Position")
		}
		for _, p := range e.kids {
			if p.local == "Position" && !p.has("BinderySignatureID") {
				p.set("BinderySignatureID", id)
			}
		}
	})
	return true
}

// signed gives a bindery signature the partition key by which positions name it.
func (x *riser) signed(h home) {
	if h.spec.e.local != "BinderySignature" {
		return
	}
	p := x.partFrame(h.res)
	if !p.e.has("BinderySignatureID") {
		p.e.set("BinderySignatureID", h.res.e.get("ID"))
	}
}

// cutBlocks puts linked cut blocks into the CuttingParams of the ticket.
func (x *riser) cutBlocks(t *ticket, r, link jdf.Node) bool {
	if link.Valid() {
		x.keepAll(link, "cut blocks stand in CuttingParams there")
	}
	t.homes[r.Index()] = []home{}
	t.queue = append(t.queue, func() {
		set := t.set("CuttingParams")
		if set == nil {
			set = x.openSet(t, "CuttingParams", "Input", "", "").e
		}
		if len(set.kids) == 0 {
			set.add("Resource").add("CuttingParams")
		}
		params := set.kids[0].child("CuttingParams")
		if params == nil {
			params = set.kids[0].add("CuttingParams")
		}
		x.blocksInto(&frame{e: params, t: x.to.Element("CuttingParams").Type()}, r)
	})
	return true
}

func (x *riser) cutBlockInside(n jdf.Node, f *frame) bool {
	target := n
	if n.Has("rRef") {
		if target = x.follow(n); !target.Valid() {
			return false
		}
		x.refMoved(n, f)
		x.mark(f.e, n, "cut blocks stand in CuttingParams there")
		x.emitted[target.Index()] = true
	}
	if x.now.homes[target.Index()] == nil {
		x.now.homes[target.Index()] = []home{}
		x.blocksInto(f, target)
	}
	return true
}

func (x *riser) blocksInto(f *frame, r jdf.Node) {
	generic := x.generic()
	for _, l := range x.leavesOf(r) {
		g := x.open(f, "CutBlock", jdf.Node{})
		g.s = x.sectionOf("CutBlock", "CutBlock")
		for _, n := range l.chain {
			x.mark(g.e, n, "cut blocks stand in CuttingParams there")
			g.owner = n
			x.fill(n, g, func(local string) bool {
				if generic(local) {
					x.led.lose(x.led.attr(n, local[1:]), "a cut block is no resource there")
					return true
				}
				return local == "CutBlock"
			})
		}
	}
}

// blockSize makes the box of a block of its size and its transformation.
func (x *riser) blockSize(a jdf.Attr, at int32, f *frame) bool {
	size, err := value.ParseXYPair(a.Value())
	if err != nil || f.e.local != "CutBlock" {
		return false
	}
	trf := value.Identity()
	if m, err := value.ParseMatrix(a.Owner().Get("BlockTrf")); err == nil {
		trf = m
	}
	p, q := trf.Apply(value.XYPair{}), trf.Apply(size)
	dusted := func(f float64) float64 { return math.Round(f*1e6) / 1e6 }
	p, q = value.XYPair{X: dusted(p.X), Y: dusted(p.Y)}, value.XYPair{X: dusted(q.X), Y: dusted(q.Y)}
	box := value.Rectangle{LLX: min(p.X, q.X), LLY: min(p.Y, q.Y), URX: max(p.X, q.X), URY: max(p.Y, q.Y)}
	x.put(f, "Box", box.String(), at, "is CutBlock/@Box there")
	return true
}

// sheetRange splits the range of a sheet size into its ends.
func (x *riser) sheetRange(a jdf.Attr, at int32, f *frame) bool {
	least, most, ok := strings.Cut(a.Value(), "~")
	if !ok {
		most = least
	}
	why := x.say("is ", a.Local(), "Min and ", a.Local(), "Max there")
	x.put(f, a.Local()+"Min", strings.TrimSpace(least), at, why)
	x.put(f, a.Local()+"Max", strings.TrimSpace(most), at, why)
	return true
}

func (x *riser) blockTrf(_ jdf.Attr, at int32, f *frame) bool {
	if f.e.local != "CutBlock" {
		return false
	}
	x.led.keep(at, "CutBlock/@Box says place and size there; a rotation is not told")
	f.e.slots = append(f.e.slots, at)
	return true
}
