package plant

import (
	"cmp"
	"fmt"
	"time"

	"github.com/shopspring/decimal"
)

// MinutesOfDay is how many minutes a day has that no clock change falls in.
const MinutesOfDay = 24 * 60

// Shift is a span of the week in which a cost centre is manned, in the local
// time of Plant.Zone.
type Shift struct {
	Days Weekdays // on which it begins

	// From and To are minutes from the midnight that the day begins with, by the
	// clock on the wall. To is over From; it is over MinutesOfDay when the shift
	// ends on the next day, which belongs to the day it began on.
	From, To int

	Name    string          // such as night; "" where the file states none
	Premium decimal.Decimal // percent on the wages of the cost centre, see PremiumAnHour
}

// Weekdays is a set of days of the week.
type Weekdays uint8

// On makes a set of weekdays.
func On(days ...time.Weekday) Weekdays {
	var w Weekdays
	for _, d := range days {
		w |= 1 << d
	}
	return w
}

// Has reports whether the day is in the set.
func (w Weekdays) Has(d time.Weekday) bool { return w&(1<<d) != 0 }

// Day is a day of the calendar, in no zone.
type Day struct {
	Year  int
	Month time.Month
	Day   int
}

// DayOf is the day that a moment falls on in its own location.
func DayOf(t time.Time) Day {
	y, m, d := t.Date()
	return Day{y, m, d}
}

// Compare orders days.
func (d Day) Compare(e Day) int {
	return cmp.Or(cmp.Compare(d.Year, e.Year), cmp.Compare(d.Month, e.Month), cmp.Compare(d.Day, e.Day))
}

// String writes the day as ISO 8601 has it, such as 2026-12-25.
func (d Day) String() string { return fmt.Sprintf("%04d-%02d-%02d", d.Year, int(d.Month), d.Day) }

// Holiday reports whether the day of a moment, in the zone of the plant, is one
// of the Holidays.
func (p *Plant) Holiday(t time.Time) bool {
	zone := p.Zone
	if zone == nil {
		zone = time.UTC
	}
	day := DayOf(t.In(zone))
	for _, h := range p.Holidays {
		if h == day {
			return true
		}
	}
	return false
}

// Task is a part of a makeready. Tasks run side by side unless one is to come
// after another.
type Task struct {
	Name    string        // not empty, and once in a list
	Time    time.Duration // of the task, or of each unit with PerUnit
	After   []string      // names of tasks that have to be done before
	PerUnit bool          // the time counts for each colour unit used, one after the other
}

// CriticalPath is how long tasks take when each begins as soon as those it is
// to come after are done, for a form of so many colour units, and the names of
// the tasks that decide it, first to last. Of several paths as long, the one
// whose tasks stand first counts. Plant files have no tasks that wait for each
// other in a ring; a task of such a ring counts as if it waited for none of it.
func CriticalPath(tasks []Task, units int) (time.Duration, []string) {
	w := newWeb(tasks)
	best := -1
	for i := range tasks {
		w.finish(i, units)
		if best < 0 || w.ends[i] > w.ends[best] {
			best = i
		}
	}
	var path []string
	if best < 0 {
		return 0, nil
	}
	for i := best; i >= 0; i = w.behind[i] {
		path = append([]string{tasks[i].Name}, path...)
	}
	return w.ends[best], path
}

// web is tasks on the way to their critical path.
type web struct {
	tasks  []Task
	index  map[string]int
	state  []uint8 // 0 not seen, 1 being worked out, 2 done
	ends   []time.Duration
	behind []int // the task that one waits for longest, -1 for none
	ring   int   // a task that waits for itself, -1 for none
}

func newWeb(tasks []Task) *web {
	w := &web{
		tasks: tasks, index: map[string]int{}, state: make([]uint8, len(tasks)),
		ends: make([]time.Duration, len(tasks)), behind: make([]int, len(tasks)), ring: -1,
	}
	for i, t := range tasks {
		if _, have := w.index[t.Name]; !have {
			w.index[t.Name] = i
		}
		w.behind[i] = -1
	}
	return w
}

// finish works out when a task ends.
func (w *web) finish(i, units int) {
	if w.state[i] != 0 {
		return
	}
	w.state[i] = 1
	begin := time.Duration(0)
	for _, name := range w.tasks[i].After {
		k, known := w.index[name]
		if !known {
			continue
		}
		if w.state[k] == 1 {
			w.ring = k
			continue
		}
		w.finish(k, units)
		if w.behind[i] < 0 || w.ends[k] > begin {
			begin, w.behind[i] = w.ends[k], k
		}
	}
	t := w.tasks[i].Time
	if w.tasks[i].PerUnit {
		t *= time.Duration(units)
	}
	w.ends[i], w.state[i] = begin+t, 2
}
