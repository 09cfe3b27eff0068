package render

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"quoin/convert/cost"
	"quoin/convert/cost/account"
	"quoin/convert/cost/colour"
)

// Report is a statement with what a page shows beside it. Only Statement must be
// there; what is left out is not shown. Text, CSV, JSON and XLSX write the statement
// and the Notes, HTML writes all.
type Report struct {
	Statement *account.Statement
	Zone      *time.Location // of the times shown; nil is UTC
	Jobs      []account.Row  // the rows by job, where the statement is by something else
	Branches  []Branch       // what each row is made of, see Dig
	Left      Left           // what Dig left out
	Entries   []cost.Entry   // for the timelines; those of the filter
	Runs      []*colour.Run
	Notes     []string // what is to be known of the data, such as findings
}

func (r *Report) zone() *time.Location {
	if r.Zone == nil {
		return time.UTC
	}
	return r.Zone
}

// missing says in sentences what the statement can not tell, and why.
func missing(s *account.Statement) []string {
	var all []string
	say := func(format string, args ...any) { all = append(all, fmt.Sprintf(format, args...)) }
	if len(s.Rows) == 0 {
		say("Nothing is reported in this period and choice. Widen --from and --to, or look for the job, device " +
			"or customer under another name.")
		if n := len(s.Waiting); n > 0 {
			say("%s planned, and nothing is reported of them: %s.", count(n, "job is", "jobs are"), list(s.Waiting))
		}
		return all
	}
	t := &s.Total
	if !t.Plan.Known {
		say("No plan is known for any of it, so that nothing can be compared. Give the folders of quoin plan with --plan.")
	} else if n := unplanned(s.Rows); n > 0 {
		say("%s no plan; the whole cost of that is counted as difference, under scope.", count(n, "row has", "rows have"))
	}
	if t.Unpriced > 0 {
		say("%s of time has no price: the plant file has no rate for it.", hours(t.Unpriced))
	}
	if t.Times.Unknown > 0 {
		say("%s of time was reported in a state that is not understood; it has no price.", hours(t.Times.Unknown))
	}
	if n := guessed(s.Materials); n > 0 {
		say("%s worked out from sheets and plan, since nobody reported the consumption; marked with *.",
			count(n, "amount of material is", "amounts of material are"))
	}
	if len(s.Deliveries) == 0 {
		say("No order with a quantity is known, so that no delivery is judged.")
	}
	if n := len(s.Waiting); n > 0 {
		say("%s planned, and nothing is reported of them: %s.", count(n, "job is", "jobs are"), list(s.Waiting))
	}
	if slices.ContainsFunc(s.Devices, func(d account.Device) bool { return d.OEE.Performance.Value.GreaterThan(one) }) {
		say("A performance over 100 %% means that the plant file or the plans reckon with too low a speed.")
	}
	return all
}

func unplanned(rows []account.Row) int {
	n := 0
	for i := range rows {
		if r := &rows[i]; !r.Plan.Known && r.Key != "" {
			n++
		}
	}
	return n
}

func guessed(all []account.Material) int {
	n := 0
	for i := range all {
		if !all[i].Reported {
			n++
		}
	}
	return n
}

// headline names the statement: what it is by, and what it was narrowed to.
func headline(s *account.Statement) (title, narrowed string) {
	period := "no time reported"
	switch {
	case s.From != "" && s.From == s.To:
		period = s.From
	case s.From != "" || s.To != "":
		period = cmp.Or(s.From, "the beginning") + " to " + cmp.Or(s.To, "the end")
	}
	title = fmt.Sprintf("Costs by %s, %s, %s", words[s.By], safe(s.Plant), period)
	f := &s.Filter
	for _, of := range []struct {
		name string
		list []string
	}{
		{"job", f.Jobs}, {"part", f.Parts}, {"device", f.Devices}, {"cost centre", f.Centres},
		{"customer", f.Customers}, {"operator", f.Operators}, {"shift", f.Shifts},
	} {
		if len(of.list) > 0 {
			narrowed += "; " + of.name + " " + list(of.list)
		}
	}
	if narrowed != "" {
		narrowed = "Only " + narrowed[2:]
	}
	return title, narrowed
}

// words are the dimensions as people write them.
var words = map[account.By]string{
	account.ByJob: "job", account.ByPart: "part", account.ByCentre: "cost centre", account.ByDevice: "device",
	account.ByOperator: "operator", account.ByCustomer: "customer", account.ByShift: "shift",
	account.ByDay: "day", account.ByWeek: "week", account.ByMonth: "month",
}

// label is the key of a row in words.
func label(by account.By, key string) string {
	if key == "" {
		return "(no " + words[by] + ")"
	}
	return safe(key)
}
