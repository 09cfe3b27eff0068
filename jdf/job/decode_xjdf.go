package job

import (
	"cmp"
	"slices"
	"strings"
	"sync"

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
	groups := d.xjdfGroups(root)
	// Product is no process, but it has a position among the Types.
	if slices.Contains(types.Value, "Product") {
		ops = slices.DeleteFunc(ops, func(op *Operation) bool { return op.Type == "Product" })
		for i := range groups {
			groups[i].steps = moved(groups[i].steps, ops)
		}
	}
	d.prepare(ops, groups)
	customer := sync.OnceValue(func() jdf.Node { return contact(groups) })
	for i := range groups {
		d.each(&groups[i], func(e *entry) {
			d.describe(e)
			d.attach(e)
			switch e.kind {
			case "CustomerInfo":
				d.customer(&e.leaf, customer())
			case "NodeInfo":
				if j.Schedule == (Schedule{}) {
					j.Schedule = d.schedule(&e.leaf)
				}
			}
		})
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

// xjdfGroups lists the resource sets, and reads the amounts of their resources.
func (d *decoder) xjdfGroups(root jdf.Node) []group {
	count := 0
	for range root.ChildrenNamed("ResourceSet") {
		count++
	}
	all := make([]group, 0, count)
	for set := range root.ChildrenNamed("ResourceSet") {
		g := group{
			kind: set.Get("Name"), usage: set.Get("Usage"), role: set.Get("ProcessUsage"),
			steps: indexes(set.Get("CombinedProcessIndex")), whole: set,
		}
		for r := range set.ChildrenNamed("Resource") {
			g.count++
			if r.Child("AmountPool").Valid() {
				d.amounts = append(d.amounts, resourceAmount{r.Index(), poolAmounts(r, "Amount", d.fault).shared()})
			}
		}
		all = append(all, g)
	}
	return all
}

// resourceAmount is what the AmountPool of an XJDF Resource says; most have none.
type resourceAmount struct {
	resource int // index of the element
	amount   *Amounts
}

func (d *decoder) amountOf(resource jdf.Node) *Amounts {
	i, ok := slices.BinarySearchFunc(d.amounts, resource.Index(), func(a resourceAmount, index int) int {
		return cmp.Compare(a.resource, index)
	})
	if !ok {
		return noAmounts
	}
	return d.amounts[i].amount
}

// contact is the customer's contact, or the first where none is marked.
func contact(groups []group) jdf.Node {
	var first jdf.Node
	for i := range groups {
		if groups[i].kind != "Contact" {
			continue
		}
		for r := range groups[i].whole.ChildrenNamed("Resource") {
			l := xjdfLeaf(r, "Contact")
			if l.part.Get("ContactType") == "Customer" {
				return l.node()
			}
			if !first.Valid() {
				first = l.node()
			}
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
	film, intended := intent(n, "LaminatingIntent"), leafOf(media)
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
		Media: MediaIntent{Stock: d.stock(&intended), Node: media},
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
