package emit

import (
	"strings"

	"quoin/convert/plan"
	"quoin/validate/plant"
)

// surfaced names what comes out of a machine that lays something on sheets; a
// sheet may go through several.
func surfaced(o *plan.Operation) string {
	if o.Laminate != nil {
		return "laminated-" + string(o.Laminate.Side)
	}
	return "coated-" + string(o.Varnish.Side)
}

// sheetTo is the whole sheet as it comes to an operation: as the one before it
// left it.
func (w *writer) sheetTo(o *plan.Operation) thing {
	s := w.sheets[o.Sheet]
	at := w.printedSheet(s)
	for _, before := range w.plan.Operations {
		if before == o {
			break
		}
		if before.Sheet == s.Name && (before.Laminate != nil || before.Varnish != nil) {
			at.what = surfaced(before)
		}
	}
	return at
}

// sheetFrom is the whole sheet as a run over its surface leaves it.
func (w *writer) sheetFrom(o *plan.Operation) thing {
	t := w.printedSheet(w.sheets[o.Sheet])
	t.what = surfaced(o)
	return t
}

// lastSheet is the whole sheet as it comes to the binding line.
func (w *writer) lastSheet(s *plan.Sheet) thing {
	t := w.printedSheet(s)
	for _, o := range w.plan.Operations {
		if o.Sheet == s.Name && (o.Laminate != nil || o.Varnish != nil) {
			t.what = surfaced(o)
		}
	}
	return t
}

// sidesOf are the standard's words for the sides that a run is for.
func sidesOf(s plan.Surface) []string {
	switch s {
	case plan.Front:
		return []string{"Front"}
	case plan.Back:
		return []string{"Back"}
	}
	return []string{"Front", "Back"}
}

// sheetBox is all of a sheet.
func sheetBox(s *plan.Sheet) string {
	return rectangle(plan.Box{Width: s.Size.Width, Height: s.Size.Height})
}

// filmType is the standard's word for a film that is laid on sheets.
const filmType = "LaminatingFoil"

// laminate asks a laminator to lay film on printed sheets.
func (w *writer) laminate(o *plan.Operation) {
	s := w.sheets[o.Sheet]
	_, grain := grain(s)
	w.paper(s, s.Size, grain)
	film := w.resource("Media", "Input", "DescriptiveName", o.Laminate.Film)
	set(film.CreateElement("Media"), "MediaType", filmType)
	w.sided("LaminatingParams", s, o.Laminate.Side, o.Laminate.Film, "LaminatingBox", sheetBox(s))
	w.input(w.sheetTo(o), o.In)
	w.output(w.sheetFrom(o), o.Out, o.SetupWaste+o.RunningWaste)
}

// coat asks a machine beside the presses to coat printed sheets.
func (w *writer) coat(o *plan.Operation) {
	s := w.sheets[o.Sheet]
	_, grain := grain(s)
	w.paper(s, s.Size, grain)
	w.sided("VarnishingParams", s, o.Varnish.Side, o.Varnish.Coating,
		"VarnishArea", "Full", "VarnishMethod", "Independent")
	w.input(w.sheetTo(o), o.In)
	w.output(w.sheetFrom(o), o.Out, o.SetupWaste+o.RunningWaste)
}

// sided opens parameters of a sheet for each side that a run is for.
func (w *writer) sided(kind string, s *plan.Sheet, sides plan.Surface, name string, attrs ...string) {
	all := w.resources(kind, "Input")
	for _, side := range sidesOf(sides) {
		r := set(all.CreateElement("Resource"), "DescriptiveName", name)
		set(r.CreateElement("Part"), "SheetName", s.Name, "Side", side)
		set(r.CreateElement(kind), attrs...)
	}
}

// dieID is the ID of the die's drawing within a ticket.
const dieID = "die"

// freesBlanks says that the die cutter delivers the pieces apart.
const freesBlanks = "SeparateBlanks"

// die asks the die cutter to cut the pieces out of printed sheets. What they are
// shaped like is in the drawing of the die, which a plan does not have.
func (w *writer) die(o *plan.Operation) {
	s := w.sheets[o.Sheet]
	_, grain := grain(s)
	w.paper(s, s.Size, grain)
	r := set(w.resources("DieLayout", "").CreateElement("Resource"), "DescriptiveName", dieName(s), "ID", dieID)
	layout := set(r.CreateElement("DieLayout"), "CutBox", rectangle(outline(s)))
	for i := range s.Positions {
		set(layout.CreateElement("Station"), "StationName", blockName(s, i))
	}
	w.signatures(s)
	set(w.resource("ShapeCuttingParams", "Input").CreateElement("ShapeCuttingParams"),
		"DeliveryMode", freesBlanks, "DieLayoutRef", dieID)
	w.resource("Tool", "Input", "DescriptiveName", dieName(s)).CreateElement("Tool")
	w.input(w.sheetTo(o), o.In)
	out := w.resources("Component", "Output")
	for _, k := range kinds(s) {
		w.component(out, cutKind(s, k), k.share(o.Out, s), (o.SetupWaste+o.RunningWaste)*len(k.at))
	}
}

func dieName(s *plan.Sheet) string { return "die of " + many(len(s.Positions), "position") }

// outline is the box around all pieces of a sheet.
func outline(s *plan.Sheet) plan.Box {
	var all plan.Box
	for i, b := range s.Positions {
		if i == 0 {
			all = b
			continue
		}
		right, top := max(all.X+all.Width, b.X+b.Width), max(all.Y+all.Height, b.Y+b.Height)
		all.X, all.Y = min(all.X, b.X), min(all.Y, b.Y)
		all.Width, all.Height = right-all.X, top-all.Y
	}
	return all
}

