package convert

import (
	"strconv"
	"strings"

	"quoin/jdf"
)

// links opens the sets of what a node links.
func (x *riser) links(t *ticket, n jdf.Node, offset int) {
	pool := n.Child("ResourceLinkPool")
	if !pool.Valid() {
		return
	}
	x.led.keep(x.led.of(pool), "what is linked becomes sets with a usage")
	at := x.led.of(pool)
	for range pool.Attrs() {
		at++
		x.led.lose(at, "there is no pool of links there")
	}
	for link := range pool.Content() {
		if link.Kind() != jdf.KindElement {
			x.led.loseAll(link, remarkLost)
			continue
		}
		if foreign(link.Space()) {
			x.private(t, link)
			continue
		}
		r := x.ids[link.Get("rRef")]
		if !r.Valid() || r.Local()+"Link" != link.Local() {
			x.led.loseAll(link, "it links to nothing, or to another kind of resource")
			continue
		}
		if standIn(r) {
			x.skipStandIn(r, link)
			continue
		}
		x.emit(t, r, link, offset)
	}
}

// nameOf is the name of the set that a resource becomes, or why there is none.
func (x *riser) nameOf(kind string) (name, why string) {
	if h := holder[kind]; h != "" {
		return h, ""
	}
	for _, s := range x.table.up[kind] {
		if s.right == "-" {
			return "", s.note
		}
		if e := x.to.Element(s.right); e != nil && e.Head() == "SpecificResource" {
			return s.right, ""
		}
	}
	if e := x.to.Element(kind); e == nil || e.Head() != "SpecificResource" {
		return "", x.say("there is no resource ", kind, " there")
	}
	return kind, ""
}

// holder are the resources around what is no resource of its own in the 2.x
// generation.
var holder = map[string]string{"FileSpec": "RunList"}

// emit opens the Resources of a resource; they are filled later, when all that
// is linked has its place. Without link it gets no usage.
func (x *riser) emit(t *ticket, r, link jdf.Node, offset int) {
	x.emitted[r.Index()] = true
	if h := x.kinds()[r.Local()]; h != nil && h(t, r, link) {
		return
	}
	if strings.HasSuffix(r.Local(), "Intent") && x.intent(t, r, link) {
		return
	}
	name, why := x.nameOf(r.Local())
	if why != "" {
		x.withoutCounterpart(t, r, link, why)
		return
	}
	usage := link.Get("Usage")
	if !link.Valid() && r.Parent().Is("JDF") {
		usage = "Input" // NodeInfo and CustomerInfo of old versions stand in the node
	}
	index := shift(link.Get("CombinedProcessIndex"), offset)
	set := x.openSet(t, name, usage, link.Get("ProcessUsage"), index)
	var made []home
	for i, l := range x.leavesOf(r) {
		if link.Valid() && !selected(l, link) {
			continue
		}
		made = append(made, x.openLeaf(t, set, name, r, l, i))
	}
	if t.homes[r.Index()] == nil {
		t.homes[r.Index()] = made
	}
	t.queue = append(t.queue, func() {
		if link.Valid() {
			x.link(set, link, made)
		}
		x.ownAmount(made)
	})
}

// selected holds a leaf against the parts that a link picks.
func selected(l *leaf, link jdf.Node) bool {
	any := false
	for p := range link.ChildrenNamed("Part") {
		if l.meets(p) {
			return true
		}
		for _, more := range l.more {
			if (&leaf{part: more}).meets(p) {
				return true
			}
		}
		any = true
	}
	return !any
}

// shift moves indices of processes, where several nodes become one ticket.
func shift(list string, offset int) string {
	if offset == 0 || list == "" {
		return list
	}
	var out []string
	for w := range strings.FieldsSeq(list) {
		i, err := strconv.Atoi(w)
		if err != nil {
			return list
		}
		out = append(out, strconv.Itoa(i+offset))
	}
	return strings.Join(out, " ")
}

func (x *riser) openSet(t *ticket, name, usage, role, index string) *frame {
	key := strings.Join([]string{name, usage, role, index}, "\n")
	if set := t.sets[key]; set != nil {
		return set
	}
	set := x.open(t.f, "ResourceSet", jdf.Node{})
	set.e.set("Name", name)
	for _, a := range [][2]string{{"Usage", usage}, {"ProcessUsage", role}, {"CombinedProcessIndex", index}} {
		if a[1] != "" {
			set.e.set(a[0], x.tokenFor(set, a[0], a[1]))
		}
	}
	t.sets[key] = set
	return set
}

// tokenFor is a value as the type of an attribute takes it.
func (x *riser) tokenFor(f *frame, name, v string) string {
	if a := f.t.Attribute(name); a != nil {
		if out, _, ok := x.fitValue(v, a.Type); ok {
			return out
		}
	}
	return v
}

