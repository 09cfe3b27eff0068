package convert

import (
	"slices"
	"strconv"
	"strings"

	"quoin/jdf"
	"quoin/schemas"
)

func itoa(n int) string { return strconv.Itoa(n) }

// material is a JDF resource in the making, perhaps of several tickets.
type material struct {
	f      *frame
	kind   string
	id     string
	keys   []string
	leaves []*leafOf
	by     map[string][]*leafOf // leaves by their part
}

// leafOf is a Resource and the partition of the material that it becomes.
type leafOf struct {
	m    *material
	f    *frame
	part []jdf.Attr // keys in the order of the material
	res  jdf.Node
}

// linkage is one use of a material by a ticket.
type linkage struct {
	set    jdf.Node
	m      *material
	leaves []*leafOf
}

// partitionKeys is the order in which parts are nested. All keys of the 2.x
// generation that the 1.x generation has as partition keys, from the whole to
// the piece.
//
// Source: the names, from the published schemas. From memory: the order.
var partitionKeys = []string{
	"PartVersion", "ProductPart", "Product", "Option", "WebProduct", "WebSetup", "WebName", "PlateLayout", "SignatureName",
	"RibbonName", "SheetName", "SheetIndex", "Side", "BinderySignatureID", "BinderySignaturePaginationIndex",
	"SectionIndex", "CellIndex", "BlockName", "Edition", "EditionVersion", "RunSet", "RunTags", "Run", "SubRun",
	"SetTags", "SetIndex", "SetCopies", "SetDocIndex", "SetRunIndex", "SetSheetIndex", "DocTags", "DocIndex", "DocCopies",
	"DocRunIndex", "DocSheetIndex", "PageTags", "RunPageRange", "RunIndex", "RunPage", "PageNumber", "ItemNames",
	"LayerIDs", "Location", "StationName", "FountainNumber", "DropID", "BundleItemName", "Sorting", "SortAmount",
	"TileID", "LotID", "PreflightRule", "PreviewType", "PrintCondition", "Metadata", "Separation",
}

// sets opens the materials of all sets of a ticket.
func (x *lowerer) sets(p *part) {
	for set := range p.n.ChildrenNamed("ResourceSet") {
		if h := x.setHook(set.Get("Name")); h != nil && h(p, set) {
			continue
		}
		x.set(p, set)
	}
}

// kindOf is the name of the JDF resource that a set becomes, or why there is none.
func (x *lowerer) kindOf(set jdf.Node) (kind, why string) {
	name := set.Get("Name")
	kind = name
	if name == "Layout" && strips(set) {
		kind = "StrippingParams"
	} else {
		for _, s := range x.table.down[name] {
			if s.op == '=' && s.left != "-" {
				kind = s.left
				break
			}
		}
	}
	if x.typeIn("ResourcePool", kind) == nil {
		return "", x.say("there is no resource ", name, " there")
	}
	return kind, ""
}

// strips reports whether a layout is one of bindery signatures, which the 1.x
// generation calls stripping.
func strips(set jdf.Node) bool {
	for res := range set.ChildrenNamed("Resource") {
		l := res.Child("Layout")
		if l.Child("Position").Valid() || l.Child("StripMark").Valid() {
			return true
		}
	}
	return false
}

func (x *lowerer) set(p *part, set jdf.Node) {
	if x.restore(p, set) {
		return
	}
	kind, why := x.kindOf(set)
	private := x.privates(p, set)
	if why != "" {
		if private {
			x.mark(x.root.e, set, "a set of private resources is left out around them")
			x.led.loseAll(set, why)
			return
		}
		if set.Child("Resource").Valid() {
			pool := x.poolOf(p.f)
			pool.kids = append(pool.kids, x.copyAside(set))
			return
		}
		x.led.loseAll(set, why)
		return
	}
	used := map[*material]*linkage{}
	var order []*linkage
	for res := range set.ChildrenNamed("Resource") {
		l := x.leaf(p, kind, set, res)
		if used[l.m] == nil {
			used[l.m] = &linkage{set: set, m: l.m}
			order = append(order, used[l.m])
		}
		used[l.m].leaves = append(used[l.m].leaves, l)
		if id := res.Get("ID"); id != "" && p.byID[id] == nil {
			p.byID[id] = l
		}
	}
	if len(order) == 0 {
		x.led.loseAll(set, "a set without Resource links nothing there")
		return
	}
	p.links = append(p.links, order...)
}

