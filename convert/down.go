package convert

import (
	"cmp"
	"slices"
	"strings"

	"quoin/jdf"
	"quoin/schemas"
)

// lowerer turns the XJDF tickets of one job into a JDF tree.
type lowerer struct {
	*conv
	opt       Options
	root      *frame
	now       *part
	stock     map[string]*material // by kind and id
	order     []*material
	names     map[string]bool // IDs given
	products  map[string]*made
	prefixes  *prefixes
	filling   *leafOf // that is being filled
	described bool    // a product list was placed
}

// part is one XJDF on its way into the tree.
type part struct {
	doc   *jdf.Document
	n     jdf.Node // the XJDF
	f     *frame   // its node
	types []string
	byID  map[string]*leafOf // Resources by their ID
	queue []func()
	links []*linkage

	colors, contacts []*material // that other resources name
}

// down converts XJDF tickets, those of one job together.
func (r *Result) down(docs []*jdf.Document, opt Options) error {
	jobs := map[string][]*jdf.Document{}
	var order []string
	for _, d := range docs {
		id := d.Root().Get("JobID")
		if jobs[id] == nil {
			order = append(order, id)
		}
		jobs[id] = append(jobs[id], d)
	}
	for i, id := range order {
		x := newLowerer(r.led, jobs[id], opt)
		x.tree(jobs[id])
		if x.finish(x.root.e, x.prefixes) {
			r.Outputs = append(r.Outputs, Output{r.name(x.root.e, i, ".jdf"), jdf.KindJDF, x.root.e, x.prefixes})
		}
	}
	return nil
}

func newLowerer(led *ledger, docs []*jdf.Document, opt Options) *lowerer {
	x := &lowerer{
		conv: newConv(led, schemas.XJDF(), schemas.JDF()), opt: opt,
		stock: map[string]*material{}, names: map[string]bool{}, products: map[string]*made{},
		prefixes: newPrefixes(docs),
	}
	x.keep = opt.Keep
	x.version = schemas.MakeVersion(opt.Version.Major, opt.Version.Minor)
	x.point = x.pointTo
	x.addHooks()
	return x
}

// tree makes one node of each XJDF, under a root where there are several or
// where there is a product.
func (x *lowerer) tree(docs []*jdf.Document) {
	docs = slices.Clone(docs)
	slices.SortStableFunc(docs, func(a, b *jdf.Document) int { return cmp.Compare(rankOf(a), rankOf(b)) })
	var parts []*part
	for _, d := range docs {
		n := d.Root()
		p := &part{doc: d, n: n, byID: map[string]*leafOf{}}
		for w := range strings.FieldsSeq(n.Get("Types")) {
			if w != "Product" {
				p.types = append(p.types, w)
			}
		}
		parts = append(parts, p)
	}
	x.rootOf(parts)
	for _, p := range parts {
		x.nodeOf(p, len(parts) == 1)
	}
	for _, p := range parts {
		x.now = p
		x.productList(p)
		x.sets(p)
	}
	for _, p := range parts {
		x.write(p)
		x.afterSets(p)
	}
	for _, p := range parts {
		x.linkAll(p)
	}
	x.pools()
}

// rankOf puts the product description before the processes.
func rankOf(d *jdf.Document) int {
	if d.Root().Child("ProductList").Valid() || hasWord(d.Root().Get("Types"), "Product") {
		return 0
	}
	return 1
}

// rootOf makes the root: a product where one is described, else a group, or
// the only node.
func (x *lowerer) rootOf(parts []*part) {
	e := &elem{local: "JDF"}
	x.root = &frame{e: e, t: x.to.Element("JDF").Type(), s: x.sectionOf("XJDF", "JDF"), owner: parts[0].n}
	p := parts[0]
	products := p.n.Child("ProductList").Valid() || hasWord(p.n.Get("Types"), "Product")
	switch {
	case products:
		e.set("Type", "Product")
		if len(p.types) == 0 {
			p.f = x.root
		}
	case len(parts) == 1:
		p.f = x.root
	default:
		e.set("Type", "ProcessGroup")
	}
	e.set("Version", x.opt.Version.String())
	at := x.led.attr(p.n, "JobID")
	x.put(x.root, "JobID", p.n.Get("JobID"), at, "")
}

// nodeOf makes the node of an XJDF and writes what the ticket says of itself.
func (x *lowerer) nodeOf(p *part, only bool) {
	if p.f == nil {
		p.f = x.open(x.root, "JDF", jdf.Node{})
		p.f.s = x.sectionOf("XJDF", "JDF")
	}
	p.f.owner = p.n
	x.mark(p.f.e, p.n, "a ticket is a node of the tree there")
	if len(p.types) > 0 {
		x.typeOfNode(p.f.e, p.types)
	}
	x.now = p
	x.fill(p.n, p.f, func(local string) bool {
		switch local {
		case "@Types":
			at := x.led.attr(p.n, "Types")
			p.f.e.slots = append(p.f.e.slots, at)
			x.led.keep(at, "Type and Types list the processes there")
			return true
		case "@Version":
			x.led.keep(x.led.attr(p.n, "Version"), "the generations have versions of their own")
			return true
		case "@JobID":
			if p.f != x.root {
				at := x.led.attr(p.n, "JobID")
				x.root.e.slots = append(x.root.e.slots, at)
				x.led.keep(at, "the root has the JobID for all nodes there")
			} else if !p.f.e.has("JobID") {
				return false
			}
			return true
		case "ResourceSet", "ProductList":
			return true
		}
		return false
	})
	if only && p.f != x.root && p.f.e.has("DescriptiveName") {
		x.root.e.set("DescriptiveName", p.f.e.get("DescriptiveName"))
	}
}

func (x *lowerer) typeOfNode(e *elem, types []string) {
	switch {
	case len(types) == 1:
		e.set("Type", types[0])
		if types[0] == "Separation" {
			e.nameType(types[0])
		}
	default:
		e.set("Type", "Combined")
		e.set("Types", strings.Join(types, " "))
	}
}

// write fills what was opened for a ticket.
func (x *lowerer) write(p *part) {
	x.now = p
	for len(p.queue) > 0 {
		next := p.queue[0]
		p.queue = p.queue[1:]
		next()
	}
}

// pools writes the resources into the pool of the root, and ids of nodes.
func (x *lowerer) pools() {
	if len(x.order) > 0 {
		pool := x.poolOf(x.root)
		for _, m := range x.order {
			pool.kids = append(pool.kids, m.f.e)
		}
	}
	x.identify(x.root.e, "")
}

func (x *lowerer) poolOf(f *frame) *elem {
	if pool := f.e.child("ResourcePool"); pool != nil {
		return pool
	}
	return f.e.add("ResourcePool")
}

// identify gives every node the ID and the status that it must have.
func (x *lowerer) identify(e *elem, around string) {
	if !e.has("ID") {
		base := firstOf(e.get("JobPartID"), e.get("JobID"), "node")
		e.set("ID", x.unique("n_"+plainToken(base)))
	}
	if !e.has("Status") {
		e.set("Status", "Waiting")
	}
	for _, c := range e.kids {
		if c.local == "JDF" && c.space == "" {
			x.identify(c, e.get("ID"))
		}
	}
}

// unique is an ID that nothing else has.
func (x *lowerer) unique(base string) string {
	id := x.token(base, true)
	for n := 2; x.names[id]; n++ {
		id = x.token(base, true) + "_" + itoa(n)
	}
	x.names[id] = true
	return id
}
