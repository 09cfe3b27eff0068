package learn

import (
	"math"
	"slices"

	"github.com/shopspring/decimal"
)

// Error is how far plans were from what happened in the held-out jobs, with the
// present figures and with the proposed ones.
type Error struct {
	Device   string   `json:"device"` // "" for all
	Quantity Quantity `json:"quantity"`
	Tasks    int      `json:"tasks"`
	Before   Miss     `json:"before"`
	After    Miss     `json:"after"`
}

// Miss is an error of plans, in percent of what happened.
type Miss struct {
	Median float64 `json:"median"` // of the absolute errors of single tasks
	Bias   float64 `json:"bias"`   // of the sum; below zero where too little was planned
}

// compare puts the held-out tasks beside their plans, with and without the
// factors of the proposal. All of them count, also those that would not teach,
// unless a figure is not known. What wasted nothing counts in the bias alone.
func (l *Lesson) compare(held []*seen) {
	for _, q := range quantities {
		all := tally{}
		var rows []Error
		byDevice := map[string]*tally{}
		var devices []string
		for _, s := range held {
			plan, actual, known := s.pair(q)
			if !known {
				continue
			}
			t := byDevice[s.task.Device]
			if t == nil {
				t = &tally{}
				byDevice[s.task.Device], devices = t, append(devices, s.task.Device)
			}
			after := plan * l.factor(s, q)
			t.add(plan, after, actual)
			all.add(plan, after, actual)
		}
		slices.Sort(devices)
		for _, d := range devices {
			if len(byDevice[d].before) > 0 {
				rows = append(rows, byDevice[d].row(d, q))
			}
		}
		if len(rows) > 0 {
			rows = append(rows, all.row("", q))
		}
		l.Errors = append(l.Errors, rows...)
	}
}

// factor is what the proposal makes of the planned figure of a task.
func (l *Lesson) factor(s *seen, q Quantity) float64 {
	for _, f := range l.Findings {
		if f.Device == s.task.Device && f.Quantity == q && f.Factor > 0 && inBand(f.Band, l.bandsOf(f), s) {
			return f.Factor
		}
	}
	return 1
}

// bandsOf are the bands of the table that a finding is of, in their order.
func (l *Lesson) bandsOf(f *Finding) []string {
	var all []string
	for _, g := range l.Findings {
		if g.Device == f.Device && g.Quantity == f.Quantity {
			all = append(all, g.Band)
		}
	}
	return all
}

// inBand reports whether a band is the first of a table that takes the stock.
func inBand(band string, all []string, s *seen) bool {
	if band == "" {
		return true
	}
	for _, b := range all {
		if over, above := limit(b); above || s.task.Class.Grammage.LessThanOrEqual(over) {
			return b == band
		}
	}
	return false
}

type tally struct {
	before, after             []float64
	planned, learned, actuals float64
}

func (t *tally) add(plan, after, actual float64) {
	if actual > 0 {
		t.before = append(t.before, 100*math.Abs(plan-actual)/actual)
		t.after = append(t.after, 100*math.Abs(after-actual)/actual)
	}
	t.planned, t.learned, t.actuals = t.planned+plan, t.learned+after, t.actuals+actual
}

func (t *tally) row(device string, q Quantity) Error {
	slices.Sort(t.before)
	slices.Sort(t.after)
	bias := func(sum float64) float64 { return 100 * (sum/t.actuals - 1) }
	return Error{device, q, len(t.before), Miss{median(t.before), bias(t.planned)}, Miss{median(t.after), bias(t.learned)}}
}

// limit is the end of a band such as "up to 170 g/m2"; above for the last.
func limit(band string) (upTo decimal.Decimal, above bool) {
	if band == "above" {
		return decimal.Zero, true
	}
	digits, _ := number(trimUpTo(band))
	v, err := decimal.NewFromString(digits)
	return v, err != nil
}
