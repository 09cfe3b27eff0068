package value_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf/value"
)

func FuzzDuration(f *testing.F) {
	for _, s := range []string{"P1Y2M3DT10H30M", "-PT0.000000001S", "P1W", "PT9223372035.9S", "P50000000000Y", "INF",
		"PT1.S",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		d, err := value.ParseDurationOrINF(s)
		if err != nil {
			return
		}
		again, err := value.ParseDurationOrINF(d.String())
		require.NoError(t, err)
		order, determined := value.Compare(d, again)
		require.True(t, determined && order == 0, "%q became %q", s, d)
		require.Equal(t, d.String(), again.String())
		if fixed, ok := d.Fixed(); ok {
			require.Equal(t, d.String(), value.FromTime(fixed).String())
		}
		if sum, ok := d.Add(d); ok {
			order, _ := value.Compare(sum, value.Duration{})
			sign, _ := value.Compare(d, value.Duration{})
			require.Equal(t, sign, order)
		}
	})
}

func FuzzDateTime(f *testing.F) {
	for _, s := range []string{
		"2026-03-31T14:00:00+02:00", "2024-02-29T24:00:00", "-0001-12-31T23:59:59.999999999-14:00",
		"999999999-12-31T24:00:00Z",
		"-0001-12-31T24:00:00", "-999999999-01-01T00:00:00+14:00",
	} {
		f.Add(s, "P1M")
		f.Add(s, "-P1Y2M3DT4H5M6.7S")
		f.Add(s, "P50000000000Y")
	}
	f.Fuzz(func(t *testing.T, s, span string) {
		d, err := value.ParseDateTime(s)
		if err != nil {
			return
		}
		// 24:00:00 at the end of year -1 is the only way to year 0, which prints but cannot be read.
		if !strings.HasPrefix(d.String(), "0000-01-01T00:00:00") {
			again, err := value.ParseDateTime(d.String())
			require.NoError(t, err)
			require.Equal(t, d, again)
		}
		e, err := value.ParseDuration(span)
		if err != nil {
			return
		}
		later := d.Plus(e)
		order, determined := d.Compare(later)
		want, _ := value.Compare(value.Duration{}, e)
		if determined && want != 0 {
			require.NotEqual(t, -want, order, "%s + %s = %s", d, e, later)
		}
	})
}

func FuzzIntegerRanges(f *testing.F) {
	for _, s := range []string{"0 ~ 5 8 ~ -1", "0~5", "-1~-6 3", "INF", "~", "1 ~ ~ 2",
		"9223372036854775807 ~ -9223372036854775808",
	} {
		f.Add(s, 7)
	}
	f.Fuzz(func(t *testing.T, s string, n int) {
		n %= 1000
		if pairs, err := value.ParseIntegerPairs(s); err == nil {
			again, err := value.ParseIntegerPairs(pairs.XJDFString())
			require.NoError(t, err)
			require.Equal(t, pairs, again)
		}
		list, err := value.ParseIntegerRangeList(s)
		if err != nil {
			return
		}
		again, err := value.ParseIntegerRangeList(list.JDFString())
		require.NoError(t, err)
		require.Equal(t, list, again)
		if list.Count(n) > 100_000 {
			return
		}
		indexes := list.Resolve(n)
		require.Len(t, indexes, list.Count(n))
		for _, i := range indexes {
			require.True(t, 0 <= i && i < n && list.Contains(i, n))
		}
	})
}

func FuzzRanges(f *testing.F) {
	for _, s := range []string{
		"-1 ~ -6 3.14 ~ 5.13 7", "1 2 ~ 3 4", "1 2 3 ~ 4 INF 6", "0 0 1 1 ~ 0 0 2 2", "a ~ f", "NaN ~ NaN",
		"2024-05-31T18:20:00+00:00 ~ INF", "P1Y ~ INF P2D", "~",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		printsStably(t, s, value.ParseNumberRangeList)
		printsStably(t, s, value.ParseXYPairRangeList)
		printsStably(t, s, value.ParseShapeRangeList)
		printsStably(t, s, value.ParseRectangleRangeList)
		printsStably(t, s, value.ParseDurationRangeList)
		printsStably(t, s, value.ParseNameRangeList)
	})
}

// printsStably demands that a printed list is read, and printed the same again.
func printsStably[T any](t *testing.T, s string, parse func(string) (value.RangeList[T], error)) {
	list, err := parse(s)
	if err != nil {
		return
	}
	again, err := parse(list.String())
	require.NoError(t, err)
	require.Len(t, again, len(list))
	require.Equal(t, list.String(), again.String())
}

func FuzzLexicalChecks(f *testing.F) {
	for _, s := range []string{"a:b", "http://[::1]:80/?#", "%4", "é", "\xff", "1e", "0 0 m", "a-1"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if value.IsNCName(s) {
			require.True(t, value.IsName(s) && value.IsQName(s) && value.IsNMTOKENS(s), "%q", s)
		}
		if value.IsName(s) || value.IsLanguage(s) {
			require.True(t, value.IsNMTOKEN(s), "%q", s)
		}
		if value.IsInteger(s) {
			require.True(t, value.IsDouble(s), "%q", s)
		}
		_, err := value.ParseDouble(s)
		require.Equal(t, err == nil, value.IsDouble(s), "%q", s)
		_, _ = value.IsURI(s), value.IsPDFPath(s) // that they end is enough
	})
}