// privates takes over what Resources hold of private namespaces alone.
func (x *lowerer) privates(p *part, set jdf.Node) bool {
	found := false
	name := set.Get("Name")
	if !strings.Contains(name, ":") {
		return false
	}
	for res := range set.ChildrenNamed("Resource") {
		for c := range res.Children() {
			if foreign(c.Space()) {
				pool := x.poolOf(x.root)
				pool.kids = append(pool.kids, x.copyForeign(c))
				found = true
			}
		}
		if found {
			x.mark(x.root.e, res, "a private resource stands in the pool itself there")
		}
	}
	return found
}

// keysIn lists the partition keys of the first Part of a Resource, in order.
func (x *lowerer) keysIn(res jdf.Node) []jdf.Attr {
	p := res.Child("Part")
	if !p.Valid() {
		return nil
	}
	var keys []jdf.Attr
	for _, name := range partitionKeys {
		a := x.keyIn(p, name)
		// A bindery signature that is named as its resource is no partition.
		if !a.Valid() || name == "BinderySignatureID" && res.Child("BinderySignature").Valid() && a.Value() == res.Get("ID") {
			continue
		}
		keys = append(keys, a)
	}
	return keys
}

// keyIn is the attribute of a Part that says a partition key, absent where the
// 1.x generation has no such key or can not take the value. One that was kept
// as private data goes before what was made of it.
func (x *lowerer) keyIn(p jdf.Node, name string) jdf.Attr {
	here := x.jdfKey(name)
	a := p.AttrNS(jdf.NamespaceJDF, here)
	if !a.Valid() {
		a = p.Attr(name)
	}
	if !a.Valid() {
		return a
	}
	t := x.to.Type("Part").Attribute(here)
	if t == nil || !x.isKey(here) {
		return jdf.Attr{}
	}
	if _, _, ok := x.fitValue(x.keyValue(a), t.Type); !ok {
		return jdf.Attr{}
	}
	return a
}

// isKey reports whether PartIDKeys may list a name.
func (x *lowerer) isKey(name string) bool {
	return x.good(name, x.typeIn("ResourcePool", "Media").Attribute("PartIDKeys").Type)
}

func namesOf(keys []jdf.Attr) []string {
	var names []string
	for _, a := range keys {
		names = append(names, a.Local())
	}
	return names
}

// leaf finds or makes the partition of a material that a Resource becomes.
func (x *lowerer) leaf(p *part, kind string, set, res jdf.Node) *leafOf {
	keys := x.keysIn(res)
	id := baseID(res, len(keys) > 0)
	m := x.material(kind, id, set, keys, res)
	l := &leafOf{m: m, part: keys, res: res}
	m.leaves = append(m.leaves, l)
	m.by[l.partText()] = append(m.by[l.partText()], l)
	l.f = x.partition(m, keys)
	l.f.owner = res
	p.queue = append(p.queue, func() { x.fillLeaf(l, set) })
	return l
}

// baseID is the ID that the partitions of one material share.
func baseID(res jdf.Node, partitioned bool) string {
	id := res.Get("ID")
	if !partitioned {
		return id
	}
	if i := strings.LastIndexByte(id, '_'); i > 0 && isNumber(id[i+1:]) {
		return id[:i]
	}
	return ""
}

func isNumber(s string) bool {
	_, err := strconv.Atoi(s)
	return err == nil
}

