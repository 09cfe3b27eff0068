package render

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
	"strings"

	"github.com/shopspring/decimal"

	"quoin/convert/cost"
	"quoin/convert/cost/account"
)

// field is a column of lines, in CSV and in the workbook.
type field struct {
	name  string // stable
	title string // for people
	kind  kind
	of    func(s *account.Statement, r *account.Row, l *account.Line) any
}

// kind tells what a value of a table is.
type kind uint8

const (
	text   kind = iota // string
	number             // int or decimal.Decimal
	length             // cost.Span
	amountOfMoney
	ratio // cost.Ratio
	day   // string, as in 2026-03-02
)

// fields are the columns of a line of a row. The names are a promise: new ones are
// added at the end, and none changes its meaning.
func fields() []field {
	return []field{
		{"by", "By", text, func(s *account.Statement, _ *account.Row, _ *account.Line) any { return string(s.By) }},
		{"key", "Key", text, func(_ *account.Statement, r *account.Row, _ *account.Line) any { return r.Key }},
		{"name", "Name", text, func(_ *account.Statement, r *account.Row, _ *account.Line) any { return r.Name }},
		{"device", "Device", text, ofLine(func(l *account.Line) any { return l.Device })},
		{"device_name", "Device name", text, ofLine(func(l *account.Line) any { return l.Name })},
		{"currency", "Currency", text, func(s *account.Statement, _ *account.Row, _ *account.Line) any { return s.Currency }},
		{"phases", "Phases", number, ofLine(func(l *account.Line) any { return l.Entries })},
		{"makeready_s", "Makeready", length, ofLine(func(l *account.Line) any { return l.Times.Makeready })},
		{"run_s", "Run", length, ofLine(func(l *account.Line) any { return l.Times.Run })},
		{"wash_up_s", "Wash-up", length, ofLine(func(l *account.Line) any { return l.Times.WashUp })},
		{"idle_s", "Idle", length, ofLine(func(l *account.Line) any { return l.Times.Idle })},
		{"stopped_s", "Stopped", length, ofLine(func(l *account.Line) any { return l.Times.Stopped })},
		{"unknown_s", "Unknown", length, ofLine(func(l *account.Line) any { return l.Times.Unknown })},
		{"unpriced_s", "Unpriced", length, ofLine(func(l *account.Line) any { return l.Unpriced })},
		{"good", "Good", number, ofLine(func(l *account.Line) any { return l.Good })},
		{"waste", "Waste", number, ofLine(func(l *account.Line) any { return l.Waste })},
		{"planned_good", "Planned good", number, ofLine(func(l *account.Line) any { return l.PlannedGood })},
		{"planned_waste", "Planned waste", number, ofLine(func(l *account.Line) any { return l.PlannedWaste })},
		{"cost_time", "Cost of time", amountOfMoney, ofLine(func(l *account.Line) any { return l.Actual.Time })},
		{"cost_paper", "Paper", amountOfMoney, ofLine(func(l *account.Line) any { return l.Actual.Paper })},
		{"cost_plates", "Plates", amountOfMoney, ofLine(func(l *account.Line) any { return l.Actual.Plates })},
		{"cost_ink", "Ink", amountOfMoney, ofLine(func(l *account.Line) any { return l.Actual.Ink })},
		{"cost_coating", "Coating", amountOfMoney, ofLine(func(l *account.Line) any { return l.Actual.Coating })},
		{"cost_other", "Other material", amountOfMoney, ofLine(func(l *account.Line) any { return l.Actual.Other })},
		{"cost_purchases", "Purchases", amountOfMoney, ofLine(func(l *account.Line) any { return l.Actual.Purchases })},
		{"cost_total", "Cost", amountOfMoney, ofLine(func(l *account.Line) any { return l.Actual.Total })},
		{"of_which_rework", "of which rework", amountOfMoney, ofLine(func(l *account.Line) any { return l.Extra.Rework })},
		{"of_which_premiums", "of which premiums", amountOfMoney,
			ofLine(func(l *account.Line) any { return l.Extra.Premiums })},
		{"planned", "Has a plan", text, ofLine(func(l *account.Line) any { return strconv.FormatBool(l.Plan.Known) })},
		{"planned_makeready_s", "Planned makeready", length, ofLine(func(l *account.Line) any { return l.Plan.Makeready })},
		{"planned_run_s", "Planned run", length, ofLine(func(l *account.Line) any { return l.Plan.Run })},
		{"planned_wash_up_s", "Planned wash-up", length, ofLine(func(l *account.Line) any { return l.Plan.WashUp })},
		{"planned_time", "Planned cost of time", amountOfMoney, ofLine(func(l *account.Line) any { return l.Plan.Time })},
		{"planned_material", "Planned material", amountOfMoney, ofLine(func(l *account.Line) any { return l.Plan.Material })},
		{"planned_purchases", "Planned purchases", amountOfMoney,
			ofLine(func(l *account.Line) any { return l.Plan.Purchases })},
		{"planned_total", "Planned cost", amountOfMoney, ofLine(func(l *account.Line) any { return l.Plan.Total })},
		{"variance_quantity", "Quantity", amountOfMoney, ofLine(func(l *account.Line) any { return l.Variance.Quantity })},
		{"variance_time", "Time", amountOfMoney, ofLine(func(l *account.Line) any { return l.Variance.Time })},
		{"variance_rate", "Rate", amountOfMoney, ofLine(func(l *account.Line) any { return l.Variance.Rate })},
		{"variance_waste", "Waste cost", amountOfMoney, ofLine(func(l *account.Line) any { return l.Variance.Waste })},
		{"variance_changeover", "Changeover", amountOfMoney,
			ofLine(func(l *account.Line) any { return l.Variance.Changeover })},
		{"variance_scope", "Scope", amountOfMoney, ofLine(func(l *account.Line) any { return l.Variance.Scope })},
		{"variance_total", "Difference", amountOfMoney, ofLine(func(l *account.Line) any { return l.Variance.Total })},
	}
}

