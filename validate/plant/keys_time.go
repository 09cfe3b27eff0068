package plant

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
	_ "time/tzdata" // so that zones are known where the system has no table of them

	"github.com/shopspring/decimal"
	"go.yaml.in/yaml/v3"

	"quoin/validate"
)

// zone is a time zone of the IANA database. Local is not taken: a plant file
// means the same on every computer.
var zone = scalar("a time zone such as Europe/Berlin", func(_ *reader, text string) (*time.Location, *fault) {
	if text == "Local" {
		return nil, badValue("it depends on the computer")
	}
	z, err := time.LoadLocation(text)
	if err != nil {
		return nil, badValue("it is not in the time zone database")
	}
	return z, nil
})

// date is a day as ISO 8601 has it.
var date = scalar("a date such as 2026-12-25", func(_ *reader, text string) (Day, *fault) {
	t, err := time.Parse(time.DateOnly, text)
	if err != nil {
		return Day{}, badValue("there is no such day")
	}
	return DayOf(t), nil
})

// clock is a time of day in minutes from midnight. 24:00 is the end of a day.
var clock = scalar("a time of day such as 06:00", func(_ *reader, text string) (int, *fault) {
	hour, minute, ok := strings.Cut(text, ":")
	h, err := strconv.ParseUint(hour, 10, 8)
	m, bad := strconv.ParseUint(minute, 10, 8)
	if !ok || err != nil || bad != nil || len(minute) != 2 {
		return 0, badValue("it is not hours and minutes")
	}
	if m > 59 || h*60+m > MinutesOfDay {
		return 0, badSense("a day ends at 24:00")
	}
	return int(h*60 + m), nil
})

// weekdayNames are in the order of the week, from Monday.
var weekdayNames = []string{"Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"}

// weekdayAt is the day at a position of weekdayNames.
func weekdayAt(i int) time.Weekday { return time.Weekday((i + 1) % 7) }

// weekdays is a set of days, written as single days and spans of them.
var weekdays = scalar("weekdays such as Mon - Fri, or Mon, Wed",
	func(_ *reader, text string) (Weekdays, *fault) { return parseWeekdays(text) })

func parseWeekdays(text string) (Weekdays, *fault) {
	var all Weekdays
	for _, part := range strings.Split(text, ",") {
		first, last, span := strings.Cut(strings.ReplaceAll(part, "–", "-"), "-")
		from := slices.Index(weekdayNames, strings.TrimSpace(first))
		to := from
		if span {
			to = slices.Index(weekdayNames, strings.TrimSpace(last))
		}
		switch {
		case from < 0 || to < 0:
			return 0, badValue("%q is not one of %s", clip(strings.TrimSpace(part)), strings.Join(weekdayNames, ", "))
		case to < from:
			return 0, badSense("the span %q runs backwards; a week begins on Mon", clip(strings.TrimSpace(part)))
		}
		for i := from; i <= to; i++ {
			all |= On(weekdayAt(i))
		}
	}
	return all, nil
}

// String writes the days as plant files have them, such as "Mon - Fri, Sun".
func (w Weekdays) String() string {
	var parts []string
	for i := 0; i < 7; i++ {
		if !w.Has(weekdayAt(i)) {
			continue
		}
		last := i
		for last+1 < 7 && w.Has(weekdayAt(last+1)) {
			last++
		}
		switch last - i {
		case 0:
			parts = append(parts, weekdayNames[i])
		case 1:
			parts = append(parts, weekdayNames[i], weekdayNames[last])
		default:
			parts = append(parts, weekdayNames[i]+" - "+weekdayNames[last])
		}
		i = last
	}
	return strings.Join(parts, ", ")
}

func shiftSchema() schema[Shift] {
	return schema[Shift]{name: "shift", keys: []key[Shift]{
		need("days", weekdays, func(s *Shift) *Weekdays { return &s.Days }, "of the week on which it begins"),
		need("from", clock, func(s *Shift) *int { return &s.From }, "when it begins, in the time zone of the plant"),
		need("to", clock, func(s *Shift) *int { return &s.To },
			"when it ends; a time that is not after the beginning is of the next day"),
		may("name", text, func(s *Shift) *string { return &s.Name }, "what reports call it; its times when not given"),
		may("premium", premium, func(s *Shift) *decimal.Decimal { return &s.Premium },
			"on the wages of the crew, or on all rates where no wage is given, while it is on"),
	}}
}

