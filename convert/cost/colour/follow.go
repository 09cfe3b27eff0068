package colour

import (
	"fmt"
	"math"
)

// follow looks along a series, from its last OK sheet on, for a trend, and
// works out when it will leave the tolerance.
//
// Sheets that follow each other are alike beyond what the interval of a slope
// reckons with, so that a slow swing may pass for a trend for a while.
func (b *runner) follow(s *Series, last target) {
	xs, ys := b.track(s, last)
	switch {
	case b.colour == nil:
		s.NoTrend = "the plant file states no colour"
	case s.Order == NoOrder:
		s.NoTrend = "the sheets have no order"
	case len(xs) < b.colour.TrendSheets:
		s.NoTrend = fmt.Sprintf("%s, and a trend wants %d", counted(len(xs)), b.colour.TrendSheets)
	}
	if s.NoTrend != "" {
		return
	}
	t, ok := trendThrough(xs, ys, b.colour.Confidence)
	if !ok {
		s.NoTrend = fmt.Sprintf("%s are too few for a confidence of %s %%", counted(len(xs)), plain(b.colour.Confidence))
		return
	}
	t.Slope, t.Low, t.High, t.Tau = round(t.Slope), round(t.Low), round(t.High), round(t.Tau)
	s.Trend = &t
	if s.Verdict == NotJudged || !last.known || last.accept <= 0 || !t.sure() {
		return
	}
	s.Drift = b.drift(s, &t, xs)
}

// track is what the trend goes through: from the last OK sheet on, one value
// for each place in the order of the run.
func (b *runner) track(s *Series, last target) (xs, ys []float64) {
	from := 0
	for i, p := range s.Points {
		if p.OK && last.against == OKSheet {
			from = i
		}
	}
	var here []float64
	flush := func() {
		if len(here) > 0 {
			ys = append(ys, median(here))
			here = nil
		}
	}
	for _, p := range s.Points[from:] {
		v := p.Value
		if p.Lab != nil {
			if last.lab == nil {
				return nil, nil
			}
			v = b.difference(*last.lab, *p.Lab)
		}
		if len(xs) == 0 || xs[len(xs)-1] != p.x {
			flush()
			xs = append(xs, p.x)
		}
		here = append(here, v)
	}
	flush()
	return xs, ys
}

// drift draws the trend out. It is nil when the line is out already, when it
// does not lead out, or only further ahead than the plant looks.
func (b *runner) drift(s *Series, t *Trend, xs []float64) *Drift {
	first, end := xs[0], xs[len(xs)-1]
	down := t.Slope < 0
	edge := s.Target + s.Tolerance
	if down {
		edge = s.Target - s.Tolerance
	}
	oneSided := s.Kind == CIELAB || s.Kind == MidtoneSpread
	if now := t.at(end); down && (oneSided || now <= edge) || !down && now >= edge {
		return nil
	}
	out := t.reaches(edge, t.Slope)
	if out > end+(end-first)*b.colour.LookAhead/100 {
		return nil
	}
	steep, flat := t.High, t.Low
	if down {
		steep, flat = flat, steep
	}
	scale := 1.0
	if s.Order == BySheets {
		scale = 1000
	}
	return &Drift{
		Out: round(scale * out), Soonest: round(scale * math.Max(end, t.reaches(edge, steep))),
		Latest: round(scale * t.reaches(edge, flat)), Downward: down,
	}
}
