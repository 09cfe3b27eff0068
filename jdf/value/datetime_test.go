package value_test

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/jdf/value"
)

func dateTime(t testing.TB, s string) value.DateTime {
	t.Helper()
	d, err := value.ParseDateTimeOrINF(s)
	require.NoError(t, err)
	return d
}

func TestParseDateTime(t *testing.T) {
	for s, want := range map[string]string{
		" 2024-05-31T18:20:00+00:00\n":    "2024-05-31T18:20:00Z",
		"2024-05-31T13:20:00-05:00":       "2024-05-31T13:20:00-05:00",
		"2024-12-31T24:00:00":             "2025-01-01T00:00:00",
		"2024-02-28T24:00:00.000+14:00":   "2024-02-29T00:00:00+14:00",
		"2024-01-01T00:00:00.1234567899Z": "2024-01-01T00:00:00.123456789Z",
		"2024-01-01T00:00:00.500":         "2024-01-01T00:00:00.5",
		"-0004-02-29T00:00:00":            "-0004-02-29T00:00:00",
		"12345-01-01T00:00:00Z":           "12345-01-01T00:00:00Z",
		"999999999-12-31T23:59:59-14:00":  "999999999-12-31T23:59:59-14:00",
		"0033-01-01T00:00:00Z":            "0033-01-01T00:00:00Z",
		"INF":                             "INF",
		"-INF":                            "-INF",
	} {
		require.Equal(t, want, dateTime(t, s).String(), s)
	}
	// Source: xmllint 2.9.14.
	for s, want := range map[string]string{
		"2024-01-01T24:00:01":            "a time from 00:00:00 to 24:00:00",
		"2024-01-01T24:00:00.0000000001": "a time from 00:00:00 to 24:00:00",
		"2024-01-01T23:59:60":            "a time from 00:00:00 to 24:00:00",
		"0000-01-01T00:00:00":            "a year of four to nine digits other than 0000",
		"02024-01-01T00:00:00":           "a year of four to nine digits other than 0000",
		"999999999-12-31T24:00:00":       "a year of four to nine digits other than 0000",
		"1234567890-01-01T00:00:00":      "a year of four to nine digits other than 0000",
		"2025-02-29T00:00:00":            "a day that the calendar has",
		"2025-13-01T00:00:00":            "a month from 01 to 12",
		"2024-01-01T00:00:00+14:01":      "a zone such as Z or +02:00, at most 14:00",
		"2024-01-01T00:00":               "a form such as 2026-03-31T14:00:00+02:00",
		"2024-01-01 00:00:00":            "a form such as 2026-03-31T14:00:00+02:00",
		"2024-01-01":                     "a form such as 2026-03-31T14:00:00+02:00",
		"INF":                            "a form such as 2026-03-31T14:00:00+02:00",
		"":                               "a form such as 2026-03-31T14:00:00+02:00",
	} {
		_, err := value.ParseDateTime(s)
		require.Equal(t, &value.SyntaxError{Type: "dateTime", Value: s, Want: want}, err)
	}
}

// Source: W3C XML Schema Part 2, Second Edition, appendix E, and its worked examples.
func TestDateTimePlus(t *testing.T) {
	for _, c := range []struct{ start, span, want string }{
		{"2000-01-12T12:13:14Z", "P1Y3M5DT7H10M3.3S", "2001-04-17T19:23:17.3Z"},
		{"2000-03-30T00:00:00", "P1D", "2000-03-31T00:00:00"},
		{"2000-03-31T00:00:00", "P1M", "2000-04-30T00:00:00"},
		{"2000-03-30T00:00:00", "P1M", "2000-04-30T00:00:00"},
		{"2000-04-30T00:00:00", "P1D", "2000-05-01T00:00:00"},
		// Source: xsltproc 1.1.35, EXSLT date:add.
		{"2024-01-31T08:00:00Z", "P1M", "2024-02-29T08:00:00Z"},
		{"2023-01-31T08:00:00Z", "P1M", "2023-02-28T08:00:00Z"},
		{"2024-02-29T00:00:00", "P1Y", "2025-02-28T00:00:00"},
		{"2025-12-31T22:45:00+01:00", "PT1H30M", "2026-01-01T00:15:00+01:00"},
		{"2025-06-10T06:00:00Z", "PT7H45M30.5S", "2025-06-10T13:45:30.5Z"},
		{"2025-06-10T06:00:00Z", "-PT6H0.25S", "2025-06-09T23:59:59.75Z"},
		// Common practice, no source.
		{"2024-01-31T00:00:00+02:00", "P1M1D", "2024-03-01T00:00:00+02:00"},
		{"2024-03-31T01:00:00-05:00", "-P1M", "2024-02-29T01:00:00-05:00"},
		{"0001-01-15T00:00:00", "-P1M", "0000-12-15T00:00:00"},
		{"0001-01-01T00:00:00Z", "-P400Y", "-0399-01-01T00:00:00Z"},
		{"2024-01-01T00:00:00Z", "P146097D", "2424-01-01T00:00:00Z"},
		{"2024-01-01T00:00:00Z", "-P146097D", "1624-01-01T00:00:00Z"},
		{"999999999-12-31T23:59:59Z", "PT1S", "INF"},
		{"2024-01-01T00:00:00Z", "-P50000000000Y", "-INF"},
		{"2024-01-01T00:00:00Z", "P18000000000000D", "INF"},
		{"2024-01-01T00:00:00Z", "INF", "INF"},
		{"-INF", "P1D", "-INF"},
	} {
		require.Equal(t, c.want, dateTime(t, c.start).Plus(duration(t, c.span)).String(), "%s + %s", c.start, c.span)
	}
}

