package account

import (
	"fmt"
	"iter"
	"slices"
	"time"

	"quoin/convert/cost"
	"quoin/validate/plant"
)

// sieve is a filter made ready for many cells.
type sieve struct {
	from, to string
	undated  bool
	lists    [7]map[string]bool    // nil for all, in the order of keys
	orders   map[string]cost.Order // of the chapter that is being read
}

func newSieve(f Filter) *sieve {
	s := &sieve{from: f.From, to: f.To, undated: f.Undated}
	for i, list := range [][]string{f.Jobs, f.Parts, f.Devices, f.Centres, f.Operators, f.Shifts, f.Customers} {
		for _, word := range list {
			if s.lists[i] == nil {
				s.lists[i] = map[string]bool{}
			}
			s.lists[i][word] = true
		}
	}
	return s
}

// has reports whether the filter takes the cell. A limit of days takes nothing that
// belongs to no day.
func (s *sieve) has(c *Cell) bool {
	if s.undated && c.Day != "" || s.from != "" && c.Day < s.from || s.to != "" && (c.Day > s.to || c.Day == "") {
		return false
	}
	keys := [...]string{c.Job, c.Part, c.Device, c.Centre, c.Operator, c.Shift}
	for i, key := range keys {
		if s.lists[i] != nil && !s.lists[i][key] {
			return false
		}
	}
	customers := s.lists[len(keys)]
	return customers == nil || customers[s.orders[c.Job].Customer]
}

// ofWork reports whether the filter picks jobs or people, so that it leaves holes in
// the time of a device.
func (f Filter) ofWork() bool {
	return len(f.Jobs)+len(f.Parts)+len(f.Customers)+len(f.Operators) > 0
}

// only is the filter that takes just one row of the statement.
func (m *maker) only(key string) Filter {
	f, one := m.filter, []string{key}
	days := func(from, to plant.Day) {
		f.From = max(f.From, from.String())
		if f.To == "" || to.String() < f.To {
			f.To = to.String()
		}
	}
	switch m.by {
	case ByJob:
		f.Jobs = one
	case ByPart:
		f.Jobs, f.Parts = one, []string{""}
		if part, have := m.parts[key]; have {
			f.Jobs, f.Parts = []string{part[0]}, []string{part[1]}
		}
	case ByCentre:
		f.Centres = one
	case ByDevice:
		f.Devices = one
	case ByOperator:
		f.Operators = one
	case ByCustomer:
		f.Customers = one
	case ByShift:
		f.Shifts = one
	default:
		from, to, dated := m.days(key)
		if f.Undated = !dated; dated {
			days(from, to)
		}
	}
	return f
}

// days is the first and last day of a row by day, week or month, false for the row of
// what belongs to none.
func (m *maker) days(key string) (from, to plant.Day, dated bool) {
	switch m.by {
	case ByWeek:
		var year, week int
		if _, err := fmt.Sscanf(key, "%d-W%d", &year, &week); err != nil {
			return from, to, false
		}
		// The fourth of January is always in the first week.
		fourth := time.Date(year, time.January, 4, 0, 0, 0, 0, time.UTC)
		monday := 4 - (int(fourth.Weekday())+6)%7 + 7*(week-1)
		from = plant.DayOf(time.Date(year, time.January, monday, 0, 0, 0, 0, time.UTC))
		return from, next(from, 6), true
	case ByMonth:
		t, err := time.Parse("2006-01", key)
		return plant.DayOf(t), plant.DayOf(t.AddDate(0, 1, -1)), err == nil
	}
	d := m.date(key)
	return d.Day, d.Day, d.known
}

// Entries gives those entries that have a share in what the filter takes, in their
// own order: the last step of looking into a row, by its Only. Only Plant and Orders
// of the books are used.
func Entries(entries iter.Seq[cost.Entry], b Books, f Filter) iter.Seq[cost.Entry] {
	return func(yield func(cost.Entry) bool) {
		c, s := newCutter(b.Plant), newSieve(f)
		s.orders = orders(b.Orders)
		for e := range entries {
			has := func(piece Cell) bool { return s.has(&piece) }
			if slices.ContainsFunc(c.cut(e), has) && !yield(e) {
				return
			}
		}
	}
}
