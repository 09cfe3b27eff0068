package value

import "time"

// daysPer400Years: the Gregorian calendar repeats after so many days.
const daysPer400Years = 146_097

// Plus gives the instant after d: first the months, then the day is clipped to the end of the month reached, then
// seconds, minutes, hours and days are added with their carries. The zone stays. Adding is not commutative. A result
// beyond the years that [ParseDateTime] reads is infinite, and so is one beyond what [ParseDuration] reads. Unlike
// what can be read, a result may lie in year 0, which prints as 0000.
//
// Source: W3C XML Schema Part 2, Second Edition, appendix E.
func (d DateTime) Plus(e Duration) DateTime {
	if d.Infinite != 0 {
		return d
	}
	span, ok := e.amount()
	if !ok {
		return beyond(e.Negative)
	}
	wall := d.wall()
	year, inYear := floorDiv(int64(wall.Year())*monthsPerYear+int64(wall.Month())-1+span.months, monthsPerYear)
	month := int(inYear) + 1
	day := min(wall.Day(), daysIn(year, month))

	// Whole turns of the calendar go to the year, so that what is left stays small for time.Date.
	days, seconds := floorDiv(span.seconds, secondsPerDay)
	turns, days := floorDiv(days, daysPer400Years)
	year += 400 * turns
	if year > maxYear || year < -maxYear-400 {
		return beyond(e.Negative)
	}
	hour, minute, second := wall.Clock()
	wall = time.Date(int(year), time.Month(month), day+int(days), hour, minute, second+int(seconds),
		wall.Nanosecond()+int(span.nanos), time.UTC)
	if wall.Year() > maxYear || wall.Year() < -maxYear {
		return beyond(e.Negative)
	}
	d.instant = wall.Add(-time.Duration(d.offset) * time.Minute)
	return d
}

func beyond(negative bool) DateTime {
	if negative {
		return DateTime{Infinite: -1}
	}
	return DateTime{Infinite: 1}
}
