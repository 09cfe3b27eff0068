package value_test

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/jdf/value"
)

func duration(t testing.TB, s string) value.Duration {
	t.Helper()
	d, err := value.ParseDurationOrINF(s)
	require.NoError(t, err)
	return d
}

// Source: W3C XML Schema Part 2, Second Edition, 3.2.6.1, and xmllint 2.9.14 for the rest.
func TestParseDuration(t *testing.T) {
	for s, want := range map[string]value.Duration{
		"P1Y2M3DT10H30M":         {Years: 1, Months: 2, Days: 3, Hours: 10, Minutes: 30},
		"-P120D":                 {Negative: true, Days: 120},
		"P1347M":                 {Months: 1347},
		"P1Y2MT2H":               {Years: 1, Months: 2, Hours: 2},
		"P0Y1347M0D":             {Months: 1347},
		"PT0S":                   {},
		"-P0D":                   {},
		"PT1004199059S":          {Nanos: 1004199059e9},
		"PT3.3S":                 {Nanos: 33e8},
		"\t PT0.1234567899S\r\n": {Nanos: 123456789},
		"PT9223372035.5S":        {Nanos: 92233720355e8},
	} {
		got, err := value.ParseDuration(s)
		require.NoError(t, err, s)
		require.Equal(t, want, got, s)
	}
	for _, s := range []string{
		"P-1347M", "P1Y2MT", "P1M2Y", "P", "P1", "PT", "1Y", "P1S", "PT1.5H", "P1W", "PT1.S", "PT.5S", "INF", "", "-",
		"PT9223372036S", "P9223372036854775808D", "P9223372036854775807D", "P50000000001Y", "P600000000001M", "PT1S ~",
	} {
		_, err := value.ParseDuration(s)
		var wrong *value.SyntaxError
		require.ErrorAs(t, err, &wrong, s)
		require.Equal(t, "duration", wrong.Type)
	}
	_, err := value.ParseDuration(" P1W ")
	require.EqualError(t, err, `"P1W" is not a duration; want a form such as PT1H30M`)
	require.Equal(t, value.Duration{Infinite: true}, duration(t, " INF "))
}

// Source: W3C XML Schema 1.1 Part 2, E.2.1, duration canonical mapping.
func TestDurationString(t *testing.T) {
	for s, want := range map[string]string{
		"P1347M": "P112Y3M", "PT90M": "PT1H30M", "P0Y0M": "PT0S", "-PT36H": "-P1DT12H", "PT0.500S": "PT0.5S",
		"P1Y2M3DT10H30M": "P1Y2M3DT10H30M", "PT3600.25S": "PT1H0.25S", "INF": "INF", "P3D": "P3D",
	} {
		require.Equal(t, want, duration(t, s).String(), s)
	}
	require.Equal(t, "P9223372036854775807D", value.Duration{Days: math.MaxInt64}.String())
	require.Equal(t, "-INF", value.Duration{Infinite: true, Negative: true}.String())
}

func TestDurationFixed(t *testing.T) {
	for s, want := range map[string]time.Duration{
		"PT7H45M30S": 27930 * time.Second, "P2D": 48 * time.Hour, "-PT0.25S": -250 * time.Millisecond,
		"PT9223372035S": 9223372035 * time.Second,
	} {
		got, ok := duration(t, s).Fixed()
		require.True(t, ok, s)
		require.Equal(t, want, got, s)
	}
	for _, s := range []string{"P1M", "P1Y", "INF", "P106752D", "-P106752D"} {
		_, ok := duration(t, s).Fixed()
		require.False(t, ok, s)
	}
}

func TestFromTime(t *testing.T) {
	for d, want := range map[time.Duration]string{
		90 * time.Minute: "PT1H30M", 36 * time.Hour: "P1DT12H", 0: "PT0S", -1500 * time.Millisecond: "-PT1.5S",
		math.MinInt64: "-P106751DT23H47M16.854775808S", math.MaxInt64: "P106751DT23H47M16.854775807S",
		59999999999: "PT59.999999999S",
	} {
		require.Equal(t, want, value.FromTime(d).String())
	}
}

