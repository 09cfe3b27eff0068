package job

import (
	"slices"
	"strings"

	"quoin/jdf"
)

// printing reports whether a process puts ink on a sheet.
func printing(process string) bool {
	return process == "ConventionalPrinting" || process == "DigitalPrinting"
}

// setter takes what a resource says into an operation.
type setter func(*decoder, *Operation, *entry)

// prepare finds the operations that groups are for, and makes room for the uses
// to come.
func (d *decoder) prepare(ops []*Operation, groups []group) {
	total := 0
	for i := range groups {
		g := &groups[i]
		g.ops, g.set = targets(ops, g), setters[g.kind]
		if g.usage == "" {
			continue
		}
		total += g.count * len(g.ops)
		for _, op := range g.ops {
			uses := op.uses(g.usage)
			*uses = slices.Grow(*uses, g.count)
		}
	}
	d.room = make([]Use, 0, total)
}

// attach gives an entry to the operations of its group.
func (d *decoder) attach(e *entry) {
	for _, op := range e.ops {
		if e.set != nil {
			e.set(d, op, e)
		}
		d.use(op, e)
	}
}

// targets are the operations that a group is for. A ticket may say so by
// position; where it does not, parameters go to the process they are named
// after, components enter at the first step and leave at the last, and what a
// press needs goes to the press.
func targets(ops []*Operation, g *group) []*Operation {
	if g.steps != nil && len(g.steps) == 0 {
		return nil
	}
	if len(ops) <= 1 {
		return ops
	}
	var chosen []*Operation
	for _, i := range g.steps {
		if i >= 0 && i < len(ops) {
			chosen = append(chosen, ops[i])
		}
	}
	if chosen != nil {
		return chosen
	}
	if process, ok := strings.CutSuffix(g.kind, "Params"); ok {
		for _, op := range ops {
			if op.Type == process {
				chosen = append(chosen, op)
			}
		}
		if chosen != nil {
			return chosen
		}
	}
	switch g.kind {
	case "Component":
		if g.usage == "Output" {
			return ops[len(ops)-1:]
		}
		return ops[:1]
	case "Media", "ExposedMedia", "Ink", "ColorantControl", "Layout":
		if i := slices.IndexFunc(ops, func(op *Operation) bool { return printing(op.Type) }); i >= 0 {
			return ops[i : i+1]
		}
		return ops[:1]
	}
	return ops
}

// use records that the operation takes or makes the resource.
func (d *decoder) use(op *Operation, e *entry) {
	if e.usage == "" {
		return
	}
	u := d.newUse()
	*u = Use{Node: e.leaf.node(), Role: e.role, Part: e.leaf.part, Amounts: e.amount, Kind: e.kind}
	if e.link.Valid() {
		u.Node = e.link
	}
	switch e.kind {
	case "Media":
		u.Media = d.mediaOf(&e.leaf)
	case "Component":
		u.Component = d.componentOf(&e.leaf)
		u.Amounts = u.Amounts.or(&u.Component.Amounts)
	}
	uses := op.uses(e.usage)
	*uses = append(*uses, u)
}

// uses is the list for a usage.
func (op *Operation) uses(usage string) *[]*Use {
	if usage == "Output" {
		return &op.Outputs
	}
	return &op.Inputs
}

// newUse takes a use out of the room made for all of them.
func (d *decoder) newUse() *Use {
	d.room = append(d.room, Use{})
	return &d.room[len(d.room)-1]
}

// setters take the resources that hold parameters. The first of several
// partitions speaks for the operation.
var setters = map[string]setter{
	"NodeInfo": func(d *decoder, op *Operation, e *entry) {
		if op.Schedule == (Schedule{}) {
			op.Schedule = d.schedule(&e.leaf)
		}
	},
	"Device":                     (*decoder).setDevice,
	"ConventionalPrintingParams": (*decoder).setPrinting,
	"DigitalPrintingParams":      (*decoder).setPrinting,
	"CuttingParams":              (*decoder).setCutting,
	"CutBlock":                   (*decoder).setCutting,
	"FoldingParams":              (*decoder).setFolding,
	"StitchingParams":            (*decoder).setStitching,
	"TrimmingParams":             (*decoder).setTrimming,
	"VarnishingParams":           (*decoder).setVarnish,
	"ExposedMedia":               (*decoder).setPlate,
	"ColorantControl":            (*decoder).setColorants,
	"Layout":                     (*decoder).setPaper,
}

func (d *decoder) setDevice(op *Operation, e *entry) {
	n := &e.leaf
	op.Devices = append(op.Devices, &Device{
		ID: Text(n.with("DeviceID"), "DeviceID"),
		Name: First(Text(n.with("DescriptiveName"), "DescriptiveName"),
			Text(n.wrap, "DescriptiveName"), Text(n.with("FriendlyName"), "FriendlyName")),
		CostCenter: First(Text(n.with("CostCenterID"), "CostCenterID"),
			Text(n.child("CostCenter"), "CostCenterID")),
	})
}

// setPaper lets the sheet that a Layout names be an input of the press.
func (d *decoder) setPaper(op *Operation, e *entry) {
	paper := (*Media)(nil)
	if ref := e.leaf.node().Attr("PaperRef"); ref.Valid() {
		paper = d.mediaByID(ref.Value())
	}
	if paper == nil || !printing(op.Type) {
		return
	}
	for _, u := range op.Inputs {
		if u.Media == paper {
			return
		}
	}
	op.Inputs = append(op.Inputs, &Use{Node: e.leaf.node(), Kind: "Media", Part: e.leaf.part, Amounts: noAmounts, Media: paper})
}

// newOperations makes one operation a process name.
func newOperations(node jdf.Node, types Fact[[]string], partID Fact[string]) []*Operation {
	ops := make([]*Operation, len(types.Value))
	for i, process := range types.Value {
		ops[i] = &Operation{
			Node: node, Type: process, TypeAt: types.Place, Index: i,
			PartID: partID, Name: Text(node, "DescriptiveName"),
		}
	}
	return ops
}
