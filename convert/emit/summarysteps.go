package emit

import (
	"fmt"
	"strings"

	"quoin/convert/plan"
)

// paperLine names the stock of the sheet.
func (n *notes) paperLine(size plan.Format, which string) {
	s := n.sheet.Stock
	coating := ""
	if c := strings.ToLower(s.Coating); c != "" && c != "none" {
		coating = ", " + c
	}
	n.line("paper", "%s (%s), %s g/m2%s, %s um thick; %s %s", clean(s.Name), s.ID, number(s.Grammage), coating,
		number(s.Caliper), which, size)
	bought, press := grain(n.sheet)
	if which == "bought" {
		press = bought
	}
	if press != "" {
		n.line("grain", "along the %s", map[string]string{"XDirection": "width", "YDirection": "height"}[press])
	}
}

func (n *notes) plates() {
	n.line("make", "%s for a sheet of %s on %s", many(n.op.Out, "plate"), n.sheet.Size, n.sheet.Press)
	n.forms()
	n.imposition()
}

// forms are the separations of each set of plates.
func (n *notes) forms() {
	for _, f := range faces(n.sheet) {
		n.line(strings.ToLower(f.side), "%s", clean(strings.Join(f.colors, ", ")))
	}
}

// styles are the work styles in the words of the floor.
// Common practice, no source.
var styles = map[plan.Style]string{
	plan.Simplex: "one side only",
	plan.WorkAndBack: "sheetwise: print the front form, turn the pile over its side edge, print the back form; " +
		"same gripper",
	plan.WorkAndTurn:   "work and turn: one form; turn the pile over its side edge and print it again; same gripper",
	plan.WorkAndTumble: "work and tumble: one form; turn the pile from gripper to tail and print it again; other gripper",
	plan.Perfecting:    "perfecting: both sides in one pass",
	plan.Duplex:        "both sides in one run",
}

func (n *notes) stock() {
	s := n.sheet
	n.paperLine(s.Stock.Size, "bought")
	n.line("into", "%s each of %s, %d across the width and %d along the height", many(s.Stock.Parts(), "sheet"), s.Size,
		s.Stock.Across, s.Stock.Down)
	n.flow("bought sheets", "press sheets", kilos(s.Stock.Size, s.Stock.Grammage, n.op.In))
	n.program()
}

func (n *notes) press() {
	s, p := n.sheet, n.op.Print
	n.paperLine(s.Size, "sheet")
	n.flow("sheets", "sheets", kilos(s.Size, s.Stock.Grammage, n.op.In))
	n.line("work", "%s", styles[s.Style])
	n.forms()
	for _, c := range coats(s) {
		n.line("coating", "%s on the %s, all over", clean(c.coating), strings.ToLower(c.side))
	}
	n.line("run", "%s of each sheet, %s in all, at up to %s sheets an hour", manyOf(p.Passes, "pass", "passes"),
		many(p.Impressions, "impression"), count(p.Speed))
	n.zones()
	if len(p.Dryers) > 0 {
		n.line("drying", "%s", strings.Join(p.Dryers, ", "))
	}
	n.imposition()
}

// imposition says how the pieces stand on the sheet.
func (n *notes) imposition() {
	s := n.sheet
	if len(s.Positions) == 0 {
		return
	}
	n.pieces("layout")
	n.line("place", "bleed %s, gutter %s; the first piece %s from the left edge, %s from the gripper edge",
		s.Bleed, s.Gutter, s.Positions[0].X, s.Positions[0].Y)
	if s.Stack > 0 {
		n.line("stack", "%s in the pile of each position; put the piles on each other in the order of the positions",
			count(s.Stack))
	}
	if s.Leaves > 0 {
		n.line("order", "%d leaves of a copy, to be cut and stacked in their order", s.Leaves)
	}
}

// pieces lists what stands on a sheet: so many of a size, upright or on their side.
func (n *notes) pieces(name string) {
	for _, k := range kinds(n.sheet) {
		ups := map[bool]int{}
		for _, i := range k.at {
			ups[n.sheet.Positions[i].Turned]++
		}
		text := ""
		for _, lies := range []struct {
			turned bool
			words  string
		}{{false, "upright"}, {true, "on the side"}} {
			if ups[lies.turned] == 0 {
				continue
			}
			if text != "" {
				text += ", "
			}
			text += fmt.Sprintf("%d %s", ups[lies.turned], lies.words)
		}
		if product := n.productOf(n.sheet, k); ganged(n.sheet) {
			text += ", " + clean(product)
		}
		n.line(name, "%d-up a sheet, %s: %s", len(k.at), k.size, text)
	}
}