// shifts is a list of shifts that do not overlap on any day.
var shifts = kind[[]Shift]{"a list of shifts", outline{list: true, entry: "shift"}, readShifts}

func readShifts(r *reader, n *yaml.Node, path string) ([]Shift, bool) {
	list := values(entries("shifts", "", shiftSchema(), func(*Shift) string { return "" }))
	before := len(r.findings)
	all, ok := list.read(r, n, path)
	if !ok || len(r.findings) > before {
		return all, ok
	}
	for i := range all {
		if all[i].To <= all[i].From {
			all[i].To += MinutesOfDay
		}
	}
	if day, twice := overlap(all); twice {
		r.report(outOfSense, n, path, validate.F("problem", "two shifts are on at once on "+day))
		return nil, false
	}
	if name, day, twice := sameName(all); twice {
		r.report(outOfSense, n, path, validate.F("problem",
			fmt.Sprintf("two shifts that begin on %s are named %q", day, clip(name))))
		return nil, false
	}
	return all, true
}

// overlap finds a day on which two shifts run at once.
func overlap(all []Shift) (day string, twice bool) {
	const week = 7 * MinutesOfDay
	type span struct{ from, to, day int }
	var spans []span
	for _, s := range all {
		for i := range weekdayNames {
			if s.Days.Has(weekdayAt(i)) {
				spans = append(spans, span{i*MinutesOfDay + s.From, i*MinutesOfDay + s.To, i})
			}
		}
	}
	for i, a := range spans {
		for k, b := range spans {
			// The week goes round: what begins on Sunday night ends on Monday.
			if i != k && (b.from < a.to && a.from < b.to || b.from+week < a.to) {
				return weekdayNames[b.day], true
			}
		}
	}
	return "", false
}

// days is a list of dates, sorted.
var days = mapped(listOf("a list of dates such as [2026-12-25]", date), func(all []Day) []Day {
	slices.SortFunc(all, Day.Compare)
	return slices.Compact(all)
})

func taskSchema() schema[Task] {
	return schema[Task]{name: "task", keys: []key[Task]{
		need("name", text, func(t *Task) *string { return &t.Name }, "what the others call it"),
		need("time", duration, func(t *Task) *time.Duration { return &t.Time }, "how long it takes"),
		may("after", listOf("a list of names", text), func(t *Task) *[]string { return &t.After },
			"tasks that have to be done before; it runs beside all others"),
		may("per unit", yes, func(t *Task) *bool { return &t.PerUnit },
			"whether the time counts for each colour unit that is used"),
	}}
}

// tasks is a list of tasks that name each other and do not wait in a ring.
var tasks = kind[[]Task]{"a list of tasks", outline{list: true, entry: "task"}, readTasks}

func readTasks(r *reader, n *yaml.Node, path string) ([]Task, bool) {
	list := values(entries("tasks", "", taskSchema(), func(*Task) string { return "" }))
	before := len(r.findings)
	all, ok := list.read(r, n, path)
	if !ok || len(r.findings) > before {
		return nil, false
	}
	if problem := taskProblem(all); problem != "" {
		r.report(outOfSense, n, path, validate.F("problem", problem))
		return nil, false
	}
	return all, true
}

func taskProblem(all []Task) string {
	names := map[string]bool{}
	for _, t := range all {
		if names[t.Name] {
			return fmt.Sprintf("two tasks are named %q", clip(t.Name))
		}
		names[t.Name] = true
	}
	for _, t := range all {
		for _, name := range t.After {
			if !names[name] {
				return fmt.Sprintf("%q comes after %q, which is no task of the list", clip(t.Name), clip(name))
			}
		}
	}
	w := newWeb(all)
	for i := range all {
		w.finish(i, 1)
	}
	if w.ring >= 0 {
		return fmt.Sprintf("%q waits for itself, through the tasks that it comes after", clip(all[w.ring].Name))
	}
	return ""
}
