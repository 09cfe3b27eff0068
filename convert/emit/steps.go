package emit

import (
	"slices"
	"strings"

	"quoin/convert/plan"
	"quoin/validate/plant"
)

// stock asks the guillotine to cut bought sheets down to press sheets.
func (w *writer) stock(o *plan.Operation) {
	s := w.sheets[o.Sheet]
	bought, _ := grain(s)
	w.paper(s, s.Stock.Size, bought)
	params := w.resource("CuttingParams", "Input").CreateElement("CuttingParams")
	for i, b := range partBoxes(s) {
		set(params.CreateElement("CutBlock"), "BlockName", partName(s, i), "Box", rectangle(b))
	}
	w.input(thing{sheet: s, what: "stock", size: s.Stock.Size, thick: caliper(s), media: true}, o.In)
	w.output(w.paperSheet(s), o.Out, (o.SetupWaste+o.RunningWaste)*s.Stock.Parts())
}

// partBoxes are the press sheets that lie in a bought sheet.
func partBoxes(s *plan.Sheet) []plan.Box {
	width, height := s.Stock.Size.Width/plant.Length(s.Stock.Across), s.Stock.Size.Height/plant.Length(s.Stock.Down)
	boxes := make([]plan.Box, s.Stock.Parts())
	for i := range boxes {
		boxes[i] = plan.Box{
			X: plant.Length(i%s.Stock.Across) * width, Y: plant.Length(i/s.Stock.Across) * height,
			Width: width, Height: height,
		}
	}
	return boxes
}

// partName names a press sheet in a bought one.
func partName(s *plan.Sheet, i int) string { return s.Name + "-part-" + whole(i+1) }

// press asks a press to print a sheet.
func (w *writer) press(o *plan.Operation) {
	s := w.sheets[o.Sheet]
	_, grain := grain(s)
	media := w.paper(s, s.Size, grain)
	w.layout(s)
	w.colorants(s)
	if o.Print.Digital {
		sides := "OneSidedFront"
		if s.Style == plan.Duplex {
			sides = "TwoSided"
		}
		set(w.resource("DigitalPrintingParams", "Input").CreateElement("DigitalPrintingParams"), "Sides", sides)
	} else {
		if s.Plates > 0 {
			plateMedia(media)
			w.exposed(s, "Input")
		}
		w.inkZones(o)
		params := w.resource("ConventionalPrintingParams", "Input").CreateElement("ConventionalPrintingParams")
		w.varnish(s)
		set(params, "Drying", drying(o.Print.Dryers), "Speed", whole(o.Print.Speed), "WorkStyle", string(s.Style))
	}
	w.input(w.paperSheet(s), o.In)
	w.output(w.printedSheet(s), o.Out, o.SetupWaste+o.RunningWaste)
}

// varnish asks for what the coater lays, on each side that has it.
func (w *writer) varnish(s *plan.Sheet) {
	if !coated(s) {
		return
	}
	all := w.resources("VarnishingParams", "Input")
	for _, c := range coats(s) {
		r := set(all.CreateElement("Resource"), "DescriptiveName", c.coating)
		set(r.CreateElement("Part"), "SheetName", s.Name, "Side", c.side)
		set(r.CreateElement("VarnishingParams"), "ModuleType", "CoatingModule", "VarnishArea", "Full")
	}
}

// coat is what is laid on one side.
type coat struct{ side, coating string }

func coats(s *plan.Sheet) []coat {
	return slices.DeleteFunc([]coat{{"Front", s.CoatFront}, {"Back", s.CoatBack}},
		func(c coat) bool { return c.coating == "" })
}

func coated(s *plan.Sheet) bool { return s.CoatFront != "" || s.CoatBack != "" }

// drying is the one dryer of a press in the standard's words; a press with
// several leaves the choice to the operator.
func drying(dryers []string) string {
	switch {
	case len(dryers) == 0:
		return ""
	case len(dryers) > 1:
		return "On"
	}
	for _, known := range []string{"IR", "UV", "Heatset"} {
		if strings.EqualFold(dryers[0], known) {
			return known
		}
	}
	return "On"
}

// cut asks the guillotine to cut printed sheets into pieces.
func (w *writer) cut(o *plan.Operation) {
	s := w.sheets[o.Sheet]
	_, grain := grain(s)
	w.paper(s, s.Size, grain)
	params := w.resource("CuttingParams", "Input").CreateElement("CuttingParams")
	for i, b := range s.Positions {
		set(params.CreateElement("CutBlock"), "BinderySignatureIDs", kindAt(s, b).id, "BlockName", blockName(s, i),
			"Box", rectangle(b))
	}
	w.input(w.sheetTo(o), o.In)
	out := w.resources("Component", "Output")
	for _, k := range kinds(s) {
		w.component(out, cutKind(s, k), k.share(o.Out, s), (o.SetupWaste+o.RunningWaste)*len(k.at))
	}
}

// fold asks the folder to fold pieces.
func (w *writer) fold(o *plan.Operation) {
	s := w.sheets[o.Sheet]
	_, grain := grain(s)
	w.paper(s, s.Size, grain)
	w.signatures(s)
	set(w.resource("FoldingParams", "Input").CreateElement("FoldingParams"), "FoldCatalog", o.Fold.Code)
	from := w.cutPiece(s)
	if s.Uncut {
		from = w.sheetTo(o)
	}
	w.input(from, o.In)
	w.output(w.foldedPiece(s), o.Out, o.SetupWaste+o.RunningWaste)
}

// stitch asks the stitcher to collect the sections, stitch and trim them.
func (w *writer) stitch(o *plan.Operation) {
	ids := make([]string, 0, len(w.plan.Sheets))
	for _, s := range w.plan.Sheets {
		ids = append(ids, signatureID(s))
	}
	set(w.resource("Assembly", "Input").CreateElement("Assembly"),
		"BinderySignatureIDs", strings.Join(ids, " "), "Order", "Collecting")
	w.signatures(w.plan.Sheets...)
	set(w.resource("StitchingParams", "Input").CreateElement("StitchingParams"),
		"NumberOfStitches", whole(o.Stitch.Stitches), "StitchType", "Saddle")
	set(w.resource("TrimmingParams", "Input").CreateElement("TrimmingParams"),
		"Height", points(w.plan.Finished.Height), "Width", points(w.plan.Finished.Width))
	in := w.resources("Component", "Input")
	for _, s := range w.plan.Sheets {
		section := w.section(s)
		section.media = false
		w.component(in, section, o.In, 0)
	}
	w.output(w.book(o.Stitch.Thickness), o.Out, o.SetupWaste+o.RunningWaste)
}

// section is a sheet as it goes to the binding line.
func (w *writer) section(s *plan.Sheet) thing {
	switch {
	case w.folded(s):
		return w.foldedPiece(s)
	case s.Uncut:
		return w.lastSheet(s)
	}
	return w.cutPiece(s)
}

// book is the finished copy.
func (w *writer) book(thick plant.Length) thing {
	return thing{what: "book", size: w.plan.Finished, thick: thick}
}

// folded reports whether a folder folds the sheet; a cover goes open to the
// stitcher's cover feeder.
func (w *writer) folded(s *plan.Sheet) bool {
	return slices.ContainsFunc(w.plan.Operations, func(o *plan.Operation) bool {
		return o.Step == plan.StepFold && o.Sheet == s.Name
	})
}
