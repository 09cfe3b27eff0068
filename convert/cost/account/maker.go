package account

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"github.com/shopspring/decimal"

	"quoin/convert/cost"
	"quoin/jdf"
	"quoin/validate"
	"quoin/validate/plant"
)

var (
	// hour is what rates times nanoseconds are divided by to come to money. Until it
	// is shown, all money is kept times hour, so that no product of a rate and a time
	// is rounded.
	hour     = num(int64(time.Hour))
	thousand = decimal.NewFromInt(1000)
)

// fine is the decimal places that quotients of money times hour are rounded to:
// far below anything that is ever shown.
const fine = 6

// maker makes one statement.
type maker struct {
	Books
	by      By
	filter  Filter
	units   map[string]*unit
	centres map[string]*plant.CostCentre
	orders  map[string]cost.Order
	dates   map[string]date
	cutter  *cutter
	sieve   *sieve
	rates   map[rateKey]rate

	cells  []Cell
	lineAt []*line // of each cell
	taken  []bool  // whether the filter takes each cell
	lines  []*line
	lineOf map[work]*line
	groups map[groupKey]*group
	parts  map[string][2]string // job and part of the key of a part
	goods  []*good

	findings validate.Report
	said     map[string]bool // what a finding told of
}

// date is a day of the books, and what it belongs to.
type date struct {
	plant.Day
	weekday time.Weekday
	closed  bool
	known   bool // whether it is a day at all
	week    string
	month   string
}

func (m *maker) date(day string) date {
	if d, have := m.dates[day]; have {
		return d
	}
	var d date
	if t, err := time.Parse(time.DateOnly, day); err == nil {
		year, week := t.ISOWeek()
		d = date{
			Day: plant.DayOf(t), weekday: t.Weekday(), known: true,
			week: fmt.Sprintf("%04d-W%02d", year, week), month: day[:7],
		}
		_, d.closed = slices.BinarySearchFunc(m.Plant.Holidays, d.Day, plant.Day.Compare)
	}
	m.dates[day] = d
	return d
}

// Make prices the books and gives a statement of what the filter takes, by one
// dimension, which has to be one of Dimensions. The findings tell what could not be
// priced, and standards that can not be right; they stand at the plant file or at the
// record that they are about. The same books give the same statement.
func Make(b Books, by By, f Filter) (*Statement, []validate.Finding) {
	m := &maker{
		Books: b, by: by, filter: f,
		units: units(b.Plant), centres: centres(b.Plant), orders: orders(b.Orders),
		dates: map[string]date{}, cutter: newCutter(b.Plant), rates: map[rateKey]rate{},
		lineOf: map[work]*line{}, groups: map[groupKey]*group{}, parts: map[string][2]string{}, said: map[string]bool{},
	}
	m.sieve = newSieve(f, m.orders)
	if b.Cells != nil {
		for c := range b.Cells {
			if n := len(m.cells); n == cap(m.cells) {
				m.cells = slices.Grow(m.cells, n+64) // doubled: there may be many
			}
			m.cells = append(m.cells, c)
		}
	}
	m.match()
	m.taken = make([]bool, len(m.cells))
	for i := range m.cells {
		c := &m.cells[i]
		if m.taken[i] = m.sieve.has(c); m.taken[i] {
			m.lineAt[i].taken = true
		}
		m.spend(c, m.lineAt[i], m.taken[i])
	}
	m.idlePlans()
	m.share()
	m.supply()
	m.purchases()
	s := m.statement()
	m.findings.Finish()
	return s, m.findings.Findings
}

// orders puts together what several tickets say of the order of a job.
func orders(all []cost.Order) map[string]cost.Order {
	sorted := slices.Clone(all)
	slices.SortFunc(sorted, func(a, b cost.Order) int {
		return cmp.Or(cmp.Compare(a.Job, b.Job), cmp.Compare(a.Customer, b.Customer), cmp.Compare(a.Name, b.Name),
			a.Ordered.Cmp(b.Ordered), cmp.Compare(a.Product, b.Product))
	})
	merged := map[string]cost.Order{}
	for _, o := range sorted {
		sum := merged[o.Job]
		sum.Job = o.Job
		sum.Name, sum.Customer = cmp.Or(sum.Name, o.Name), cmp.Or(sum.Customer, o.Customer)
		sum.Product = cmp.Or(sum.Product, o.Product)
		sum.Ordered = decimal.Max(sum.Ordered, o.Ordered)
		merged[o.Job] = sum
	}
	return merged
}

// once adds a finding of what holds in many places at the first.
func (m *maker) once(f validate.Finding, name string) {
	if key := f.Rule.ID + " " + name; !m.said[key] {
		m.said[key] = true
		m.findings.Add(f)
	}
}

// file is the place of the plant file.
func (m *maker) file() jdf.Place {
	if m.Plant.Source == nil {
		return jdf.Place{}
	}
	return jdf.PlaceAt(m.Plant.Source, 0, 0, "the plant file")
}
