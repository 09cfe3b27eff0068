package emit

import (
	"strings"

	"quoin/convert/plan"
)

// sidesWords are the sides of a run in words.
func sidesWords(s plan.Surface) string {
	if s == plan.Both {
		return "both sides"
	}
	return string(s)
}

// laminate is what the operator of a laminator reads.
func (n *notes) laminate() {
	s, l := n.sheet, n.op.Laminate
	n.paperLine(s.Size, "sheet")
	n.flow("sheets", "sheets", kilos(s.Size, s.Stock.Grammage, n.op.In))
	n.line("film", "%s on the %s of the sheet", clean(l.Film), sidesWords(l.Side))
	n.line("run", "with the edge of %s across, up to %s sheets an hour", l.Across, count(l.Speed))
	n.line("before", "let the ink dry through: film does not hold on ink or powder that comes off")
}

// coat is what the operator of a varnishing machine reads.
func (n *notes) coat() {
	s, v := n.sheet, n.op.Varnish
	n.paperLine(s.Size, "sheet")
	n.flow("sheets", "sheets", kilos(s.Size, s.Stock.Grammage, n.op.In))
	n.line("coating", "%s on the %s of the sheet, all over", clean(v.Coating), sidesWords(v.Side))
	n.line("run", "up to %s sheets an hour", count(v.Speed))
	if len(v.Dryers) > 0 {
		n.line("drying", "%s", strings.Join(v.Dryers, ", "))
	}
	if v.Drying.Duration > 0 {
		n.line("after", "leave for %s before the next step", words(v.Drying))
	}
}

// die is what the operator of a die cutter reads.
func (n *notes) die() {
	s, d := n.sheet, n.op.Die
	n.paperLine(s.Size, "sheet")
	n.pieces("into")
	n.flow("printed sheets of "+s.Size.String(), "pieces", kilos(s.Size, s.Stock.Grammage, n.op.In))
	n.line("die", "%s, by its drawing", many(d.Ups, "position"))
	n.line("lay", "gripper edge of the press first; the platen grips %s, the first piece lies %s from the edge",
		d.Gripper, s.Positions[0].Y)
	n.line("run", "up to %s sheets an hour", count(d.Speed))
}

// hand is what the people at a bench read.
func (n *notes) hand() {
	h := n.op.Hand
	n.line("task", "%s", clean(h.Task))
	for _, f := range n.finals(n.op) {
		name := ""
		if f.sheet != nil {
			name = n.partOf(f.thing)
		}
		if name == "" {
			name = n.plan.Name
		}
		n.line("pieces", "%s of %s, %s", count(f.pieces), clean(name), f.size)
	}
	weight := 0.0
	for _, d := range n.plan.Deliveries {
		weight += d.Kilos.InexactFloat64()
	}
	n.flow("pieces", "pieces", weight)
	n.line("pace", "%s for 1000 pieces, all hands together", words(h.PerThousand))
}
