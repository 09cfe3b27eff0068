package value

import "time"

// YearMonth is a month of a year, xs:gYearMonth.
type YearMonth struct {
	Year    int
	Month   time.Month
	HasZone bool
	Offset  int16 // minutes east of UTC
}

// ParseYearMonth reads a form such as 2026-03.
func ParseYearMonth(s string) (YearMonth, error) {
	const form = "a form such as 2026-03"
	v := trim(s)
	m, rest, want := scanYearMonth(v, form)
	if want == "" {
		m.Offset, m.HasZone, want = scanZone(rest, form)
	}
	if want != "" {
		return YearMonth{}, &SyntaxError{Type: "month", Value: v, Want: want}
	}
	return m, nil
}

// String prints a form such as 2026-03.
func (m YearMonth) String() string {
	text := appendYear(nil, m.Year)
	text = appendTwo(append(text, '-'), int(m.Month))
	return string(appendZone(text, m.HasZone, m.Offset))
}

// Date is a day, xs:date.
type Date struct {
	Year    int
	Month   time.Month
	Day     int
	HasZone bool
	Offset  int16 // minutes east of UTC
}

// ParseDate reads a form such as 2026-03-31.
func ParseDate(s string) (Date, error) {
	const form = "a form such as 2026-03-31"
	v := trim(s)
	d, rest, want := scanDate(v, form)
	if want == "" {
		d.Offset, d.HasZone, want = scanZone(rest, form)
	}
	if want != "" {
		return Date{}, &SyntaxError{Type: "date", Value: v, Want: want}
	}
	return d, nil
}

// String prints a form such as 2026-03-31.
func (d Date) String() string {
	text := appendDate(nil, d.Year, int(d.Month), d.Day)
	return string(appendZone(text, d.HasZone, d.Offset))
}

// Start gives the instant at which the day begins.
func (d Date) Start() DateTime {
	wall := time.Date(d.Year, d.Month, d.Day, 0, 0, 0, 0, time.UTC)
	return DateTime{
		HasZone: d.HasZone, offset: d.Offset,
		instant: wall.Add(-time.Duration(d.Offset) * time.Minute),
	}
}

// TimeOfDay is a time on the clock, xs:time. Hour is 24 only for 24:00:00.
type TimeOfDay struct {
	Hour    int
	Minute  int
	Second  int
	Nanos   int
	HasZone bool
	Offset  int16 // minutes east of UTC
}

// ParseTimeOfDay reads a form such as 14:00:00.
func ParseTimeOfDay(s string) (TimeOfDay, error) {
	const form = "a form such as 14:00:00"
	v := trim(s)
	c, rest, want := scanClock(v, form)
	if want == "" {
		c.Offset, c.HasZone, want = scanZone(rest, form)
	}
	if want != "" {
		return TimeOfDay{}, &SyntaxError{Type: "time", Value: v, Want: want}
	}
	return c, nil
}

// String prints a form such as 14:00:00.
func (c TimeOfDay) String() string {
	text := appendClock(nil, c.Hour, c.Minute, c.Second, c.Nanos)
	return string(appendZone(text, c.HasZone, c.Offset))
}
