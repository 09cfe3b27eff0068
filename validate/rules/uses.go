package rules

import (
	"iter"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"quoin/jdf"
)

// node is what runs: a JDF node, or the XJDF itself.
type node struct {
	jdf.Node
	types []string // processes, in order; empty for products and for groups of nodes
	list  jdf.Attr // where the processes are named: Types, or Type of a single process
	uses  []*use
	needs [][]demand // see demands
	inner []*node    // the nodes inside
	outer *node
}

// use is a resource as a process is given it: a resource link of JDF, or a
// resource set of XJDF.
type use struct {
	jdf.Node          // the link, or the set
	node     *node    // whose link or set it is
	name     string   // of the resource, such as Component
	usage    string   // Input, Output, or "" for a set that only others refer to
	role     string   // ProcessUsage
	steps    []int    // CombinedProcessIndex
	resource jdf.Node // what a link leads to, when it is there; the set itself in XJDF

	compared, alike bool // see splitAlike
}

func (u *use) input() bool  { return u.usage == "Input" }
func (u *use) output() bool { return u.usage == "Output" }

// readUses gathers the nodes of a ticket and what they are given.
func (x *index) readUses() {
	switch root := x.doc.Root(); x.doc.Kind {
	case jdf.KindJDF:
		x.readNode(root, nil)
	case jdf.KindXJDF:
		x.readXJDF(root)
	}
}

func (x *index) readNode(n jdf.Node, outer *node) {
	t := &node{Node: n, outer: outer}
	switch n.Get("Type") {
	case "", "Product":
	case "Combined", "ProcessGroup":
		t.list = n.Attr("Types")
		t.types = itemsOf(t.list.Value())
	default:
		t.list = n.Attr("Type")
		t.types = []string{strings.TrimSpace(t.list.Value())}
	}
	if outer != nil {
		outer.inner = append(outer.inner, t)
	}
	x.nodes = append(x.nodes, t)
	start := len(x.uses)
	for link := range n.Child("ResourceLinkPool").Children() {
		name, ok := strings.CutSuffix(link.Local(), "Link")
		if !ok {
			continue
		}
		x.add(t, use{
			Node: link, name: name, resource: x.byID(strings.TrimSpace(link.Get("rRef"))),
		})
	}
	t.uses = slices.Clip(x.uses[start:])
	for c := range n.ChildrenNamed("JDF") {
		x.readNode(c, t)
	}
}

// itemsOf takes a list of names apart, also one with commas: what is wrong with
// those is said of the value, and not of each name again.
func itemsOf(list string) []string {
	return strings.FieldsFunc(list, func(r rune) bool { return r == ',' || unicode.IsSpace(r) })
}

func (x *index) readXJDF(root jdf.Node) {
	t := &node{Node: root, list: root.Attr("Types")}
	t.types = itemsOf(t.list.Value())
	x.nodes = append(x.nodes, t)
	for s := range root.ChildrenNamed("ResourceSet") {
		x.add(t, use{Node: s, name: s.Get("Name"), resource: s})
	}
	t.uses = slices.Clip(x.uses)
}

func (x *index) add(t *node, one use) {
	if len(x.useRoom) == cap(x.useRoom) {
		x.useRoom = make([]use, 0, max(16, 2*cap(x.useRoom)))
	}
	x.useRoom = append(x.useRoom, one)
	u := &x.useRoom[len(x.useRoom)-1]
	u.node = t
	u.usage, u.role = u.Get("Usage"), u.Get("ProcessUsage")
	for _, f := range strings.Fields(u.Get("CombinedProcessIndex")) {
		if i, err := strconv.Atoi(f); err == nil {
			u.steps = append(u.steps, i)
		}
	}
	x.uses = append(x.uses, u)
}

// of lists the uses of a node with the name.
func (t *node) of(name string) []*use {
	var found []*use
	for _, u := range t.uses {
		if u.name == name {
			found = append(found, u)
		}
	}
	return found
}

// kind is what a node is called in a sentence.
func (t *node) kind() string {
	if len(t.types) == 1 {
		return t.types[0]
	}
	if name := t.Get("Type"); name != "" {
		return name
	}
	return t.Local()
}

// listPlace is where the processes of a node are named.
func (t *node) listPlace(int) jdf.Place { return t.list.Place() }

// stepPlace is where the process at a position is named.
func (t *node) stepPlace(i int) jdf.Place { return tokenPlace(t.list.Place(), i, t.types[i]) }

// tokenPlace narrows the place of a list in an attribute to the token at a
// position. The place is returned whole where references stand for letters, so
// that the text is not the value.
func tokenPlace(place jdf.Place, i int, token string) jdf.Place {
	text := place.Source.Text[place.Start:place.End]
	at := 0
	for field := range strings.FieldsSeq(text) {
		at += strings.Index(text[at:], field)
		if i == 0 && field == token {
			place.Start, place.End = place.Start+at, place.Start+at+len(field)
			return place
		}
		at += len(field)
		i--
	}
	return place
}

