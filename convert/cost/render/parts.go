package render

import (
	"fmt"
	"html/template"
	"io"
	"strconv"
	"strings"
	"time"

	"quoin/convert/cost"
	"quoin/convert/cost/account"
)

// mostDaysDrawn is how many days have a timeline of their own.
const mostDaysDrawn = 31

// parts are the sections of a page that have something to show.
func parts(r *Report) ([]part, error) {
	s := r.Statement
	if len(s.Rows) == 0 {
		return nil, nil
	}
	var kept []part
	for _, section := range []func(*Report) (part, error){
		rowsPart, deviationsPart, planPart, stopsPart, deliveriesPart, materialsPart, oeePart, wastePart,
		timePart, colourPart, digPart,
	} {
		p, err := section(r)
		if err != nil {
			return nil, err
		}
		if !p.empty() {
			kept = append(kept, p)
		}
	}
	return kept, nil
}

// drawn is a chart as an element of the page.
func drawn(caption string, fold bool, draw func(io.Writer) error) (figure, error) {
	var out strings.Builder
	err := draw(&out)
	return figure{template.HTML(out.String()), caption, fold}, err
}

func rowsPart(r *Report) (part, error) {
	s := r.Statement
	spent, split := &table{left: 2}, &table{left: 1}
	head := capital(words[s.By])
	spent.row(head, "Name", "Makeready", "Run", "Wash-up", "Idle", "Stopped", "Material", "Cost", "Planned",
		"Difference", "OEE")
	split.row(head, "Quantity", "Time", "Rate", "Waste", "Changeover", "Scope", "Difference")
	add := func(name string, row *account.Row) {
		planned, off := "-", "-"
		if row.Plan.Known {
			planned, off = money(row.Plan.Total, s.Places), difference(row.Variance.Total, s.Places)
		}
		t := &row.Times
		spent.row(name, safe(row.Name), hours(t.Makeready), hours(t.Run), hours(t.WashUp), hours(t.Idle), hours(t.Stopped),
			money(row.Actual.Material, s.Places), money(row.Actual.Total, s.Places), planned, off, row.OEE.Overall.Percent())
		splitRow(split, s, name, row)
	}
	for i := range s.Rows {
		add(label(s.By, s.Rows[i].Key), &s.Rows[i])
	}
	add("Total", &s.Total)
	p := part{ID: "rows", Title: "Time, cost and plan by " + words[s.By], Words: "Times are hours, minutes and seconds."}
	p.Tables = append(gridOf("Time, cost and plan", spent, true, false),
		gridOf("What the difference comes of; above zero is dearer than planned", split, true, false)...)
	return p, nil
}

func deviationsPart(r *Report) (part, error) {
	p := part{ID: "deviations", Title: "The worst deviations"}
	shown := dearest(r.Statement)
	for _, d := range shown {
		p.List = append(p.List, safeLine(d.Words))
	}
	if more := dearer(r.Statement) - len(shown); more > 0 {
		p.Rest = "and " + count(more, "piece of work more", "pieces of work more") + " dearer than planned"
	}
	return p, nil
}

func planPart(r *Report) (part, error) {
	s := r.Statement
	rows, by := s.Rows, s.By
	if r.Jobs != nil {
		rows, by = r.Jobs, account.ByJob
	}
	p := part{ID: "plan", Title: "Plan against actual by " + words[by]}
	f, err := drawn("Outlined: planned; filled: actual, with the difference in brackets.", false, func(w io.Writer) error {
		return PlanActual(w, "plan-chart", rows, s.Currency, s.Places)
	})
	p.Figures = []figure{f}
	t := &table{left: 2}
	t.row(capital(words[by]), "Name", "Planned", "Actual", "Difference")
	for i := range rows {
		planned, off := "-", "-"
		if rows[i].Plan.Known {
			planned, off = money(rows[i].Plan.Total, s.Places), difference(rows[i].Variance.Total, s.Places)
		}
		t.row(label(by, rows[i].Key), safe(rows[i].Name), planned, money(rows[i].Actual.Total, s.Places), off)
	}
	p.Tables = gridOf("The chart as a table", t, false, true)
	return p, err
}

func stopsPart(r *Report) (part, error) {
	return part{ID: "stops", Title: "Stop reasons", Tables: gridOf("The longest first", stopsTable(r.Statement),
		false, false)}, nil
}

func deliveriesPart(r *Report) (part, error) {
	s := r.Statement
	p := part{ID: "deliveries", Title: "Deliveries against the tolerance"}
	p.Words = fmt.Sprintf("%d of %d are inside.", len(s.Deliveries)-len(outside(s)), len(s.Deliveries))
	p.Tables = append(gridOf("Short or over", deliveriesTable(outside(s)), false, false),
		gridOf("All deliveries", deliveriesTable(s.Deliveries), false, true)...)
	return p, nil
}

func materialsPart(r *Report) (part, error) {
	return part{ID: "material", Title: "Material", Tables: append(
		gridOf("All jobs together; * is worked out, not reported", stuffTable(r.Statement), false, false),
		gridOf("By job", materialsTable(r.Statement), false, true)...)}, nil
}

