package job

import (
	"slices"
	"strconv"
	"strings"

	"quoin/jdf"
)

// jdf reads a JDF ticket: the root describes the job, each node below is a
// product or an operation.
func (d *decoder) jdf(root jdf.Node) {
	j := d.job
	j.ID, j.PartID = Text(root, "JobID"), Text(root, "JobPartID")
	j.Project, j.Name = Text(root, "ProjectID"), Text(root, "DescriptiveName")
	var pooled group
	describe := d.describe
	for n := range d.job.Document.Elements() {
		if n.Is("ResourcePool") {
			for r := range n.Children() {
				if kind := r.Local(); described(kind) {
					pooled = group{kind: kind, whole: r}
					d.each(&pooled, describe)
				}
			}
		}
	}
	d.jdfNode(root, nil, j.PartID)
}

// jdfNode reads one node and those inside it. A part id that a node leaves out
// is that of the node around it.
func (d *decoder) jdfNode(n jdf.Node, product *Product, partID Fact[string]) {
	partID = First(Text(n, "JobPartID"), partID)
	groups := d.jdfGroups(n)
	d.groups = groups
	switch {
	case n.Get("Type") == "Product":
		product = d.jdfProduct(n, product, groups)
	default:
		ops := newOperations(n, jdfTypes(n), partID)
		d.prepare(ops, groups)
		attach := d.attach
		for i := range groups {
			d.each(&groups[i], attach)
		}
		for _, op := range ops {
			op.settle()
		}
		d.job.Operations = append(d.job.Operations, ops...)
	}
	for i := range groups {
		switch g := &groups[i]; {
		case g.kind == "CustomerInfo":
			d.each(g, func(e *entry) { d.customer(&e.leaf, d.inner(&e.leaf, "Contact")) })
		case g.kind == "NodeInfo" && n == d.job.Root:
			d.each(g, func(e *entry) { d.job.Schedule = d.schedule(&e.leaf) })
		}
	}
	jobID := First(Text(n, "JobID"), d.job.ID)
	d.job.Audits = append(d.job.Audits, decodeAudits(n, jobID, partID, d.fault)...)
	for c := range n.ChildrenNamed("JDF") {
		d.jdfNode(c, product, partID)
	}
}

// jdfTypes lists the processes of a node. A group of whole nodes has none of
// its own.
func jdfTypes(n jdf.Node) Fact[[]string] {
	process := Text(n, "Type")
	switch process.Value {
	case "", "Product":
		return Fact[[]string]{}
	case "Combined", "ProcessGroup":
		return words(n, "Types")
	}
	return Of([]string{process.Value}, process.Place)
}

// jdfGroups lists the resources that a node links, and the NodeInfo and
// CustomerInfo that versions before 1.3 write inside the node.
func (d *decoder) jdfGroups(n jdf.Node) []group {
	count := 0
	for range n.Child("ResourceLinkPool").Children() {
		count++
	}
	all := slices.Grow(d.groups[:0], count)
	for c := range n.Children() {
		if c.Is("NodeInfo", "CustomerInfo") {
			all = append(all, group{
				kind: c.Local(), usage: "Input", amount: noAmounts, chosen: []leaf{leafOf(c)}, count: 1,
			})
		}
	}
	for link := range n.Child("ResourceLinkPool").Children() {
		kind, ok := strings.CutSuffix(link.Local(), "Link")
		resource := d.byID(link.Get("rRef"))
		if !ok || resource.Local() != kind {
			continue // a link to nowhere, or to the wrong thing, is a finding of the ref group
		}
		g := group{
			kind: kind, usage: link.Get("Usage"), role: link.Get("ProcessUsage"), link: link,
			steps: indexes(link.Get("CombinedProcessIndex")), amount: linkAmounts(link, d.fault),
		}
		if part := partOf(link); part.Empty() {
			g.whole, g.count = resource, countLeaves(resource)
		} else {
			g.chosen = d.resource(resource).selected(part)
			g.count = len(g.chosen)
		}
		all = append(all, g)
	}
	return all
}

// indexes reads a list of positions; what is no number is left out here and
// reported by the structure stage.
func indexes(list string) []int {
	var all []int
	for _, f := range strings.Fields(list) {
		if i, err := strconv.Atoi(f); err == nil {
			all = append(all, i)
		}
	}
	return all
}
