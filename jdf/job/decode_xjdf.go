package job

import (
	"slices"
	"strings"

	"quoin/jdf"
	"quoin/jdf/value"
)

// xjdf reads an XJDF ticket: the product list, and the processes that Types
// names with the resource sets that they share.
func (d *decoder) xjdf(root jdf.Node) {
	j := d.job
	j.ID, j.PartID = Text(root, "JobID"), Text(root, "JobPartID")
	j.Project, j.Name = Text(root, "ProjectID"), Text(root, "DescriptiveName")
	types := words(root, "Types")
	ops := newOperations(root, types, j.PartID)
	entries := d.xjdfEntries(root)
	// Product is no process, but it has a position among the Types.
	if slices.Contains(types.Value, "Product") {
		ops = slices.DeleteFunc(ops, func(op *Operation) bool { return op.Type == "Product" })
		var last *group
		for _, e := range entries {
			if e.group != last {
				e.steps, last = moved(e.steps, ops), e.group
			}
		}
	}
	for i := range entries {
		e := &entries[i]
		d.describe(e.kind, e.leaf)
		d.attach(ops, e)
		switch e.kind {
		case "CustomerInfo":
			d.customer(e.leaf, contact(entries))
		case "NodeInfo":
			if j.Schedule == (Schedule{}) {
				j.Schedule = d.schedule(e.leaf)
			}
		}
	}
	for _, op := range ops {
		op.settle()
	}
	j.Operations = ops
	d.products(root.Child("ProductList"))
	j.Audits = decodeAudits(root, j.ID, j.PartID, d.fault)
}

// moved turns positions among the Types into positions among the operations.
// A resource that is for none of these stays with an empty list.
func moved(steps []int, ops []*Operation) []int {
	if steps == nil {
		return nil
	}
	out := []int{}
	for _, step := range steps {
		if i := slices.IndexFunc(ops, func(op *Operation) bool { return op.Index == step }); i >= 0 {
			out = append(out, i)
		}
	}
	return out
}

// xjdfEntries lists the resources of all sets, one Resource at a time.
func (d *decoder) xjdfEntries(root jdf.Node) []entry {
	var all []entry
	for set := range root.ChildrenNamed("ResourceSet") {
		g := &group{
			kind: set.Get("Name"), usage: set.Get("Usage"), role: set.Get("ProcessUsage"),
			steps: indexes(set.Get("CombinedProcessIndex")),
		}
		count := 0
		for range set.ChildrenNamed("Resource") {
			count++
		}
		all = slices.Grow(all, count)
		for r := range set.ChildrenNamed("Resource") {
			specific := r.Child(g.kind)
			if !specific.Valid() {
				specific = r // a change order may leave the specific element out
			}
			all = append(all, entry{g, xjdfLeaf(r, specific), d.resourceAmounts(r)})
		}
	}
	return all
}

// resourceAmounts reads the AmountPool of a Resource; most have none.
func (d *decoder) resourceAmounts(r jdf.Node) *Amounts {
	if !r.Child("AmountPool").Valid() {
		return noAmounts
	}
	amount := poolAmounts(r, "Amount", d.fault)
	return &amount
}

// contact is the customer's contact, or the first where none is marked.
func contact(entries []entry) jdf.Node {
	var first jdf.Node
	for _, e := range entries {
		if e.kind != "Contact" {
			continue
		}
		if e.leaf.part.Get("ContactType") == "Customer" {
			return e.leaf.node()
		}
		if !first.Valid() {
			first = e.leaf.node()
		}
	}
	return first
}

func (d *decoder) products(list jdf.Node) {
	byID := map[string]*Product{}
	refs := map[*Product][]string{}
	for n := range list.ChildrenNamed("Product") {
		p := d.xjdfProduct(n)
		if p.ID.Given {
			byID[p.ID.Value] = p
		}
		binding := intent(n, "BindingIntent")
		refs[p] = append(strings.Fields(binding.Get("ChildRefs")), assembled(n)...)
		d.job.Products = append(d.job.Products, p)
	}
	for _, p := range d.job.Products {
		for _, id := range refs[p] {
			// References in a ring would have no outermost product, and no end.
			if part := byID[id]; part != nil && !part.holds(p) && !slices.Contains(p.Parts, part) {
				p.Parts = append(p.Parts, part)
			}
		}
	}
}

// assembled lists the products that go together by an AssemblingIntent: what the
// others go into first.
func assembled(product jdf.Node) []string {
	spec := intent(product, "AssemblingIntent")
	ids := strings.Fields(spec.Get("Container"))
	for c := range spec.Children() {
		ids = append(ids, strings.Fields(c.Get("ChildRef"))...)
	}
	return ids
}

// holds reports whether a product is, or has somewhere inside, another.
func (p *Product) holds(other *Product) bool {
	return p == other || slices.ContainsFunc(p.Parts, func(part *Product) bool { return part.holds(other) })
}

func intent(product jdf.Node, name string) jdf.Node {
	for i := range product.ChildrenNamed("Intent") {
		if c := i.Child(name); c.Valid() {
			return c
		}
	}
	return jdf.Node{}
}

func (d *decoder) xjdfProduct(n jdf.Node) *Product {
	layout, media := intent(n, "LayoutIntent"), intent(n, "MediaIntent")
	fold, bind := intent(n, "FoldingIntent"), intent(n, "BindingIntent")
	film := intent(n, "LaminatingIntent")
	p := &Product{
		Node: n, ID: Text(n, "ID"), Name: Text(n, "DescriptiveName"), Type: Text(n, "ProductType"),
		Root: Parsed(n, "IsRoot", value.ParseBoolean, d.fault).Value,
		Amount: Amounts{
			Good: number(n, "Amount", d.fault),
			Min:  number(n, "MinAmount", d.fault), Max: number(n, "MaxAmount", d.fault),
		},
		Due:   First(d.job.Schedule.LastEnd, d.job.Schedule.End),
		Size:  Parsed(layout, "FinishedDimensions", value.ParseShape, d.fault),
		Flat:  Parsed(layout, "Dimensions", value.ParseXYPair, d.fault),
		Pages: whole(layout, "Pages", d.fault),
		Sides: sides(layout),
		Bleed: length(layout, "Bleed", d.fault),
		Media: MediaIntent{Stock: d.stock(leafOf(media)), Node: media},
		Fold:  Text(fold, "FoldCatalog"),
		Binding: Binding{
			Node: bind, Type: Text(bind, "BindingType"), Side: Text(bind, "BindingSide"),
			Order:    Text(bind, "BindingOrder"),
			Stitches: whole(bind.Child("SaddleStitching"), "StitchNumber", d.fault),
		},
		Lamination: Lamination{Surface: Text(film, "Surface"), Texture: Text(film, "Texture")},
	}
	if !media.Valid() {
		p.Media = MediaIntent{}
	}
	for s := range intent(n, "ColorIntent").ChildrenNamed("SurfaceColor") {
		surface := &p.Front
		if s.Get("Surface") == "Back" {
			surface = &p.Back
		}
		surface.Colors, surface.Coatings = words(s, "ColorsUsed"), words(s, "Coatings")
		surface.Coverage = number(s, "Coverage", d.fault)
	}
	return p
}