// openLeaf makes the Resource of a leaf, names it, and asks for it to be filled.
func (x *riser) openLeaf(t *ticket, set *frame, name string, r jdf.Node, l *leaf, i int) home {
	res := x.open(set, "Resource", jdf.Node{})
	res.up = set
	spec := &frame{e: res.e.add(name), t: x.to.Element(name).Type(), up: res, owner: l.chain[0]}
	spec.s = x.sectionOf(r.Local(), name)
	if holder[r.Local()] != "" {
		inner := x.open(spec, r.Local(), jdf.Node{})
		inner.up, inner.owner, inner.s = res, l.chain[0], x.sectionOf(r.Local(), r.Local())
		spec = inner
	}
	x.opened[l.chain[0].Index()] = true
	id := r.Get("ID")
	many := len(l.chain) > 1
	if id == "" {
		id = name
		many = true
	}
	id = x.token(id, true)
	if many || t.names[id] > 0 {
		base := id
		for n := i + 1; many || t.names[id] > 0; n++ {
			id, many = base+"_"+strconv.Itoa(n), false
		}
	}
	t.names[id]++
	if at := x.led.attr(r, "ID"); at != none {
		why := ""
		if id != r.Get("ID") {
			why = "each Resource has an ID of its own there"
		}
		res.e.attrs = append(res.e.attrs, attr{name: "ID", value: id, slot: at})
		x.led.keep(at, why)
	} else {
		res.e.set("ID", id)
	}
	h := home{l, res, spec}
	t.queue = append(t.queue, func() { x.fillLeaf(h) })
	return h
}

// fillLeaf writes a leaf with all that it inherits.
func (x *riser) fillLeaf(h home) {
	x.leaf = h.leaf
	x.part(h.res, h.leaf.part)
	for _, p := range h.leaf.more {
		x.part(h.res, p)
	}
	seen := map[string]bool{}
	for i, n := range h.leaf.chain {
		why := x.renamed(n.Local(), h.spec.e.local)
		switch {
		case why != "":
		case holder[n.Local()] != "":
			why = x.say("stands in a ", holder[n.Local()], " there")
		case len(h.leaf.chain) == 1 && !n.Parent().Is("ResourcePool"):
			why = "is a Resource of its own there"
		}
		if i < len(h.leaf.chain)-1 && why == "" {
			why = "a partition is a Resource of its own there"
		}
		x.mark(h.spec.e, n, why)
		h.spec.owner = n
		here := map[string]bool{}
		x.fill(n, h.spec, func(local string) bool {
			if name, ok := strings.CutPrefix(local, "@"); ok {
				return name == "ID" || h.leaf.keyed(name)
			}
			base := strings.TrimSuffix(local, "Ref")
			if local == n.Local() {
				return true
			}
			if seen[base] {
				return true
			}
			here[base] = true
			return false
		})
		for name := range here {
			seen[name] = true
		}
		x.overridden(n, seen, here)
	}
	x.plateMedia(x.now, h)
	x.leaf = nil
}

// overridden notes the children that partitions further inside have anew.
func (x *riser) overridden(n jdf.Node, seen, here map[string]bool) {
	for p := range x.contentOf(n) {
		if p.Kind() != jdf.KindElement {
			continue
		}
		base := strings.TrimSuffix(p.Local(), "Ref")
		if !foreign(p.Space()) && seen[base] && !here[base] && p.Local() != n.Local() {
			x.led.loseAll(p, "every partition has its own")
		}
	}
}

// part writes the keys of a leaf.
func (x *riser) part(res *frame, keys []key) {
	if len(keys) == 0 {
		return
	}
	p := x.open(res, "Part", jdf.Node{})
	p.s = x.sectionOf("Part", "Part")
	for _, k := range keys {
		x.partKey(k.attr, k.slot, p)
	}
	if len(p.e.attrs) == 0 {
		res.e.kids = res.e.kids[:len(res.e.kids)-1]
	}
}

// reference gives the id of the Resource that an element became, and makes it
// where it is not there yet.
func (x *riser) reference(n jdf.Node, _ string, _ *frame) (string, bool) {
	t := x.now
	if _, why := x.nameOf(n.Local()); why != "" {
		return "", false
	}
	if t.homes[n.Index()] == nil {
		x.emit(t, n, jdf.Node{}, 0)
	}
	homes := t.homes[n.Index()]
	for _, h := range homes {
		if x.leaf == nil || h.leaf.agrees(x.leaf) {
			return h.res.e.get("ID"), true
		}
	}
	for i, l := range x.leavesOf(n) {
		if l.agrees(x.leaf) {
			name, _ := x.nameOf(n.Local())
			h := x.openLeaf(t, x.openSet(t, name, "", "", ""), name, n, l, i)
			t.homes[n.Index()] = append(t.homes[n.Index()], h)
			return h.res.e.get("ID"), true
		}
	}
	if len(homes) == 0 {
		return "", false
	}
	return homes[0].res.e.get("ID"), true
}
