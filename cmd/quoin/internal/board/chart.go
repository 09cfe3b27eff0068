package board

import (
	"cmp"
	"slices"

	"github.com/shopspring/decimal"
)

// chart is a picture of the dearest rows of a report: what each cost, and beside it
// what was planned.
type chart struct {
	Bars   []chartBar
	Height int
	Ticks  []tick
	More   int // rows that are not drawn
}

type chartBar struct {
	Label        string
	Y            int
	Actual, Plan float64 // widths
	Known        bool    // there is a plan
	Cost         decimal.Decimal
}

const (
	chartLeft  = 230.0
	chartRight = 900.0
	chartRow   = 34
	mostBars   = 15
	axisSteps  = 4
)

// drawChart is nil where there is nothing to compare.
func drawChart(rows []reportRow) *chart {
	var drawn []reportRow
	most := decimal.Zero
	for _, r := range rows {
		if r.Actual.Total.IsPositive() || r.Plan.Total.IsPositive() {
			drawn = append(drawn, r)
			most = decimal.Max(most, r.Actual.Total, r.Plan.Total)
		}
	}
	if len(drawn) == 0 {
		return nil
	}
	c := &chart{}
	if len(drawn) > mostBars {
		slices.SortStableFunc(drawn, func(a, b reportRow) int {
			return cmp.Compare(b.Actual.Total.InexactFloat64(), a.Actual.Total.InexactFloat64())
		})
		c.More = len(drawn) - mostBars
		drawn = drawn[:mostBars]
	}
	step := roundStep(most.InexactFloat64() / axisSteps)
	whole := step * axisSteps
	for whole < most.InexactFloat64() {
		whole += step
	}
	wide := func(d decimal.Decimal) float64 { return d.InexactFloat64() / whole * (chartRight - chartLeft) }
	for i, r := range drawn {
		c.Bars = append(c.Bars, chartBar{
			Label: short(r.Label, 32), Y: 10 + i*chartRow,
			Actual: wide(r.Actual.Total), Plan: wide(r.Plan.Total), Known: r.Plan.Known, Cost: r.Actual.Total,
		})
	}
	for at := 0.0; at <= whole*1.0001; at += step {
		c.Ticks = append(c.Ticks, tick{X: chartLeft + at/whole*(chartRight-chartLeft),
			Text: amount(decimal.NewFromFloat(at).Round(2))})
	}
	c.Height = 10 + len(drawn)*chartRow + 26
	return c
}

// roundStep is the next of 1, 2 and 5 with zeros that is not under a number.
func roundStep(least float64) float64 {
	for step := 0.01; ; step *= 10 {
		for _, by := range []float64{1, 2, 5} {
			if step*by >= least {
				return step * by
			}
		}
	}
}

// short cuts a text to so many letters.
func short(text string, most int) string {
	letters := []rune(text)
	if len(letters) <= most {
		return text
	}
	return string(letters[:most-1]) + "…"
}
