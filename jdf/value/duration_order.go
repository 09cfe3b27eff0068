package value

import "cmp"

// Compare orders two durations: -1, 0 or +1 when a is shorter than, equal to or longer than b. The order is partial:
// determined is false when the answer depends on the month one starts from, as for P1M and P30D, and for durations
// beyond what [ParseDuration] reads. An infinite duration is longer than all others, a negative one shorter.
//
// Source: W3C XML Schema Part 2, Second Edition, 3.2.6.2.
func Compare(a, b Duration) (order int, determined bool) {
	if a.Infinite || b.Infinite {
		return cmp.Compare(a.infinity(), b.infinity()), true
	}
	x, okX := a.amount()
	y, okY := b.amount()
	if !okX || !okY {
		return 0, false
	}
	// Months since the first one of year 0 for September 1696, February 1697, March 1903 and July 1903.
	starts := [...]int64{1696*12 + 8, 1697*12 + 1, 1903*12 + 2, 1903*12 + 6}
	order = x.compareFrom(starts[0], y)
	for _, start := range starts[1:] {
		if x.compareFrom(start, y) != order {
			return 0, false
		}
	}
	return order, true
}

// infinity is -1, 0 or +1.
func (d Duration) infinity() int {
	switch {
	case !d.Infinite:
		return 0
	case d.Negative:
		return -1
	}
	return 1
}

// compareFrom compares where two durations end that begin at midnight on the first of a month. As no month lacks a
// first day, adding months there never needs clipping.
func (a amount) compareFrom(month int64, b amount) int {
	endA := daysBefore(month+a.months)*secondsPerDay + a.seconds
	endB := daysBefore(month+b.months)*secondsPerDay + b.seconds
	// The fractions are each under a second, yet may have opposite signs.
	if gap := endA - endB; gap > 2 || gap < -2 {
		return cmp.Compare(gap, 0)
	}
	return cmp.Compare((endA-endB)*nanosPerSecond+a.nanos-b.nanos, 0)
}

// daysBefore gives the days from the start of year 0 of the proleptic Gregorian calendar to the first of a month,
// which is counted from January of that year.
func daysBefore(month int64) int64 {
	year, inYear := floorDiv(month, monthsPerYear)
	// Leap days up to the end of the year before.
	q4, _ := floorDiv(year-1, 4)
	q100, _ := floorDiv(year-1, 100)
	q400, _ := floorDiv(year-1, 400)
	days := 365*year + q4 - q100 + q400 + 1
	for m := range inYear {
		days += int64(daysIn(year, int(m)+1))
	}
	return days
}

// daysIn gives the length of a month, 1 to 12.
//
// Source: W3C XML Schema Part 2, Second Edition, appendix E, maximumDayInMonthFor.
func daysIn(year int64, month int) int {
	switch month {
	case 4, 6, 9, 11:
		return 30
	case 2:
		if year%400 == 0 || year%4 == 0 && year%100 != 0 {
			return 29
		}
		return 28
	}
	return 31
}

// floorDiv rounds down, so that the remainder is never negative.
func floorDiv(a, b int64) (quotient, remainder int64) {
	quotient, remainder = a/b, a%b
	if remainder < 0 {
		return quotient - 1, remainder + b
	}
	return quotient, remainder
}
