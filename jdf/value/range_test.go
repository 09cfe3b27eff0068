package value_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf/value"
)

func TestParseRangeLists(t *testing.T) {
	numbers, err := value.ParseNumberRangeList("-1 ~ -6 3.14 ~ 5.13 7 255 ~ INF")
	require.NoError(t, err)
	require.Equal(t, value.NumberRangeList{{-1, -6}, {3.14, 5.13}, {7, 7}, {255, math.Inf(1)}}, numbers)
	require.Equal(t, "-1 ~ -6 3.14 ~ 5.13 7 255 ~ INF", numbers.String())

	pairs, err := value.ParseXYPairRangeList("100 200 ~ 110 220  150 300\n200 300 ~ INF INF")
	require.NoError(t, err)
	inf := math.Inf(1)
	require.Equal(t, value.XYPairRangeList{
		{value.XYPair{100, 200}, value.XYPair{110, 220}},
		{value.XYPair{150, 300}, value.XYPair{150, 300}},
		{value.XYPair{200, 300}, value.XYPair{inf, inf}},
	}, pairs)

	empty, err := value.ParseShapeRangeList(" ")
	require.NoError(t, err)
	require.Empty(t, empty)

	names, err := value.ParseNameRangeList("a ~ f q")
	require.NoError(t, err)
	require.Equal(t, value.NameRangeList{{"a", "f"}, {"q", "q"}}, names)

	boxes, err := value.ParseRectangleRangeList("0 0 1 1 ~ 0 0 2 2 0 0 3 3")
	require.NoError(t, err)
	require.Len(t, boxes, 2)
	require.Equal(t, "0 0 1 1 ~ 0 0 2 2 0 0 3 3", boxes.String())
}

func TestRangeListErrors(t *testing.T) {
	for s, want := range map[string]string{
		"~ 5":       `"~ 5" is not a range; want a bound on both sides of each ~, such as 1 ~ 5`,
		"5 ~":       `"5 ~" is not a range; want a bound on both sides of each ~, such as 1 ~ 5`,
		"1 ~ 2 ~ 3": `"1 ~ 2 ~ 3" is not a range; want a bound on both sides of each ~, such as 1 ~ 5`,
		"1 ~ x":     `"x" is not a number; want a form such as 12.5, 1E3 or INF`,
		"1~2":       `"1~2" is not a number; want a form such as 12.5, 1E3 or INF`,
	} {
		_, err := value.ParseNumberRangeList(s)
		require.EqualError(t, err, want)
	}
	_, err := value.ParseXYPairRangeList("1 2 ~ 3")
	require.EqualError(t, err,
		`"1 2 ~ 3" is not a range; want a bound on both sides of each ~, each bound 2 numbers, such as 1 ~ 5`)
	_, err = value.ParseXYPairRangeList("1 x")
	require.EqualError(t, err, `"1 x" is not an XY pair; want two numbers such as 612 792`)
}

// Source: JDFTypes.xsd, where each range type is a list of fixed length with its tilde.
func TestParseOneRange(t *testing.T) {
	accepts := map[string]func(string) bool{
		"-0.5 ~ INF":                 parses(value.ParseNumberRange),
		"-INF 2 ~ 3 INF":             parses(value.ParseXYPairRange),
		"1 2 3 ~ 4 INF 6":            parses(value.ParseShapeRange),
		"0 0 1 1 ~ 0 0 2 2":          parses(value.ParseRectangleRange),
		"-INF ~ 2024-05-31T18:20:00": parses(value.ParseDateTimeRange),
		"P1Y ~ INF":                  parses(value.ParseDurationRange),
		"a ~ f":                      parses(value.ParseNameRange),
		"08:00:00 ~ 24:00:00":        parses(value.ParseTimeRange),
	}
	for s, parse := range accepts {
		require.True(t, parse(s), s)
		require.False(t, parse(s+" "+s), "two ranges: %s", s)
		require.False(t, parse(""), s)
		require.False(t, parse("~"), s)
	}
	require.False(t, parses(value.ParseNumberRange)("5"), "a number is no range")
	require.False(t, parses(value.ParseDurationRange)("-INF ~ P1D"), "durations are open at the end only")
}
