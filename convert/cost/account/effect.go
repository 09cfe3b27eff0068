package account

import (
	"cmp"
	"slices"
	"time"

	"github.com/shopspring/decimal"

	"quoin/convert/cost"
	"quoin/validate"
	"quoin/validate/plant"
)

// longestPeriod is how many days a period may have for silent shifts to count as
// busy. In a longer one a wrong date, not a silent plant, is to be feared.
const longestPeriod = 1100

// effect is what the effectiveness of a device in a shift, or of several, is made of.
type effect struct {
	busy, run, reported cost.Span
	made                map[*line]exact // in the chapter that is being read
	good, waste         exact
	standard            cost.Span // of all that was made
	standardGood        cost.Span // of what of it was good
	unknown             bool      // something was made that has no standard
}

func (e *effect) plus(f *effect) {
	e.busy, e.run, e.reported = e.busy+f.busy, e.run+f.run, e.reported+f.reported
	e.good, e.waste = e.good.Add(f.good), e.waste.Add(f.waste)
	e.standard, e.standardGood = e.standard+f.standard, e.standardGood+f.standardGood
	e.unknown = e.unknown || f.unknown
}

// oee is the effectiveness of one device.
func (e *effect) oee() cost.OEE {
	standard := e.standard
	if e.unknown {
		standard = 0
	}
	return cost.Effectiveness(e.busy, e.run, standard, e.good.Add(e.waste).decimal(), e.good.decimal())
}

// together is the effectiveness of several devices. Their pieces have no sum, so that
// quality is by the planned time of what was good and of all that was made.
func (e *effect) together() cost.OEE {
	if e.unknown {
		return cost.Effectiveness(e.busy, e.run, 0, decimal.Zero, decimal.Zero)
	}
	return cost.Effectiveness(e.busy, e.run, e.standard, span(e.standard).decimal(), span(e.standardGood).decimal())
}

type shiftKey struct{ device, day, shift string }

func (k shiftKey) compare(l shiftKey) int {
	return cmp.Or(cmp.Compare(k.device, l.device), cmp.Compare(k.day, l.day), cmp.Compare(k.shift, l.shift))
}

// touched is an effect with its device.
type touched struct {
	*effect
	device string
}

// effectOf adds a cell to the effectiveness of its shift, and of its row where that is
// by what was done in it.
func (m *maker) effectOf(c *Cell, l *line) {
	if c.Device == "" {
		return
	}
	m.tell(find(m.shifts, shiftKey{c.Device, c.Day, c.Shift}), c, l)
	if m.byWork {
		m.tell(m.inRow(m.key(m.by, c), c.Device), c, l)
	}
}

func (m *maker) inRow(row, device string) *effect {
	if m.rowEffect[row] == nil {
		m.rowEffect[row] = map[string]*effect{}
	}
	return find(m.rowEffect[row], device)
}

// sumEffects works out the planned time of what the chapter made: by the plan of the
// work, or else by the speed of the device in the plant file.
func (m *maker) sumEffects() {
	for _, t := range m.touched {
		for l, amount := range t.made {
			planned, known := m.planned(l, amount, t.device)
			t.standard += planned
			t.unknown = t.unknown || !known
		}
		t.made = nil
	}
}

// writeOEE writes the effectiveness by shift and device, and that of the rows.
//
// Source: ISO 22400-2:2014, as restated in OPC 40501-1 (Machine Tools), annex C.2.4;
// see cost.Effectiveness.
func (m *maker) writeOEE(s *Statement) {
	shifts := m.shifts
	if !m.filter.ofWork() {
		m.silent(shifts, s.From, s.To)
	}
	devices := map[string]*effect{}
	keys := make([]shiftKey, 0, len(shifts))
	for key := range shifts {
		keys = append(keys, key)
	}
	slices.SortFunc(keys, shiftKey.compare)
	for _, key := range keys {
		e := shifts[key]
		e.finish()
		if e.busy = e.reported; !m.filter.ofWork() {
			e.busy = m.busy(key, e)
		}
		find(devices, key.device).plus(e)
		if !m.byWork {
			m.inRow(m.rowOfShift(key), key.device).plus(e)
		}
		s.Shifts = append(s.Shifts, Shift{
			Device: key.device, Day: key.day, Shift: key.shift, Busy: e.busy, Run: e.run, Standard: e.standard,
			Good: e.good.decimal(), Waste: e.waste.decimal(), OEE: e.oee(),
		})
	}
	for _, id := range sortedKeys(devices) {
		e := devices[id]
		s.Devices = append(s.Devices, Device{
			ID: id, Name: m.nameOf(id), Busy: e.busy, Run: e.run, Standard: e.standard,
			Good: e.good.decimal(), Waste: e.waste.decimal(), OEE: e.oee(),
		})
	}
	m.rowOEE(s)
	s.Total.OEE = join(devices)
	m.tooFast(s)
}

// rowOEE writes the effectiveness of the rows.
func (m *maker) rowOEE(s *Statement) {
	for n := range s.Rows {
		of := m.rowEffect[s.Rows[n].Key]
		for _, e := range of {
			if m.byWork {
				e.finish()
				e.busy = e.reported
			}
		}
		s.Rows[n].OEE = join(of)
	}
}

