package plant

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"
	"unicode"

	"github.com/shopspring/decimal"
)

// Show writes a plant for people: what it has, can do and charges, in tables.
// The layout is free to change; programs read the plant file itself. The error
// is of writing.
func Show(w io.Writer, p *Plant) error {
	s := &sheet{plant: p}
	s.heading(p.Name)
	s.general()
	s.centres()
	s.presses()
	s.finishing()
	s.surfaces()
	s.goods()
	s.colour()
	s.alerts()
	s.connections()
	if _, err := io.WriteString(w, s.text.String()); err != nil {
		return fmt.Errorf("write the plant: %w", err)
	}
	return nil
}

// sheet is the text of a plant on the way.
type sheet struct {
	plant *Plant
	text  strings.Builder
}

// clean takes out what would move the cursor of a terminal or part columns.
func clean(text string) string {
	return strings.Map(func(c rune) rune {
		if unicode.IsControl(c) {
			return ' '
		}
		return c
	}, text)
}

func (s *sheet) heading(title string) {
	title = clean(title)
	if s.text.Len() > 0 {
		s.text.WriteString("\n")
	}
	s.text.WriteString(title + "\n" + strings.Repeat("=", len([]rune(title))) + "\n")
}

// table writes rows under a heading, none when there are no rows. The first
// row names the columns.
func (s *sheet) table(title string, rows [][]string) {
	if len(rows) < 2 {
		return
	}
	s.heading(title)
	var padded strings.Builder
	columns := tabwriter.NewWriter(&padded, 0, 0, 2, ' ', 0)
	for _, row := range rows {
		for i, cell := range row {
			row[i] = clean(cell)
		}
		fmt.Fprintln(columns, strings.Join(row, "\t"))
	}
	columns.Flush() // into memory, which takes all
	for line := range strings.Lines(padded.String()) {
		s.text.WriteString(strings.TrimRight(line, " \n") + "\n")
	}
}

// facts writes pairs of a name and a value; a value of "" is left out.
func (s *sheet) facts(pairs ...string) {
	width := 0
	for i := 0; i < len(pairs); i += 2 {
		width = max(width, len([]rune(pairs[i])))
	}
	for i := 0; i+1 < len(pairs); i += 2 {
		if pairs[i+1] != "" {
			fmt.Fprintf(&s.text, "%-*s  %s\n", width, pairs[i], clean(pairs[i+1]))
		}
	}
}

func (s *sheet) money(d decimal.Decimal) string {
	return d.StringFixed(max(s.plant.Places, -d.Exponent())) + " " + s.plant.Currency
}

func (s *sheet) general() {
	p := s.plant
	zone := "UTC"
	if p.Zone != nil {
		zone = p.Zone.String()
	}
	var closed []string
	for _, d := range p.Holidays {
		closed = append(closed, d.String())
	}
	score, pallet := "", ""
	if p.Score != (Score{}) {
		score = fmt.Sprintf("from %s along and %s across the grain", grams.write(p.Score.Along), grams.write(p.Score.Across))
	}
	if p.Pallet.Size != (Size{}) {
		pallet = fmt.Sprintf("%s, goods up to %s, %s kg in all, itself %s kg", p.Pallet.Size, p.Pallet.MaxHeight,
			p.Pallet.MaxWeight, p.Pallet.Tare)
	}
	s.facts("currency", fmt.Sprintf("%s, rounded to %d decimal places", p.Currency, p.Places),
		"delivery tolerance", p.Tolerance.String()+" %", "waste is compounded by", string(p.Compounding),
		"bleed and gutter", p.Bleed.String()+" and "+p.Gutter.String(), "milled off the spine", p.GrindOff.String(),
		"creep factor", p.CreepFactor.String(), "ink coverage", p.Coverage.String()+" % where a ticket gives none",
		"creases", score, "pallet", pallet, "time zone", zone, "closed on", strings.Join(closed, ", "))
}

