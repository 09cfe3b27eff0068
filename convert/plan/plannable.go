package plan

import (
	"strings"

	"quoin/jdf/job"
	"quoin/validate"
)

// finishing lists the operations of the standard that change the product and
// that a plan has no machine for. Prepress, administration and delivery are
// not in it: they take nothing away from a plan.
var finishing = map[string]bool{
	"AdhesiveBinding": true, "BlockPreparation": true, "BoxFolding": true, "CaseMaking": true, "CasingIn": true,
	"ChannelBinding": true, "CoilBinding": true, "CoverApplication": true, "Creasing": true, "Embossing": true,
	"EndSheetGluing": true, "Feeding": true, "Flexography": true, "Gluing": true, "HeadBandApplication": true,
	"HoleMaking": true, "Inserting": true, "Jacketing": true, "Labeling": true, "Laminating": true,
	"Perforating": true, "PlasticCombBinding": true, "RingBinding": true, "ShapeCutting": true,
	"SpinePreparation": true, "SpineTaping": true, "StaticBlocking": true, "StripBinding": true,
	"ThreadSealing": true, "ThreadSewing": true, "WebInlineFinishing": true, "WireCombBinding": true,
}

// plannable finds the product to plan, and the work that a plan can not hold.
func (r *request) plannable() bool {
	at := r.job.Root.NamePlace()
	roots := r.job.RootProducts()
	if len(roots) == 0 {
		return r.fail(notPlanned, at, validate.F("work", "a ticket that describes no product"))
	}
	r.root = roots[0]
	for _, op := range r.job.Operations {
		if finishing[op.Type] && !(glueWork[op.Type] && r.root.Binding.Type.Value == softCover) {
			return r.fail(notPlanned, op.TypeAt, validate.F("work", "operation "+op.Type))
		}
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

// intents are the wishes for finishing that a plan has no machine for.
var intents = map[string]bool{
	"EmbossingIntent": true, "HoleMakingIntent": true, "InsertingIntent": true, "NumberingIntent": true,
	"ShapeCuttingIntent": true, "TabsIntent": true,
}

// plannableProduct refuses lamination, materials that are not paper, and the
// finishing that a product asks for beside what a Job tells.
func (r *request) plannableProduct(p *job.Product) bool {
	if s := p.Lamination.Surface; s.Given && s.Value != "None" {
		return r.fail(notPlanned, s.Place, validate.F("work", "lamination"))
	}
	if m := p.Media.Type; m.Given && m.Value != "Paper" && m.Value != "Other" {
		return r.fail(notPlanned, m.Place, validate.F("work", "printing on "+m.Value))
	}
	if !p.Node.Valid() {
		return true
	}
	for n := range p.Node.ChildrenNamed("Intent") {
		if name := n.Get("Name"); intents[name] {
			return r.fail(notPlanned, n.Attr("Name").Place(), validate.F("work", name))
		}
	}
	for n := range p.Node.Child("ResourceLinkPool").Children() {
		if name := strings.TrimSuffix(n.Local(), "Link"); intents[name] {
			return r.fail(notPlanned, n.NamePlace(), validate.F("work", name))
		}
	}
	return true
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
			return r.fail(notPlanned, op.TypeAt, validate.F("work", "operation "+op.Type+" without a binding intent"))
		}
	}
	return true
}