func (n *notes) cut() {
	s := n.sheet
	n.pieces("into")
	n.flow("printed sheets of "+s.Size.String(), "pieces", kilos(s.Size, s.Stock.Grammage, n.op.In))
	n.program()
}

// program lists the cuts of a lift.
func (n *notes) program() {
	c := n.op.Cut
	n.line("lifts", "%s of up to %s sheets, %s each, about %s a lift", many(c.Lifts, "lift"), count(c.PerLift),
		many(c.Cuts, "cut"), words(c.LiftTime))
	if len(c.Program) == 0 {
		return
	}
	n.heading("Program for one lift, back gauge in mm")
	for _, k := range c.Program {
		fmt.Fprintf(&n.out, "  %3d  gauge %8s  %s\n", k.Number, millimetres(k.Gauge), cutWords(k))
	}
}

// cutWords says what lies under the knife, which way, and what comes off.
func cutWords(k plan.Cut) string {
	under := "whole sheet"
	name := "strip"
	if k.Frees == plan.FreesPart || k.Frees == plan.FreesEdge {
		name = "part"
	}
	switch {
	case k.Strips == [2]int{}:
	case k.Strips[0] == k.Strips[1]:
		under = fmt.Sprintf("%s %d", name, k.Strips[0])
	default:
		under = fmt.Sprintf("%ss %d to %d abreast", name, k.Strips[0], k.Strips[1])
	}
	turn := ""
	switch k.Turn {
	case 1:
		turn = ", quarter turn clockwise"
	case 2:
		turn = ", half turn"
	case 3:
		turn = ", quarter turn anticlockwise"
	}
	off := map[plan.Freed]string{
		plan.FreesTrim: "trim off", plan.FreesStrip: "strip off", plan.FreesPiece: "piece off",
		plan.FreesPart: "part off", plan.FreesEdge: "square the edge",
	}[k.Frees]
	return fmt.Sprintf("%s%s, %s to the gauge: %s", under, turn, k.Back, off)
}

func (n *notes) fold() {
	s, f := n.sheet, n.op.Fold
	from, size := "pieces", openPiece(s)
	if s.Uncut {
		from, size = "printed sheets", s.Size
	}
	n.line("scheme", "%s: %s, %d x %d pages a side", f.Code, many(f.Folds, "fold"), s.FoldGrid[0], s.FoldGrid[1])
	n.flow(from+" of "+size.String(), "folded sheets of "+n.foldedPiece(s).size.String(),
		kilos(size, s.Stock.Grammage, n.op.In))
	if s.Pages != "" {
		n.line("pages", "%s", s.Pages)
	}
	n.line("run", "up to %s sheets an hour", count(f.Speed))
}

func (n *notes) stitch() {
	st, total := n.op.Stitch, 0.0
	n.line("book", "%s, %d pages, %s thick when closed, spine along the height", n.plan.Finished, n.plan.Pages,
		st.Thickness)
	for _, s := range n.plan.Sheets {
		total += n.sheetLine(s, 1)
	}
	n.flow("of each section, outermost first", "copies", total)
	n.line("stitch", "saddle, %s", manyOf(st.Stitches, "stitch", "stitches"))
	n.line("trim", "to %s", n.plan.Finished)
	n.line("run", "up to %s copies an hour", count(st.Speed))
}

// sheetLine is one sheet as it comes to the binding line, so many pieces a
// copy. It gives the weight of all of them.
func (n *notes) sheetLine(s *plan.Sheet, each int) float64 {
	piece, how := n.section(s), "folded"
	switch {
	case each > 1:
		how = fmt.Sprintf("%d leaves in their order, each", each)
	case !n.folded(s):
		how = "open"
	}
	part := clean(s.Part)
	if part != "" {
		part += ", "
	}
	n.line(s.Name, "%s%s %s, pages %s", part, how, piece.size, s.Pages)
	return kilos(openPiece(s), s.Stock.Grammage, n.op.In*each)
}
