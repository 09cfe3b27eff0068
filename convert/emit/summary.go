package emit

import (
	"fmt"
	"strings"
	"time"
	"unicode/utf8"

	"quoin/convert/plan"
	"quoin/validate/plant"
)

// Summary is what the operator of a step reads: what to do in the words of the
// trade, with the cautions that the step needs, as plain text of at most 100
// columns.
type Summary struct {
	Name string // of the file, such as SM-1041-02-print-S1-operator.txt
	Text string
}

func (w *writer) summary(i int, base string) Summary {
	o := w.plan.Operations[i]
	n := &notes{plan: w.plan, op: o, sheet: w.sheets[o.Sheet], writer: w}
	n.head(w.partID(i), w.times[i])
	map[plan.Step]func(){
		plan.StepPlates: n.plates, plan.StepStock: n.stock, plan.StepPrint: n.press, plan.StepLaminate: n.laminate,
		plan.StepVarnish: n.coat, plan.StepDieCut: n.die, plan.StepCut: n.cut, plan.StepFold: n.fold,
		plan.StepStitch: n.stitch, plan.StepBind: n.bind, plan.StepHand: n.hand,
	}[o.Step]()
	n.care()
	return Summary{Name: base + "-" + w.partID(i) + "-operator.txt", Text: n.out.String()}
}

// notes is a summary in the making.
type notes struct {
	*writer
	plan  *plan.Plan
	op    *plan.Operation
	sheet *plan.Sheet // nil when all sheets come together
	out   strings.Builder
	moves bool // it says what has to be lifted
}

const columns = 100

// line writes a fact under its name; a long one goes on below itself.
func (n *notes) line(name, format string, args ...any) {
	const wide = 12
	text := fmt.Sprintf(format, args...)
	for i, l := range wrap(text, columns-wide-2) {
		if i > 0 {
			name = ""
		}
		fmt.Fprintf(&n.out, "  %-*s%s\n", wide, name, l)
	}
}

func (n *notes) heading(title string) { fmt.Fprintf(&n.out, "\n%s\n", strings.ToUpper(title)) }

// item writes one entry of a list.
func (n *notes) item(mark, text string) {
	for _, l := range wrap(text, columns-2-len(mark)) {
		fmt.Fprintf(&n.out, "  %s%s\n", mark, l)
		mark = strings.Repeat(" ", len(mark))
	}
}

// wrap breaks words into lines of a width counted in characters.
func wrap(s string, width int) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(s) {
		if line != "" && utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > width {
			lines, line = append(lines, line), ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	return append(lines, line)
}

// clean keeps what a ticket said from breaking the lines of a summary.
func clean(s string) string { return strings.Join(strings.Fields(s), " ") }

// tasks are the headings of the summaries.
var tasks = map[plan.Step]string{
	plan.StepPlates: "Make the plates", plan.StepStock: "Cut down the stock", plan.StepPrint: "Print",
	plan.StepCut: "Cut", plan.StepFold: "Fold", plan.StepStitch: "Collect, stitch and trim",
	plan.StepBind: "Gather, bind and trim", plan.StepLaminate: "Laminate", plan.StepVarnish: "Varnish",
	plan.StepDieCut: "Die-cut", plan.StepHand: "Work by hand",
}

func (n *notes) head(part string, when Span) {
	o := n.op
	fmt.Fprintf(&n.out, "%s  %s\n%s  step %s\n", clean(n.plan.JobID), clean(n.plan.Name), clean(n.plan.Plant), part)
	title := tasks[o.Step]
	if n.sheet != nil {
		title += ": sheet " + n.sheet.Name
		if n.sheet.Part != "" {
			title += ", " + clean(n.sheet.Part)
		}
	}
	n.heading(title)
	if o.Device != "" {
		n.line("machine", "%s (%s)", clean(o.DeviceName), o.Device)
	}
	if !when.Start.IsZero() {
		n.line("planned", "%s to %s", when.Start.Format("2006-01-02 15:04"), when.End.Format("2006-01-02 15:04 -07:00"))
	}
	if due := n.due(); due != "" {
		n.line("job due", "%s", due)
	}
	if o.Device != "" {
		n.line("times", "make ready %s, run %s, wash up %s", words(o.Makeready), words(o.Run), words(o.WashUp))
	}
}

// flow says what comes to the machine, with its weight, and what has to leave it.
func (n *notes) flow(in, out string, kilos float64) {
	o := n.op
	weight := ""
	if kilos > 0 {
		n.moves = true
		weight = fmt.Sprintf(", about %s kg", count(int(kilos+0.5)))
	}
	n.line("take", "%s %s%s", count(o.In), in, weight)
	n.line("make", "%s good %s", count(o.Out), out)
	if o.SetupWaste+o.RunningWaste > 0 {
		n.line("allow", "%s for setting up and %s in the run, of what is taken", count(o.SetupWaste), count(o.RunningWaste))
	}
}

// kilos is the weight of so many sheets of a size.
func kilos(f plan.Format, grammage float64, sheets int) float64 {
	const squareMetre = 1e12 // square micrometres
	return float64(f.Width) * float64(f.Height) / squareMetre * grammage / 1000 * float64(sheets)
}

// care lists the cautions for this step alone: those that a plan of nothing
// else would have.
func (n *notes) care() {
	n.heading("Care")
	for _, c := range plan.Cautions(&plan.Plan{Operations: []*plan.Operation{n.op}}) {
		if strings.HasPrefix(c, "Lifting:") && !n.moves {
			continue
		}
		n.item("- ", c)
	}
}

// count writes a whole number with a blank between groups of three digits.
func count(i int) string {
	s := whole(i)
	for k := len(s) - 3; k > 0; k -= 3 {
		s = s[:k] + " " + s[k:]
	}
	return s
}

func many(i int, what string) string { return manyOf(i, what, what+"s") }

func manyOf(i int, one, more string) string {
	if i == 1 {
		return "1 " + one
	}
	return count(i) + " " + more
}

// words writes a time to the minute, or to the second below one.
func words(t plan.Time) string {
	if t.Duration < time.Minute {
		return fmt.Sprintf("%d s", int(t.Seconds()))
	}
	m := int(t.Round(time.Minute).Minutes())
	if m < 60 {
		return fmt.Sprintf("%d min", m)
	}
	return fmt.Sprintf("%d h %02d min", m/60, m%60)
}

func millimetres(l plant.Length) string { return strings.TrimSuffix(l.String(), " mm") }