func oeePart(r *Report) (part, error) {
	s := r.Statement
	p := part{ID: "oee", Title: "Effectiveness of devices"}
	p.Tables = append(gridOf("Devices", devicesTable(s), false, false), gridOf("The shifts one by one",
		shiftsTable(s), false, true)...)
	if len(s.Shifts) == 0 {
		return p, nil
	}
	t := &table{left: 2}
	t.row("Device", "Shift", "Availability", "Performance", "Quality", "OEE")
	for _, e := range effects(s.Shifts) {
		t.row(label(account.ByDevice, e.Device), label(account.ByShift, e.Shift), e.OEE.Availability.Percent(),
			e.OEE.Performance.Percent(), e.OEE.Quality.Percent(), e.OEE.Overall.Percent())
	}
	p.Tables = append(gridOf("The chart as a table", t, false, true), p.Tables...)
	f, err := drawn("The share of busy time that went into good pieces at the planned speed.", false,
		func(w io.Writer) error { return OEE(w, "oee-chart", s.Shifts) })
	p.Figures = []figure{f}
	return p, err
}

func shiftsTable(s *account.Statement) *table {
	t := &table{left: 3}
	t.row("Day", "Device", "Shift", "Busy", "Run", "Good", "Waste", "Availability", "Performance", "Quality", "OEE")
	for _, x := range s.Shifts {
		t.row(x.Day, label(account.ByDevice, x.Device), label(account.ByShift, x.Shift), hours(x.Busy), hours(x.Run),
			amount(x.Good), amount(x.Waste), x.OEE.Availability.Percent(), x.OEE.Performance.Percent(),
			x.OEE.Quality.Percent(), x.OEE.Overall.Percent())
	}
	return t
}

func wastePart(r *Report) (part, error) {
	all, byWeek := wastes(r.Statement.Shifts)
	p := part{ID: "waste", Title: "Trend of waste"}
	if len(all) == 0 {
		return p, nil
	}
	t := &table{left: 2}
	when := "Day"
	if byWeek {
		when = "Week from"
	}
	t.row("Device", when, "Good", "Waste", "Share")
	for i := range all {
		t.row(label(account.ByDevice, all[i].Device), all[i].When, amount(all[i].Good), amount(all[i].Waste),
			share(all[i].Waste, all[i].Good.Add(all[i].Waste)))
	}
	p.Tables = gridOf("The chart as a table", t, false, true)
	f, err := drawn("Share of waste in what each device made.", false,
		func(w io.Writer) error { return Waste(w, "waste-chart", r.Statement.Shifts) })
	p.Figures = []figure{f}
	return p, err
}

// timePart draws the whole period, and each day of it.
func timePart(r *Report) (part, error) {
	p := part{ID: "time", Title: "Phases of devices"}
	if len(r.Entries) == 0 {
		return p, nil
	}
	from, to := r.Entries[0].Start, r.Entries[0].End
	for _, e := range r.Entries {
		from, to = earlier(from, e.Start), later(to, e.End)
	}
	zone := r.zone()
	f, err := drawn("Each column shows what most of its time was spent in.", false, func(w io.Writer) error {
		return Timeline(w, "time-chart", r.Entries, from, to, zone)
	})
	if err != nil {
		return p, err
	}
	p.Figures = []figure{f}
	p.Tables = gridOf("The chart as a table: time of devices by state", statesTable(r.Entries), false, true)
	local := from.In(zone)
	day := func(n int) time.Time {
		return time.Date(local.Year(), local.Month(), local.Day()+n, 0, 0, 0, 0, zone)
	}
	for n := 0; day(n).Before(to) && to.Sub(from) > 24*time.Hour; n++ {
		if n == mostDaysDrawn {
			p.Rest = fmt.Sprintf("The first %d days are drawn one by one; narrow the period to see others.", n)
			break
		}
		f, err := drawn(day(n).Format("Monday 2 January 2006"), true, func(w io.Writer) error {
			return Timeline(w, "day-chart-"+strconv.Itoa(n), r.Entries, day(n), day(n+1), zone)
		})
		if err != nil {
			return p, err
		}
		p.Figures = append(p.Figures, f)
	}
	return p, nil
}

func statesTable(entries []cost.Entry) *table {
	sums := map[string][]cost.Span{}
	for _, e := range entries {
		if sums[e.Device] == nil {
			sums[e.Device] = make([]cost.Span, len(looks))
		}
		for i, l := range looks {
			if e.State == l.state {
				sums[e.Device][i] += e.Time
			}
		}
	}
	t := &table{left: 1}
	head := []string{"Device"}
	for _, l := range looks {
		head = append(head, capital(l.name))
	}
	t.row(head...)
	for _, device := range sortedKeys(sums) {
		row := []string{label(account.ByDevice, device)}
		for _, sum := range sums[device] {
			row = append(row, hours(sum))
		}
		t.row(row...)
	}
	return t
}
