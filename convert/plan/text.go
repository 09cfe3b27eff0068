package plan

import (
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/shopspring/decimal"
)

// Write writes the plan as a summary for planner and floor, in plain text of at
// most 120 columns: job, sheets, operations, cost, alternatives, notes and
// cautions. The error is that of the writer.
func Write(w io.Writer, pl *Plan) error {
	t := &text{plan: pl}
	t.head()
	t.products()
	for _, s := range pl.Sheets {
		t.sheet(s)
	}
	t.operations()
	t.programs()
	t.deliveries()
	t.costs()
	t.alternatives()
	t.list("Notes", pl.Notes)
	t.list("Cautions", Cautions(pl))
	if _, err := io.WriteString(w, t.out.String()); err != nil {
		return fmt.Errorf("write plan: %w", err)
	}
	return nil
}

type text struct {
	plan *Plan
	out  strings.Builder
}

func (t *text) line(format string, args ...any) {
	t.out.WriteString(strings.TrimRight(fmt.Sprintf(format, args...), " ") + "\n")
}

// price shows at least the places of the currency, and more where the plant
// file has them.
func (t *text) price(d decimal.Decimal) string {
	if -d.Exponent() > t.plan.Places {
		return d.String()
	}
	return t.money(d)
}

func plates(n int) string {
	if n == 1 {
		return "1 plate"
	}
	return strconv.Itoa(n) + " plates"
}

func (t *text) heading(title string) { t.line("\n%s", strings.ToUpper(title)) }

func (t *text) head() {
	pl := t.plan
	t.line("%s  %s", pl.JobID, pl.Name)
	kind := kindWords[pl.Kind]
	format := pl.Finished.String()
	if len(pl.Products) > 1 {
		format = fmt.Sprintf("%d products", len(pl.Products))
	}
	if pl.Pages > 2 {
		format += ", " + strconv.Itoa(pl.Pages) + " pages"
	}
	if pl.Spine > 0 {
		format += ", spine " + pl.Spine.String()
	}
	t.line("%s copies, %s, %s; planned for %s", count(pl.Quantity), format, kind, pl.Plant)
	work := Time{pl.Totals.Makeready.Duration + pl.Totals.Run.Duration}
	t.line("%s %s, %s a thousand; %s of work; best of %s forms costed", pl.Currency,
		t.money(pl.Totals.Cost), t.money(pl.Totals.PerThousand), work.words(), count(pl.Tried))
}

// products lists several products that are planned together.
func (t *text) products() {
	if len(t.plan.Products) == 0 {
		return
	}
	t.heading("Products")
	rows := [][]string{{"product", "sheet", "quantity", "on a sheet", "over"}}
	for _, p := range t.plan.Products {
		rows = append(rows, []string{
			p.Name + ", " + p.Finished.String(), p.Sheet, count(p.Quantity), strconv.Itoa(p.Ups), count(p.OverRun),
		})
	}
	t.table(rows, 2)
}

var kindWords = map[Kind]string{Flat: "flat work", Stitched: "saddle-stitched", Glued: "perfect-bound"}

func (t *text) sheet(s *Sheet) {
	title := "Sheet " + s.Name
	if s.Part != "" {
		title += "  " + s.Part
	}
	t.heading(title)
	if s.Section > 0 {
		t.section(s)
	}
	t.line("  %-8s %s, %s, %s bought sheets of %s", "paper",
		s.Stock.ID, weight(s.Stock.Grammage), count(s.Bought), s.Stock.Size)
	cut := "as bought"
	if s.Stock.Parts() > 1 {
		cut = fmt.Sprintf("%d from a bought sheet", s.Stock.Parts())
	}
	t.line("  %-8s %s across x along, %s; %s in, %s good", "sheet", s.Size, cut, count(s.Gross), count(s.Good))
	t.layout(s)
	t.stacks(s)
	t.line("  %-8s %s, %d/%d: %s", "print", styleWord(s.Style), len(s.Front), len(s.Back), t.colors(s))
	for _, c := range []struct{ side, kind string }{{"front", s.CoatFront}, {"back", s.CoatBack}} {
		if c.kind != "" {
			t.line("  %-8s %s, on the %s", "coating", c.kind, c.side)
		}
	}
	for _, o := range t.plan.Operations {
		if words := surfaceWords(o); words != "" && o.Sheet == s.Name {
			t.line("  %-8s %s", "surface", words)
		}
	}
	if s.DieCut {
		t.line("  %-8s with a die of %s", "cut out", many(s.Ups(), "position"))
	}
	switch {
	case s.Fold == "":
	case s.Uncut:
		t.line("  %-8s %s, the whole sheet, uncut, %d x %d pages a side", "fold", s.Fold, s.FoldGrid[0], s.FoldGrid[1])
	case s.Section > 0 && t.plan.Kind == Glued && !t.folds(s):
		t.line("  %-8s around the block, by the binder; spine %s", "fold", s.Spine)
	case s.Section > 0 && !t.folds(s):
		t.line("  %-8s once at the spine, by the cover feeder", "fold")
	default:
		t.line("  %-8s %s, %d x %d pages a side", "fold", s.Fold, s.FoldGrid[0], s.FoldGrid[1])
	}
}

