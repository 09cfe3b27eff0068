package value_test

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf/value"
)

func TestParseIntegerRangeList(t *testing.T) {
	for s, want := range map[string]value.IntegerRangeList{
		"0 ~ 5 8 ~ -1":   {{0, 5}, {8, -1}},
		"0~5 7 9 ~12":    {{0, 5}, {7, 7}, {9, 12}},
		" -1 ~ -6\t131 ": {{-1, -6}, {131, 131}},
		"+3 ~ INF":       {{3, math.MaxInt}},
	} {
		got, err := value.ParseIntegerRangeList(s)
		require.NoError(t, err, s)
		require.Equal(t, want, got, s)
	}
	for _, s := range []string{"", "~", "1 ~", "~ 1", "1 ~ ~ 2", "1~2~3", "1.5", "5-3", "-INF ~ 2", "a",
		"9223372036854775808",
	} {
		_, err := value.ParseIntegerRangeList(s)
		var wrong *value.SyntaxError
		require.ErrorAs(t, err, &wrong, s)
	}
	one, err := value.ParseIntegerRange(" 0~5 ")
	require.NoError(t, err)
	require.Equal(t, "0 ~ 5", one.String())
	_, err = value.ParseIntegerRange("0 ~ 5 7")
	require.EqualError(t, err, `"0 ~ 5 7" is not an integer range; want one range such as 0 ~ 5`)
}

func TestIntegerRangeForms(t *testing.T) {
	list, err := value.ParseIntegerPairs("0 5 8 8 10 -1")
	require.NoError(t, err)
	require.Equal(t, value.IntegerRangeList{{0, 5}, {8, 8}, {10, -1}}, list)
	require.Equal(t, "0 ~ 5 8 10 ~ -1", list.JDFString())
	require.Equal(t, "0 5 8 8 10 -1", list.XJDFString())
	require.Equal(t, "2 2147483647", value.IntegerRangeList{{2, math.MaxInt}}.XJDFString())
	require.Equal(t, "2 ~ INF", value.IntegerRangeList{{2, math.MaxInt}}.JDFString())

	empty, err := value.ParseIntegerPairs(" ")
	require.NoError(t, err)
	require.Empty(t, empty)
	_, err = value.ParseIntegerPairs("0 5 8")
	require.EqualError(t, err, `"0 5 8" is not an integer range list; want pairs of numbers such as 0 5 8 -1`)
	_, err = value.ParseIntegerPairs("0 INF")
	require.EqualError(t, err, `"INF" is not an integer; want a whole number such as 42`)
}

// Common practice, no source: bounds beyond the ends are drawn to the ends.
func TestResolveIntegerRanges(t *testing.T) {
	for _, c := range []struct {
		list string
		n    int
		want []int
	}{
		{"0 ~ -1", 4, []int{0, 1, 2, 3}},
		{"-1 ~ 0", 4, []int{3, 2, 1, 0}},
		{"-1 ~ -3", 4, []int{3, 2, 1}},
		{"1 -1 1", 3, []int{1, 2, 1}},
		{"2 ~ INF", 4, []int{2, 3}},
		{"2 ~ 9", 4, []int{2, 3}},
		{"9 ~ 2", 4, []int{3, 2}},
		{"-9 ~ 1", 4, []int{0, 1}},
		{"4 ~ 9 4 -5", 4, []int{}},
		{"0 ~ -1", 0, []int{}},
		{"0 ~ -1", 1, []int{0}},
		{"0 ~ INF -9223372036854775807", 2, []int{0, 1}},
	} {
		list, err := value.ParseIntegerRangeList(c.list)
		require.NoError(t, err)
		require.Equal(t, c.want, list.Resolve(c.n), "%s of %d", c.list, c.n)
		require.Equal(t, len(c.want), list.Count(c.n), "%s of %d", c.list, c.n)
		for i := -2; i < c.n+2; i++ {
			require.Equal(t, slices.Contains(c.want, i), list.Contains(i, c.n), "%d in %s of %d", i, c.list, c.n)
		}
	}
}