// Common practice, no source.
func TestDurationAdd(t *testing.T) {
	for _, c := range []struct{ a, b, want string }{
		{"PT50M", "PT25M", "PT1H15M"},
		{"P1Y", "-P1M", "P11M"},
		{"P1M", "P1D", "P1M1D"},
		{"PT1.5S", "-PT0.75S", "PT0.75S"},
		{"PT1S", "-PT1.25S", "-PT0.25S"},
		{"-PT1.75S", "-PT0.75S", "-PT2.5S"},
		{"P1M", "-P1M", "PT0S"},
		{"INF", "-P1M", "INF"},
		{"P1M", "-P1D", ""},
		{"-P1M", "PT0.1S", ""},
		{"P50000000000Y", "P1M", ""},
	} {
		got, ok := duration(t, c.a).Add(duration(t, c.b))
		require.Equal(t, c.want != "", ok, "%s + %s", c.a, c.b)
		if ok {
			require.Equal(t, c.want, got.String(), "%s + %s", c.a, c.b)
		}
	}
	_, ok := duration(t, "INF").Add(value.Duration{Infinite: true, Negative: true})
	require.False(t, ok)
}

// Source: W3C XML Schema Part 2, Second Edition, 3.2.6.2, table of the order of durations.
func TestCompareDurations(t *testing.T) {
	for _, c := range []struct {
		a, b       string
		order      int
		determined bool
	}{
		{"P1Y", "P364D", 1, true}, {"P1Y", "P365D", 0, false}, {"P1Y", "P366D", 0, false}, {"P1Y", "P367D", -1, true},
		{"P1M", "P27D", 1, true}, {"P1M", "P28D", 0, false}, {"P1M", "P29D", 0, false}, {"P1M", "P30D", 0, false},
		{"P1M", "P31D", 0, false}, {"P1M", "P32D", -1, true},
		{"P5M", "P149D", 1, true}, {"P5M", "P150D", 0, false}, {"P5M", "P151D", 0, false}, {"P5M", "P152D", 0, false},
		{"P5M", "P153D", 0, false}, {"P5M", "P154D", -1, true},
		// Common practice, no source.
		{"PT90M", "PT1H30M", 0, true}, {"P12M", "P1Y", 0, true}, {"PT0.1S", "PT0.2S", -1, true},
		{"-PT0.1S", "PT0.9S", -1, true}, {"-P1M", "-P27D", -1, true}, {"INF", "P50000000000Y", 1, true},
		{"INF", "INF", 0, true}, {"P50000000000Y", "P49999999999Y", 1, true}, {"-P3000Y", "-P2999Y", -1, true},
	} {
		order, determined := value.Compare(duration(t, c.a), duration(t, c.b))
		require.Equal(t, c.determined, determined, "%s and %s", c.a, c.b)
		require.Equal(t, c.order, order, "%s and %s", c.a, c.b)
		back, _ := value.Compare(duration(t, c.b), duration(t, c.a))
		require.Equal(t, -c.order, back, "%s and %s", c.b, c.a)
	}
	_, determined := value.Compare(value.Duration{Days: math.MaxInt64}, value.Duration{})
	require.False(t, determined)
}

// Source: package time of Go, whose calendar is independent of ours.
func TestCompareAgreesWithCalendar(t *testing.T) {
	starts := []time.Time{
		time.Date(1696, 9, 1, 0, 0, 0, 0, time.UTC), time.Date(1697, 2, 1, 0, 0, 0, 0, time.UTC),
		time.Date(1903, 3, 1, 0, 0, 0, 0, time.UTC), time.Date(1903, 7, 1, 0, 0, 0, 0, time.UTC),
	}
	for months := -30000; months <= 30000; months += 7 {
		for _, days := range []int{months * 30, months * 3044 / 100, months * 31} {
			a := value.Duration{Negative: months < 0, Months: int64(max(months, -months))}
			b := value.Duration{Negative: days < 0, Days: int64(max(days, -days))}
			want, agree := 0, true
			for i, start := range starts {
				order := start.AddDate(0, months, 0).Compare(start.AddDate(0, 0, days))
				agree = agree && (i == 0 || order == want)
				want = order
			}
			order, determined := value.Compare(a, b)
			require.Equal(t, agree, determined, "%v %v", a, b)
			if agree {
				require.Equal(t, want, order, "%v %v", a, b)
			}
		}
	}
}
