package convert

import (
	"fmt"
	"slices"
	"strings"

	"quoin/jdf"
	"quoin/schemas"
)

// riser turns a JDF tree into XJDF tickets.
type riser struct {
	*conv
	doc      *jdf.Document
	opt      Options
	ids      map[string]jdf.Node
	tickets  []*ticket
	of       map[int]*ticket // of a JDF node, by its index
	product  *ticket
	now      *ticket // that is being written
	leaf     *leaf   // that is being written
	prefixes *prefixes
	emitted  map[int]bool    // resources that went into some ticket
	opened   map[int]bool    // leaves that went into some ticket
	linked   map[string]bool // ids of resources that a node with a ticket links
	products map[int]*frame  // the Product of a JDF node, by its index
	special  map[string]kindHook
}

// ticket is one XJDF in the making.
type ticket struct {
	nodes  []jdf.Node // whose links it takes
	offset []int      // of each node's processes in Types
	types  []string
	f      *frame
	sets   map[string]*frame
	homes  map[int][]home // where the leaves of a resource stand, by its index
	queue  []func()
	names  map[string]int // IDs given

	unknownMedia string // the ID of the medium that stands for those not named
}

// home is a leaf and the Resource that it became.
type home struct {
	leaf *leaf
	res  *frame
	spec *frame
}

// eachUp converts each JDF ticket.
func (r *Result) eachUp(docs []*jdf.Document, opt Options) error {
	for _, d := range docs {
		x := newRiser(r.led, d, opt)
		x.choose()
		if len(x.tickets) > opt.Limit {
			return fmt.Errorf("convert %s: it would become %d tickets; the limit is %d, split it by product or graybox",
				d.Source.Name, len(x.tickets), opt.Limit)
		}
		for _, t := range x.tickets {
			x.write(t)
		}
		x.rest()
		for i, t := range x.tickets {
			t.homes, t.sets, t.queue = nil, nil, nil // fitting needs the tree alone
			if x.finish(t.f.e, x.prefixes) {
				r.Outputs = append(r.Outputs, Output{r.name(t.f.e, i, ".xjdf"), jdf.KindXJDF, t.f.e, x.prefixes})
			}
		}
	}
	return nil
}

// name is a file name of the ids of the job, that no other output has.
func (r *Result) name(root *elem, i int, ext string) string {
	base := plainToken(root.get("JobID"))
	if part := root.get("JobPartID"); part != "" {
		base += "." + plainToken(part)
	}
	base = strings.Trim(strings.ReplaceAll(base, ":", "_"), ".")
	if base == "" || base == "_" {
		base = "ticket"
	}
	name := base + ext
	taken := func(o Output) bool { return strings.EqualFold(o.Name, name) }
	for n := 2; slices.ContainsFunc(r.Outputs, taken); n++ {
		name = fmt.Sprintf("%s-%d%s", base, n, ext)
	}
	return name
}

func newRiser(led *ledger, d *jdf.Document, opt Options) *riser {
	x := &riser{
		conv: newConv(led, schemas.JDF(), schemas.XJDF()), doc: d, opt: opt,
		ids: map[string]jdf.Node{}, of: map[int]*ticket{}, emitted: map[int]bool{}, opened: map[int]bool{},
		linked:   map[string]bool{},
		products: map[int]*frame{}, prefixes: newPrefixes([]*jdf.Document{d}),
	}
	x.upward, x.keep = true, opt.Keep
	for n := range d.Elements() {
		if id := n.Attr("ID"); id.Valid() {
			if _, ok := x.ids[id.Value()]; !ok {
				x.ids[id.Value()] = n
			}
		}
	}
	x.follow = func(n jdf.Node) jdf.Node { return x.ids[n.Get("rRef")] }
	x.refer = x.reference
	x.addHooks()
	return x
}

// choose finds the nodes that become tickets.
func (x *riser) choose() {
	x.visit(x.doc.Root())
	if x.opt.Split == Product {
		x.tickets = slices.DeleteFunc(x.tickets, func(t *ticket) bool { return t != x.product })
	}
}

func (x *riser) visit(n jdf.Node) {
	inner := n.Child("JDF").Valid()
	switch {
	case n.Get("Type") == "Product":
		if x.product == nil {
			x.product = x.ticket()
			x.product.types = []string{"Product"}
		}
		x.join(x.product, n)
	case x.opt.Split == GrayBox && inner && x.lowest(n):
		t := x.ticket()
		x.gather(t, n)
		return
	case !inner || n.Get("Type") != "ProcessGroup":
		t := x.ticket()
		x.join(t, n)
		t.types = typesOf(n)
	}
	for c := range n.ChildrenNamed("JDF") {
		x.visit(c)
	}
}

