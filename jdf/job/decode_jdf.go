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
	for n := range d.job.Document.Elements() {
		if n.Is("ResourcePool") {
			for r := range n.Children() {
				for _, l := range d.resource(r).leaves {
					d.describe(r.Local(), l)
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
	entries := d.jdfEntries(n)
	switch {
	case n.Get("Type") == "Product":
		product = d.jdfProduct(n, product, entries)
	default:
		ops := newOperations(n, jdfTypes(n), partID)
		for i := range entries {
			d.attach(ops, &entries[i])
		}
		for _, op := range ops {
			op.settle()
		}
		d.job.Operations = append(d.job.Operations, ops...)
	}
	for _, e := range entries {
		switch e.kind {
		case "CustomerInfo":
			d.customer(e.leaf, d.inner(e.leaf, "Contact"))
		case "NodeInfo":
			if n == d.job.Root {
				d.job.Schedule = d.schedule(e.leaf)
			}
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

// jdfEntries lists the resources that a node links, a leaf at a time, and the
// NodeInfo and CustomerInfo that versions before 1.3 write inside the node.
func (d *decoder) jdfEntries(n jdf.Node) []entry {
	var all []entry
	for c := range n.Children() {
		if c.Is("NodeInfo", "CustomerInfo") {
			all = append(all, entry{&group{kind: c.Local(), usage: "Input"}, leafOf(c), noAmounts})
		}
	}
	for link := range n.Child("ResourceLinkPool").Children() {
		kind, ok := strings.CutSuffix(link.Local(), "Link")
		resource := d.byID(link.Get("rRef"))
		if !ok || resource.Local() != kind {
			continue // a link to nowhere, or to the wrong thing, is a finding of the ref group
		}
		amount := linkAmounts(link, d.fault)
		g := &group{
			kind: kind, usage: link.Get("Usage"), role: link.Get("ProcessUsage"), link: link,
			steps: indexes(link.Get("CombinedProcessIndex")),
		}
		chosen := d.resource(resource).selected(partOf(link))
		all = slices.Grow(all, len(chosen))
		for _, l := range chosen {
			all = append(all, entry{g, l, &amount})
		}
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
