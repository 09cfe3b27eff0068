package colour

import (
	"cmp"
	"slices"
	"strings"

	"quoin/validate"
	"quoin/validate/plant"
)

// seriesKey is what makes measurements one series.
type seriesKey struct {
	zone       int
	colorant   string // in lower case
	kind       Kind
	nominal    float64
	reference  string
	conditions Conditions
}

func seriesOf(m *Measurement) seriesKey {
	return seriesKey{m.Zone, strings.ToLower(m.Colorant), m.Kind, m.Nominal, m.Reference, m.Conditions}
}

var kindOrder = []Kind{
	CIELAB, Density, NeutralDensity, ToneIncrease, MidtoneSpread, RegisterX, RegisterY, InkZone,
}

func (k seriesKey) compare(l seriesKey) int {
	return cmp.Or(cmp.Compare(slices.Index(kindOrder, k.kind), slices.Index(kindOrder, l.kind)),
		cmp.Compare(k.colorant, l.colorant), cmp.Compare(k.nominal, l.nominal), cmp.Compare(k.zone, l.zone),
		cmp.Compare(k.reference, l.reference), cmp.Compare(k.conditions.key(), l.conditions.key()))
}

// bySeries parts the measurements of a run, in the order of kindOrder.
func bySeries(measured []Measurement) [][]Measurement {
	sorted := map[seriesKey][]Measurement{}
	var keys []seriesKey
	for _, m := range measured {
		k := seriesOf(&m)
		if sorted[k] == nil {
			keys = append(keys, k)
		}
		sorted[k] = append(sorted[k], m)
	}
	slices.SortFunc(keys, seriesKey.compare)
	var all [][]Measurement
	for _, k := range keys {
		all = append(all, sorted[k])
	}
	return all
}

// series judges one series.
func (b *runner) series(of []Measurement) *Series {
	m := of[0]
	s := &Series{
		Zone: m.Zone, Colorant: m.Colorant, Kind: m.Kind, Nominal: m.Nominal, Reference: m.Reference,
		Unit: units[m.Kind], Order: b.order(of), Verdict: NotJudged, measured: m.Conditions,
	}
	s.Points = b.points(of, s.Order)
	aim := b.aimOf(s)
	if why := b.unfit(s); why != "" {
		aim, s.Why = target{}, why
		b.once(ruleConditions, m.Source, validate.F("run", b.about()), validate.F("kind", m.Kind),
			validate.F("got", why), validate.F("want", b.wanted(s.Kind)))
	}
	last := b.judgePoints(s, aim)
	b.summarise(s, last)
	b.follow(s, last)
	b.say(s, last)
	return s
}

// points makes one point of all that was measured on a sheet.
func (b *runner) points(of []Measurement, o Order) []Point {
	sheets := map[sheetKey][]Measurement{}
	var all []Point
	for _, m := range of {
		k := sheetOf(&m)
		if sheets[k] == nil {
			all = append(all, Point{Sheet: m.Sheet, Time: m.Time, x: b.x(&m, o), Source: m.Source, Verdict: NotJudged})
		}
		sheets[k] = append(sheets[k], m)
	}
	slices.SortStableFunc(all, func(p, q Point) int {
		return cmp.Or(cmp.Compare(p.x, q.x), p.Time.Compare(q.Time), cmp.Compare(p.Sheet, q.Sheet))
	})
	for i := range all {
		p := &all[i]
		same := sheets[sheetKey{p.Sheet, p.Time}]
		p.Count = len(same)
		p.OK = slices.ContainsFunc(same, func(m Measurement) bool { return m.Usage == Master })
		middle := func(of func(*Measurement) float64) float64 {
			var all []float64
			for i := range same {
				all = append(all, of(&same[i]))
			}
			return median(all)
		}
		if same[0].Kind != CIELAB {
			p.Value = middle(func(m *Measurement) float64 { return m.Value })
			continue
		}
		p.Lab = &plant.Lab{
			L: middle(func(m *Measurement) float64 { return m.Lab.L }),
			A: middle(func(m *Measurement) float64 { return m.Lab.A }),
			B: middle(func(m *Measurement) float64 { return m.Lab.B }),
		}
	}
	return all
}

// target is what points are held against; with against Nothing, they are not.
type target struct {
	against Against
	value   float64
	lab     *plant.Lab
	accept  float64 // tolerance of an OK sheet, and of the run where there is none
	vary    float64 // tolerance of the run against the OK sheet
	known   bool    // value or lab is stated
}

// aimOf finds what the plant aims at with a series.
func (b *runner) aimOf(s *Series) target {
	c := b.colour
	if c == nil {
		return target{}
	}
	solid := s.Nominal == 100 || s.Colorant == Paper
	switch x := b.aims.Solid(s.Colorant); {
	case s.Kind == CIELAB && solid && x != nil:
		return target{Aim, 0, x.Lab, x.Accept, x.Vary, x.Lab != nil}
	case s.Kind == Density && solid && x != nil:
		return target{Aim, x.Density, nil, x.DensityVary, x.DensityVary, x.Density > 0}
	}
	switch s.Kind {
	case ToneIncrease:
		if x := b.aims.Tone(s.Colorant, s.Nominal); x != nil {
			return target{Aim, x.Increase, nil, x.Accept, x.Vary, true}
		}
	case RegisterX, RegisterY:
		accept := float64(c.Register) / float64(plant.Millimetre)
		return target{Coincidence, 0, nil, accept, 0, true}
	case MidtoneSpread:
		return target{Aim, 0, nil, c.MidtoneSpread, 0, true}
	case InkZone:
		preset, ok := b.presets[b.presetKey(s)]
		return target{Presetting, preset, nil, c.InkZone, c.InkZone, ok}
	}
	return target{}
}

func (b *runner) presetKey(s *Series) seriesKey {
	return seriesKey{s.Zone, strings.ToLower(s.Colorant), s.Kind, s.Nominal, s.Reference, s.measured}
}
