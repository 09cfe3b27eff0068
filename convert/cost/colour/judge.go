package colour

import (
	"cmp"
	"fmt"
	"slices"

	"quoin/validate"
	"quoin/validate/plant"
)

// Judge sorts measurements into runs, in the order of job, part, device and
// sheet, and judges them by what the plant states; a nil Colour judges nothing.
// stock tells the coating of the paper of a job part, such as gloss, or ""; it
// may be nil. The findings are of the runs, in their order.
func Judge(ms []Measurement, c *plant.Colour, stock func(job, part string) string) ([]*Run, []validate.Finding) {
	j := &judge{colour: c}
	var runs []*Run
	for _, group := range grouped(ms) {
		first := group[0]
		b := &runner{judge: j, run: &Run{
			Job: first.Job, Part: first.Part, Device: first.Device, SheetName: first.SheetName, Side: first.Side,
		}}
		if stock != nil {
			b.run.Stock = stock(first.Job, first.Part)
		}
		b.build(group)
		runs = append(runs, b.run)
	}
	return runs, j.found
}

// judge is what all runs have in common.
type judge struct {
	colour *plant.Colour
	found  []validate.Finding
}

func (j *judge) report(r *validate.Rule, at Source, facts ...validate.Fact) {
	j.found = append(j.found, r.At(at.place(), facts...))
}

// grouped parts measurements into runs, each once, whatever their order.
func grouped(ms []Measurement) [][]Measurement {
	all := slices.Clone(ms)
	even(all)
	type keyed struct {
		m   *Measurement
		key string
	}
	list := make([]keyed, len(all))
	for i := range all {
		list[i] = keyed{&all[i], all[i].Key()}
	}
	slices.SortFunc(list, func(a, b keyed) int {
		if order := a.m.compare(b.m); order != 0 {
			return order
		}
		return cmp.Or(cmp.Compare(a.key, b.key), compareSource(a.m.Source, b.m.Source))
	})
	list = slices.CompactFunc(list, func(a, b keyed) bool { return a.key == b.key })
	var groups [][]Measurement
	for i, k := range list {
		if i == 0 || runOf(k.m) != runOf(list[i-1].m) {
			groups = append(groups, nil)
		}
		groups[len(groups)-1] = append(groups[len(groups)-1], *k.m)
	}
	return groups
}

func compareSource(a, b Source) int {
	return cmp.Or(cmp.Compare(a.File, b.File), cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column))
}

func runOf(m *Measurement) [5]string { return [5]string{m.Job, m.Part, m.Device, m.SheetName, m.Side} }

// even gives measurements without a device that of the only one that others of
// the same job part name, and all of them times in one zone.
func even(all []Measurement) {
	const several = "\x00"
	only := map[[2]string]string{}
	for _, m := range all {
		part := [2]string{m.Job, m.Part}
		if known := only[part]; m.Device != "" && known != m.Device {
			if known != "" {
				only[part] = several
			} else {
				only[part] = m.Device
			}
		}
	}
	for i := range all {
		all[i].Time = all[i].Time.UTC() // one instant is one, in whatever zone it was kept
		if name := only[[2]string{all[i].Job, all[i].Part}]; all[i].Device == "" && name != several {
			all[i].Device = name
		}
	}
}

// runner builds one run.
type runner struct {
	*judge
	run     *Run
	aims    *plant.Aims
	presets map[seriesKey]float64
	origin  int64           // seconds of the first time, that hours count from
	told    map[string]bool // findings that a run has once
}

// about names the run in messages.
func (b *runner) about() string {
	r := b.run
	text := fmt.Sprintf("job %q", r.Job)
	if r.Part != "" {
		text += fmt.Sprintf(" part %q", r.Part)
	}
	if r.SheetName != "" {
		text += fmt.Sprintf(" sheet %q", r.SheetName)
	}
	if r.Side != "" {
		text += " " + r.Side
	}
	if r.Device != "" {
		text += fmt.Sprintf(" on %q", r.Device)
	}
	return text
}

// once reports a finding that a run has one of.
func (b *runner) once(r *validate.Rule, at Source, facts ...validate.Fact) {
	f := r.At(at.place(), facts...)
	if key := r.ID + " " + f.Message(); !b.told[key] {
		b.told[key] = true
		b.found = append(b.found, f)
	}
}