// hand asks for what people do to the finished pieces.
func (w *writer) hand(o *plan.Operation) {
	set(w.resource("ManualLaborParams", "Input").CreateElement("ManualLaborParams"), "LaborType", o.Hand.Task)
	in, out := w.resources("Component", "Input"), w.resources("Component", "Output")
	for _, f := range w.finals(o) {
		f.media = false
		w.component(in, f.thing, f.pieces, 0)
		f.what = handed(o)
		w.component(out, f.thing, f.pieces, 0)
	}
}

func handed(o *plan.Operation) string { return "after-" + strings.ToLower(o.Hand.Task) }

// final is a finished thing, and how many of it are delivered.
type final struct {
	thing
	pieces int
}

// finals are the finished things as they come to hand work.
func (w *writer) finals(o *plan.Operation) []final {
	var all []final
	if w.plan.Kind != plan.Flat {
		all = []final{{w.book(w.bookThickness()), o.In}}
	} else {
		for _, s := range w.plan.Sheets {
			for _, k := range kinds(s) {
				f := final{cutKind(s, k), o.In}
				if w.folded(s) {
					f.thing = w.foldedPiece(s)
				}
				if len(w.plan.Products) > 0 {
					f.pieces = w.plan.Products[k.product].Quantity
				}
				all = append(all, f)
			}
		}
	}
	for _, before := range w.plan.Operations {
		if before == o {
			break
		}
		for i := range all {
			if before.Hand != nil {
				all[i].what = handed(before)
			}
		}
	}
	return all
}

// bookThickness is that of a bound copy.
func (w *writer) bookThickness() plant.Length {
	for _, o := range w.plan.Operations {
		switch {
		case o.Stitch != nil:
			return o.Stitch.Thickness
		case o.Bind != nil:
			return o.Bind.Spine
		}
	}
	return 0
}

// laminate is a node that lays film on printed sheets.
func (t *tree) laminate(o *plan.Operation) {
	s := t.sheets[o.Sheet]
	t.sided("LaminatingParams", s, o.Laminate.Side, o.Laminate.Film, "LaminatingBox", sheetBox(s))
	film, isNew := t.share("Media", filmType+" "+o.Laminate.Film, "Consumable", "Available")
	if isNew {
		set(film, "DescriptiveName", o.Laminate.Film, "MediaType", filmType)
	}
	t.link("Input", film)
	t.takes(t.sheetTo(o), o.In)
	t.gives(t.sheetFrom(o), o.Out, o.SetupWaste+o.RunningWaste)
}

// coat is a node that coats printed sheets beside the press.
func (t *tree) coat(o *plan.Operation) {
	s := t.sheets[o.Sheet]
	t.sided("VarnishingParams", s, o.Varnish.Side, o.Varnish.Coating,
		"VarnishArea", "Full", "VarnishMethod", "Independent")
	t.takes(t.sheetTo(o), o.In)
	t.gives(t.sheetFrom(o), o.Out, o.SetupWaste+o.RunningWaste)
}

func (t *tree) sided(kind string, s *plan.Sheet, sides plan.Surface, name string, attrs ...string) {
	all := set(t.params(kind, ""), "PartIDKeys", "SheetName Side")
	sheet := set(all.CreateElement(kind), "SheetName", s.Name)
	for _, side := range sidesOf(sides) {
		set(set(sheet.CreateElement(kind), "DescriptiveName", name), attrs...).CreateAttr("Side", side)
	}
}

// die is a node that cuts pieces out of printed sheets.
func (t *tree) die(o *plan.Operation) {
	s := t.sheets[o.Sheet]
	params := set(t.params("ShapeCuttingParams", ""), "DeliveryMode", freesBlanks)
	layout := set(params.CreateElement("DieLayout"), "CutBox", rectangle(outline(s)), "DescriptiveName", dieName(s))
	for i := range s.Positions {
		set(layout.CreateElement("Station"), "StationName", blockName(s, i))
	}
	t.link("Input", set(resource(t.own, "Tool", "Tool-"+t.part, "Handling"), "DescriptiveName", dieName(s)))
	t.takes(t.sheetTo(o), o.In)
	for _, k := range kinds(s) {
		t.gives(cutKind(s, k), k.share(o.Out, s), (o.SetupWaste+o.RunningWaste)*len(k.at))
	}
}

// hand is a node of what people do to the finished pieces.
func (t *tree) hand(o *plan.Operation) {
	set(t.params("ManualLaborParams", ""), "LaborType", o.Hand.Task)
	finals := t.finals(o)
	for _, f := range finals {
		t.takes(f.thing, f.pieces)
	}
	for _, f := range finals {
		f.what = handed(o)
		t.gives(f.thing, f.pieces, 0)
	}
}

// stage writes what is particular to an operation, in either form.
type stage interface {
	plates(o *plan.Operation)
	stock(o *plan.Operation)
	press(o *plan.Operation)
	laminate(o *plan.Operation)
	coat(o *plan.Operation)
	die(o *plan.Operation)
	cut(o *plan.Operation)
	fold(o *plan.Operation)
	stitch(o *plan.Operation)
	bind(o *plan.Operation)
	hand(o *plan.Operation)
}

// particular lets a form write an operation.
func particular(f stage, o *plan.Operation) {
	map[plan.Step]func(*plan.Operation){
		plan.StepPlates: f.plates, plan.StepStock: f.stock, plan.StepPrint: f.press, plan.StepLaminate: f.laminate,
		plan.StepVarnish: f.coat, plan.StepDieCut: f.die, plan.StepCut: f.cut, plan.StepFold: f.fold,
		plan.StepStitch: f.stitch, plan.StepBind: f.bind, plan.StepHand: f.hand,
	}[o.Step](o)
}
