package account

import (
	"cmp"
	"iter"
	"slices"
	"time"

	"github.com/shopspring/decimal"

	"quoin/convert/cost"
	"quoin/jdf/job"
	"quoin/validate/plant"
)

// Cell is what one shift of one device spent on one thing.
type Cell struct {
	Day      string    `json:"day"`    // on which the shift began, as in 2026-03-02
	Shift    string    `json:"shift"`  // its name, or its times as in 06:00-14:00; "" outside all shifts
	Device   string    `json:"device"` // as in cost.Entry, and so on
	Centre   string    `json:"centre"` // cost centre as reported, or else that of the device
	Operator string    `json:"operator"`
	Job      string    `json:"job"`
	Part     string    `json:"part"`
	State    job.State `json:"state"`
	Reason   string    `json:"reason"`
	Work     string    `json:"work"`

	Time    cost.Span       `json:"time"`
	Good    decimal.Decimal `json:"good"`
	Waste   decimal.Decimal `json:"waste"`
	Entries int             `json:"entries"` // phases that began in it
}

// Cells cuts entries where a day or a shift of their cost centre ends, and adds up
// what has the same key. Time and amounts are shared out by length, whole pieces
// staying whole, so that nothing is lost or made. The result is sorted, and does not
// depend on the order of the entries.
func Cells(entries iter.Seq[cost.Entry], p *plant.Plant) []Cell {
	c := newCutter(p)
	sums := map[cellKey]int{}
	var all []Cell
	for e := range entries {
		for _, piece := range c.cut(e) {
			key := piece.key()
			i, known := sums[key]
			if !known {
				sums[key] = len(all)
				all = append(all, piece)
				continue
			}
			all[i].Time += piece.Time
			all[i].Good = all[i].Good.Add(piece.Good)
			all[i].Waste = all[i].Waste.Add(piece.Waste)
			all[i].Entries += piece.Entries
		}
	}
	slices.SortFunc(all, Cell.compare)
	return all
}

// cellKey is what makes two pieces of time the same cell.
type cellKey struct {
	day, shift, device, centre, operator, job, part string
	state                                           job.State
	reason, work                                    string
}

func (c Cell) key() cellKey {
	return cellKey{c.Day, c.Shift, c.Device, c.Centre, c.Operator, c.Job, c.Part, c.State, c.Reason, c.Work}
}

func (c Cell) compare(d Cell) int {
	return cmp.Or(
		cmp.Compare(c.Day, d.Day), cmp.Compare(c.Device, d.Device), cmp.Compare(c.Shift, d.Shift),
		cmp.Compare(c.Job, d.Job), cmp.Compare(c.Part, d.Part), cmp.Compare(c.State, d.State),
		cmp.Compare(c.Centre, d.Centre), cmp.Compare(c.Operator, d.Operator),
		cmp.Compare(c.Reason, d.Reason), cmp.Compare(c.Work, d.Work),
	)
}

// cutter cuts entries by the calendars of a plant.
type cutter struct {
	machines  map[string]*unit
	centres   map[string]*plant.CostCentre
	calendars map[string]*calendar // by cost centre; "" for what has none
	plant     *plant.Plant
}

func newCutter(p *plant.Plant) *cutter {
	return &cutter{machines: units(p), centres: centres(p), calendars: map[string]*calendar{}, plant: p}
}

// calendarOf is the calendar that a cell or entry is cut by: of the cost centre that
// it names, or else of its device.
func (c *cutter) calendarOf(centre, device string) *calendar {
	at := c.centres[centre]
	if m := c.machines[device]; at == nil && m != nil {
		at = m.CostCentre
	}
	id := ""
	if at != nil {
		id = at.ID
	}
	cal := c.calendars[id]
	if cal == nil {
		cal = newCalendar(c.plant, at)
		c.calendars[id] = cal
	}
	return cal
}

// cut gives the pieces of an entry, one where it stays within a shift.
func (c *cutter) cut(e cost.Entry) []Cell {
	whole := Cell{
		Device: e.Device, Centre: e.CostCentre, Operator: e.Employee, Job: e.Job, Part: e.Part,
		State: e.State, Reason: e.Reason, Work: e.Work,
		Time: e.Time, Good: e.Good, Waste: e.Waste, Entries: 1,
	}
	if m := c.machines[e.Device]; whole.Centre == "" && m != nil && m.CostCentre != nil {
		whole.Centre = m.CostCentre.ID
	}
	cal := c.calendarOf(e.CostCentre, e.Device)
	from := e.Start
	piece := cal.at(from)
	whole.Day, whole.Shift = piece.day, piece.shift
	if !piece.until.Before(e.End) {
		return []Cell{whole}
	}
	return c.pieces(whole, cal, from, e.End)
}

// pieces shares an entry out over the shifts that it touches.
func (c *cutter) pieces(whole Cell, cal *calendar, start, end time.Time) []Cell {
	var all []Cell
	var shares []int64
	for from := start; from.Before(end); {
		at := cal.at(from)
		until := at.until
		if until.After(end) {
			until = end
		}
		piece := whole
		piece.Day, piece.Shift, piece.Entries = at.day, at.shift, 0
		all, shares = append(all, piece), append(shares, int64(until.Sub(from)))
		from = until
	}
	times := shareInt(int64(whole.Time), shares)
	goods, wastes := shareAmount(whole.Good, shares), shareAmount(whole.Waste, shares)
	for i := range all {
		all[i].Time, all[i].Good, all[i].Waste = cost.Span(times[i]), goods[i], wastes[i]
	}
	all[0].Entries = 1
	return all
}
