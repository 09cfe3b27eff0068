package emit

import (
	"slices"

	"quoin/convert/plan"
)

// cover reports whether a sheet is the cover that a block is glued into.
func cover(s *plan.Sheet) bool { return s.Spine > 0 }

// bodies are the sheets that make the block of a perfect-bound book.
func (w *writer) bodies() []*plan.Sheet { return slices.DeleteFunc(slices.Clone(w.plan.Sheets), cover) }

// perSet is how many pieces of a sheet go into a copy: one, or all leaves of a
// part that one run prints.
func perSet(s *plan.Sheet) int { return max(1, s.Leaves) }

// The processes of a binder, by their place among the Types of its ticket.
const (
	gathering = "0"
	spine     = "1"
	covering  = "2"
	trimming  = "3"
)

// milling is what a binder does to the spine before the glue comes on it.
// From memory: the values of SpinePreparationParams/@Operations.
const milling = "Milling"

// bind asks the binder to gather the block, mill its spine, glue it into the
// cover and trim the book.
func (w *writer) bind(o *plan.Operation) {
	ids := ""
	for i, s := range w.bodies() {
		if i > 0 {
			ids += " "
		}
		ids += signatureID(s)
	}
	set(w.resource("Assembly", "Input").CreateElement("Assembly"), "BinderySignatureIDs", ids, "Order", "Gathering")
	w.signatures(w.plan.Sheets...)
	set(w.resource("SpinePreparationParams", "Input").CreateElement("SpinePreparationParams"),
		"MillingDepth", points(o.Bind.GrindOff), "Operations", milling)
	glue := w.resource("CoverApplicationParams", "Input").CreateElement("CoverApplicationParams").CreateElement("Glue")
	set(glue, "AreaGlue", "true", "GluingTechnique", "SpineGluing")
	set(w.resource("TrimmingParams", "Input").CreateElement("TrimmingParams"),
		"Height", points(w.plan.Finished.Height), "Width", points(w.plan.Finished.Width))
	sections := set(w.resources("Component", "Input"), "CombinedProcessIndex", gathering)
	for _, s := range w.bodies() {
		section := w.section(s)
		section.media = false
		w.component(sections, section, o.In*perSet(s), 0)
	}
	for _, s := range w.plan.Sheets {
		if cover(s) {
			in := set(w.resources("Component", "Input"), "CombinedProcessIndex", covering, "ProcessUsage", "Cover")
			around := w.section(s)
			around.media = false
			w.component(in, around, o.In, 0)
		}
	}
	out := set(w.resources("Component", "Output"), "CombinedProcessIndex", trimming)
	w.component(out, w.book(o.Bind.Spine), o.Out, o.SetupWaste+o.RunningWaste)
}

// bind is a node that makes perfect-bound books.
func (t *tree) bind(o *plan.Operation) {
	t.params("GatheringParams", gathering)
	set(t.params("SpinePreparationParams", spine), "MillingDepth", points(o.Bind.GrindOff), "Operations", milling)
	glue := t.params("CoverApplicationParams", covering).CreateElement("GlueApplication")
	set(glue, "GluingTechnique", "SpineGluing")
	set(glue.CreateElement("GlueLine"), "AreaGlue", "true")
	set(t.params("TrimmingParams", trimming),
		"Height", points(t.plan.Finished.Height), "Width", points(t.plan.Finished.Width))
	for _, s := range t.plan.Sheets {
		if cover(s) {
			t.takes(t.section(s), o.In, "CombinedProcessIndex", covering, "ProcessUsage", "Cover")
			continue
		}
		t.takes(t.section(s), o.In*perSet(s), "CombinedProcessIndex", gathering)
	}
	book := t.book(o.Bind.Spine)
	refer(t.made(book), t.assembly("Gathering", t.bodies()))
	t.gives(book, o.Out, o.SetupWaste+o.RunningWaste, "CombinedProcessIndex", trimming)
}

// bind is what the operator of a binder reads.
func (n *notes) bind() {
	b, total := n.op.Bind, 0.0
	n.line("book", "%s, %d pages, block %s thick, spine %s wide, spine along the height", n.plan.Finished,
		n.plan.Pages, b.Block, b.Spine)
	for _, s := range n.plan.Sheets {
		total += n.sheetLine(s, perSet(s))
	}
	n.flow("sets of the block, sections in this order, and as many covers", "copies", total)
	n.line("spine", "mill %s off, glue, lay the cover on", b.GrindOff)
	n.line("trim", "head, foot and face to %s", n.plan.Finished)
	n.line("run", "up to %s copies an hour", count(b.Speed))
}
