package value_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/jdf/value"
)

// roundTrip draws values from made, and demands that each is read back from what it prints.
func roundTrip[T fmt.Stringer](t *testing.T, parse func(string) (T, error), made func(*rand.Rand) T) {
	t.Helper()
	random := rand.New(rand.NewPCG(7, 11))
	for range 2000 {
		want := made(random)
		got, err := parse(want.String())
		require.NoError(t, err)
		require.Equal(t, want, got, want.String())
	}
}

// number draws numbers of all sizes, with their special cases.
func number(random *rand.Rand) float64 {
	switch random.IntN(8) {
	case 0:
		return math.Inf(1 - 2*random.IntN(2))
	case 1:
		return float64(random.IntN(2000) - 1000)
	case 2:
		for {
			if f := math.Float64frombits(random.Uint64()); !math.IsNaN(f) {
				return f
			}
		}
	}
	return math.Round(random.NormFloat64()*1e5) / 100
}

func someDateTime(random *rand.Rand) value.DateTime {
	zone := time.FixedZone("", 60*(random.IntN(2*840+1)-840))
	if random.IntN(3) == 0 {
		zone = time.UTC
	}
	year := random.IntN(4000) + 1
	return value.DateTimeOf(time.Date(year, 1, random.IntN(366), 0, 0, random.IntN(86400), random.IntN(1e9), zone))
}

func someDuration(random *rand.Rand) value.Duration {
	d := value.Duration{
		Years: int64(random.IntN(100)), Months: int64(random.IntN(12)), Days: int64(random.IntN(10000)),
		Hours: int64(random.IntN(24)), Minutes: int64(random.IntN(60)), Nanos: random.Int64N(60e9) + 1,
	}
	d.Negative = random.IntN(2) == 0
	return d
}

func listOf[T any](random *rand.Rand, made func(*rand.Rand) T) value.RangeList[T] {
	var list value.RangeList[T]
	for range random.IntN(5) {
		r := value.Range[T]{First: made(random), Last: made(random)}
		if random.IntN(2) == 0 {
			r.Last = r.First
		}
		list = append(list, r)
	}
	return list
}

func TestPrintedValuesReadBack(t *testing.T) {
	pair := func(r *rand.Rand) value.XYPair { return value.XYPair{X: number(r), Y: number(r)} }
	shape := func(r *rand.Rand) value.Shape { return value.Shape{X: number(r), Y: number(r), Z: number(r)} }
	box := func(r *rand.Rand) value.Rectangle { return value.Rectangle{number(r), number(r), number(r), number(r)} }
	roundTrip(t, value.ParseDuration, someDuration)
	roundTrip(t, value.ParseDateTime, someDateTime)
	roundTrip(t, value.ParseXYPair, pair)
	roundTrip(t, value.ParseShape, shape)
	roundTrip(t, value.ParseRectangle, box)
	roundTrip(t, value.ParseMatrix, func(r *rand.Rand) value.Matrix {
		return value.Matrix{number(r), number(r), number(r), number(r), number(r), number(r)}
	})
	roundTrip(t, value.ParseLabColor, func(r *rand.Rand) value.LabColor {
		return value.LabColor{number(r), number(r), 0}
	})
	roundTrip(t, value.ParseSRGBColor, func(r *rand.Rand) value.SRGBColor {
		return value.SRGBColor{number(r), number(r), 1}
	})
	roundTrip(t, value.ParseCMYKColor, func(r *rand.Rand) value.CMYKColor {
		return value.CMYKColor{number(r), number(r), number(r), number(r)}
	})
	roundTrip(t, value.ParseNumberRangeList, func(r *rand.Rand) value.NumberRangeList { return listOf(r, number) })
	roundTrip(t, value.ParseXYPairRangeList, func(r *rand.Rand) value.XYPairRangeList { return listOf(r, pair) })
	roundTrip(t, value.ParseShapeRangeList, func(r *rand.Rand) value.ShapeRangeList { return listOf(r, shape) })
	roundTrip(t, value.ParseRectangleRangeList, func(r *rand.Rand) value.RectangleRangeList {
		return listOf(r, box)
	})
	roundTrip(t, value.ParseDateTimeRangeList, func(r *rand.Rand) value.DateTimeRangeList {
		return listOf(r, someDateTime)
	})
	roundTrip(t, value.ParseDurationRangeList, func(r *rand.Rand) value.DurationRangeList {
		return listOf(r, someDuration)
	})
	roundTrip(t, value.ParseShapeRange, func(r *rand.Rand) value.ShapeRange {
		return value.ShapeRange{First: shape(r), Last: shape(r)}
	})
	roundTrip(t, value.ParseDate, func(r *rand.Rand) value.Date {
		return value.Date{Year: r.IntN(20000) + 1, Month: 2, Day: r.IntN(28) + 1}
	})
	roundTrip(t, value.ParseTimeOfDay, func(r *rand.Rand) value.TimeOfDay {
		return value.TimeOfDay{Hour: r.IntN(24), Minute: r.IntN(60), Second: r.IntN(60), Nanos: r.IntN(1e9)}
	})
	roundTrip(t, value.ParseYearMonth, func(r *rand.Rand) value.YearMonth {
		return value.YearMonth{Year: -r.IntN(5000) - 1, Month: time.Month(r.IntN(12) + 1)}
	})
}

func TestPrintedIntegerRangesReadBack(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 11))
	for range 2000 {
		list := value.IntegerRangeList{{random.IntN(100) - 50, math.MaxInt32}}
		for range random.IntN(5) {
			list = append(list, value.IntegerRange{First: random.IntN(9) - 4, Last: random.IntN(9) - 4})
		}
		jdf, err := value.ParseIntegerRangeList(list.JDFString())
		require.NoError(t, err)
		require.Equal(t, list, jdf)
		xjdf, err := value.ParseIntegerPairs(list.XJDFString())
		require.NoError(t, err)
		require.Equal(t, list, xjdf)
	}
}
