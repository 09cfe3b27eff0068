package emit

import (
	"slices"
	"strings"

	"github.com/beevik/etree"

	"quoin/convert/plan"
)

// coatingsJDF are the words of JDF 1.x for the coatings of a plant file.
var coatingsJDF = map[string]string{
	"": "None", "none": "None", "gloss": "Glossy", "silk": "Satin", "satin": "Satin", "matt": "Matte", "matte": "Matte",
}

// paper is a stock in a size; sheets of one stock and size share it.
func (t *tree) paper(s *plan.Sheet, size plan.Format, grain string) *etree.Element {
	m, isNew := t.share("Media", s.Stock.ID+" "+pair(size)+" "+grain, "Consumable", "Available")
	if isNew {
		set(m, "DescriptiveName", s.Stock.Name, "Dimension", pair(size),
			"FrontCoatings", coatingsJDF[strings.ToLower(s.Stock.Coating)], "GrainDirection", grain,
			"MediaType", "Paper", "MediaUnit", "Sheet", "ProductID", s.Stock.ID,
			"Thickness", number(s.Stock.Caliper), "Weight", number(s.Stock.Grammage))
	}
	return m
}

// bought is the paper as it comes; pressPaper as it goes to the press.
func (t *tree) bought(s *plan.Sheet) *etree.Element {
	along, _ := grain(s)
	return t.paper(s, s.Stock.Size, along)
}

func (t *tree) pressPaper(s *plan.Sheet) *etree.Element {
	_, along := grain(s)
	return t.paper(s, s.Size, along)
}

// made finds the component of a thing, a partition a sheet, and opens it where
// it is not there yet.
func (t *tree) made(x thing) *etree.Element {
	r, isNew := t.share("Component", x.what, "Quantity", "Unavailable")
	if isNew {
		set(r, "ComponentType", t.componentType(x))
	}
	if x.sheet == nil {
		if isNew {
			set(r, "Dimensions", pair(x.size)+" "+points(x.thick))
		}
		return r
	}
	keys := "SheetName"
	if x.piece != "" {
		keys += " BinderySignatureName"
	}
	if isNew {
		set(r, "PartIDKeys", keys)
	}
	sheet := leaf(r, "SheetName", x.sheet.Name)
	if x.piece != "" {
		sheet = leaf(sheet, "BinderySignatureName", x.piece)
	}
	if sheet.SelectAttr("Dimensions") == nil {
		set(sheet, "DescriptiveName", t.partOf(x), "Dimensions", pair(x.size)+" "+points(x.thick))
		refer(sheet, t.pressPaper(x.sheet))
	}
	return r
}

// leaf finds the partition of a resource that has a key, or opens it.
func leaf(r *etree.Element, key, value string) *etree.Element {
	for _, c := range r.ChildElements() {
		if c.Tag == r.Tag && c.SelectAttrValue(key, "") == value {
			return c
		}
	}
	return set(r.CreateElement(r.Tag), key, value)
}

// componentType says what a thing is: a sheet, or what is delivered, or a part of it.
func (t *tree) componentType(x thing) string {
	last := t.plan.Operations[len(t.plan.Operations)-1]
	switch {
	case x.what == "paper":
		return "Sheet"
	case x.sheet == nil, t.makes(last) == x.what:
		return "FinalProduct"
	case x.piece == "":
		return "Sheet"
	}
	return "PartialProduct"
}

// makes names what comes out of an operation.
func (t *tree) makes(o *plan.Operation) string {
	switch o.Step {
	case plan.StepStock:
		return "paper"
	case plan.StepPrint:
		return "printed"
	case plan.StepLaminate, plan.StepVarnish:
		return surfaced(o)
	case plan.StepDieCut:
		return "die-cut"
	case plan.StepHand:
		return handed(o)
	case plan.StepCut:
		return "cut"
	case plan.StepFold:
		return "folded"
	}
	return "book"
}

// takes links a thing as input, and gives links it as output.
func (t *tree) takes(x thing, good int, attrs ...string) {
	counts(t.link("Input", t.made(x), attrs...), x, good, 0)
}

func (t *tree) gives(x thing, good, waste int, attrs ...string) {
	counts(t.link("Output", t.made(x), attrs...), x, good, waste)
}

// exposed is the plates of the job, a partition for each sheet, side and
// separation.
func (t *tree) exposed(s *plan.Sheet) *etree.Element {
	r, isNew := t.share("ExposedMedia", "", "Handling", "Unavailable")
	if isNew {
		set(r, "PartIDKeys", "SheetName Side Separation")
		refer(r, t.plate())
	}
	if partition(r, s) {
		leaf := set(r.CreateElement("ExposedMedia"), "SheetName", s.Name)
		for _, f := range faces(s) {
			side := set(leaf.CreateElement("ExposedMedia"), "Side", f.side)
			for _, c := range f.colors {
				set(side.CreateElement("ExposedMedia"), "ProductID", t.plateName(s, f.side, c), "Separation", c)
			}
		}
	}
	return r
}

// partition reports whether a resource still lacks the partition of a sheet.
func partition(r *etree.Element, s *plan.Sheet) bool {
	return !slices.ContainsFunc(r.ChildElements(), func(c *etree.Element) bool {
		return c.SelectAttrValue("SheetName", "") == s.Name
	})
}