// layout says how the pieces stand, a line for each field.
func (t *text) layout(s *Sheet) {
	fields := s.Fields
	if len(fields) == 0 {
		fields = []Field{{s.Columns, s.Rows, s.Piece, s.Turned, 0}}
	} else {
		t.line("  %-8s %d-up in %d fields, gutter %s", "layout", s.Ups(), len(fields), s.Gutter)
	}
	for _, f := range fields {
		lies := "upright"
		if f.Turned {
			lies = "on its side"
		}
		if len(fields) == 1 {
			t.line("  %-8s %d-up, %d across x %d along, each %s %s, gutter %s", "layout",
				s.Ups(), f.Columns, f.Rows, f.Piece, lies, s.Gutter)
			break
		}
		name := ""
		if len(t.plan.Products) > 1 {
			name = "; " + t.plan.Products[f.Product].Name
		}
		t.line("  %-8s %d across x %d along, each %s %s%s", "", f.Columns, f.Rows, f.Piece, lies, name)
	}
}

// stacks says how numbered pieces follow each other.
func (t *text) stacks(s *Sheet) {
	if s.Stack > 0 {
		t.line("  %-8s cut and stack: %s in a pile, position 1 has numbers 1 to %s, position 2 goes on from %s", "order",
			count(s.Stack), count(s.Stack), count(s.Stack+1))
	}
}

// section says which pages of the book the sheet brings, and what happens to
// them at the spine.
func (t *text) section(s *Sheet) {
	words := fmt.Sprintf("%d of %d pages, pages %s of the book", s.Section, s.PiecePages*max(1, s.Leaves), s.Pages)
	switch {
	case t.plan.Kind == Stitched:
		words += fmt.Sprintf(", creep %s to %s", s.CreepFrom, s.CreepTo)
	case s.Leaves > 0:
		words += fmt.Sprintf(", as %d leaves in one run, cut and stacked", s.Leaves)
	}
	if s.GrindOff > 0 {
		words += ", grind-off " + s.GrindOff.String()
	}
	t.line("  %-8s %s", "section", words)
}

// folds reports whether a folder folds the sheet.
func (t *text) folds(s *Sheet) bool {
	for _, o := range t.plan.Operations {
		if o.Step == StepFold && o.Sheet == s.Name {
			return true
		}
	}
	return false
}

func (t *text) colors(s *Sheet) string {
	names := strings.Join(unite(s.Front, s.Back), ", ")
	if s.Plates > 0 {
		names += "; " + plates(s.Plates)
	}
	return names
}

func (t *text) costs() {
	t.heading("Cost in " + t.plan.Currency)
	rows := [][]string{{"material", "sheet", "quantity", "", "kg", "price", "cost"}}
	for _, m := range t.plan.Materials {
		price := t.price(m.Price)
		if m.PriceFor > 1 {
			price += " /" + strconv.Itoa(m.PriceFor)
		}
		kg := ""
		if m.Kind == Paper {
			kg = m.Kilos.StringFixed(1)
		}
		name := strings.TrimSuffix(string(m.Kind)+" "+m.Name, " ")
		rows = append(rows, []string{name, m.Sheet, quantity(m.Quantity), m.Unit, kg, price, t.money(m.Cost)})
	}
	t.table(rows, 2)
	sums := t.plan.Totals
	for _, s := range []struct {
		name string
		v    decimal.Decimal
	}{
		{"time", sums.TimeCost}, {"paper", sums.Paper}, {"plates", sums.Plates}, {"ink and coating", sums.Ink},
		{finishingWords(t.plan), sums.Finishing}, {"total", sums.Cost},
	} {
		if s.v.Sign() != 0 {
			t.line("  %-16s %12s", s.name, t.money(s.v))
		}
	}
}