// build makes the series of a run out of its measurements.
func (b *runner) build(group []Measurement) {
	b.told, b.presets = map[string]bool{}, map[seriesKey]float64{}
	b.aims = b.colour.On(b.run.Stock)
	if b.aims != nil {
		b.run.Aims = b.aims.Name
	} else if b.colour != nil {
		b.once(ruleNoAims, group[0].Source, validate.F("run", b.about()), validate.F("problem", b.withoutAims()))
	}
	var measured []Measurement
	for _, m := range group {
		if m.Zone == 0 && m.Across > 0 {
			m.Zone = zoning{width: float64(b.colour.ZoneWidth(m.Device)) / float64(plant.Millimetre)}.at(m.Across)
		}
		if m.Usage == Preset {
			b.presets[seriesOf(&m)] = m.Value
			continue
		}
		measured = append(measured, m)
	}
	if len(measured) == 0 {
		b.run.Verdict = NotJudged
		return
	}
	b.extent(measured)
	measured = append(measured, b.increases(measured)...)
	measured = append(measured, b.spreads(measured)...)
	for _, of := range bySeries(measured) {
		b.run.Series = append(b.run.Series, b.series(of))
	}
	b.settle()
}

func (b *runner) withoutAims() string {
	if b.run.Stock == "" {
		return "the kind of stock is not known, and the plant has several aims"
	}
	return fmt.Sprintf("the plant has no aims for the stock %q", b.run.Stock)
}

// extent finds when the run began and ended. Hours count from its beginning.
func (b *runner) extent(measured []Measurement) {
	for _, m := range measured {
		if m.Time.IsZero() {
			continue
		}
		if b.run.From.IsZero() || m.Time.Before(b.run.From) {
			b.run.From = m.Time
		}
		if m.Time.After(b.run.To) {
			b.run.To = m.Time
		}
	}
	b.origin = b.run.From.Unix()
}

// order decides what a series is put in order by: sheet numbers, unless they
// fall while time goes on, as when a counter was reset.
func (b *runner) order(of []Measurement) Order {
	numbered, timed := true, true
	for _, m := range of {
		numbered = numbered && m.Sheet != Unknown
		timed = timed && !m.Time.IsZero()
	}
	switch {
	case numbered && (!timed || risesWithTime(of)):
		return BySheets
	case timed:
		return ByTime
	}
	b.once(ruleNoOrder, of[0].Source, validate.F("run", b.about()))
	return NoOrder
}

// risesWithTime reports whether a later sheet never has a lower number.
func risesWithTime(measured []Measurement) bool {
	byTime := slices.Clone(measured)
	slices.SortStableFunc(byTime, func(a, b Measurement) int {
		return cmp.Or(a.Time.Compare(b.Time), cmp.Compare(a.Sheet, b.Sheet))
	})
	return slices.IsSortedFunc(byTime, func(a, b Measurement) int { return cmp.Compare(a.Sheet, b.Sheet) })
}

// x is where a measurement stands in an order: thousands of sheets, or hours.
func (b *runner) x(m *Measurement, o Order) float64 {
	switch o {
	case BySheets:
		return float64(m.Sheet) / 1000
	case ByTime:
		return (float64(m.Time.Unix()-b.origin) + float64(m.Time.Nanosecond())/1e9) / 3600
	}
	return 0
}

// settle gives the run the worst of its series, and tells once when there were
// too few sheets.
func (b *runner) settle() {
	r := b.run
	r.Verdict = NotJudged
	rank := []Verdict{NotJudged, In, Near, Out}
	most := r.Series[0]
	for _, s := range r.Series {
		if slices.Index(rank, s.Verdict) > slices.Index(rank, r.Verdict) {
			r.Verdict = s.Verdict
		}
		r.Drifting = r.Drifting || s.Drift != nil
		if len(s.Points) > len(most.Points) {
			most = s
		}
	}
	r.Sheets = len(most.Points)
	if b.colour != nil && most.Order != NoOrder && r.Sheets < b.colour.TrendSheets {
		b.once(ruleFew, most.Points[0].Source, validate.F("run", b.about()),
			validate.F("sheets", counted(r.Sheets)), validate.F("want", b.colour.TrendSheets))
	}
}

func counted(sheets int) string {
	if sheets == 1 {
		return "1 sheet"
	}
	return fmt.Sprintf("%d sheets", sheets)
}
