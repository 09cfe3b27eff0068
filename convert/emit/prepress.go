package emit

import (
	"slices"

	"github.com/beevik/etree"

	"quoin/convert/plan"
)

// layout writes the sheet with the positions of its pieces, and the signature
// that stands on them.
func (w *writer) layout(s *plan.Sheet) {
	r := w.resource("Layout", "Input")
	set(r.CreateElement("Part"), "SheetName", s.Name)
	l := r.CreateElement("Layout")
	if s.Section > 0 {
		set(l, "InnermostShingling", points(s.CreepTo), "OutermostShingling", points(s.CreepFrom))
	}
	set(l, "PaperRef", paperID, "SurfaceContentsBox", rectangle(plan.Box{Width: s.Size.Width, Height: s.Size.Height}))
	if s.Style != plan.Duplex {
		set(l, "WorkStyle", string(s.Style))
	}
	for i, b := range s.Positions {
		p := set(l.CreateElement("Position"), "AbsoluteBox", rectangle(b), "BinderySignatureID", kindAt(s, b).id,
			"BlockName", blockName(s, i), "Orientation", orientation(b))
		if s.Stack > 0 {
			set(p, "StackDepth", whole(s.Stack), "StackOrd", whole(i))
		}
	}
	if marks := cutMarks(s); len(marks) > 0 {
		strip := set(l.CreateElement("StripMark"), "MarkName", "CutMark")
		for _, m := range marks {
			m.write(strip)
		}
	}
	w.signatures(s)
}

// orientation is how a piece lies on its sheet.
func orientation(b plan.Box) string {
	if b.Turned {
		return "Rotate90"
	}
	return "Rotate0"
}

// blockName names a position and the block that is cut out of it.
func blockName(s *plan.Sheet, i int) string { return s.Name + "-" + whole(i+1) }

// signatures writes what each position of the sheets is: a flat piece, or a fold.
func (w *writer) signatures(sheets ...*plan.Sheet) {
	all := w.resources("BinderySignature", "Input")
	for _, s := range sheets {
		for _, k := range kinds(s) {
			w.signature(all.CreateElement("Resource"), s, k)
		}
	}
}

func (w *writer) signature(r *etree.Element, s *plan.Sheet, k kind) {
	part := set(r.CreateElement("Part"), "BinderySignatureID", k.id)
	if name := w.productOf(s, k); name != "" {
		set(part, "ProductPart", token(name))
	}
	b := r.CreateElement("BinderySignature")
	set(b, "BinderySignatureSize", pair(k.size))
	if s.Fold != "" {
		set(b, "BinderySignatureType", "Fold", "FoldCatalog", s.Fold, "NumberUp", numberUp(s))
	} else {
		set(b, "BinderySignatureType", "Grid", "NumberUp", "1 1")
	}
	w.cell(b.CreateElement("SignatureCell"), s, k)
}

// cell writes what lies around the pages of a signature, which is alike on all
// of them: the bleed of flat work, the trims of a section. Which page lies where
// is the fold scheme's to say. Both generations name these alike.
// From memory: one cell that names no pages is for all of them.
func (w *writer) cell(c *etree.Element, s *plan.Sheet, k kind) {
	if s.Section == 0 {
		bleed := points(s.Bleed)
		set(c, "BleedFace", bleed, "BleedFoot", bleed, "BleedHead", bleed, "BleedSpine", bleed)
		if s.Fold == "" {
			set(c, "TrimSize", pair(k.size))
		}
		return
	}
	trim := points(s.Trim)
	set(c, "TrimFace", trim, "TrimFoot", trim, "TrimHead", trim, "TrimSize", pair(w.plan.Finished))
}

// numberUp is the pages on one side of a piece, across and up.
func numberUp(s *plan.Sheet) string { return whole(s.FoldGrid[0]) + " " + whole(s.FoldGrid[1]) }

// face is a form of a sheet: what one set of plates prints.
type face struct {
	side   string
	colors []string
}

// faces are the forms of a sheet. A turned or tumbled sheet has one, with the
// colours of both sides.
func faces(s *plan.Sheet) []face {
	switch s.Style {
	case plan.WorkAndTurn, plan.WorkAndTumble:
		both := slices.Clone(s.Front)
		for _, c := range s.Back {
			if !slices.Contains(both, c) {
				both = append(both, c)
			}
		}
		return []face{{"Front", both}}
	}
	var all []face
	for _, f := range []face{{"Front", s.Front}, {"Back", s.Back}} {
		if len(f.colors) > 0 {
			all = append(all, f)
		}
	}
	return all
}

// plates asks for the plates of a sheet, one for each separation of each form.
func (w *writer) plates(o *plan.Operation) {
	s := w.sheets[o.Sheet]
	plateMedia(w.resources("Media", "Input"))
	_, grain := grain(s)
	w.paper(s, s.Size, grain)
	w.layout(s)
	w.colorants(s)
	w.exposed(s, "Output")
}

// plateID is the ID of the plate material within a ticket.
const plateID = "plate"

func plateMedia(all *etree.Element) {
	set(set(all.CreateElement("Resource"), "ID", plateID).CreateElement("Media"), "MediaType", "Plate")
}

func (w *writer) exposed(s *plan.Sheet, usage string) {
	all := w.resources("ExposedMedia", usage)
	for _, f := range faces(s) {
		for _, c := range f.colors {
			r := set(all.CreateElement("Resource"), "ExternalID", w.plateName(s, f.side, c))
			amounts(r, 1, 0)
			set(r.CreateElement("Part"), "Separation", w.names[c], "SheetName", s.Name, "Side", f.side)
			set(r.CreateElement("ExposedMedia"), "MediaRef", plateID)
		}
	}
}

func (w *writer) plateName(s *plan.Sheet, side, color string) string {
	return token(w.plan.JobID) + "-" + s.Name + "-" + side + "-" + w.names[color]
}

// colorants writes the order of the separations of each form, and the true
// names of special colours, which need not be tokens.
func (w *writer) colorants(s *plan.Sheet) {
	all := w.resources("ColorantControl", "Input")
	for _, f := range faces(s) {
		order := ""
		for i, c := range f.colors {
			if i > 0 {
				order += " "
			}
			order += w.names[c]
		}
		r := all.CreateElement("Resource")
		set(r.CreateElement("Part"), "SheetName", s.Name, "Side", f.side)
		set(r.CreateElement("ColorantControl"), "ColorantOrder", order, "ColorantParams", order)
	}
	w.colorNames(s)
}

// processColors need no description: every press knows them by name.
var processColors = []string{"Cyan", "Magenta", "Yellow", "Black"}

// colorNames writes the true names of all other colours, for those too whose
// name is its own token: a set of some colours only would leave the rest open.
func (w *writer) colorNames(s *plan.Sheet) {
	var all *etree.Element
	written := map[string]bool{}
	for _, c := range slices.Concat(s.Front, s.Back) {
		if slices.Contains(processColors, c) || written[c] {
			continue
		}
		written[c] = true
		if all == nil {
			all = w.resources("Color", "Input")
		}
		r := all.CreateElement("Resource")
		set(r.CreateElement("Part"), "Separation", w.names[c])
		set(r.CreateElement("Color"), "ActualColorName", c)
	}
}
