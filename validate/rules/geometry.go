package rules

import (
	"math"
	"strings"

	"quoin/jdf"
	"quoin/jdf/value"
	"quoin/validate"
)

var geometryChecks = []check{
	{
		Rule: &validate.Rule{
			ID: "process/box-inverted", Severity: validate.Error, Mends: validate.Sender,
			Say: "{name} is {got|q}; want the lower left corner first, then the upper right",
			Do:  "write it as \"llx lly urx ury\"",
			Why: "A rectangle is its lower left and its upper right corner (from memory: Encoding chapter, rectangle). " +
				"The schema counts four numbers and no more.",
		},
		kinds: tickets, run: boxInverted,
		Bad: `<XJDF JobID="4711" Types="Cutting"><ResourceSet Name="CuttingParams" Usage="Input"><Resource>
  <CuttingParams><CutBlock BlockName="A" Box="50 50 20 20"/></CuttingParams>
</Resource></ResourceSet></XJDF>`,
		Good: `<XJDF JobID="4711" Types="Cutting"><ResourceSet Name="CuttingParams" Usage="Input"><Resource>
  <CuttingParams><CutBlock BlockName="A" Box="20 20 50 50"/></CuttingParams>
</Resource></ResourceSet></XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/box-not-relative", Severity: validate.Error, Mends: validate.Sender,
			Say: "{name} is {got|q}; want parts of the whole between 0 and 1",
			Do:  "divide by the size of the sheet, or use AbsoluteBox",
			Why: "A relative box is given in parts of the sheet (from memory: Position).",
		},
		kinds: tickets, run: boxNotRelative,
		Bad: `<XJDF JobID="4711" Types="Stripping"><ResourceSet Name="Layout" Usage="Output"><Resource>
  <Layout><Position RelativeBox="0 0 1.2 1"/></Layout>
</Resource></ResourceSet></XJDF>`,
		Good: `<XJDF JobID="4711" Types="Stripping"><ResourceSet Name="Layout" Usage="Output"><Resource>
  <Layout><Position RelativeBox="0 0 1 1"/></Layout>
</Resource></ResourceSet></XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/matrix-flat", Severity: validate.Error, Mends: validate.Sender,
			Say: "{name} is {got|q}, which turns everything into a line or a point",
			Do:  "write \"1 0 0 1 0 0\" for no change",
			Why: "A transformation must be one that can be undone: a·d - b·c is not 0 (from memory: Encoding chapter, " +
				"matrix).",
		},
		kinds: tickets, run: matrixFlat,
		Bad: `<XJDF JobID="4711" Types="Folding"><ResourceSet Name="Component" Usage="Input">
  <Resource Transformation="0 0 0 0 10 10"/>
</ResourceSet></XJDF>`,
		Good: `<XJDF JobID="4711" Types="Folding"><ResourceSet Name="Component" Usage="Input">
  <Resource Transformation="0 1 -1 0 10 10"/>
</ResourceSet></XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/orientation-differs", Severity: validate.Warning, Mends: validate.Sender,
			Say: "Orientation is {orientation}, and Transformation {got|q} turns another way",
			Do:  "keep the one that is meant",
			Why: "Both say how the resource is turned (from memory: Structure chapter, orientation of physical " +
				"resources, with the matrix of each value).",
		},
		kinds: tickets, run: orientationDiffers,
		Bad: `<XJDF JobID="4711" Types="Folding"><ResourceSet Name="Component" Usage="Input">
  <Resource Orientation="Rotate90" Transformation="1 0 0 1 0 0"/>
</ResourceSet></XJDF>`,
		Good: `<XJDF JobID="4711" Types="Folding"><ResourceSet Name="Component" Usage="Input">
  <Resource Orientation="Rotate90" Transformation="0 1 -1 0 420 0"/>
</ResourceSet></XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/size-negative", Severity: validate.Error, Mends: validate.Sender,
			Say: "{name} is {got|q}; want sizes of 0 or more",
			Do:  "write 0 for a size that is not known",
			Why: "A size is a length in points, and 0 stands for one that is not known (MIS to conventional printing " +
				"conformance, Component).",
		},
		kinds: tickets, run: sizeNegative,
		Bad: `<XJDF JobID="4711" Types="Folding"><ResourceSet Name="Component" Usage="Input"><Resource>
  <Component Dimensions="595 842 -1"/>
</Resource></ResourceSet></XJDF>`,
		Good: `<XJDF JobID="4711" Types="Folding"><ResourceSet Name="Component" Usage="Input"><Resource>
  <Component Dimensions="595 842 0"/>
</Resource></ResourceSet></XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/positions-overlap", Severity: validate.Warning, Mends: validate.Sender,
			Say: "the position {got|q} lies over another, {other|q}, on the same sheet",
			Do:  "move one of them, or tell layers apart by StackOrd",
			Why: "Two signatures can not take the same place of a sheet; those of different stacks may. Plausibility.",
		},
		kinds: tickets, run: positionsOverlap,
		Bad: `<XJDF JobID="4711" Types="Stripping"><ResourceSet Name="Layout" Usage="Output"><Resource><Layout>
  <Position RelativeBox="0 0 0.6 1"/><Position RelativeBox="0.5 0 1 1"/>
