package value

import (
	"strconv"
	"time"
)

// DateTime is an instant, or, without a zone, a date and time on some wall clock. Equal values compare equal with ==.
// The zero DateTime is midnight at the start of year 1, without a zone.
type DateTime struct {
	HasZone  bool
	Infinite int8 // +1 for INF, -1 for -INF, which JDF allows where XML Schema does not; else 0

	instant time.Time // always UTC; without a zone, the wall clock read as if it were UTC
	offset  int16     // minutes east of UTC
}

// maxYear bounds the years that are read and reckoned with; time.Time holds far more.
const maxYear = 999_999_999

// maxOffset is the widest zone, in minutes.
const maxOffset = 14 * 60

// DateTimeOf gives t with its zone. A zone beyond 14 hours, or one with seconds, which XML Schema cannot write, is
// turned into UTC.
func DateTimeOf(t time.Time) DateTime {
	d := DateTime{HasZone: true, instant: t.UTC().Round(0)}
	if _, seconds := t.Zone(); seconds%60 == 0 && seconds/60 <= maxOffset && seconds/60 >= -maxOffset {
		d.offset = int16(seconds / 60)
	}
	return d
}

// Time gives the instant in the zone that was written; without one, the wall clock as UTC. An infinite DateTime gives
// the zero time.
func (d DateTime) Time() time.Time {
	if d.Infinite != 0 || d.offset == 0 {
		return d.instant
	}
	return d.instant.In(time.FixedZone("", int(d.offset)*60))
}

// wall gives the written clock, as UTC.
func (d DateTime) wall() time.Time { return d.instant.Add(time.Duration(d.offset) * time.Minute) }

// String prints a form such as 2026-03-31T14:00:00.5+02:00, with the zone that was written and Z for UTC. Infinite
// values print as INF and -INF. Midnight at the end of a day prints as that at the start of the next.
func (d DateTime) String() string {
	switch {
	case d.Infinite > 0:
		return "INF"
	case d.Infinite < 0:
		return "-INF"
	}
	wall := d.wall()
	hour, minute, second := wall.Clock()
	text := appendDate(nil, wall.Year(), int(wall.Month()), wall.Day())
	text = append(text, 'T')
	text = appendClock(text, hour, minute, second, wall.Nanosecond())
	return string(appendZone(text, d.HasZone, d.offset))
}

// Compare orders two instants: -1, 0 or +1. It is not determined when one has a zone, the other has none, and they are
// 14 hours or less apart.
//
// Source: W3C XML Schema Part 2, Second Edition, 3.2.7.4.
func (d DateTime) Compare(e DateTime) (order int, determined bool) {
	if d.Infinite != 0 || e.Infinite != 0 {
		switch {
		case d.Infinite < e.Infinite:
			return -1, true
		case d.Infinite > e.Infinite:
			return 1, true
		}
		return 0, true
	}
	if d.HasZone == e.HasZone {
		return d.instant.Compare(e.instant), true
	}
	const reach = maxOffset * time.Minute
	switch {
	case d.instant.Before(e.instant.Add(-reach)):
		return -1, true
	case d.instant.After(e.instant.Add(reach)):
		return 1, true
	}
	return 0, false
}

func appendDate(text []byte, year, month, day int) []byte {
	text = appendYear(text, year)
	text = appendTwo(append(text, '-'), month)
	return appendTwo(append(text, '-'), day)
}

// appendYear prints at least four digits.
func appendYear(text []byte, year int) []byte {
	if year < 0 {
		text = append(text, '-')
		year = -year
	}
	for limit := 1000; limit > 1 && year < limit; limit /= 10 {
		text = append(text, '0')
	}
	return strconv.AppendInt(text, int64(year), 10)
}

func appendClock(text []byte, hour, minute, second, nanos int) []byte {
	text = appendTwo(text, hour)
	text = appendTwo(append(text, ':'), minute)
	text = appendTwo(append(text, ':'), second)
	return appendFraction(text, int64(nanos))
}

func appendZone(text []byte, hasZone bool, offset int16) []byte {
	switch {
	case !hasZone:
		return text
	case offset == 0:
		return append(text, 'Z')
	case offset < 0:
		text = append(text, '-')
		offset = -offset
	default:
		text = append(text, '+')
	}
	text = appendTwo(text, int(offset/60))
	return appendTwo(append(text, ':'), int(offset%60))
}

func appendTwo(text []byte, n int) []byte {
	return append(text, '0'+byte(n/10), '0'+byte(n%10))
}
