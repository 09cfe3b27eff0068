package cost

import (
	"bufio"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/shopspring/decimal"
)

// Text writes the costs as tables for people. The error is that of the writer.
func Text(w io.Writer, c *Costs) error {
	out := bufio.NewWriter(w)
	fmt.Fprintf(out, "Actual costs, %s, in %s\n", c.Plant, c.Currency)
	if len(c.Jobs) == 0 {
		fmt.Fprint(out, "\nNothing was reported: there is no time and no amount in what was read.\n")
	}
	for _, j := range c.Jobs {
		title := "Job " + j.ID
		if j.ID == "" {
			title = "For no job"
		}
		fmt.Fprintf(out, "\n%s\n", title)
		jobTable(j, c.Places).write(out)
		if j.Total.Unpriced > 0 {
			fmt.Fprintf(out, "  %s of it without a price\n", j.Total.Unpriced.Clock())
		}
		useTable(j.Uses).write(out)
	}
	if len(c.Centres) > 0 {
		fmt.Fprint(out, "\nCost centres\n")
		centreTable(c).write(out)
	}
	if len(c.Devices) > 0 {
		fmt.Fprint(out, "\nDevices\n")
		deviceTable(c.Devices).write(out)
		if slices.ContainsFunc(c.Devices, func(d Device) bool { return d.OEE.Performance.Value.GreaterThan(one) }) {
			fmt.Fprint(out, "  A performance over 100 % means that the plans reckon with too low a speed.\n")
		}
	}
	return out.Flush()
}

var one = decimal.NewFromInt(1)

// table is rows of cells under a row of headings. The first left columns are
// words; the others are figures and stand at the right of their column. Columns
// that have nothing but a heading are left out.
type table struct {
	left int
	rows [][]string
}

func (t *table) row(cells ...string) { t.rows = append(t.rows, cells) }

func (t *table) write(w io.Writer) {
	if len(t.rows) == 0 {
		return
	}
	widths, used := make([]int, len(t.rows[0])), make([]bool, len(t.rows[0]))
	for n, row := range t.rows {
		for i, cell := range row {
			used[i] = used[i] || n > 0 && cell != ""
			widths[i] = max(widths[i], utf8.RuneCountInString(cell))
		}
	}
	for _, row := range t.rows {
		var line strings.Builder
		for i, cell := range row {
			if !used[i] {
				continue
			}
			pad := strings.Repeat(" ", widths[i]-utf8.RuneCountInString(cell))
			if i < t.left {
				line.WriteString("  " + cell + pad)
			} else {
				line.WriteString("  " + pad + cell)
			}
		}
		fmt.Fprintln(w, strings.TrimRight(line.String(), " "))
	}
}

// spent is the words over the columns of Times.
var spent = []string{"Makeready", "Run", "Wash-up", "Idle", "Stopped", "Unknown"}

// figures writes what both a line and a total have: two words, the times, good and
// waste where they have a meaning, and the money.
func (t *table) figures(first, second string, f Figures, good, waste string, places int32) {
	money := f.Cost.StringFixed(places)
	if f.Cost.IsZero() && f.Unpriced > 0 {
		money = "-"
	}
	t.row(first, second, clock(f.Makeready), clock(f.Run), clock(f.WashUp), clock(f.Idle), clock(f.Stopped),
		clock(f.Unknown), good, waste, money)
}

// clock leaves a cell empty where no time was spent, so that the eye finds the rest.
func clock(s Span) string {
	if s == 0 {
		return ""
	}
	return s.Clock()
}

func jobTable(j Job, places int32) *table {
	t := &table{left: 2}
	t.row(slices.Concat([]string{"Device", "Centre"}, spent, []string{"Good", "Waste", "Cost"})...)
	for _, l := range j.Lines {
		t.figures(named(l.Device, l.Name), l.Centre, l.Figures, l.Good.String(), l.Waste.String(), places)
		if p := l.Planned; p != nil {
			t.row("  planned", "", clock(p.Makeready), clock(p.Run), "", "", "", "",
				p.Good.String(), p.Waste.String(), p.Cost.StringFixed(places))
			t.row("  difference", "", moreTime(l.Makeready-p.Makeready), moreTime(l.Run-p.Run), "", "", "", "",
				more(l.Good.Sub(p.Good), 0), more(l.Waste.Sub(p.Waste), 0), more(l.Cost.Sub(p.Cost), places))
		}
	}
	if len(j.Lines) > 1 {
		t.figures("Total", "", j.Total, "", "", places)
		if p := j.Planned; p != nil {
			t.row("  planned", "", clock(p.Makeready), clock(p.Run), "", "", "", "", "", "", p.Cost.StringFixed(places))
			t.row("  difference", "", moreTime(j.Total.Makeready-p.Makeready), moreTime(j.Total.Run-p.Run),
				"", "", "", "", "", "", more(j.Total.Cost.Sub(p.Cost), places))
		}
	}
	if !j.Total.Extra.IsZero() {
		t.row("  of which rework", "", "", "", "", "", "", "", "", "", j.Total.Extra.StringFixed(places))
	}
	return t
}

// named is a device in words: its id, and its name where the plant has another.
func named(id, name string) string {
	switch {
	case id == "":
		return "(no device)"
	case name == "" || name == id:
		return id
	}
	return id + ", " + name
}

func moreTime(s Span) string {
	if s > 0 {
		return "+" + s.Clock()
	}
	return s.Clock()
}

func more(d decimal.Decimal, places int32) string {
	text := d.StringFixed(max(places, -d.Exponent()))
	if d.IsPositive() {
		return "+" + text
	}
	return text
}

func useTable(uses []Use) *table {
	t := &table{left: 4}
	if len(uses) == 0 {
		return t
	}
	t.row("Used and made", "Resource", "Part", "Lot", "Good", "Waste", "Planned")
	for _, u := range uses {
		planned := ""
		if u.Planned != nil {
			planned = u.Planned.String()
		}
		usage := map[string]string{"Input": "  used", "Output": "  made"}[u.Usage]
		part := strings.TrimSpace(u.Part + " " + u.Keys)
		t.row(usage, u.Kind, part, u.Lot, u.Good.String(), u.Waste.String(), planned)
	}
	return t
}

func centreTable(c *Costs) *table {
	t := &table{left: 2}
	t.row(slices.Concat([]string{"Cost centre", ""}, spent, []string{"", "", "Cost"})...)
	for _, centre := range c.Centres {
		name := named(centre.ID, centre.Name)
		if centre.ID == "" {
			name = "(none)"
		}
		t.figures(name, "", centre.Figures, "", "", c.Places)
	}
	t.figures("Total", "", c.Total, "", "", c.Places)
	return t
}

func deviceTable(devices []Device) *table {
	t := &table{left: 1}
	t.row("Device", "Reported", "Unallocated", "Availability", "Performance", "Quality", "OEE")
	for _, d := range devices {
		t.row(named(d.ID, d.Name), d.Total().Clock(), clock(d.Unallocated),
			d.OEE.Availability.Percent(), d.OEE.Performance.Percent(), d.OEE.Quality.Percent(), d.OEE.Overall.Percent())
	}
	return t
}
