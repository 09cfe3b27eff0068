package plan

import (
	"fmt"
	"strings"
	"unicode"
)

func (t *text) operations() {
	t.heading("Operations")
	rows := [][]string{{"", "sheet", "machine", "in", "setup", "running", "out", "ready", "run", "cost"}}
	for _, o := range t.plan.Operations {
		row := []string{
			stepWord(o), o.Sheet, o.Device, count(o.In), count(o.SetupWaste), count(o.RunningWaste), count(o.Out),
		}
		if o.Step == StepPlates {
			row = append(row, "", "", "")
		} else {
			row = append(row, Time{o.Makeready.Duration + o.WashUp.Duration}.words(), o.Run.words(), t.money(o.Cost))
		}
		rows = append(rows, row)
	}
	t.table(rows, 3)
	for _, o := range t.plan.Operations {
		if o.Cut != nil {
			t.line("  %s %s: %s of up to %s sheets, %d cuts each, %s a lift", stepWord(o), o.Sheet,
				many(o.Cut.Lifts, "lift"), count(o.Cut.PerLift), o.Cut.Cuts, o.Cut.LiftTime.words())
		}
		if o.Print != nil && len(o.Print.Path) > 0 {
			t.hanging(fmt.Sprintf("  print %s: ", o.Sheet), "makeready decided by "+strings.Join(o.Print.Path, ", "))
		}
		if o.Die != nil {
			t.line("  die-cut %s: %s in a sheet, gripper %s", o.Sheet, many(o.Die.Ups, "piece"), o.Die.Gripper)
		}
		if o.Bind != nil {
			t.line("  bind: %d sections, block %s, spine %s, grind-off %s",
				o.Bind.Sections, o.Bind.Block, o.Bind.Spine, o.Bind.GrindOff)
		}
		if o.Stitch != nil {
			t.line("  stitch: %d sections, %d stitches, %s thick when closed",
				o.Stitch.Sections, o.Stitch.Stitches, o.Stitch.Thickness)
		}
	}
}

// programs lists the cuts of each lift: number, back gauge, and which edge goes
// to it when the pile is turned before. Sheets that are cut alike share a list.
func (t *text) programs() {
	var lists []string
	alike := map[string][]string{}
	for _, o := range t.plan.Operations {
		if o.Cut == nil {
			continue
		}
		list := cutList(o.Cut.Program)
		if alike[list] == nil {
			lists, alike[list] = append(lists, list), []string{stepWord(o)}
		}
		alike[list] = append(alike[list], o.Sheet)
	}
	if len(lists) > 0 {
		t.heading("Cutting programs, back gauge in mm")
	}
	for _, list := range lists {
		t.hanging("  ", alike[list][0]+" "+strings.Join(alike[list][1:], ", "))
		for l := range strings.Lines(list) {
			t.hanging(l[:len(l)-len(strings.TrimLeft(l, " "))], l)
		}
	}
}

// cutList writes a program, a line for each pile and its cuts indented below.
func cutList(program []Cut) string {
	var out strings.Builder
	for i, c := range program {
		switch {
		case i == 0 || c.Strips != program[i-1].Strips:
			out.WriteString("    " + strips(c) + "\n      ")
		default:
			out.WriteString("; ")
		}
		out.WriteString(cutWords(c))
		if i+1 == len(program) || program[i+1].Strips != c.Strips {
			out.WriteString("\n")
		}
	}
	return out.String()
}

func strips(c Cut) string {
	name := "strip"
	if c.Frees == FreesPart || c.Frees == FreesEdge {
		name = "part"
	}
	switch {
	case c.Strips == [2]int{}:
		return "the whole sheet"
	case c.Strips[0] == c.Strips[1]:
		return fmt.Sprintf("%s %d", name, c.Strips[0])
	}
	return fmt.Sprintf("%ss %d to %d, side by side", name, c.Strips[0], c.Strips[1])
}

func cutWords(c Cut) string {
	turn := ""
	if c.Turn > 0 || c.Number == 1 {
		turn = string(c.Back) + " to the gauge, "
	}
	frees := string(c.Frees)
	if c.Frees == FreesEdge {
		frees = "to square the edge"
	}
	return fmt.Sprintf("%d: %s%s %s", c.Number, turn, strings.TrimSuffix(c.Gauge.String(), " mm"), frees)
}

func many(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return count(n) + " " + what + "s"
}

func stepWord(o *Operation) string {
	switch o.Step {
	case StepPlates:
		return "make plates"
	case StepStock:
		return "cut stock"
	case StepHand:
		return strings.ToLower(splitWords(o.Hand.Task)) + " by hand"
	case StepStitch:
		return "stitch, trim"
	case StepBind:
		return "bind, trim"
	}
	return string(o.Step)
}

// surfaceWords says what a machine beside the presses lays on a sheet, or "".
func surfaceWords(o *Operation) string {
	switch {
	case o.Laminate != nil:
		return fmt.Sprintf("%s film on %s, on %s, %s across the run", o.Laminate.Film, sideWords(o.Laminate.Side), o.Device,
			o.Laminate.Across)
	case o.Varnish != nil:
		return fmt.Sprintf("%s coating on %s, on %s", o.Varnish.Coating, sideWords(o.Varnish.Side), o.Device)
	}
	return ""
}

func sideWords(s Surface) string {
	if s == Both {
		return "both sides"
	}
	return "the " + string(s)
}

// splitWords writes the name of a process, such as BoxPacking, as words.
func splitWords(name string) string {
	var out strings.Builder
	for i, c := range name {
		if i > 0 && unicode.IsUpper(c) {
			out.WriteByte(' ')
		}
		out.WriteRune(c)
	}
	return out.String()
}
