package board

import (
	"bytes"
	"context"
	"net/http"
	"net/url"
	"slices"
	"time"

	"quoin/convert/cost/account"
)

type reportsPage struct {
	*account.Statement
	Dimensions []option
	From, To   string // as they stand in the form
	Rows       []reportRow
	Chart      *chart
	Narrowed   []string // what the filter takes, in words
	Plain      string   // the same report without the filter's keys
	Files      []link
	Missing    bool // there are no books
	Notes      []string
}

type reportRow struct {
	account.Row
	Label string
	Href  string // to look into it, "" where only entries are left
}

// showReports shows a statement of the books: a dimension, a period, and what a row
// was narrowed down to by those who looked into it.
func (b *board) showReports(w http.ResponseWriter, r *http.Request) error {
	q := r.URL.Query()
	by, f, err := asked(q)
	if err != nil {
		return err
	}
	body := reportsPage{From: f.From, To: f.To}
	for _, d := range account.Dimensions() {
		body.Dimensions = append(body.Dimensions, option{string(d), "by " + dimension(d), d == by})
	}
	if b.Ledger == nil {
		body.Missing, body.Statement = true, &account.Statement{}
		return b.show(w, r, http.StatusOK, "reports", "Reports", body)
	}
	st, notes, err := b.statement(r.Context(), by, f)
	if err != nil {
		return err
	}
	for _, form := range b.Forms {
		if form.Name == q.Get("as") {
			var text bytes.Buffer
			if err := form.Write(&text, st); err != nil {
				return err
			}
			return send(w, form.Media, "report-by-"+string(by)+"."+form.Name, text.Bytes())
		}
		body.Files = append(body.Files, link{Href: withQuery(r.URL, "as", form.Name), Name: form.Name})
	}
	if as := q.Get("as"); as != "" {
		return wrong("There is no report in the form %q.", as)
	}
	body.Statement, body.Notes, body.Narrowed = st, notes, narrowed(f)
	body.Plain = "/reports?" + url.Values{"by": {string(by)}, "from": {f.From}, "to": {f.To}}.Encode()
	for _, row := range st.Rows {
		body.Rows = append(body.Rows, reportRow{row, labelOf(row), lookInto(row)})
	}
	body.Chart = drawChart(body.Rows)
	return b.show(w, r, http.StatusOK, "reports", "Report by "+dimension(by), body)
}

// asked reads the dimension and the filter out of an address.
func asked(q url.Values) (account.By, account.Filter, error) {
	by := account.ByJob
	if text := q.Get("by"); text != "" {
		var err error
		if by, err = account.ParseBy(text); err != nil {
			return "", account.Filter{}, wrong("%s", err)
		}
	}
	f := account.Filter{
		From: q.Get("from"), To: q.Get("to"), Jobs: q["job"], Parts: q["part"], Devices: q["device"], Centres: q["centre"],
		Customers: q["customer"], Operators: q["operator"], Shifts: q["shift"], Undated: q.Get("undated") == "yes",
	}
	for _, day := range []string{f.From, f.To} {
		if _, err := time.Parse(time.DateOnly, day); day != "" && err != nil {
			return "", f, wrong("A day is %q; write it as in 2026-11-25.", day)
		}
	}
	return by, f, nil
}

// lookInto is the address of what a row is made of.
func lookInto(row account.Row) string {
	if row.Below == "" {
		return ""
	}
	f := row.Only
	q := url.Values{"by": {string(row.Below)}, "job": f.Jobs, "part": f.Parts, "device": f.Devices, "centre": f.Centres,
		"customer": f.Customers, "operator": f.Operators, "shift": f.Shifts}
	for name, values := range q {
		if len(values) == 0 {
			q.Del(name)
		}
	}
	if f.From != "" {
		q.Set("from", f.From)
	}
	if f.To != "" {
		q.Set("to", f.To)
	}
	if f.Undated {
		q.Set("undated", "yes")
	}
	return "/reports?" + q.Encode()
}

func narrowed(f account.Filter) []string {
	var said []string
	for _, n := range []struct {
		what string
		keys []string
	}{
		{"job", f.Jobs}, {"part", f.Parts}, {"device", f.Devices}, {"cost centre", f.Centres},
		{"customer", f.Customers}, {"operator", f.Operators}, {"shift", f.Shifts},
	} {
		for _, k := range n.keys {
			said = append(said, n.what+" "+nameOr(k, "(none)"))
		}
	}
	if f.Undated {
		said = append(said, "what belongs to no day")
	}
	return said
}

func labelOf(row account.Row) string {
	switch {
	case row.Key == "":
		return "(none)"
	case row.Name == "" || row.Name == row.Key:
		return row.Key
	}
	return row.Key + " · " + row.Name
}

func dimension(by account.By) string {
	if by == account.ByCentre {
		return "cost centre"
	}
	return string(by)
}

// mostNotes is how many remarks on the books a page shows.
const mostNotes = 20

// statement makes a statement of the books, a few jobs at a time; what could not be
// priced is told beside it.
func (b *board) statement(ctx context.Context, by account.By, f account.Filter) (*account.Statement, []string, error) {
	st, findings, err := b.Ledger.Statement(ctx, by, f)
	if err != nil {
		return nil, nil, err
	}
	var notes []string
	for _, found := range findings {
		if len(notes) < mostNotes && !slices.Contains(notes, found.Message()) {
			notes = append(notes, found.Message())
		}
	}
	return st, notes, nil
}

// costView is what a job cost beside its plan.
type costView struct {
	*account.Statement
	Rows   []reportRow
	Causes []cause
	Report string // address of the whole report
}

type cause struct {
	Name   string
	Amount string
	Means  string
}

// costOf is nil when nothing was reported for the job.
func (b *board) costOf(ctx context.Context, job string) (*costView, error) {
	st, _, err := b.statement(ctx, account.ByDevice, account.Filter{Jobs: []string{job}})
	if err != nil || len(st.Rows) == 0 {
		return nil, err
	}
	v := &costView{Statement: st, Report: "/reports?" + url.Values{"by": {"part"}, "job": {job}}.Encode()}
	for _, row := range st.Rows {
		v.Rows = append(v.Rows, reportRow{row, nameOr(row.Name, labelOf(row)), lookInto(row)})
	}
	d := st.Total.Variance
	for _, c := range []struct {
		name, means string
		amount      interface {
			IsZero() bool
		}
		text string
	}{
		{"Changeover", "makeready and wash-up beyond the plan", d.Changeover, signed(d.Changeover, st.Places)},
		{"Time", "running longer than planned, and stops", d.Time, signed(d.Time, st.Places)},
		{"Waste", "pieces made beyond what the plan grants", d.Waste, signed(d.Waste, st.Places)},
		{"Quantity", "more or fewer good copies than planned", d.Quantity, signed(d.Quantity, st.Places)},
		{"Rate", "other rates and prices than planned", d.Rate, signed(d.Rate, st.Places)},
		{"Scope", "work and material that no plan has, or that is not reported yet", d.Scope, signed(d.Scope, st.Places)},
	} {
		if !c.amount.IsZero() {
			v.Causes = append(v.Causes, cause{c.name, c.text, c.means})
		}
	}
	return v, nil
}