// lowest reports whether a group holds processes only, no further group.
func (x *riser) lowest(n jdf.Node) bool {
	for c := range n.ChildrenNamed("JDF") {
		if c.Get("Type") == "Product" || c.Child("JDF").Valid() {
			return false
		}
	}
	return n.Get("Type") == "ProcessGroup"
}

// gather makes one ticket of a group and the processes in it.
func (x *riser) gather(t *ticket, n jdf.Node) {
	x.join(t, n)
	for c := range n.ChildrenNamed("JDF") {
		x.join(t, c)
		t.types = append(t.types, typesOf(c)...)
	}
}

func (x *riser) ticket() *ticket {
	t := &ticket{sets: map[string]*frame{}, homes: map[int][]home{}, names: map[string]int{}}
	x.tickets = append(x.tickets, t)
	return t
}

func (x *riser) join(t *ticket, n jdf.Node) {
	t.nodes = append(t.nodes, n)
	t.offset = append(t.offset, len(t.types))
	for link := range n.Child("ResourceLinkPool").Children() {
		x.linked[link.Get("rRef")] = true
	}
	x.of[n.Index()] = t
}

// typesOf lists the processes of a node.
func typesOf(n jdf.Node) []string {
	if types := strings.Fields(n.Get("Types")); len(types) > 0 {
		return types
	}
	if t := n.Get("Type"); t != "" {
		return []string{t}
	}
	return []string{"ProcessGroup"}
}

// write makes the tree of a ticket.
func (x *riser) write(t *ticket) {
	x.now = t
	root := &elem{local: "XJDF"}
	t.f = &frame{e: root, t: x.to.Element("XJDF").Type(), s: x.sectionOf("JDF", "XJDF")}
	x.head(t)
	for i, n := range t.nodes {
		x.links(t, n, t.offset[i])
	}
	for i, n := range t.nodes {
		x.node(t, n, i == 0)
	}
	x.inherit(t)
	x.run(t)
	x.status(t)
	if t == x.product {
		x.structure(t)
	}
	x.created(t)
}

// run fills what was opened; filling opens more where it meets references.
func (x *riser) run(t *ticket) {
	x.now = t
	for len(t.queue) > 0 {
		next := t.queue[0]
		t.queue = t.queue[1:]
		next()
	}
}

// rest puts what no ticket links or refers to into that of the node that owns
// it, and notes what is left of the nodes that became no ticket.
func (x *riser) rest() {
	for n := range x.doc.Elements() {
		if !n.Is("ResourcePool") || n.Parent().Local() != "JDF" {
			continue
		}
		t := x.owner(n.Parent())
		x.led.keep(x.led.of(n), "its resources become sets of the ticket")
		for p := range n.Content() {
			x.pooled(t, p)
		}
	}
	if x.opt.Split == Product {
		x.led.loseAll(x.doc.Root(), "only the product description was asked for")
	}
	for n := range x.doc.Elements() {
		if n.Is("JDF") && x.of[n.Index()] == nil {
			x.group(n)
		}
	}
}

func (x *riser) pooled(t *ticket, p jdf.Node) {
	switch {
	case p.Kind() != jdf.KindElement:
		x.led.loseAll(p, remarkLost)
	case x.emitted[p.Index()]:
		if t != nil && x.kinds()[p.Local()] == nil && !foreign(p.Space()) {
			x.unselected(t, p)
		}
	case t == nil:
		x.led.loseAll(p, "only the product description was asked for")
	case foreign(p.Space()), x.ours(p.Space()):
		x.private(t, p)
	default:
		x.now = t
		x.emit(t, p, jdf.Node{}, 0)
		x.run(t)
	}
}

// unselected takes the partitions that no link selects into the ticket of the
// node that owns the resource.
func (x *riser) unselected(t *ticket, r jdf.Node) {
	name, why := x.nameOf(r.Local())
	if why != "" {
		return
	}
	x.now = t
	for i, l := range x.leavesOf(r) {
		if !x.opened[l.chain[0].Index()] {
			x.openLeaf(t, x.openSet(t, name, "", "", ""), name, r, l, i)
		}
	}
	x.run(t)
}

// owner is the ticket of a node, or of the first node in or around it that has one.
func (x *riser) owner(n jdf.Node) *ticket {
	for p := n; p.Valid(); p = p.Parent() {
		if t := x.of[p.Index()]; t != nil && slices.Contains(x.tickets, t) {
			return t
		}
	}
	for c := range n.ChildrenNamed("JDF") {
		if t := x.owner1(c); t != nil {
			return t
		}
	}
	if len(x.tickets) > 0 {
		return x.tickets[0]
	}
	return nil
}

func (x *riser) owner1(n jdf.Node) *ticket {
	if t := x.of[n.Index()]; t != nil && slices.Contains(x.tickets, t) {
		return t
	}
	for c := range n.ChildrenNamed("JDF") {
		if t := x.owner1(c); t != nil {
			return t
		}
	}
	return nil
}
