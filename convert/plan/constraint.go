package plan

import (
	"slices"

	"quoin/jdf/job"
	"quoin/validate/plant"
)

// constraints are what the ticket fixes of the way the job is made. An empty
// list leaves the choice free; several entries allow any of them.
type constraints struct {
	styles  []Style
	sheets  []plant.Size
	folds   []string
	devices map[machineKind][]string
	kinds   []plant.PressKind

	inPress, beside bool // where a coating is laid
	digital         bool // copies differ
}

// machineKind is the kind of machine that an operation of the ticket runs on.
type machineKind uint8

const (
	onPress machineKind = iota + 1
	onGuillotine
	onFolder
	onStitcher
	onBinder
	onLaminator
	onCoater // a press with a coater, or a machine beside it
	onDieCutter
	onBench
)

var machineOf = map[string]machineKind{
	"ConventionalPrinting": onPress, "DigitalPrinting": onPress,
	"Cutting": onGuillotine, "Folding": onFolder,
	"Collecting": onStitcher, "Stitching": onStitcher, "Trimming": onStitcher,
	"Laminating": onLaminator, "Varnishing": onCoater, "ShapeCutting": onDieCutter, "ManualLabor": onBench,
}

// glueWork is what a perfect binder does; only a glued book has it planned.
var glueWork = map[string]bool{
	"AdhesiveBinding": true, "BlockPreparation": true, "CoverApplication": true, "Gathering": true, "Gluing": true,
	"SpinePreparation": true, "Trimming": true,
}

// sheetSlack is how far a press sheet may be from the size in the ticket:
// tickets often give whole points.
const sheetSlack = plant.Millimetre

func constraintsOf(j *job.Job, kind Kind) constraints {
	c := constraints{devices: map[machineKind][]string{}}
	for _, op := range j.Operations {
		on := machineOf[op.Type]
		if kind == Glued && glueWork[op.Type] {
			on = onBinder
		}
		for _, d := range op.Devices {
			if d.ID.Given && on != 0 {
				c.devices[on] = append(c.devices[on], d.ID.Value)
			}
		}
		switch {
		case on == onPress:
			c.press(op)
		case on == onCoater && op.Varnish != nil:
			method := op.Varnish.Method.Value
			c.beside = c.beside || method == "Independent"
			c.inPress = c.inPress || method == "Plate" || method == "Blanket"
		case op.Type == "Folding" && op.Folding != nil && op.Folding.Catalog.Given:
			c.folds = append(c.folds, op.Folding.Catalog.Value)
		}
	}
	for _, l := range j.Layouts {
		if l.WorkStyle.Given {
			c.styles = append(c.styles, Style(l.WorkStyle.Value))
		}
	}
	return c
}

func (c *constraints) press(op *job.Operation) {
	kind := plant.Offset
	if op.Type == "DigitalPrinting" {
		kind = plant.Digital
	}
	c.kinds = append(c.kinds, kind)
	if op.Printing != nil && op.Printing.WorkStyle.Given {
		c.styles = append(c.styles, Style(op.Printing.WorkStyle.Value))
	}
	for _, m := range paperOf(op) {
		if m.Size.Given && m.Size.Value.X > 0 && m.Size.Value.Y > 0 {
			c.sheets = append(c.sheets, plant.Size{Width: snap(m.Size.Value.X), Height: snap(m.Size.Value.Y)})
		}
	}
}

// allows reports whether a machine may be used.
func (c constraints) allows(kind machineKind, id string) bool {
	ids := c.devices[kind]
	return len(ids) == 0 || slices.Contains(ids, id)
}

// pressReason says why a press may not be used, or "".
func (c constraints) pressReason(p *plant.Press) string {
	switch {
	case !c.allows(onPress, p.ID):
		return "ticket names another press"
	case len(c.kinds) > 0 && !slices.Contains(c.kinds, p.Kind):
		return "ticket names another printing process"
	case c.digital && p.Kind != plant.Digital:
		return "press prints all copies alike"
	}
	return ""
}

// styleReason says why a work style may not be used, or "". Simplex is what is
// left for the parts that are printed on one side.
func (c constraints) styleReason(s Style, oneSided bool) string {
	if len(c.styles) == 0 || slices.Contains(c.styles, s) {
		return ""
	}
	if s == Simplex && oneSided && len(c.kinds) > 1 {
		return ""
	}
	if s == Duplex && slices.Contains(c.kinds, plant.Digital) {
		return ""
	}
	return "ticket fixes another work style"
}

// sheetReason says why a press sheet may not be used, or "".
func (c constraints) sheetReason(s plant.Size) string {
	for _, w := range c.sheets {
		if near(s, w) || near(s, w.Turned()) {
			return ""
		}
	}
	if len(c.sheets) == 0 {
		return ""
	}
	return "ticket fixes another sheet size"
}

func near(a, b plant.Size) bool {
	dw, dh := a.Width-b.Width, a.Height-b.Height
	return max(dw, -dw) <= sheetSlack && max(dh, -dh) <= sheetSlack
}
