package account

import (
	"cmp"
	"fmt"
	"iter"
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

// maker makes one statement. What it holds of the chapter that is being read is let
// go of when the chapter is over, so that its memory grows with what the statement
// shows, not with the cells that it is made of.
type maker struct {
	chapter
	plant   *plant.Plant
	by      By
	filter  Filter
	units   map[string]*unit
	centres map[string]*plant.CostCentre
	dates   map[string]date
	cutter  *cutter
	sieve   *sieve
	rates   map[rateKey]rate
	parts   map[string][2]string // job and part of the key of a part

	from, to  string // first and last day of the cells that the filter takes
	items     map[[2]string]*item
	rows      map[string]*rowSum
	charged   []charged
	shifts    map[shiftKey]*effect
	rowEffect map[string]map[string]*effect // by row and device, see byWork
	byWork    bool                          // whether rows have effectiveness by what was done in them
	stops     map[string]*stopSum
	colour    Colour
	delivered []Delivery
	dear      []dear // the dearest first, deviationsTold at most
	waiting   []string

	findings validate.Report
	said     map[string]bool // what a finding told of
}

// chapter is the books of some jobs, and what they come to.
type chapter struct {
	Books
	orders  map[string]cost.Order
	loose   map[work][]cost.Task // plans of what is done for no job
	cells   []Cell               // but those for no job, which are spent as they come
	lineAt  []*line              // of each cell
	lines   []*line
	lineOf  map[work]*line
	groups  map[groupKey]*group
	goods   []*good
	touched []touched // effects that something of the chapter was made in
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
		_, d.closed = slices.BinarySearchFunc(m.plant.Holidays, d.Day, plant.Day.Compare)
	}
	m.dates[day] = d
	return d
}

// Make prices the books and gives a statement of what the filter takes, by one
// dimension, which has to be one of Dimensions. The findings tell what could not be
// priced, and standards that can not be right; they stand at the plant file or at the
// record that they are about. The same books give the same statement.
func Make(b Books, by By, f Filter) (*Statement, []validate.Finding) {
	m := newMaker(b.Plant, by, f)
	m.read(b)
	return m.finish()
}

// MakeOf is Make of books that come in chapters, each whole for the jobs that it
// tells of; their Plant is not read. It holds one chapter at a time: memory grows
// with the statement, and with the greatest chapter. Cells of no job are not held at
// all. The statement is that of all chapters in one, whatever their order. The error
// is the first of the sequence.
func MakeOf(p *plant.Plant, chapters iter.Seq2[Books, error], by By, f Filter) (
	*Statement, []validate.Finding, error) {
	m := newMaker(p, by, f)
	for b, err := range chapters {
		if err != nil {
			return nil, nil, err
		}
		m.read(b)
	}
	s, found := m.finish()
	return s, found, nil
}

func newMaker(p *plant.Plant, by By, f Filter) *maker {
	return &maker{
		plant: p, by: by, filter: f, units: units(p), centres: centres(p), dates: map[string]date{},
		cutter: newCutter(p), sieve: newSieve(f), rates: map[rateKey]rate{}, parts: map[string][2]string{},
		items: map[[2]string]*item{}, rows: map[string]*rowSum{}, shifts: map[shiftKey]*effect{},
		rowEffect: map[string]map[string]*effect{}, stops: map[string]*stopSum{}, said: map[string]bool{},
		byWork: f.ofWork() || slices.Contains([]By{ByJob, ByPart, ByOperator, ByCustomer}, by),
	}
}

// read takes one chapter in.
func (m *maker) read(b Books) {
	m.begin(b)
	for i := range m.cells {
		m.spend(&m.cells[i], m.lineAt[i])
	}
	m.idlePlans()
	m.share()
	m.supply()
	m.purchases()
	m.sumGroups()
	m.sumGoods()
	m.sumEffects()
	m.sumDeliveries()
	m.sumDeviations()
	m.sumColour()
	m.sumWaiting()
}

// begin matches the cells of a chapter with its plans. Those of no job need no match,
// and may be as many as all others, so that they are spent at once.
func (m *maker) begin(b Books) {
	cells, lineAt := m.cells[:0], m.lineAt[:0]
	m.chapter = chapter{
		Books: b, orders: orders(b.Orders), lineOf: map[work]*line{}, groups: map[groupKey]*group{},
		loose: map[work][]cost.Task{}, cells: cells, lineAt: lineAt,
	}
	m.sieve.orders = m.orders
	for _, t := range b.Tasks {
		if t.Job == "" && !idleTask(&t) {
			key := work{part: t.Part, device: t.Device}
			m.loose[key] = append(m.loose[key], t)
		}
	}
	if b.Cells != nil {
		for c := range b.Cells {
			if c.Job == "" {
				m.spend(&c, m.looseLine(&c))
				continue
			}
			if n := len(m.cells); n == cap(m.cells) {
				m.cells = slices.Grow(m.cells, n+64) // doubled: there may be many
			}
			m.cells = append(m.cells, c)
		}
	}
	m.match()
}

// finish writes what all chapters came to.
func (m *maker) finish() (*Statement, []validate.Finding) {
	m.chapter = chapter{}
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
	if m.plant.Source == nil {
		return jdf.Place{}
	}
	return jdf.PlaceAt(m.plant.Source, 0, 0, "the plant file")
}
