package emit

import (
	"slices"

	"github.com/beevik/etree"

	"quoin/convert/plan"
)

// plates is a node that exposes the plates of a sheet.
func (t *tree) plates(o *plan.Operation) {
	s := t.sheets[o.Sheet]
	t.link("Input", t.plate(), "Amount", whole(o.In))
	t.link("Input", t.artwork())
	ofSheet(t.link("Input", t.inks(s)), s)
	ofSheet(t.link("Output", t.exposed(s)), s)
}

// stock is a node that cuts bought sheets down to press sheets.
func (t *tree) stock(o *plan.Operation) {
	s := t.sheets[o.Sheet]
	params := t.params("CuttingParams", "")
	for i, b := range partBoxes(s) {
		block(params, partName(s, i), b)
	}
	t.link("Input", t.bought(s), "Amount", whole(o.In))
	t.gives(t.paperSheet(s), o.Out, (o.SetupWaste+o.RunningWaste)*s.Stock.Parts())
}

// block writes a rectangle that is cut out: its size, and where it stands.
func block(in *etree.Element, name string, b plan.Box) *etree.Element {
	return set(in.CreateElement("CutBlock"), "BlockName", name,
		"BlockSize", extent(b.X, b.X+b.Width)+" "+extent(b.Y, b.Y+b.Height),
		"BlockTrf", "1 0 0 1 "+points(b.X)+" "+points(b.Y), "BlockType", "CutBlock")
}

// press is a node that prints a sheet, and varnishes it where that is asked for.
func (t *tree) press(o *plan.Operation) {
	s := t.sheets[o.Sheet]
	first, last := "", ""
	if coated(s) {
		first, last = "0", "1"
	}
	ofSheet(t.link("Input", t.inks(s), "CombinedProcessIndex", first), s)
	ofSheet(t.link("Input", t.layout(s), "CombinedProcessIndex", first), s)
	if s.Plates > 0 {
		ofSheet(t.link("Input", t.exposed(s), "CombinedProcessIndex", first, "ProcessUsage", "Plate"), s)
	} else {
		t.link("Input", t.artwork(), "CombinedProcessIndex", first)
	}
	usage := ""
	if o.Print.Digital {
		sides := "OneSidedFront"
		if s.Style == plan.Duplex {
			sides = "TwoSidedFlipY"
		}
		set(t.params("DigitalPrintingParams", first), "Sides", sides)
		usage = "Input"
	} else {
		t.inkZones(o, first)
		set(t.params("ConventionalPrintingParams", first),
			"Drying", drying(o.Print.Dryers), "Speed", whole(o.Print.Speed), "WorkStyle", string(s.Style))
	}
	if coated(s) {
		t.varnish(s, last)
	}
	if t.cutDown(s) {
		t.takes(t.paperSheet(s), o.In, "CombinedProcessIndex", first, "ProcessUsage", usage)
	} else {
		t.link("Input", t.pressPaper(s), "Amount", whole(o.In), "CombinedProcessIndex", first)
	}
	t.gives(t.printedSheet(s), o.Out, o.SetupWaste+o.RunningWaste, "CombinedProcessIndex", last)
}

// cutDown reports whether a guillotine makes the press sheets out of larger ones.
func (t *tree) cutDown(s *plan.Sheet) bool {
	return slices.ContainsFunc(t.plan.Operations, func(o *plan.Operation) bool {
		return o.Step == plan.StepStock && o.Sheet == s.Name
	})
}

func (t *tree) varnish(s *plan.Sheet, step string) {
	params := set(t.params("VarnishingParams", step), "PartIDKeys", "SheetName Side")
	sheet := set(params.CreateElement("VarnishingParams"), "SheetName", s.Name)
	for _, c := range coats(s) {
		set(sheet.CreateElement("VarnishingParams"), "DescriptiveName", c.coating, "ModuleType", "CoatingModule",
			"Side", c.side, "VarnishArea", "Full")
	}
}

// cut is a node that cuts printed sheets into pieces.
func (t *tree) cut(o *plan.Operation) {
	s := t.sheets[o.Sheet]
	params := t.params("CuttingParams", "")
	for i, b := range s.Positions {
		set(block(params, blockName(s, i), b), "AssemblyIDs", assemblyID(s, kindAt(s, b)))
	}
	t.takes(t.sheetTo(o), o.In)
	for _, k := range kinds(s) {
		t.gives(cutKind(s, k), k.share(o.Out, s), (o.SetupWaste+o.RunningWaste)*len(k.at))
	}
}

// fold is a node that folds pieces.
func (t *tree) fold(o *plan.Operation) {
	s := t.sheets[o.Sheet]
	set(t.params("FoldingParams", ""), "FoldCatalog", o.Fold.Code)
	from := t.cutPiece(s)
	if s.Uncut {
		from = t.sheetTo(o)
	}
	t.takes(from, o.In)
	t.gives(t.foldedPiece(s), o.Out, o.SetupWaste+o.RunningWaste)
}

// stitch is a node that collects the sections, stitches and trims them.
func (t *tree) stitch(o *plan.Operation) {
	set(t.params("StitchingParams", "1"), "NumberOfStitches", whole(o.Stitch.Stitches), "StitchType", "Saddle")
	set(t.params("TrimmingParams", "2"),
		"Height", points(t.plan.Finished.Height), "Width", points(t.plan.Finished.Width))
	for _, s := range t.plan.Sheets {
		t.takes(t.section(s), o.In, "CombinedProcessIndex", "0")
	}
	book := t.book(o.Stitch.Thickness)
	refer(t.made(book), t.assembly("Collecting", t.plan.Sheets))
	t.gives(book, o.Out, o.SetupWaste+o.RunningWaste, "CombinedProcessIndex", "2")
}