</Layout></Resource></ResourceSet></XJDF>`,
		Good: `<XJDF JobID="4711" Types="Stripping"><ResourceSet Name="Layout" Usage="Output"><Resource><Layout>
  <Position RelativeBox="0 0 0.5 1"/><Position RelativeBox="0.5 0 1 1"/>
</Layout></Resource></ResourceSet></XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/turn-not-mirrored", Severity: validate.Warning, Mends: validate.Sender,
			Say: "the WorkStyle is {style}, and the position {got|q} has no mirror image on the sheet",
			Do:  "lay out the second half as the mirror of the first",
			Why: "A sheet that is turned prints its second side with the same plates, so that each position meets " +
				"another from behind: left and right for WorkAndTurn, top and bottom for WorkAndTumble. Common practice.",
		},
		kinds: tickets, run: turnNotMirrored,
		Bad: `<XJDF JobID="4711" Types="Stripping"><ResourceSet Name="Layout" Usage="Output"><Resource>
  <Layout WorkStyle="WorkAndTurn"><Position RelativeBox="0 0 0.4 1"/><Position RelativeBox="0.5 0 1 1"/></Layout>
</Resource></ResourceSet></XJDF>`,
		Good: `<XJDF JobID="4711" Types="Stripping"><ResourceSet Name="Layout" Usage="Output"><Resource>
  <Layout WorkStyle="WorkAndTurn"><Position RelativeBox="0 0 0.5 1"/><Position RelativeBox="0.5 0 1 1"/></Layout>
</Resource></ResourceSet></XJDF>`,
	},
}

// boxNames are the attributes of type rectangle that are boxes, not offsets.
// Source: the published schemas.
var boxNames = []string{
	"AbsoluteBox", "ApplicationArea", "BoundingBox", "Box", "ClipBox", "CutBox", "ExpansionBox", "InputBox",
	"LaminatingBox", "PrintableArea", "RelativeBox", "SheetPart", "SourceBleedBox", "SourceClipBox", "SourceMediaBox",
	"SourceTrimBox", "SurfaceContentsBox", "TrimBox",
}

func boxInverted(p *pass) {
	for a := range p.having(boxNames...) {
		box, err := value.ParseRectangle(a.Value())
		// A box of no size says that nothing is known, as some senders write it.
		if err == nil && box != (value.Rectangle{}) && (box.Width() <= 0 || box.Height() <= 0) {
			p.at(a.Place(), fact("name", attrName(a)), fact("got", a.Value()))
		}
	}
}

func boxNotRelative(p *pass) {
	const slack = 1e-6
	for a := range p.having("RelativeBox") {
		box, err := value.ParseRectangle(a.Value())
		if err == nil && (min(box.LLX, box.LLY) < -slack || max(box.URX, box.URY) > 1+slack) {
			p.at(a.Place(), fact("name", attrName(a)), fact("got", a.Value()))
		}
	}
}

func matrixFlat(p *pass) {
	for a := range p.having("CTM", "Transformation", "BlockTrf", "TrimCTM") {
		m, err := value.ParseMatrix(a.Value())
		if err == nil && math.Abs(m.A*m.D-m.B*m.C) < 1e-12 {
			p.at(a.Place(), fact("name", attrName(a)), fact("got", a.Value()))
		}
	}
}

// turns is the linear part of the matrix that each Orientation stands for.
//
// From memory: the table of orientations of both generations.
var turns = map[string][4]float64{
	"Rotate0": {1, 0, 0, 1}, "Rotate90": {0, 1, -1, 0}, "Rotate180": {-1, 0, 0, -1}, "Rotate270": {0, -1, 1, 0},
	"Flip0": {1, 0, 0, -1}, "Flip90": {0, -1, -1, 0}, "Flip180": {-1, 0, 0, 1}, "Flip270": {0, 1, 1, 0},
}

