package render

import (
	"fmt"
	"io"
	"strconv"

	"quoin/convert/cost"
	"quoin/convert/cost/account"
	"quoin/convert/cost/colour"
)

func colourPart(r *Report) (part, error) {
	p := part{ID: "colour", Title: "Trend of colour"}
	all := trends(r.Runs)
	if len(all) == 0 {
		return p, nil
	}
	p.Words = "What drifts first, then what was out most. Band: the tolerance about the target; heavy line: a drift."
	for n, t := range all[:min(mostSeries, len(all))] {
		caption := fmt.Sprintf("Job %s on %s, sheet %s: %s", safe(t.Run.Job), safe(t.Run.Device),
			safe(t.Run.SheetName), safe(t.name()))
		f, err := drawn(caption, false, func(w io.Writer) error {
			return Colour(w, "colour-chart-"+strconv.Itoa(n), t.Run, t.Series)
		})
		if err != nil {
			return p, err
		}
		p.Figures = append(p.Figures, f)
	}
	t := &table{left: 4}
	t.row("Job", "Device", "Series", "Verdict", "Target", "Tolerance", "In", "Near", "Out", "Worst off", "Drift")
	for _, x := range all[:min(mostSeriesListed, len(all))] {
		drift := ""
		if x.Series.Drift != nil {
			drift = "yes"
		}
		target := fmt.Sprintf("%.4g", x.Series.Target)
		if l := x.Series.TargetLab; x.Series.Kind == colour.CIELAB && l != nil {
			target = fmt.Sprintf("%.4g / %.4g / %.4g", l.L, l.A, l.B)
		}
		t.row(safe(x.Run.Job), safe(x.Run.Device), safe(x.name()), string(x.Series.Verdict), target,
			fmt.Sprintf("%.4g", x.Series.Tolerance), strconv.Itoa(x.Series.In), strconv.Itoa(x.Series.Near),
			strconv.Itoa(x.Series.Out), fmt.Sprintf("%.3g", x.Series.Worst), drift)
	}
	p.Tables = gridOf("The charts and more as a table", t, false, true)
	if more := len(all) - mostSeries; more > 0 {
		p.Rest = fmt.Sprintf("%d series are not drawn; the table lists %d of %d.", more, min(mostSeriesListed,
			len(all)), len(all))
	}
	return p, nil
}

func digPart(r *Report) (part, error) {
	p := part{ID: "dig", Title: "Down to the line of the ticket"}
	p.Branches = branches(r, r.Statement.By, r.Statement.Rows, r.Branches)
	if r.Left.Rows+r.Left.Entries > 0 {
		p.Rest = fmt.Sprintf("Left out, to keep the page one that opens: %s not looked into, and %s. "+
			"Narrow the report to see them.",
			count(r.Left.Rows, "row", "rows"), count(r.Left.Entries, "entry", "entries"))
	}
	return p, nil
}

func branches(r *Report, by account.By, rows []account.Row, below []Branch) []branch {
	var all []branch
	for i := range below {
		row, b := &rows[i], &below[i]
		out := branch{Summary: summary(r.Statement, by, row), Below: branches(r, b.By, b.Rows, b.Branches)}
		if len(b.Entries) > 0 {
			out.Table = entriesGrid(r, b.Entries)
		}
		all = append(all, out)
	}
	return all
}

// summary is a row in one line.
func summary(s *account.Statement, by account.By, row *account.Row) string {
	text := capital(words[by]) + " " + safe(row.Key)
	if row.Key == "" {
		text = "For no " + words[by]
	}
	if row.Name != "" {
		text += ", " + safe(row.Name)
	}
	text += ": " + money(row.Actual.Total, s.Places)
	if row.Plan.Known {
		text += fmt.Sprintf(", planned %s (%s)", money(row.Plan.Total, s.Places), difference(row.Variance.Total, s.Places))
	}
	return text + "; " + hours(row.Times.Total()) + " h"
}

func entriesGrid(r *Report, entries []cost.Entry) *grid {
	t := &table{left: 5}
	t.row("Start", "Device", "Part", "State", "Operator", "Time", "Good", "Waste", "Source")
	for _, e := range entries {
		state := e.State.String()
		if e.Reason != "" {
			state += ", " + safe(e.Reason)
		}
		t.row(e.Start.In(r.zone()).Format("2006-01-02 15:04:05"), safe(e.Device), safe(e.Part), state, safe(e.Employee),
			e.Time.Clock(), amount(e.Good), amount(e.Waste), fmt.Sprintf("%s:%d:%d", safe(e.Source.File), e.Source.Line,
				e.Source.Column))
	}
	return &grid{Caption: "Entries, with the place each was read from; those at the edge of the period are whole",
		Head: t.rows[0], Rows: t.rows[1:], Left: t.left}
}