// plate is what plates are made of.
func (t *tree) plate() *etree.Element {
	m, isNew := t.share("Media", "plate", "Consumable", "Available")
	if isNew {
		set(m, "MediaType", "Plate")
	}
	return m
}

// artwork is the pages to be printed. A plan knows nothing of the files, so
// prepress has to complete it, and it says so.
func (t *tree) artwork() *etree.Element {
	r, isNew := t.share("RunList", "", "Parameter", "Incomplete")
	if isNew {
		set(r, "DescriptiveName", t.plan.Name)
	}
	return r
}

// inks is the order of the separations of each form.
func (t *tree) inks(s *plan.Sheet) *etree.Element {
	r, isNew := t.share("ColorantControl", "", "Parameter", "Available")
	if isNew {
		set(r, "PartIDKeys", "SheetName Side")
	}
	if partition(r, s) {
		leaf := set(r.CreateElement("ColorantControl"), "SheetName", s.Name)
		for _, f := range faces(s) {
			side := set(leaf.CreateElement("ColorantControl"), "Side", f.side)
			for _, list := range []string{"ColorantOrder", "ColorantParams"} {
				l := side.CreateElement(list)
				for _, c := range f.colors {
					set(l.CreateElement("SeparationSpec"), "Name", c)
				}
			}
		}
	}
	return r
}

// stripping says how the pieces stand on the sheets, a partition for each
// sheet and the signature on it.
func (t *tree) stripping() {
	all := resource(t.pool, "StrippingParams", "StrippingParams-job", "Parameter")
	set(all, "PartIDKeys", "SheetName BinderySignatureName")
	for _, s := range t.plan.Sheets {
		leaf := set(all.CreateElement("StrippingParams"), "SheetName", s.Name)
		if s.Style != plan.Duplex {
			set(leaf, "WorkStyle", string(s.Style))
		}
		if s.Stack > 0 {
			set(leaf, "StackDepth", whole(s.Stack))
		}
		if s.Section > 0 {
			set(leaf, "InnermostShingling", points(s.CreepTo), "OutermostShingling", points(s.CreepFrom))
		}
		refer(leaf, t.pressPaper(s))
		for _, k := range kinds(s) {
			t.piece(leaf, s, k)
		}
	}
	t.link("Input", all)
}

// piece writes where the pieces of one kind stand, and what lies around their pages.
func (t *tree) piece(sheet *etree.Element, s *plan.Sheet, k kind) {
	piece := set(sheet.CreateElement("StrippingParams"), "AssemblyIDs", assemblyID(s, k), "BinderySignatureName", k.id)
	refer(piece, t.signature(s, k))
	for _, i := range k.at {
		b := s.Positions[i]
		set(piece.CreateElement("Position"), "AbsoluteBox", rectangle(b), "BlockName", blockName(s, i),
			"Orientation", orientation(b))
	}
	cell := piece.CreateElement("StripCellParams")
	t.cell(cell, s, k)
	if s.GrindOff > 0 {
		set(cell, "MillingDepth", points(s.GrindOff))
	}
}

// layout is what the press knows of the sheet: its surface, and the cut marks.
func (t *tree) layout(s *plan.Sheet) *etree.Element {
	r, isNew := t.share("Layout", "", "Parameter", "Available")
	if isNew {
		set(r, "PartIDKeys", "SheetName")
	}
	if !partition(r, s) {
		return r
	}
	leaf := set(r.CreateElement("Layout"), "SheetName", s.Name,
		"SurfaceContentsBox", rectangle(plan.Box{Width: s.Size.Width, Height: s.Size.Height}))
	if s.Style != plan.Duplex {
		set(leaf, "SourceWorkStyle", string(s.Style))
	}
	refer(leaf, t.pressPaper(s))
	if marks := cutMarks(s); len(marks) > 0 {
		object := set(leaf.CreateElement("MarkObject"), "CTM", "1 0 0 1 0 0")
		for _, m := range marks {
			m.write(object)
		}
	}
	return r
}

// assembly says which signatures make the book, the outermost or the first at
// the head. It hangs
// on the book: the schema has no place for a link to it on the process.
func (t *tree) assembly(order string, sheets []*plan.Sheet) *etree.Element {
	r, isNew := t.share("Assembly", "", "Parameter", "Available")
	if isNew {
		set(r, "Order", order)
		for _, s := range sheets {
			set(r.CreateElement("AssemblySection"), "AssemblyIDs", assemblyID(s, kinds(s)[0]))
		}
	}
	return r
}

// assemblyID names the part of the assembly that a sheet is; the cover of a
// perfect-bound book is none, as it comes around the assembly.
func assemblyID(s *plan.Sheet, k kind) string {
	if cover(s) {
		return ""
	}
	return k.id
}

func (t *tree) signature(s *plan.Sheet, k kind) *etree.Element {
	r, isNew := t.share("BinderySignature", k.id, "Parameter", "Available")
	if isNew {
		set(r, "DescriptiveName", t.productOf(s, k))
		if s.Fold != "" {
			set(r, "BinderySignatureType", "Fold", "FoldCatalog", s.Fold, "NumberUp", numberUp(s))
		} else {
			set(r, "BinderySignatureType", "Grid", "NumberUp", "1 1")
		}
	}
	return r
}