func (s *sheet) centres() {
	rows := [][]string{{"id", "name", "makeready", "run", "idle", "crew", "manned"}}
	for _, c := range s.plant.CostCentres {
		var manned []string
		for _, shift := range c.Shifts {
			manned = append(manned, shift.manned())
		}
		if c.Overtime.IsPositive() {
			manned = append(manned, "overtime "+c.Overtime.String()+" %")
		}
		rows = append(rows, []string{c.ID, c.Name, s.money(c.Makeready) + "/h", s.money(c.Run) + "/h",
			s.money(c.Idle) + "/h", s.crew(c), strings.Join(manned, "; ")})
	}
	s.table("Cost centres", rows)
}

// String writes the shift, as in "Mon - Fri 06:00 to 14:00".
func (s Shift) String() string {
	of := func(minutes int) string { return fmt.Sprintf("%02d:%02d", minutes/60, minutes%60) }
	end := of(s.To)
	if s.To > MinutesOfDay {
		end = of(s.To-MinutesOfDay) + " of the next day"
	}
	return s.Days.String() + " " + of(s.From) + " to " + end
}

func (r Range) lengths() string {
	return Length(r.Min).number() + " - " + Length(r.Max).String()
}

// paces writes a table of speeds.
func paces(table []Step, unit string) string {
	var all []string
	for _, step := range table {
		text := step.Value.String()
		switch {
		case !step.UpTo.IsZero():
			text += " up to " + grams.write(step.UpTo.InexactFloat64())
		case len(table) > 1:
			text += " above"
		}
		all = append(all, text)
	}
	if len(all) == 1 {
		return all[0] + " " + unit
	}
	return unit + ": " + strings.Join(all, ", ")
}

// losses writes a Spoilage.
func losses(w Spoilage, each string) string {
	text := fmt.Sprintf("%d for setup", w.Setup)
	if w.SetupPerUnit > 0 {
		text += fmt.Sprintf(" and %d a %s", w.SetupPerUnit, each)
	}
	var running []string
	for _, step := range w.Running {
		share := step.Value.String() + " %"
		if !step.UpTo.IsZero() {
			share += " up to " + step.UpTo.String()
		} else if len(w.Running) > 1 {
			share += " above"
		}
		running = append(running, share)
	}
	return text + "; running " + strings.Join(running, ", ")
}

// title names a machine and what it is.
func title(m *Machine, what string) string {
	text := m.ID
	if m.Name != "" {
		text += ": " + m.Name
	}
	if m.CostCentre != nil {
		what += ", charged at " + m.CostCentre.ID
	}
	return text + " (" + what + ")"
}

func (s *sheet) presses() {
	for _, p := range s.plant.Presses {
		s.heading(title(&p.Machine, string(p.Kind)))
		perfecting := ""
		if f := p.Perfecting; f != nil {
			perfecting = fmt.Sprintf("%d over %d, %s, at %s %% of the speed", f.Front, f.Back, f.Grammage.grams(), f.Speed)
		}
		both := ""
		if len(p.DuplexSpeed) > 0 {
			both = paces(p.DuplexSpeed, "sheets/h")
		}
		s.facts("sheet", p.MinSheet.String()+" to "+p.MaxSheet.String(),
			"margins", fmt.Sprintf("gripper %s, tail %s, sides %s, colour bar %s", p.Gripper, p.Tail, p.Side, p.ColorBar),
			"stock", p.Grammage.grams()+", "+p.Caliper.lengths(), "units", fmt.Sprint(p.Units),
			"perfecting", perfecting, "coatings", strings.Join(p.Coatings, ", "), "dryers", strings.Join(p.Dryers, ", "),
			"speed", paces(p.Speed, "sheets/h"), "both sides", both, "on paper", shares(p.StockSpeed),
			"ink limit", limited(p.InkLimit), "dampening", p.Dampening,
			"makeready", readying(p), "drying", since(p.DryingTime), "waste", losses(p.Setup, "colour")+wasteShares(p.StockWaste),
			"prices", s.pressPrices(p))
	}
}

func (s *sheet) pressPrices(p *Press) string {
	if p.Kind == Digital {
		return s.money(p.ClickPrice) + " a colour side, " + s.money(p.BlackClickPrice) + " a black side"
	}
	text := s.money(p.PlatePrice) + " a plate, " + s.money(p.InkPrice) + "/kg of ink"
	if len(p.Coatings) > 0 {
		text += ", " + s.money(p.CoatingPrice) + "/kg of coating"
	}
	return text
}
