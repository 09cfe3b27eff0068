package value

import "time"

const (
	wantDateTime = "a form such as 2026-03-31T14:00:00+02:00"
	wantYear     = "a year of four to nine digits other than 0000"
	wantDay      = "a day that the calendar has"
	wantClock    = "a time from 00:00:00 to 24:00:00"
	wantZone     = "a zone such as Z or +02:00, at most 14:00"
)

// ParseDateTime reads xs:dateTime. The time 24:00:00 is the start of the next day. Of the fraction of a second nine
// digits are kept. Years have four to nine digits and may be negative; there is no year 0000.
//
// Source: W3C XML Schema Part 2, Second Edition, 3.2.7.
func ParseDateTime(s string) (DateTime, error) {
	v := trim(s)
	d, want := scanDateTime(v)
	if want != "" {
		return DateTime{}, &SyntaxError{Type: "dateTime", Value: v, Want: want}
	}
	return d, nil
}

// ParseDateTimeOrINF reads the dateTime of JDF 1.x, which may also be INF or -INF.
func ParseDateTimeOrINF(s string) (DateTime, error) {
	switch trim(s) {
	case "INF":
		return DateTime{Infinite: 1}, nil
	case "-INF":
		return DateTime{Infinite: -1}, nil
	}
	return ParseDateTime(s)
}

// Each scan function below gives what was wanted instead when s does not begin with its part; fallback says so where
// the form itself is wrong.

func scanDateTime(s string) (d DateTime, want string) {
	date, rest, want := scanDate(s, wantDateTime)
	if want != "" {
		return d, want
	}
	if rest == "" || rest[0] != 'T' {
		return d, wantDateTime
	}
	clock, rest, want := scanClock(rest[1:], wantDateTime)
	if want != "" {
		return d, want
	}
	d.offset, d.HasZone, want = scanZone(rest, wantDateTime)
	if want != "" {
		return d, want
	}
	wall := time.Date(date.Year, date.Month, date.Day, clock.Hour, clock.Minute, clock.Second, clock.Nanos, time.UTC)
	if wall.Year() > maxYear { // by 24:00:00
		return d, wantYear
	}
	d.instant = wall.Add(-time.Duration(d.offset) * time.Minute)
	return d, ""
}

func scanDate(s, fallback string) (d Date, rest, want string) {
	month, rest, want := scanYearMonth(s, fallback)
	if want != "" {
		return d, s, want
	}
	day, ok := 0, false
	if day, rest, ok = scanTwo(rest, '-'); !ok {
		return d, s, fallback
	}
	if day < 1 || day > daysIn(int64(month.Year), int(month.Month)) {
		return d, s, wantDay
	}
	return Date{Year: month.Year, Month: month.Month, Day: day}, rest, ""
}

func scanYearMonth(s, fallback string) (m YearMonth, rest, want string) {
	negative := s != "" && s[0] == '-'
	rest = s
	if negative {
		rest = s[1:]
	}
	end := digitsEnd(rest)
	if end == 0 {
		return m, s, fallback
	}
	year, _ := parseDigits(rest[:min(end, 10)])
	if end < 4 || end > 4 && rest[0] == '0' || year == 0 || year > maxYear {
		return m, s, wantYear
	}
	if negative {
		year = -year
	}
	month, rest, ok := scanTwo(rest[end:], '-')
	if !ok {
		return m, s, fallback
	}
	if month < 1 || month > 12 {
		return m, s, "a month from 01 to 12"
	}
	return YearMonth{Year: int(year), Month: time.Month(month)}, rest, ""
}

func scanClock(s, fallback string) (c TimeOfDay, rest, want string) {
	// Two digits without a separator before them begin the clock.
	if len(s) < 2 || digitsEnd(s[:2]) < 2 {
		return c, s, fallback
	}
	c.Hour = int(s[0]-'0')*10 + int(s[1]-'0')
	var okMinute, okSecond bool
	c.Minute, rest, okMinute = scanTwo(s[2:], ':')
	c.Second, rest, okSecond = scanTwo(rest, ':')
	if !okMinute || !okSecond {
		return c, s, fallback
	}
	exact := true
	if rest != "" && rest[0] == '.' {
		end := digitsEnd(rest[1:])
		if end == 0 {
			return c, s, fallback
		}
		fraction := rest[1 : 1+end]
		rest = rest[1+end:]
		c.Nanos = int(parseFraction(fraction))
		for i := range len(fraction) {
			exact = exact && fraction[i] == '0'
		}
	}
	endOfDay := c.Hour == 24 && c.Minute == 0 && c.Second == 0 && exact
	if c.Hour > 23 && !endOfDay || c.Minute > 59 || c.Second > 59 {
		return c, s, wantClock
	}
	return c, rest, ""
}

// scanZone must use up all of s, for the zone is last in every type.
func scanZone(s, fallback string) (offset int16, hasZone bool, want string) {
	switch s {
	case "":
		return 0, false, ""
	case "Z":
		return 0, true, ""
	}
	sign := s[0]
	if sign != '+' && sign != '-' {
		return 0, false, fallback
	}
	hours, rest, okHours := scanTwo(s, sign)
	minutes, rest, okMinutes := scanTwo(rest, ':')
	if !okHours || !okMinutes || rest != "" {
		return 0, false, fallback
	}
	total := hours*60 + minutes
	if minutes > 59 || total > maxOffset {
		return 0, false, wantZone
	}
	if sign == '-' {
		total = -total
	}
	return int16(total), true, ""
}

// scanTwo reads a separator and two digits.
func scanTwo(s string, separator byte) (n int, rest string, ok bool) {
	if len(s) < 3 || s[0] != separator || !isDigit(s[1]) || !isDigit(s[2]) {
		return 0, s, false
	}
	return int(s[1]-'0')*10 + int(s[2]-'0'), s[3:], true
}