// join is the effectiveness of devices together.
func join(devices map[string]*effect) cost.OEE {
	var sum effect
	for _, e := range devices {
		if len(devices) == 1 {
			return e.oee()
		}
		sum.plus(e)
	}
	return sum.together()
}

func find[K comparable](all map[K]*effect, key K) *effect {
	e := all[key]
	if e == nil {
		e = &effect{}
		all[key] = e
	}
	return e
}

// tell adds a cell.
func (m *maker) tell(e *effect, c *Cell, l *line) {
	e.reported += c.Time
	if kindOf(c.State) == run {
		e.run += c.Time
	}
	good, waste := exactly(c.Good), exactly(c.Waste)
	if made := plus(good, waste); made.IsPositive() {
		if e.made == nil {
			e.made = map[*line]exact{}
			m.touched = append(m.touched, touched{e, c.Device})
		}
		e.made[l] = plus(e.made[l], made)
		e.good, e.waste = plus(e.good, good), plus(e.waste, waste)
	}
}

// finish works out how much of the planned time was for what is good.
func (e *effect) finish() {
	if made := e.good.Add(e.waste); made.IsPositive() {
		e.standardGood = cost.Span(span(e.standard).Mul(e.good).DivRound(made, 0).IntPart())
	}
}

// planned is the planned time of so many pieces of a line.
func (m *maker) planned(l *line, amount exact, device string) (cost.Span, bool) {
	if l.plan.in.IsPositive() && l.plan.run > 0 {
		return cost.Span(span(l.plan.run).Mul(amount).DivRound(l.plan.in, 0).IntPart()), true
	}
	u := m.units[device]
	if u == nil {
		return 0, false
	}
	speed := exactly(u.speed(l.plan.class.Grammage, l.plan.class.Height))
	return standardTime(amount, speed), speed.IsPositive()
}

// busy is the planned busy time of a shift by the calendar. Time outside all shifts,
// and that of cost centres without shifts, is busy as it was reported.
func (m *maker) busy(key shiftKey, e *effect) cost.Span {
	d := m.date(key.day)
	if key.shift == "" || !d.known {
		return e.reported
	}
	for _, s := range m.cutter.calendarOf("", key.device).begun(d.Day) {
		if s.shift == key.shift {
			return cost.Span(s.until.Sub(s.from))
		}
	}
	return e.reported // of another cost centre than that of the device
}

// silent adds the shifts of the period in which nothing is reported of a device that
// is heard of in it.
func (m *maker) silent(shifts map[shiftKey]*effect, from, to string) {
	first, last := m.date(from), m.date(to)
	if !first.known || !last.known {
		return
	}
	begin := time.Date(first.Year, first.Month, first.Day.Day, 0, 0, 0, 0, time.UTC)
	end := time.Date(last.Year, last.Month, last.Day.Day, 0, 0, 0, 0, time.UTC)
	days := int(end.Sub(begin)/(24*time.Hour)) + 1
	if days > longestPeriod {
		return
	}
	devices := map[string]bool{}
	for key := range shifts {
		devices[key.device] = true
	}
	for device := range devices {
		u := m.units[device]
		if u == nil || u.CostCentre == nil {
			continue
		}
		calendar := m.cutter.calendarOf("", device)
		for n := range days {
			day := next(plant.DayOf(begin), n)
			for _, s := range calendar.begun(day) {
				c := Cell{Day: s.day, Shift: s.shift, Device: device, Centre: u.CostCentre.ID}
				if m.sieve.has(&c) {
					find(shifts, shiftKey{device, s.day, s.shift})
				}
			}
		}
	}
}

// rowOfShift is the row that a shift of a device stands in.
func (m *maker) rowOfShift(key shiftKey) string {
	c := Cell{Day: key.day, Shift: key.shift, Device: key.device}
	if u := m.units[key.device]; u != nil && u.CostCentre != nil {
		c.Centre = u.CostCentre.ID
	}
	return m.key(m.by, &c)
}

// tooFast reports devices that ran faster than any plan has them.
func (m *maker) tooFast(s *Statement) {
	one := decimal.NewFromInt(1)
	for _, d := range s.Devices {
		count, all := 0, 0
		var most Shift
		for _, shift := range s.Shifts {
			if p := shift.OEE.Performance; shift.Device == d.ID && p.Known {
				all++
				if p.Value.GreaterThan(one) {
					count++
				}
				if p.Value.GreaterThan(most.OEE.Performance.Value) {
					most = shift
				}
			}
		}
		if count == 0 {
			continue
		}
		at := m.file()
		if u := m.units[d.ID]; u != nil {
			at = placeOr(u.Mark.Entry, at)
		}
		m.findings.Add(ruleTooFast.At(at, validate.F("device", d.ID), validate.F("count", count),
			validate.F("all", all), validate.F("most", most.OEE.Performance.Value.StringFixed(2)),
			validate.F("day", most.Day)))
	}
}
