package render

import (
	"bufio"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"quoin/convert/cost/account"
)

const (
	// mostRows is how many rows of a table people are shown as text; the other forms
	// have all of them.
	mostRows = 200
	// mostDeliveries is how many deliveries are told one by one; of more, those that are
	// outside of the tolerance. Of more than mostMaterials, sums are told.
	mostDeliveries = 20
	mostMaterials  = 40
	// worst is how many deviations are explained.
	worst = 5
)

// Text writes a report for people, at most 100 columns wide. The error is that of
// the writer.
func Text(w io.Writer, r *Report) error {
	out := bufio.NewWriter(w)
	s := r.Statement
	title, narrowed := headline(s)
	paragraph(out, "", title+", in "+safe(s.Currency))
	if narrowed != "" {
		paragraph(out, "", narrowed)
	}
	if len(s.Rows) > 0 {
		rowsText(out, s)
	}
	deviationsText(out, s)
	section(out, "Stop reasons, the longest first", stopsTable(s), 0)
	deliveriesText(out, s)
	if len(s.Materials) > mostMaterials {
		section(out, "Material of all jobs together", stuffTable(s), guessed(s.Materials))
	} else {
		section(out, "Material", materialsTable(s), guessed(s.Materials))
	}
	section(out, "Effectiveness of devices", devicesTable(s), 0)
	if all := append(missing(s), r.Notes...); len(all) > 0 {
		fmt.Fprint(out, "\nTo be known\n")
		for _, m := range all {
			paragraph(out, "  - ", safeLine(m))
		}
	}
	return out.Flush()
}

// safeLine is safe for sentences, which may be longer than a name.
func safeLine(s string) string {
	return strings.Map(func(r rune) rune {
		if hidden(r) {
			return '\uFFFD'
		}
		return r
	}, s)
}

func section(out *bufio.Writer, title string, t *table, marked int) {
	if len(t.rows) < 2 {
		return
	}
	fmt.Fprintf(out, "\n%s\n", title)
	left := len(t.rows) - 1 - mostRows
	if left > 0 {
		t.rows = t.rows[:1+mostRows]
	}
	t.write(out)
	if left > 0 {
		fmt.Fprintf(out, "  … and %s; the other formats have them all.\n", count(left, "row more", "rows more"))
	}
	if marked > 0 {
		fmt.Fprint(out, "  * worked out, not reported\n")
	}
}

func rowsText(out *bufio.Writer, s *account.Statement) {
	shown := s.Rows[:min(len(s.Rows), mostRows)]
	spent, split := &table{left: 1}, &table{left: 1}
	head := capital(words[s.By])
	spent.row(head, "Makeready", "Run", "Idle, stop", "Cost", "Planned", "Difference", "OEE")
	split.row(head, "Quantity", "Time", "Rate", "Waste", "Changeover", "Scope", "Difference")
	for i := range shown {
		spentRow(spent, s, label(s.By, shown[i].Key), &shown[i])
		splitRow(split, s, label(s.By, shown[i].Key), &shown[i])
	}
	if left := len(s.Rows) - len(shown); left > 0 {
		spent.row(fmt.Sprintf("… %s", count(left, "row more", "rows more")), "", "", "", "", "", "", "")
		split.row(fmt.Sprintf("… %s", count(left, "row more", "rows more")), "", "", "", "", "", "", "")
	}
	spentRow(spent, s, "Total", &s.Total)
	splitRow(split, s, "Total", &s.Total)
	section(out, "Time, cost and plan", spent, 0)
	section(out, "What the difference comes of (above zero is dearer than planned)", split, 0)
}

func spentRow(t *table, s *account.Statement, name string, r *account.Row) {
	planned, off := "-", "-"
	if r.Plan.Known {
		planned, off = money(r.Plan.Total, s.Places), difference(r.Variance.Total, s.Places)
	}
	t.row(name, hours(r.Times.Makeready), hours(r.Times.Run), hours(r.Times.Idle+r.Times.Stopped),
		money(r.Actual.Total, s.Places), planned, off, r.OEE.Overall.Percent())
}

func splitRow(t *table, s *account.Statement, name string, r *account.Row) {
	v := &r.Variance
	t.row(name, money(v.Quantity, s.Places), money(v.Time, s.Places), money(v.Rate, s.Places),
		money(v.Waste, s.Places), money(v.Changeover, s.Places), money(v.Scope, s.Places), money(v.Total, s.Places))
}

func deviationsText(out *bufio.Writer, s *account.Statement) {
	shown := dearest(s)
	if len(shown) == 0 {
		return
	}
	fmt.Fprint(out, "\nThe worst deviations\n")
	for n, d := range shown {
		paragraph(out, fmt.Sprintf("  %d. ", n+1), safeLine(d.Words))
	}
	if more := dearer(s) - len(shown); more > 0 {
		fmt.Fprintf(out, "  … and %s dearer than planned\n", count(more, "piece of work more", "pieces of work more"))
	}
}