// Source: W3C XML Schema Part 2, Second Edition, appendix E: 2000-01 + -P3M = 1999-10, 2000-01-12 + PT33H = 2000-01-13.
func TestDatePlus(t *testing.T) {
	month, err := value.ParseDate("2000-01-01")
	require.NoError(t, err)
	require.Equal(t, "1999-10-01T00:00:00", month.Start().Plus(duration(t, "-P3M")).String())
	day, err := value.ParseDate("2000-01-12")
	require.NoError(t, err)
	require.Equal(t, "2000-01-13T09:00:00", day.Start().Plus(duration(t, "PT33H")).String())
	day, err = value.ParseDate("2000-01-12+02:00")
	require.NoError(t, err)
	require.Equal(t, "2000-01-12T00:00:00+02:00", day.Start().String())
}

func TestDateTimeDifference(t *testing.T) {
	for _, c := range []struct{ from, to, want string }{
		{"2025-06-10T06:00:00Z", "2025-06-10T13:45:30Z", "PT7H45M30S"},
		{"2025-06-10T06:00:00+02:00", "2025-06-10T05:10:00Z", "PT1H10M"},
	} {
		gap := dateTime(t, c.to).Time().Sub(dateTime(t, c.from).Time())
		require.Equal(t, c.want, value.FromTime(gap).String())
	}
}

// Source: W3C XML Schema Part 2, Second Edition, 3.2.7.4, examples.
func TestCompareDateTimes(t *testing.T) {
	for _, c := range []struct {
		a, b       string
		order      int
		determined bool
	}{
		{"2000-01-15T00:00:00", "2000-02-15T00:00:00", -1, true},
		{"2000-01-15T12:00:00", "2000-01-16T12:00:00Z", -1, true},
		{"2000-01-01T12:00:00", "1999-12-31T23:00:00Z", 0, false},
		{"2000-01-16T12:00:00", "2000-01-16T12:00:00Z", 0, false},
		{"2000-01-16T00:00:00", "2000-01-16T12:00:00Z", 0, false},
		// Common practice, no source.
		{"2000-01-16T12:00:00+01:00", "2000-01-16T11:00:00Z", 0, true},
		{"2000-01-16T00:00:00", "2000-01-16T14:00:00Z", 0, false},
		{"2000-01-16T00:00:00", "2000-01-16T14:00:01Z", -1, true},
		{"2000-01-16T00:00:00Z", "2000-01-15T09:59:59", 1, true},
		{"INF", "999999999-01-01T00:00:00", 1, true},
		{"-INF", "INF", -1, true},
		{"-INF", "-INF", 0, true},
	} {
		for range 2 {
			order, determined := dateTime(t, c.a).Compare(dateTime(t, c.b))
			require.Equal(t, c.determined, determined, "%s and %s", c.a, c.b)
			require.Equal(t, c.order, order, "%s and %s", c.a, c.b)
			c.a, c.b, c.order = c.b, c.a, -c.order
		}
	}
}

func TestDateTimeOf(t *testing.T) {
	at := func(offset int) string {
		return value.DateTimeOf(time.Date(2026, 3, 31, 14, 0, 0, 5e8, time.FixedZone("", offset))).String()
	}
	require.Equal(t, "2026-03-31T14:00:00.5+02:00", at(7200))
	require.Equal(t, "2026-03-31T14:00:00.5-03:30", at(-12600))
	require.Equal(t, "2026-03-31T13:59:57.5Z", at(3))
	require.Equal(t, "2026-03-30T23:00:00.5Z", at(15*3600))

	d := dateTime(t, "2026-03-31T14:00:00+02:00")
	require.Equal(t, d, value.DateTimeOf(d.Time()))
	require.True(t, d == dateTime(t, "2026-03-31T14:00:00+02:00"))
	require.Equal(t, 14, d.Time().Hour())
	require.Equal(t, time.UTC, dateTime(t, "2026-03-31T14:00:00").Time().Location())
	require.True(t, dateTime(t, "INF").Time().IsZero())
	require.Equal(t, "INF", d.Plus(value.Duration{Years: math.MaxInt64}).String())
}

func TestDateParts(t *testing.T) {
	month, err := value.ParseYearMonth(" 2026-03+01:00 ")
	require.NoError(t, err)
	require.Equal(t, value.YearMonth{Year: 2026, Month: time.March, HasZone: true, Offset: 60}, month)
	require.Equal(t, "2026-03+01:00", month.String())
	_, err = value.ParseYearMonth("2026-3")
	require.EqualError(t, err, `"2026-3" is not a month; want a form such as 2026-03`)

	_, err = value.ParseDate("2026-02-30")
	require.EqualError(t, err, `"2026-02-30" is not a date; want a day that the calendar has`)

	clock, err := value.ParseTimeOfDay("24:00:00Z")
	require.NoError(t, err)
	require.Equal(t, "24:00:00Z", clock.String())
	_, err = value.ParseTimeOfDay("7:00")
	require.EqualError(t, err, `"7:00" is not a time; want a form such as 14:00:00`)
}
