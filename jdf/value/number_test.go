package value_test

import (
	"math"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"quoin/jdf/value"
)

func TestParseDouble(t *testing.T) {
	for s, want := range map[string]float64{
		" 12.5\n": 12.5, "INF": math.Inf(1), "-INF": math.Inf(-1), "1E3": 1000, ".105": 0.105, "1e400": math.Inf(1),
		"-1e400": math.Inf(-1), "1e-400": 0, "+4.": 4,
	} {
		got, err := value.ParseDouble(s)
		require.NoError(t, err, s)
		require.Equal(t, want, got, s)
	}
	nan, err := value.ParseDouble("NaN")
	require.NoError(t, err)
	require.True(t, math.IsNaN(nan))
	_, err = value.ParseDouble("2,500")
	require.EqualError(t, err, `"2,500" is not a number; want a form such as 12.5, 1E3 or INF`)
}

func TestFormatDouble(t *testing.T) {
	for f, want := range map[float64]string{
		612: "612", 841.89: "841.89", 0: "0", -0.5: "-0.5", 1e21: "1E+21", 1e-9: "1E-09", math.Inf(-1): "-INF",
		123456789: "123456789",
	} {
		require.Equal(t, want, value.FormatDouble(f))
	}
	require.Equal(t, "NaN", value.FormatDouble(math.NaN()))
}

func TestParseIntegers(t *testing.T) {
	n, err := value.ParseInteger(" +007 ")
	require.NoError(t, err)
	require.EqualValues(t, 7, n)

	const long = "-99999999999999999999999999999999"
	require.True(t, value.IsInteger(long))
	_, err = value.ParseInteger(long)
	require.ErrorContains(t, err, "is not an integer; want a whole number that fits 64 bits")
	_, err = value.ParseInteger("1.0")
	require.EqualError(t, err, `"1.0" is not an integer; want a whole number such as 42`)
	_, err = value.ParseInt("2147483648")
	require.EqualError(t, err, `"2147483648" is not an integer; want a whole number that fits 32 bits`)

	// Source: JDFTypes.xsd, union Integer of xs:integer, INF and -INF.
	list, err := value.ParseList("-INF 0 1 INF", value.ParseIntegerOrINF)
	require.NoError(t, err)
	require.Equal(t, []int64{value.IntegerNegativeINF, 0, 1, value.IntegerINF}, list)
}

func TestParseList(t *testing.T) {
	empty, err := value.ParseList(" \t", value.ParseBoolean)
	require.NoError(t, err)
	require.Empty(t, empty)
	flags, err := value.ParseList("true  false\n1", value.ParseBoolean)
	require.NoError(t, err)
	require.Equal(t, []bool{true, false, true}, flags)
	_, err = value.ParseList("true yes", value.ParseBoolean)
	require.EqualError(t, err, `"yes" is not a boolean; want true or false`)
}

func TestSyntaxErrorShortensLongValues(t *testing.T) {
	_, err := value.ParseDouble("x" + strings.Repeat("é", 5000))
	require.Less(t, len(err.Error()), 160)
	require.True(t, utf8.ValidString(err.Error()))
	require.Contains(t, err.Error(), "é…")
	_, err = value.ParseDouble(strings.Repeat("\x80", 500))
	require.Less(t, len(err.Error()), 500)
	require.Equal(t, `"" is not a thing; want another`, (&value.SyntaxError{Type: "thing", Want: "another"}).Error())
}