func orientationDiffers(p *pass) {
	for a := range p.having("Transformation") {
		orientation := a.Owner().Attr("Orientation")
		want, known := turns[orientation.Value()]
		m, err := value.ParseMatrix(a.Value())
		if !known || err != nil {
			continue
		}
		for i, got := range [4]float64{m.A, m.B, m.C, m.D} {
			if math.Abs(got-want[i]) > 1e-3 {
				p.atWith(a.Place(), orientation.Place(), "the orientation is here",
					fact("orientation", orientation.Value()), fact("got", a.Value()))
				break
			}
		}
	}
}

var sizeNames = []string{
	"Dimension", "Dimensions", "FinishedDimensions", "BlockSize", "TrimSize", "Thickness", "Weight",
}

func sizeNegative(p *pass) {
	for a := range p.having(sizeNames...) {
		for f := range strings.FieldsSeq(a.Value()) {
			if v, err := value.ParseDouble(f); err == nil && v < 0 {
				p.at(a.Place(), fact("name", attrName(a)), fact("got", a.Value()))
				break
			}
		}
	}
}

// placed is a box on a sheet.
type placed struct {
	value.Rectangle
	at    jdf.Attr
	layer string // boxes of different layers do not meet
}

// mostPairs bounds the work of comparing the boxes of one sheet with each
// other. A sheet with more of them is no sheet.
const mostPairs = 2000

// positions lists the boxes of the positions of a layout, all absolute or all
// relative, whichever is there.
func positions(layout jdf.Node) (boxes []placed, relative bool) {
	for _, name := range []string{"AbsoluteBox", "RelativeBox"} {
		for n := range layout.ChildrenNamed("Position") {
			box, err := value.ParseRectangle(n.Get(name))
			if err == nil && box.Width() > 0 && box.Height() > 0 {
				boxes = append(boxes, placed{box, n.Attr(name), n.Get("StackOrd") + "/" + n.Get("BlockName")})
			}
		}
		if boxes != nil {
			return boxes, name == "RelativeBox"
		}
	}
	return nil, false
}

// overlap returns the first earlier box that each box lies over.
func overlap(boxes []placed, slack float64, found func(box, earlier placed)) {
	for i, a := range boxes[:min(len(boxes), mostPairs)] {
		for _, b := range boxes[:i] {
			if a.layer == b.layer && min(a.URX, b.URX)-max(a.LLX, b.LLX) > slack &&
				min(a.URY, b.URY)-max(a.LLY, b.LLY) > slack {
				found(a, b)
				break
			}
		}
	}
}

func positionsOverlap(p *pass) {
	for layout := range p.named("Layout", "StrippingParams") {
		boxes, relative := positions(layout)
		slack := 1.0 // a point
		if relative {
			slack = 0.001
		}
		overlap(boxes, slack, func(box, earlier placed) {
			p.atWith(box.at.Place(), earlier.at.Place(), "the other is here",
				fact("got", box.at.Value()), fact("other", earlier.at.Value()))
		})
	}
}

func turnNotMirrored(p *pass) {
	for layout := range p.named("Layout", "StrippingParams") {
		style := inherited(layout, "WorkStyle")
		if style.Value() != "WorkAndTurn" && style.Value() != "WorkAndTumble" {
			continue
		}
		boxes, relative := positions(layout)
		if !relative || len(boxes) > mostPairs {
			continue // the middle of the sheet is known for relative boxes only
		}
		for _, box := range boxes {
			if box.URX <= 1 && box.URY <= 1 && !mirrored(box.Rectangle, boxes, style.Value() == "WorkAndTurn") {
				p.atWith(box.at.Place(), style.Place(), "the work style is here",
					fact("style", style.Value()), fact("got", box.at.Value()))
				break
			}
		}
	}
}

// mirrored reports whether the mirror image of a relative box is among others.
func mirrored(box value.Rectangle, others []placed, sideways bool) bool {
	want := value.Rectangle{LLX: box.LLX, LLY: 1 - box.URY, URX: box.URX, URY: 1 - box.LLY}
	if sideways {
		want = value.Rectangle{LLX: 1 - box.URX, LLY: box.LLY, URX: 1 - box.LLX, URY: box.URY}
	}
	const slack = 0.01
	for _, o := range others {
		if math.Abs(o.LLX-want.LLX) < slack && math.Abs(o.LLY-want.LLY) < slack &&
			math.Abs(o.URX-want.URX) < slack && math.Abs(o.URY-want.URY) < slack {
			return true
		}
	}
	return false
}