// material finds the one that a Resource belongs to: of the same kind, with the
// same keys, from the same set or of the same id.
func (x *lowerer) material(kind, id string, set jdf.Node, keys []jdf.Attr, res jdf.Node) *material {
	key := kind + "\n" + strings.Join(namesOf(keys), " ") + "\n" + id
	if id == "" {
		key += "\n" + set.Path() + "\n" + set.Document().Source.Name
		if len(keys) == 0 {
			key += "\n" + res.Path()
		}
	}
	for n := 1; ; n++ {
		m := x.stock[key]
		if m == nil {
			m = x.newMaterial(kind, id, namesOf(keys))
			x.stock[key] = m
			return m
		}
		part := (&leafOf{part: keys}).partText()
		taken := slices.ContainsFunc(m.by[part], func(l *leafOf) bool {
			return l.res.Document() == res.Document() || !alike(l.res, res)
		})
		if !taken {
			return m
		}
		key += "\n" + itoa(n)
	}
}

// alike reports whether two Resources of different tickets say the same.
func alike(a, b jdf.Node) bool {
	if a.Local() != b.Local() {
		return false
	}
	attrs := func(n jdf.Node) map[string]string {
		m := map[string]string{}
		for v := range n.Attrs() {
			m[v.Name().String()] = v.Value()
		}
		return m
	}
	p, q := attrs(a), attrs(b)
	if len(p) != len(q) {
		return false
	}
	for k, v := range p {
		if q[k] != v {
			return false
		}
	}
	kids := func(n jdf.Node) []jdf.Node {
		var all []jdf.Node
		for c := range n.Children() {
			if !c.Is("AmountPool") { // amounts are those of the use
				all = append(all, c)
			}
		}
		return all
	}
	return slices.EqualFunc(kids(a), kids(b), alike)
}

func (x *lowerer) newMaterial(kind, id string, keys []string) *material {
	e := &elem{local: kind}
	m := &material{
		f:    &frame{e: e, t: x.typeIn("ResourcePool", kind), up: nil},
		kind: kind, keys: keys, by: map[string][]*leafOf{},
	}
	m.id = x.unique(firstOf(id, "r_"+kind))
	e.set("ID", m.id)
	if len(keys) > 0 {
		e.set("PartIDKeys", strings.Join(x.jdfKeys(keys), " "))
	}
	x.order = append(x.order, m)
	return m
}

// typeIn is the type of an element inside a global one.
func (c *conv) typeIn(parent, local string) *schemas.Type {
	return c.typeOf(c.to.Element(parent).Type(), local)
}

// jdfKeys are the names that the keys have in the 1.x generation.
func (x *lowerer) jdfKeys(keys []string) []string {
	var out []string
	for _, k := range keys {
		out = append(out, x.jdfKey(k))
	}
	return out
}

func (x *lowerer) jdfKey(name string) string {
	if rows := x.sectionOf("Part", "Part").down.attrs[name]; len(rows) > 0 && rows[0].left.attr != "" {
		return rows[0].left.attr
	}
	return name
}

// partition finds or makes the nested partitions for the keys of a leaf.
func (x *lowerer) partition(m *material, keys []jdf.Attr) *frame {
	f := m.f
	names := x.jdfKeys(namesOf(keys))
	for i, a := range keys {
		at := names[i] + "=" + a.Value()
		g := f.made[at]
		if g == nil {
			g = x.open(f, m.kind, jdf.Node{})
			g.s = x.sectionOf("Part", "Part")
			if f.made == nil {
				f.made = map[string]*frame{}
			}
			f.made[at] = g
		}
		x.keyOf(g, names[i], a)
		f = g
	}
	return f
}

// keyOf writes a partition key; it stands there once for all leaves inside.
func (x *lowerer) keyOf(g *frame, name string, a jdf.Attr) {
	at := x.led.attrSlot(a)
	const why = "is a key of the partition there"
	if g.e.has(name) {
		g.e.slots = append(g.e.slots, at)
		x.led.keep(at, why)
		return
	}
	x.put(g, name, x.keyValue(a), at, why)
}

// keyValue is the value of a key as the 1.x generation writes it.
func (x *lowerer) keyValue(a jdf.Attr) string {
	if a.Name().Space != "" {
		return a.Value()
	}
	v, _ := x.manyRange("Part", a.Local(), a.Value())
	return v
}
