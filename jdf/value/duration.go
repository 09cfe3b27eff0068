package value

import (
	"strconv"
	"strings"
	"time"
)

// Duration is a duration of XML Schema: months and seconds side by side, for a month has no fixed length.
//
// The fields hold what was written, so PT90M and PT1H30M stay apart; they are never negative, and
// Negative turns the whole duration round. [Duration.String] prints the canonical form.
type Duration struct {
	Negative bool
	Infinite bool // INF, which JDF allows where XML Schema does not; the other fields but Negative do not count
	Years    int64
	Months   int64
	Days     int64
	Hours    int64
	Minutes  int64
	Nanos    int64 // the seconds with their fraction, in billionths
}

const (
	secondsPerMinute = 60
	secondsPerHour   = 60 * secondsPerMinute
	secondsPerDay    = 24 * secondsPerHour
	nanosPerSecond   = 1_000_000_000
	monthsPerYear    = 12
)

// Nothing longer than 50 thousand million years is read, so that all sums of fields fit 64 bits.
const (
	maxDurationMonths  = 50_000_000_000 * monthsPerYear
	maxDurationSeconds = maxDurationMonths / monthsPerYear * 31_556_952
)

// FromTime gives d in days, hours, minutes and seconds.
func FromTime(d time.Duration) Duration {
	// The smallest time.Duration cannot be negated, its parts can.
	size := func(n int64) int64 { return max(n, -n) }
	n := int64(d)
	return Duration{
		Negative: n < 0,
		Days:     size(n / nanosPerSecond / secondsPerDay),
		Hours:    size(n / nanosPerSecond % secondsPerDay / secondsPerHour),
		Minutes:  size(n / nanosPerSecond % secondsPerHour / secondsPerMinute),
		Nanos:    size(n % (secondsPerMinute * nanosPerSecond)),
	}
}

// Fixed gives the duration as a time.Duration. It is false when there are years or months, whose length depends on
// the calendar, and when the duration does not fit the 292 years of a time.Duration.
func (d Duration) Fixed() (time.Duration, bool) {
	amount, ok := d.amount()
	if !ok || amount.months != 0 {
		return 0, false
	}
	// One second of slack keeps the sum within 64 bits; the last second of 292 years is no loss.
	const limit = (1<<63-1)/nanosPerSecond - 1
	if amount.seconds > limit || amount.seconds < -limit {
		return 0, false
	}
	return time.Duration(amount.seconds*nanosPerSecond + amount.nanos), true
}

// Add sums the months and the seconds separately. It is false when the sum has months and seconds of opposite sign,
// such as a month less a day, for which XML Schema has no value, and when it is longer than can be read.
func (d Duration) Add(e Duration) (Duration, bool) {
	if d.Infinite || e.Infinite {
		sum := Duration{Infinite: true, Negative: d.Infinite && d.Negative || e.Infinite && e.Negative}
		return sum, !(d.Infinite && e.Infinite && d.Negative != e.Negative)
	}
	a, okA := d.amount()
	b, okB := e.amount()
	if !okA || !okB {
		return Duration{}, false
	}
	sum := amount{a.months + b.months, a.seconds + b.seconds, a.nanos + b.nanos}
	// Bring the fraction under a second, then to the sign of the seconds.
	sum.seconds += sum.nanos / nanosPerSecond
	sum.nanos %= nanosPerSecond
	switch {
	case sum.seconds > 0 && sum.nanos < 0:
		sum.seconds, sum.nanos = sum.seconds-1, sum.nanos+nanosPerSecond
	case sum.seconds < 0 && sum.nanos > 0:
		sum.seconds, sum.nanos = sum.seconds+1, sum.nanos-nanosPerSecond
	}
	return sum.duration()
}

// String prints the canonical form of XML Schema 1.1: months under twelve, hours under 24, minutes and seconds under
// 60, no zero fields, PT0S for nothing at all. An infinite duration prints as INF or -INF.
func (d Duration) String() string {
	if d.Infinite {
		if d.Negative {
			return "-INF"
		}
		return "INF"
	}
	// A hand-made duration beyond the limits has no canonical form here and prints as it is.
	if amount, ok := d.amount(); ok {
		d, _ = amount.duration()
	}
	var text []byte
	if d.Negative {
		text = append(text, '-')
	}
	text = append(text, 'P')
	text = appendField(text, d.Years, 'Y')
	text = appendField(text, d.Months, 'M')
	text = appendField(text, d.Days, 'D')
	if d.Hours == 0 && d.Minutes == 0 && d.Nanos == 0 {
		if text[len(text)-1] == 'P' {
			return "PT0S"
		}
		return string(text)
	}
	text = append(text, 'T')
	text = appendField(text, d.Hours, 'H')
	text = appendField(text, d.Minutes, 'M')
	if d.Nanos != 0 {
		text = strconv.AppendInt(text, d.Nanos/nanosPerSecond, 10)
		text = append(appendFraction(text, d.Nanos%nanosPerSecond), 'S')
	}
	return string(text)
}

func appendField(text []byte, n int64, designator byte) []byte {
	if n == 0 {
		return text
	}
	return append(strconv.AppendInt(text, n, 10), designator)
}

// appendFraction prints billionths after a point, without trailing zeros, and nothing for none.
func appendFraction(text []byte, nanos int64) []byte {
	if nanos == 0 {
		return text
	}
	digits := strconv.FormatInt(nanosPerSecond+nanos, 10)[1:]
	return append(append(text, '.'), strings.TrimRight(digits, "0")...)
}
