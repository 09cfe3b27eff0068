package colour

import (
	"math"
	"slices"

	"quoin/validate/plant"
)

// judgePoints holds each point against the last OK sheet up to it, or the first
// one after it; an OK sheet, and a run without one, against the aim. It gives
// what holds at the end of the run.
func (b *runner) judgePoints(s *Series, aim target) target {
	held := aim
	approves := b.colour != nil && s.Why == "" && approvable(s.Kind)
	if approves {
		for i := range s.Points {
			if s.Points[i].OK {
				held = okSheet(&s.Points[i], aim)
				break
			}
		}
	}
	for i := range s.Points {
		p := &s.Points[i]
		if p.OK && approves {
			b.judgePoint(p, aim)
			held = okSheet(p, aim)
			continue
		}
		b.judgePoint(p, held)
	}
	return held
}

// approvable reports whether the sheet that is approved sets what the run is to
// be; a register that is off stays off, and so does a spread.
func approvable(k Kind) bool { return k != RegisterX && k != RegisterY && k != MidtoneSpread }

// okSheet is the target that an approved sheet sets.
func okSheet(p *Point, aim target) target {
	return target{against: OKSheet, value: p.Value, lab: p.Lab, accept: aim.vary, vary: aim.vary, known: true}
}

// judgePoint sets deviation and verdict of a point.
func (b *runner) judgePoint(p *Point, t target) {
	if !t.known {
		return
	}
	p.Against, p.Tolerance = t.against, t.accept
	if p.Lab == nil {
		p.Deviation = round(p.Value - t.value)
	} else {
		p.DE76, p.DE00 = new(round(DE76(*t.lab, *p.Lab))), new(round(DE00(*t.lab, *p.Lab)))
		p.Deviation = round(b.difference(*t.lab, *p.Lab))
		p.Value = p.Deviation
	}
	p.Verdict = verdictOf(math.Abs(p.Deviation), t.accept, b.colour.Near)
}

func (b *runner) difference(x, y plant.Lab) float64 {
	if b.colour.Formula == plant.DifferenceOf1976 {
		return DE76(x, y)
	}
	return DE00(x, y)
}

// round takes off what doubles add to decimal fractions, and what no
// instrument measures.
func round(v float64) float64 { return math.Round(v*1e6) / 1e6 }

// verdictOf judges a deviation; near is in percent of the tolerance. A
// deviation that differs from an edge by rounding only lies on it.
func verdictOf(deviation, tolerance, near float64) Verdict {
	const rounding = 1e-9
	switch {
	case tolerance <= 0:
		return NotJudged
	case deviation > tolerance+rounding:
		return Out
	case deviation > tolerance*near/100+rounding:
		return Near
	}
	return In
}

// ofRun reports whether a point is of the run rather than the OK sheet.
func (s *Series) ofRun(p Point) bool { return !p.OK || !approvable(s.Kind) }

// summarise counts the verdicts, and gives the series that of the run: out when
// fewer sheets than the plant asks for keep the tolerance, near when not all
// keep well within it.
func (b *runner) summarise(s *Series, last target) {
	if last.known {
		s.Against, s.Target, s.TargetLab, s.Tolerance = last.against, last.value, last.lab, last.accept
		if last.lab != nil {
			s.Target = 0
		}
	}
	judged, alone := 0, !slices.ContainsFunc(s.Points, s.ofRun) // an OK sheet alone counts
	for i := range s.Points {
		p := &s.Points[i]
		if p.Verdict == NotJudged || !alone && !s.ofRun(*p) {
			continue
		}
		judged++
		if math.Abs(p.Deviation) > math.Abs(s.Worst) {
			s.Worst = p.Deviation
		}
		switch p.Verdict {
		case In:
			s.In++
		case Near:
			s.Near++
		case Out:
			s.Out++
		}
	}
	switch {
	case judged == 0:
		s.Verdict = NotJudged
		if s.Why == "" {
			s.Why = b.unjudged(s, last)
		}
	case float64(s.In+s.Near)*100 < b.colour.Within*float64(judged):
		s.Verdict = Out
	case s.Near+s.Out > 0:
		s.Verdict = Near
	default:
		s.Verdict = In
	}
}

// unjudged says why nothing of a series was judged.
func (b *runner) unjudged(s *Series, last target) string {
	switch {
	case b.colour == nil:
		return "the plant file states no colour"
	case last.known:
		return "no tolerance is stated"
	case s.Kind == InkZone:
		return "there is neither a presetting nor an OK sheet"
	case s.Kind == ToneIncrease && s.Nominal == Unknown:
		return "the tint is not known"
	}
	return "no aim is stated"
}
