package job

import (
	"strings"

	"quoin/jdf"
	"quoin/jdf/value"
)

func (d *decoder) setPrinting(op *Operation, e *entry) {
	if op.Printing != nil {
		return
	}
	l := &e.leaf
	op.Printing = &Printing{
		Node:      l.node(),
		WorkStyle: Text(l.with("WorkStyle"), "WorkStyle"),
		Drying:    Text(l.with("Drying"), "Drying"),
		Speed:     number(l.with("Speed"), "Speed", d.fault),
		Sides:     sides(l.with("Sides")),
	}
}

var sidesWords = map[string]Sides{
	"OneSided": OneSided, "OneSidedFront": OneSided,
	"OneSidedBack": OneSidedBack, "OneSidedBackFlipX": OneSidedBack, "OneSidedBackFlipY": OneSidedBack,
	"TwoSided": TwoSided, "TwoSidedHeadToHead": TwoSided, "TwoSidedFlipY": TwoSided,
	"TwoSidedHeadToFoot": TwoSidedFoot, "TwoSidedFlipX": TwoSidedFoot,
}

// sides reads Sides of layout intents and of digital printing, in the words of
// either generation; a word that is neither is left to the structure stage.
func sides(n jdf.Node) Fact[Sides] {
	word := Text(n, "Sides")
	known, ok := sidesWords[word.Value]
	if !word.Given || !ok {
		return Fact[Sides]{}
	}
	return Of(known, word.Place)
}

func (d *decoder) setCutting(op *Operation, e *entry) {
	if op.Cutting == nil {
		op.Cutting = &Cutting{Node: e.leaf.node()}
	}
	if e.kind == "CutBlock" {
		op.Cutting.Blocks = append(op.Cutting.Blocks, d.cutBlock(&e.leaf))
		return
	}
	for _, n := range e.leaf.children("CutBlock") {
		l := leafOf(n)
		op.Cutting.Blocks = append(op.Cutting.Blocks, d.cutBlock(&l))
	}
	for _, n := range e.leaf.children("CutBlockRef") {
		if block := d.follow(n); block.Valid() {
			for _, l := range leaves(block) {
				op.Cutting.Blocks = append(op.Cutting.Blocks, d.cutBlock(&l))
			}
		}
	}
}

// cutBlock reads a rectangle. XJDF gives the box; JDF gives a size and a
// transformation that moves it to its place.
func (d *decoder) cutBlock(l *leaf) CutBlock {
	b := CutBlock{
		Node: l.node(),
		Name: Text(l.with("BlockName"), "BlockName"),
		Box:  Parsed(l.with("Box"), "Box", value.ParseRectangle, d.fault),
	}
	size := Parsed(l.with("BlockSize"), "BlockSize", value.ParseXYPair, d.fault)
	if b.Box.Given || !size.Given {
		return b
	}
	move := Parsed(l.with("BlockTrf"), "BlockTrf", value.ParseMatrix, d.fault).Or(value.Identity())
	a, c := move.Apply(value.XYPair{}), move.Apply(size.Value)
	b.Box = Of(value.Rectangle{
		LLX: min(a.X, c.X), LLY: min(a.Y, c.Y), URX: max(a.X, c.X), URY: max(a.Y, c.Y),
	}, size.Place)
	return b
}

func (d *decoder) setFolding(op *Operation, e *entry) {
	if op.Folding != nil {
		return
	}
	op.Folding = &Folding{
		Node:    e.leaf.node(),
		Catalog: Text(e.leaf.with("FoldCatalog"), "FoldCatalog"),
		Folds:   e.leaf.children("Fold"),
	}
}

func (d *decoder) setStitching(op *Operation, e *entry) {
	if op.Stitching != nil {
		return
	}
	op.Stitching = &Stitching{
		Node:  e.leaf.node(),
		Type:  Text(e.leaf.with("StitchType"), "StitchType"),
		Count: whole(e.leaf.with("NumberOfStitches"), "NumberOfStitches", d.fault),
	}
}

func (d *decoder) setTrimming(op *Operation, e *entry) {
	if op.Trimming != nil {
		return
	}
	op.Trimming = &Trimming{
		Node:   e.leaf.node(),
		Width:  length(e.leaf.with("Width"), "Width", d.fault),
		Height: length(e.leaf.with("Height"), "Height", d.fault),
	}
}

func (d *decoder) setVarnish(op *Operation, e *entry) {
	if op.Varnish != nil {
		return
	}
	op.Varnish = &Varnish{
		Node:   e.leaf.node(),
		Method: Text(e.leaf.with("VarnishMethod"), "VarnishMethod"),
		Area:   Text(e.leaf.with("VarnishArea"), "VarnishArea"),
	}
}

// setPlate counts a plate's separation on its side.
func (d *decoder) setPlate(op *Operation, e *entry) {
	name, ok := e.leaf.part.Lookup("Separation")
	if !ok {
		return
	}
	side := &op.Front
	if e.leaf.part.Get("Side") == "Back" {
		side = &op.Back
	}
	for _, have := range side.Value {
		if have == name {
			return
		}
	}
	if !side.Given {
		*side = Of(make([]string, 0, 4), e.leaf.node().Place())
	}
	side.Value = append(side.Value, name)
}

// setColorants reads the separations of a run where no plates tell them.
func (d *decoder) setColorants(op *Operation, e *entry) {
	colors := d.colorants(&e.leaf)
	if !colors.Given {
		return
	}
	switch e.leaf.part.Get("Side") {
	case "Front":
		op.Front = First(op.Front, colors)
	case "Back":
		op.Back = First(op.Back, colors)
	default:
		op.unsided = First(op.unsided, colors)
	}
}

// settle gives separations without a side to the sides that the work style
// prints, unless plates or partitions tell better.
func (op *Operation) settle() {
	if !op.unsided.Given || op.Front.Given || op.Back.Given {
		return
	}
	op.Front = op.unsided
	if op.Printing == nil {
		return
	}
	style := op.Printing.WorkStyle
	if style.Given && style.Value != "Simplex" || op.Printing.Sides.Value.Both() {
		op.Back = op.unsided
	}
}

var processColors = map[string][]string{
	"DeviceCMYK": {"Cyan", "Magenta", "Yellow", "Black"},
	"DeviceGray": {"Black"},
}

func (d *decoder) colorants(l *leaf) Fact[[]string] {
	if order := words(l.with("ColorantOrder"), "ColorantOrder"); order.Given {
		return order
	}
	if order := separations(l.child("ColorantOrder")); order.Given {
		return order
	}
	model := Text(l.with("ProcessColorModel"), "ProcessColorModel")
	base, known := processColors[model.Value]
	more := First(words(l.with("ColorantParams"), "ColorantParams"), separations(l.child("ColorantParams")))
	if !known && !more.Given {
		return Fact[[]string]{}
	}
	place := First(model, Fact[string]{Place: more.Place, Given: more.Given}).Place
	return Of(append(append([]string(nil), base...), more.Value...), place)
}

// separations lists the SeparationSpec names of a JDF element.
func separations(n jdf.Node) Fact[[]string] {
	var names []string
	for s := range n.ChildrenNamed("SeparationSpec") {
		names = append(names, strings.TrimSpace(s.Get("Name")))
	}
	if names == nil {
		return Fact[[]string]{}
	}
	return Of(names, n.Place())
}