func ofLine(of func(*account.Line) any) func(*account.Statement, *account.Row, *account.Line) any {
	return func(_ *account.Statement, _ *account.Row, l *account.Line) any { return of(l) }
}

// CSV writes one record for each row and device, after one record of column names,
// by RFC 4180. Names that end in _s are seconds; numbers have a decimal point, and
// money the places of the plant. There is no record of totals: the columns add up to
// Statement.Total. Text that a spreadsheet would take for a formula begins with an
// apostrophe. The error is that of the writer.
func CSV(w io.Writer, s *account.Statement) error {
	out := csv.NewWriter(w)
	out.UseCRLF = true
	columns := fields()
	record := make([]string, len(columns))
	for i, c := range columns {
		record[i] = c.name
	}
	err := out.Write(record)
	for i := range s.Rows {
		for j := range s.Rows[i].Lines {
			for k, c := range columns {
				record[k] = plain(c.of(s, &s.Rows[i], &s.Rows[i].Lines[j]), c.kind, s.Places)
			}
			if err == nil {
				err = out.Write(record)
			}
		}
	}
	out.Flush()
	if err == nil {
		err = out.Error()
	}
	if err != nil {
		return fmt.Errorf("write CSV: %w", err)
	}
	return nil
}

// plain writes a value for programs.
func plain(v any, k kind, places int32) string {
	switch v := v.(type) {
	case decimal.Decimal:
		if k == amountOfMoney {
			return v.StringFixed(places)
		}
		return v.String()
	case cost.Span:
		return decimal.New(int64(v), -9).String()
	case string:
		return guarded(v)
	}
	return fmt.Sprint(v)
}

// guarded makes text harmless to a spreadsheet, which takes what begins with one of
// a few characters for a formula.
//
// From memory: the usual advice against formulas in CSV. It names the tab and the end
// of a line too, since programs trim them, and blanks before the character.
func guarded(s string) string {
	s = safe(s)
	if t := strings.TrimLeft(s, " \u00A0"); t != "" && strings.ContainsRune("=+-@\\|%＝＋－＠", []rune(t)[0]) {
		return "'" + s
	}
	return s
}
