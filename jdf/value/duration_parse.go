package value

import (
	"math"
	"strings"
)

const (
	wantDuration      = "a form such as PT1H30M"
	wantShortDuration = "no more than 50 thousand million years, of which under 9223372036 in seconds"
)

// ParseDuration reads xs:duration. Of the fraction of a second nine digits are kept; the point needs digits on both
// sides. What does not fit the fields of [Duration] is a *[SyntaxError].
//
// Source: W3C XML Schema Part 2, Second Edition, 3.2.6; for the point, the pattern of XML Schema 1.1.
func ParseDuration(s string) (Duration, error) {
	v := trim(s)
	d, want := scanDuration(v)
	if want == "" {
		if _, ok := d.amount(); !ok {
			want = wantShortDuration
		}
	}
	if want != "" {
		return Duration{}, &SyntaxError{Type: "duration", Value: v, Want: want}
	}
	if d == (Duration{Negative: true}) {
		d.Negative = false
	}
	return d, nil
}

// ParseDurationOrINF reads the duration of JDF 1.x, which may also be INF.
func ParseDurationOrINF(s string) (Duration, error) {
	if trim(s) == "INF" {
		return Duration{Infinite: true}, nil
	}
	return ParseDuration(s)
}

// scanDuration gives what was wanted instead when s is no duration.
func scanDuration(s string) (d Duration, want string) {
	if s != "" && s[0] == '-' {
		d.Negative = true
		s = s[1:]
	}
	if s == "" || s[0] != 'P' {
		return d, wantDuration
	}
	date, clock, hasClock := strings.Cut(s[1:], "T")
	if hasClock == (clock == "") || !hasClock && date == "" {
		return d, wantDuration
	}
	if want = scanFields(date, "YMD", []*int64{&d.Years, &d.Months, &d.Days}); want != "" {
		return d, want
	}
	return d, scanFields(clock, "HMS", []*int64{&d.Hours, &d.Minutes, &d.Nanos})
}

// scanFields reads numbers that are each followed by one of the designators, in their order. Seconds, with the
// designator S, may have a fraction and are stored in billionths.
func scanFields(s, designators string, fields []*int64) (want string) {
	for s != "" {
		end := digitsEnd(s)
		digits := s[:end]
		s = s[end:]
		fraction := ""
		if s != "" && s[0] == '.' {
			fraction = s[1 : 1+digitsEnd(s[1:])]
			s = s[1+len(fraction):]
			if fraction == "" || s == "" || s[0] != 'S' {
				return wantDuration
			}
		}
		if digits == "" || s == "" {
			return wantDuration
		}
		at := strings.IndexByte(designators, s[0])
		if at < 0 {
			return wantDuration
		}
		number, fits := parseDigits(digits)
		if s[0] == 'S' {
			fits = fits && number < math.MaxInt64/nanosPerSecond
			number = number*nanosPerSecond + parseFraction(fraction)
		}
		if !fits {
			return wantShortDuration
		}
		*fields[at] = number
		s, designators, fields = s[1:], designators[at+1:], fields[at+1:]
	}
	return ""
}

// parseDigits is false when the number does not fit 64 bits.
func parseDigits(s string) (int64, bool) {
	n := int64(0)
	for i := range len(s) {
		digit := int64(s[i] - '0')
		if n > (math.MaxInt64-digit)/10 {
			return 0, false
		}
		n = n*10 + digit
	}
	return n, true
}

// parseFraction gives the billionths that the digits after a point stand for; further digits are dropped.
func parseFraction(digits string) int64 {
	nanos := int64(0)
	for i := range 9 {
		nanos *= 10
		if i < len(digits) {
			nanos += int64(digits[i] - '0')
		}
	}
	return nanos
}
