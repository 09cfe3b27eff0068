package render

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"

	"quoin/convert/cost/colour"
)

const (
	// mostPoints is how many points of a series are drawn one by one.
	mostPoints = 400
	// mostSeries is how many series a page draws; it lists mostSeriesListed.
	mostSeries       = 12
	mostSeriesListed = 300
)

// trending is a series with the run that it is of.
type trending struct {
	Run    *colour.Run
	Series *colour.Series
}

// trends are the series of runs: the drifting ones first, then those that were out
// most.
func trends(runs []*colour.Run) []trending {
	var all []trending
	for _, r := range runs {
		for _, s := range r.Series {
			all = append(all, trending{r, s})
		}
	}
	urgent := func(t trending) float64 {
		u := 0.0
		if t.Series.Tolerance > 0 {
			u = math.Abs(t.Series.Worst) / t.Series.Tolerance / 1e6
		}
		if t.Series.Drift != nil {
			u += 1e6
		}
		return u + float64(t.Series.Out) + float64(t.Series.Near)/1000
	}
	slices.SortStableFunc(all, func(a, b trending) int { return cmp.Compare(urgent(b), urgent(a)) })
	return all
}

// name is a series in words.
func (t trending) name() string {
	s := t.Series
	name := string(s.Kind)
	if s.Colorant != "" {
		name = s.Colorant + " " + name
	}
	if s.Nominal > 0 && s.Nominal != colour.Unknown {
		name += fmt.Sprintf(" %g %%", s.Nominal)
	}
	if s.Zone > 0 {
		name += fmt.Sprintf(", zone %d", s.Zone)
	}
	if t.Run.Side != "" {
		name += ", " + t.Run.Side
	}
	return name
}

// Colour draws one series along its run: the band of tolerance about its target, the
// points, those that are out filled, and the trend where there is one; a drift is
// drawn heavy. The id is as in Timeline, and the error that of the writer.
func Colour(w io.Writer, id string, r *colour.Run, s *colour.Series) error {
	t := trending{r, s}
	c := &canvas{id: id}
	target := s.Target
	if s.Kind == colour.CIELAB {
		target = 0 // the points are differences
	}
	low, high := target, target
	for _, p := range s.Points {
		low, high = min(low, p.Value), max(high, p.Value)
	}
	low, high = min(low, target-s.Tolerance), max(high, target+s.Tolerance)
	if s.Kind == colour.CIELAB {
		low = 0
	}
	pad := max((high-low)*0.08, 1e-6)
	low, high = low-pad, high+pad
	xs, unit := abscissas(s)
	first, last := 0.0, 1.0
	if len(xs) > 0 {
		first, last = slices.Min(xs), max(slices.Max(xs), slices.Min(xs)+1e-9)
	}
	const left, right, top, bottom = 60.0, 930.0, 22.0, 172.0
	x := func(v float64) float64 { return left + (right-left)*(v-first)/(last-first) }
	y := func(v float64) float64 { return min(bottom, max(top, bottom-(bottom-top)*(v-low)/(high-low))) }
	if s.Tolerance > 0 {
		c.box(left, y(target+s.Tolerance), right-left, y(target-s.Tolerance)-y(target+s.Tolerance), "band", "tolerance")
		c.line(left, y(target+s.Tolerance), right, y(target+s.Tolerance), "tol")
		c.line(left, y(target-s.Tolerance), right, y(target-s.Tolerance), "tol")
		c.label(left-6, y(target+s.Tolerance)+4, "q e", fmt.Sprintf("%.4g", target+s.Tolerance))
		c.line(left, y(target), right, y(target), "aim")
		c.label(left-6, y(target)+4, "q e", fmt.Sprintf("%.4g", target))
	}
	every := 1 + len(s.Points)/mostPoints
	for i, p := range s.Points {
		if i%every != 0 && p.Verdict != colour.Out {
			continue
		}
		tip := fmt.Sprintf("%s %s: %.4g, %s", unit, at(xs[i]), p.Value, p.Verdict)
		switch p.Verdict {
		case colour.Out:
			c.mark(2, x(xs[i]), y(p.Value), "out", tip)
		case colour.Near:
			c.mark(3, x(xs[i]), y(p.Value), "k", tip)
		default:
			c.mark(0, x(xs[i]), y(p.Value), "k", tip)
		}
	}
	if tr := s.Trend; tr != nil && s.Order != colour.NoOrder {
		per := 1.0 // a trend is by 1000 sheets, or by the hour
		if s.Order == colour.BySheets {
			per = 1000
		}
		class := "s d1"
		if s.Drift != nil {
			class = "drift"
		}
		line := func(v float64) float64 { return tr.MidY + tr.Slope*(v/per-tr.MidX) }
		c.line(x(first), y(line(first)), x(last), y(line(last)), class)
	}
	c.label(left, 12, "", t.name())
	c.label(right, 12, "e q", "○ in  ◇ near  ▲ out")
	c.label(left, bottom+16, "q", fmt.Sprintf("%s %s", unit, at(first)))
	c.label(right, bottom+16, "q e", at(last))
	c.line(left, bottom, right, bottom, "axis")
	words := fmt.Sprintf("%d in tolerance, %d near its edge, %d out.", s.In, s.Near, s.Out)
	if s.Drift != nil {
		words += " It drifts."
	}
	return c.write(w, bottom+22, t.name(), words)
}

// abscissas are where the points stand along the run.
func abscissas(s *colour.Series) (xs []float64, unit string) {
	unit = "measurement"
	for i, p := range s.Points {
		switch s.Order {
		case colour.BySheets:
			xs, unit = append(xs, float64(p.Sheet)), "sheet"
		case colour.ByTime:
			xs, unit = append(xs, p.Time.Sub(s.Points[0].Time).Hours()), "hour"
		default:
			xs = append(xs, float64(i+1))
		}
	}
	return xs, unit
}
