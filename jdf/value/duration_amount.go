package value

// amount is the value of a duration: its signed months and its signed seconds with a fraction of the same sign.
type amount struct {
	months  int64
	seconds int64
	nanos   int64
}

// amount is false for an infinite duration and for one beyond the limits or with a negative field.
func (d Duration) amount() (amount, bool) {
	// Each field is held under its limit first, so that no sum below can overflow.
	const limit = maxDurationSeconds
	switch {
	case d.Infinite, d.Years < 0, d.Months < 0, d.Days < 0, d.Hours < 0, d.Minutes < 0, d.Nanos < 0,
		d.Years > maxDurationMonths/monthsPerYear, d.Months > maxDurationMonths,
		d.Days > limit/secondsPerDay, d.Hours > limit/secondsPerHour, d.Minutes > limit/secondsPerMinute:
		return amount{}, false
	}
	a := amount{
		months: d.Years*monthsPerYear + d.Months,
		seconds: d.Days*secondsPerDay + d.Hours*secondsPerHour + d.Minutes*secondsPerMinute +
			d.Nanos/nanosPerSecond,
		nanos: d.Nanos % nanosPerSecond,
	}
	if d.Negative {
		a = amount{-a.months, -a.seconds, -a.nanos}
	}
	return a, a.withinLimits()
}

func (a amount) withinLimits() bool {
	return a.months <= maxDurationMonths && a.months >= -maxDurationMonths &&
		a.seconds <= maxDurationSeconds && a.seconds >= -maxDurationSeconds
}

// duration gives the canonical fields; it is false for mixed signs and beyond the limits.
func (a amount) duration() (Duration, bool) {
	negative := a.months < 0 || a.seconds < 0 || a.nanos < 0
	if negative {
		a = amount{-a.months, -a.seconds, -a.nanos}
	}
	if a.months < 0 || a.seconds < 0 || a.nanos < 0 || !a.withinLimits() {
		return Duration{}, false
	}
	return Duration{
		Negative: negative,
		Years:    a.months / monthsPerYear,
		Months:   a.months % monthsPerYear,
		Days:     a.seconds / secondsPerDay,
		Hours:    a.seconds % secondsPerDay / secondsPerHour,
		Minutes:  a.seconds % secondsPerHour / secondsPerMinute,
		Nanos:    a.seconds%secondsPerMinute*nanosPerSecond + a.nanos,
	}, true
}
