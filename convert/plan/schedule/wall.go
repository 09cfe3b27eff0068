package schedule

import "time"

// wall is the instant at which the clock of a zone shows a day and a minute of
// it; minutes over a day's run on into the next.
//
// A time that a clock change leaves out is read with the offset before the
// change, and one that comes twice is the first.
//
// Source: RFC 5545, 3.3.5, "Form #3: Date with local time and time zone reference".
func wall(year int, month time.Month, day, minute int, zone *time.Location) time.Time {
	clock := time.Date(year, month, day, 0, minute, 0, 0, time.UTC)
	t := time.Date(year, month, day, 0, minute, 0, 0, zone)
	switch shown := t.Add(offset(t)); {
	case shown.After(clock):
		return t // left out, and read with the offset before
	case shown.Before(clock):
		return clock.Add(-offset(t)).In(zone) // left out, and read with the offset after
	}
	if start, _ := t.ZoneBounds(); !start.IsZero() {
		first := clock.Add(-offset(start.Add(-time.Second)))
		if first.Before(start) && first.Before(t) {
			return first.In(zone)
		}
	}
	return t
}

func offset(t time.Time) time.Duration {
	_, seconds := t.Zone()
	return time.Duration(seconds) * time.Second
}