// dearest are the deviations to be explained: those that cost more than planned.
func dearest(s *account.Statement) []account.Deviation {
	return s.Deviations[:min(worst, dearer(s))]
}

// dearer counts the deviations that cost more than planned; they stand first.
func dearer(s *account.Statement) int {
	n := slices.IndexFunc(s.Deviations, func(d account.Deviation) bool { return !d.Variance.Total.IsPositive() })
	if n < 0 {
		return len(s.Deviations)
	}
	return n
}

func stopsTable(s *account.Statement) *table {
	t := &table{left: 1}
	t.row("Reason", "Time", "Stops", "Cost", "Rank by time", "by count", "by cost")
	for _, stop := range s.Stops {
		reason := safe(stop.Reason)
		if reason == "" {
			reason = "(none given)"
		}
		t.row(reason, hours(stop.Time), strconv.Itoa(stop.Count), money(stop.Cost, s.Places),
			strconv.Itoa(stop.ByTime), strconv.Itoa(stop.ByCount), strconv.Itoa(stop.ByCost))
	}
	return t
}

func deliveriesTable(all []account.Delivery) *table {
	t := &table{left: 2}
	t.row("Job", "Customer", "Ordered", "Delivered", "Least", "Most", "Outcome", "To bill")
	for _, d := range all {
		t.row(safe(d.Job), safe(d.Customer), amount(d.Ordered), amount(d.Delivered), amount(d.Least), amount(d.Most),
			string(d.Outcome), amount(d.Bill))
	}
	return t
}

func deliveriesText(out *bufio.Writer, s *account.Statement) {
	all := s.Deliveries
	if len(all) > mostDeliveries {
		all = outside(s)
	}
	title := fmt.Sprintf("Deliveries against the tolerance: %d of %d inside", len(s.Deliveries)-len(outside(s)),
		len(s.Deliveries))
	switch {
	case len(all) > 0:
		section(out, title, deliveriesTable(all), 0)
	case len(s.Deliveries) > 0:
		fmt.Fprintf(out, "\n%s\n", title)
	}
}

// outside are the deliveries that the tolerance does not take.
func outside(s *account.Statement) []account.Delivery {
	var all []account.Delivery
	for _, d := range s.Deliveries {
		if d.Outcome != account.Inside {
			all = append(all, d)
		}
	}
	return all
}

// stuffTable adds up the material of jobs by kind, name and unit.
func stuffTable(s *account.Statement) *table {
	type key struct{ kind, name, unit string }
	sums := map[key]*account.Material{}
	var keys []key
	for _, m := range s.Materials {
		k := key{m.Kind, m.Name, m.Unit}
		if sums[k] == nil {
			sums[k] = &account.Material{Kind: m.Kind, Name: m.Name, Unit: m.Unit, Reported: true}
			keys = append(keys, k)
		}
		x := sums[k]
		x.Quantity, x.Planned = x.Quantity.Add(m.Quantity), x.Planned.Add(m.Planned)
		x.Cost, x.PlanCost = x.Cost.Add(m.Cost), x.PlanCost.Add(m.PlanCost)
		x.Reported = x.Reported && m.Reported
	}
	slices.SortFunc(keys, func(a, b key) int {
		return slices.Compare([]string{a.kind, a.name, a.unit}, []string{b.kind, b.name, b.unit})
	})
	sum := &account.Statement{Places: s.Places}
	for _, k := range keys {
		sum.Materials = append(sum.Materials, *sums[k])
	}
	return materialsTable(sum)
}

func materialsTable(s *account.Statement) *table {
	t := &table{left: 3}
	t.row("Job", "Kind", "Name", "Quantity", "Unit", "Planned", "Cost", "Planned cost", "")
	for _, m := range s.Materials {
		mark := ""
		if !m.Reported {
			mark = "*"
		}
		t.row(safe(m.Job), safe(m.Kind), safe(m.Name), amount(m.Quantity), safe(m.Unit), amount(m.Planned),
			money(m.Cost, s.Places), money(m.PlanCost, s.Places), mark)
	}
	return t
}

func devicesTable(s *account.Statement) *table {
	t := &table{left: 1}
	t.row("Device", "Busy", "Run", "Good", "Waste", "Availability", "Performance", "Quality", "OEE")
	for _, d := range s.Devices {
		t.row(label(account.ByDevice, d.ID), hours(d.Busy), hours(d.Run), amount(d.Good), amount(d.Waste),
			d.OEE.Availability.Percent(), d.OEE.Performance.Percent(), d.OEE.Quality.Percent(), d.OEE.Overall.Percent())
	}
	return t
}

func capital(s string) string { return strings.ToUpper(s[:1]) + s[1:] }