// runs reports whether the node has the process.
func (t *node) runs(process string) bool { return slices.Contains(t.types, process) }

// carriers walks the elements that hold the attributes of a use: in JDF the
// leaves of the resource that the link selects, in XJDF the element inside each
// Resource.
func (p *pass) carriers(u *use) iter.Seq[carrier] {
	set := u.resource.Is("ResourceSet")
	list := p.index.leaves(u.resource)
	if !set {
		list = p.index.selected(u, list)
		if !p.spend(len(list)) {
			list = nil
		}
	}
	return func(yield func(carrier) bool) {
		for _, i := range list {
			c := carrier{Node: p.doc.Node(int(i)), wrap: u.resource}
			if set {
				c.wrap = c.Parent()
			}
			if !yield(c) {
				return
			}
		}
	}
}

// leaves takes a resource apart once: the leaves of a JDF resource, or the
// contents of an XJDF set. They are kept as indexes, for there may be very many.
func (x *index) leaves(resource jdf.Node) []int32 {
	list, known := x.leafLists[resource]
	if known || !resource.Valid() {
		return list
	}
	start := len(x.leafRoom)
	take := func(n jdf.Node) { x.leafRoom = append(x.leafRoom, int32(n.Index())) }
	if resource.Is("ResourceSet") {
		for r := range resource.ChildrenNamed("Resource") {
			if c := held(r); c.Valid() {
				take(c)
			}
		}
	} else {
		eachLeaf(resource, take)
	}
	list = slices.Clip(x.leafRoom[start:])
	x.leafLists[resource] = list
	return list
}

// selected lists those leaves of a resource that the Parts of a link mean, all
// where it has none. Leaves are found by the outermost key of the resource,
// where the Part has it.
func (x *index) selected(u *use, leaves []int32) []int32 {
	if !u.Child("Part").Valid() {
		return leaves
	}
	keys := x.partKeysOf(u.resource)
	if len(keys) == 0 {
		return leaves
	}
	at := func(i int32) carrier { return carrier{Node: x.doc.Node(int(i)), wrap: u.resource} }
	table := x.byFirstKey[u.resource]
	if table == nil {
		table = map[string][]int32{}
		for _, i := range leaves {
			value := at(i).part(keys[0])
			table[value] = append(table[value], i)
		}
		x.byFirstKey[u.resource] = table
	}
	var list []int32
	taken := map[int32]bool{}
	for part := range u.ChildrenNamed("Part") {
		near := leaves
		if a := part.Attr(keys[0]); a.Valid() {
			near = append(slices.Clip(table[a.Value()]), table[""]...)
		}
		for _, i := range near {
			if !taken[i] && at(i).within(part, keys) {
				taken[i] = true
				list = append(list, i)
			}
		}
	}
	return list
}

// within reports whether no key of the resource tells the leaf from the part.
func (c carrier) within(part jdf.Node, keys []string) bool {
	for _, key := range keys {
		want, got := part.Attr(key), inherited(c.Node, key)
		if want.Valid() && got.Valid() && want.Value() != got.Value() {
			return false
		}
	}
	return true
}

// carrier is one leaf of a resource with what holds its id and its parts.
type carrier struct {
	jdf.Node
	wrap jdf.Node
}

// held is the one specific element inside an XJDF Resource.
func held(resource jdf.Node) jdf.Node {
	for c := range resource.Children() {
		if !c.Is("AmountPool", "Comment", "GeneralID", "Part", "Dependent") {
			return c
		}
	}
	return jdf.Node{}
}

// eachLeaf visits the leaves of a JDF resource, in document order.
func eachLeaf(n jdf.Node, visit func(jdf.Node)) {
	if !n.Valid() {
		return
	}
	inner := false
	for c := range n.ChildrenNamed(n.Local()) {
		if !c.Has("ID") {
			inner = true
			eachLeaf(c, visit)
		}
	}
	if !inner {
		visit(n)
	}
}

// inherited is the attribute of an element, or of the nearest partition around
// it that has one: a JDF resource hands its attributes down to its leaves.
func inherited(n jdf.Node, name string) jdf.Attr {
	for {
		if a := n.Attr(name); a.Valid() {
			return a
		}
		outer := n.Parent()
		if !outer.Valid() || outer.Name() != n.Name() || n.Has("ID") {
			return jdf.Attr{}
		}
		n = outer
	}
}

// part is the value of a partition key for a carrier: on the leaf or around it
// in JDF, in the Part of the Resource in XJDF, where all Parts must agree.
func (c carrier) part(key string) string {
	if !c.wrap.Is("Resource") {
		return inherited(c.Node, key).Value()
	}
	value := ""
	for p := range c.wrap.ChildrenNamed("Part") {
		v := p.Get(key)
		if value != "" && v != value {
			return ""
		}
		value = v
	}
	return value
}
