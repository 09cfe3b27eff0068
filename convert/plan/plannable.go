package plan

import (
	"iter"
	"slices"
	"strings"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/validate"
)

// finishing lists the operations of the standard that change the product and
// that a plan has no machine for, but perhaps people. Prepress, administration and delivery are
// not in it: they take nothing away from a plan.
var finishing = map[string]bool{
	"AdhesiveBinding": true, "BlockPreparation": true, "BoxFolding": true, "CaseMaking": true, "CasingIn": true,
	"ChannelBinding": true, "CoilBinding": true, "CoverApplication": true, "Creasing": true, "Embossing": true,
	"EndSheetGluing": true, "Feeding": true, "Flexography": true, "Gluing": true, "HeadBandApplication": true,
	"HoleMaking": true, "Inserting": true, "Jacketing": true, "Labeling": true, "Numbering": true,
	"Perforating": true, "PlasticCombBinding": true, "RingBinding": true,
	"SpinePreparation": true, "SpineTaping": true, "StaticBlocking": true, "StripBinding": true,
	"ThreadSealing": true, "ThreadSewing": true, "WebInlineFinishing": true, "WireCombBinding": true,
}

// plannable finds the product to plan, and the work that a plan can not hold.
func (r *request) plannable() bool {
	roots, ok := r.roots()
	if !ok {
		return false
	}
	r.wanted, r.root = roots, roots[0]
	if !r.finishing() {
		return false
	}
	for _, root := range roots {
		for _, p := range append([]*job.Product{root}, root.Parts...) {
			if !r.plannableProduct(p) {
				return false
			}
			if len(p.Parts) > 0 && p != root {
				return r.fail(notPlanned, p.Node.NamePlace(), validate.F("work", "a part that has parts itself"))
			}
		}
	}
	return r.readBinding()
}

// plannableProduct refuses materials that are not paper, and the finishing that a
// product asks for beside what a Job tells and that nobody in the plant does.
func (r *request) plannableProduct(p *job.Product) bool {
	if m := p.Media.Type; m.Given && m.Value != "Paper" && m.Value != "Other" {
		return r.fail(notPlanned, m.Place, validate.F("work", "printing on "+m.Value))
	}
	if !r.variable(p) {
		return false
	}
	for name, at := range intentsOf(p) {
		task, asked := intentTasks[name]
		switch {
		case !asked:
		case r.byHand(task):
			r.wantHand(task, at)
		default:
			return r.fail(notPlanned, at, validate.F("work", name))
		}
	}
	return true
}

// variable notes that copies differ, which a digital press alone can print. A
// product of several versions is several products.
func (r *request) variable(p *job.Product) bool {
	if !p.Node.Valid() {
		return true
	}
	for n := range p.Node.ChildrenNamed("Intent") {
		v := n.Child("VariableIntent")
		switch {
		case !v.Valid():
		case v.Has("ChildRefs"):
			return r.fail(notPlanned, v.Attr("ChildRefs").Place(), validate.F("work", "a product of several versions"))
		default:
			r.digital = true
			r.note("the copies differ from each other, so that digital presses alone were looked at")
		}
	}
	return true
}

// numbered reports whether the pieces of a product are to bear numbers, or other
// data of their own.
func (r *request) numbered(p *job.Product) bool {
	for name := range intentsOf(p) {
		if name == "NumberingIntent" || name == "VariableIntent" {
			return true
		}
	}
	return slices.ContainsFunc(r.job.Operations, func(op *job.Operation) bool { return op.Type == "Numbering" })
}

// intentsOf are the names of the intents of a product, as the ticket has them.
func intentsOf(p *job.Product) iter.Seq2[string, jdf.Place] {
	return func(yield func(string, jdf.Place) bool) {
		if !p.Node.Valid() {
			return
		}
		for n := range p.Node.ChildrenNamed("Intent") {
			if !yield(n.Get("Name"), n.Attr("Name").Place()) {
				return
			}
		}
		for n := range p.Node.Child("ResourceLinkPool").Children() {
			if !yield(strings.TrimSuffix(n.Local(), "Link"), n.NamePlace()) {
				return
			}
		}
	}
}

// softCover is the standard's name for a block glued into a cover of paper.
const softCover = "SoftCover"

func (r *request) readBinding() bool {
	b := r.root.Binding
	switch b.Type.Value {
	case "", "None":
		if len(r.root.Parts) > 0 {
			return r.fail(notPlanned, r.root.Node.NamePlace(), validate.F("work", "a product of several parts without binding"))
		}
		r.kind = Flat
		return r.sheetStitching()
	case "SaddleStitch":
		r.kind = Stitched
		r.stitches = b.Stitches.Or(2)
		return true
	case softCover:
		r.kind = Glued
		return true
	}
	return r.fail(notPlanned, b.Type.Place, validate.F("work", "binding "+b.Type.Value))
}

// sheetStitching refuses stitching operations without a binding intent.
func (r *request) sheetStitching() bool {
	for _, op := range r.job.Operations {
		switch op.Type {
		case "Stitching", "Collecting", "Gathering":
			return r.fail(notPlanned, op.TypeAt, validate.F("work", "operation "+op.Type+" of what is not to be bound"))
		}
	}
	return true
}