// finishingWords names what is used up behind the press.
func finishingWords(pl *Plan) string {
	var all []string
	for _, k := range []MaterialKind{Film, Die, Wire, Glue} {
		if slices.ContainsFunc(pl.Materials, func(m *Material) bool { return m.Kind == k }) {
			all = append(all, string(k))
		}
	}
	return strings.Join(all, ", ")
}

// deliveries says what is delivered, and on how many pallets.
func (t *text) deliveries() {
	t.heading("Delivery")
	for _, d := range t.plan.Deliveries {
		if len(t.plan.Products) > 1 {
			t.line("  %s", d.Product)
		}
		t.line("  %s copies of %s g and %s thick, %s kg of paper", count(d.Quantity), d.Grams, d.Thickness, d.Kilos)
		if d.Pallets > 0 {
			t.line("  %s of up to %s, %d in a layer, %s high, %s kg with the pallet", many(d.Pallets, "pallet"),
				count(d.PerPallet), d.PerLayer, d.StackHeight, d.PalletKilos)
		}
	}
}

func (t *text) alternatives() {
	if len(t.plan.Alternatives) > 0 {
		t.heading("Next best")
	}
	for i, a := range t.plan.Alternatives {
		t.hanging(fmt.Sprintf("  %d. ", i+1), fmt.Sprintf("%s: %s, %s more", a.Title, t.money(a.Cost), t.money(a.More)))
		t.hanging("     ", a.Why)
	}
	if len(t.plan.Rejected) > 0 {
		t.heading("Not possible")
	}
	for _, r := range t.plan.Rejected {
		t.line("  %6s  %s", count(r.Count), r.Reason)
	}
}

func (t *text) list(title string, entries []string) {
	if len(entries) == 0 {
		return
	}
	t.heading(title)
	for _, e := range entries {
		t.hanging("  - ", e)
	}
}

// hanging writes words after a mark, broken at 119 columns and indented as far
// as the mark is wide.
func (t *text) hanging(mark, words string) {
	for _, l := range wrap(words, 119-len(mark)) {
		t.line("%s%s", mark, l)
		mark = strings.Repeat(" ", len(mark))
	}
}

func wrap(s string, width int) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(s) {
		if line != "" && len(line)+1+len(word) > width {
			lines, line = append(lines, line), ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	return append(lines, line)
}

// table aligns columns: those before number to the left, the others right.
func (t *text) table(rows [][]string, number int) {
	widths := make([]int, len(rows[0]))
	for _, row := range rows {
		for i, cell := range row {
			widths[i] = max(widths[i], len([]rune(cell)))
		}
	}
	for _, row := range rows {
		var line strings.Builder
		line.WriteString(" ")
		for i, cell := range row {
			pad := strings.Repeat(" ", widths[i]-len([]rune(cell)))
			if i < number {
				line.WriteString(" " + cell + pad)
			} else {
				line.WriteString("  " + pad + cell)
			}
		}
		t.line("%s", line.String())
	}
}

func (t *text) money(v decimal.Decimal) string { return v.StringFixed(t.plan.Places) }

// count writes a whole number with a blank between groups of three digits.
func count(n int) string {
	s := strconv.Itoa(n)
	for i := len(s) - 3; i > 0 && s[i-1] != '-'; i -= 3 {
		s = s[:i] + " " + s[i:]
	}
	return s
}

func quantity(d decimal.Decimal) string {
	if d.IsInteger() {
		return count(int(d.IntPart()))
	}
	return d.String()
}

func weight(g float64) string { return strconv.FormatFloat(g, 'f', -1, 64) + " g/m2" }

// words writes hours and minutes, as in "1 h 08 min", or seconds below a minute.
func (t Time) words() string {
	if t.Duration < time.Minute {
		return fmt.Sprintf("%d s", int(t.Seconds()))
	}
	m := int(t.Round(time.Minute).Minutes())
	if m < 60 {
		return fmt.Sprintf("%d min", m)
	}
	return fmt.Sprintf("%d h %02d min", m/60, m%60)
}
