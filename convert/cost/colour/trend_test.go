package colour

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// From memory: the worked example of Sen 1968, whose estimate is 4 and whose
// interval at about 95 % runs from 26/7 to 35/8.
func TestSenExample(t *testing.T) {
	x := []float64{1, 2, 3, 4, 10, 12, 18}
	y := []float64{9, 15, 19, 20, 45, 55, 78}
	got, ok := trendThrough(x, y, 95)
	require.True(t, ok)
	require.Equal(t, 7, got.Points)
	require.InDelta(t, 4, got.Slope, 1e-12)
	require.InDelta(t, 26.0/7, got.Low, 1e-12)
	require.InDelta(t, 35.0/8, got.High, 1e-12)
	require.InDelta(t, 1, got.Tau, 1e-12)
}

// permutations calls f with every order of the numbers below n.
func permutations(n int, f func([]float64)) {
	order := make([]float64, n)
	for i := range order {
		order[i] = float64(i)
	}
	var walk func(k int)
	walk = func(k int) {
		if k == n {
			f(order)
			return
		}
		for i := k; i < n; i++ {
			order[k], order[i] = order[i], order[k]
			walk(k + 1)
			order[k], order[i] = order[i], order[k]
		}
	}
	walk(0)
}

// The exact critical sum leaves out no more than it may, and the next smaller
// would: by counting all orders.
func TestCriticalSum(t *testing.T) {
	for n := 5; n <= 8; n++ {
		sums, all := map[int]int{}, 0
		permutations(n, func(y []float64) {
			s := 0
			for i := range y {
				for k := i + 1; k < n; k++ {
					if y[k] > y[i] {
						s++
					} else {
						s--
					}
				}
			}
			sums[s]++
			all++
		})
		for _, confidence := range []float64{80, 90, 95, 98} {
			beyond := func(c int) float64 { // share of orders with |S| above c
				count := 0
				for s, k := range sums {
					if s > c || s < -c {
						count += k
					}
				}
				return 100 * float64(count) / float64(all)
			}
			y := make([]float64, n)
			for i := range y {
				y[i] = float64(i)
			}
			c := criticalSum(y, confidence)
			require.LessOrEqual(t, beyond(c), 100-confidence+1e-9, "n %d, %v %%", n, confidence)
			require.Greater(t, beyond(c-2), 100-confidence, "n %d, %v %%", n, confidence)
		}
	}
}

// Beyond the exact table the normal approximation goes on where it ends.
func TestCriticalSumJoins(t *testing.T) {
	y := make([]float64, exactUpTo+1)
	for i := range y {
		y[i] = float64(i)
	}
	exact := exactCritical(len(y), 0.025)
	require.InDelta(t, exact, criticalSum(y, 95), 4)
	require.Less(t, criticalSum(make([]float64, 40), 95), 2, "all are tied: nothing varies")
}

// The interval holds the slope as often as it says, whatever single values do.
func TestCoverage(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for _, n := range []int{8, 15, 40} {
		held := 0
		const rounds = 1500
		for range rounds {
			x, y := make([]float64, n), make([]float64, n)
			for i := range x {
				x[i], y[i] = float64(i), 0.7*float64(i)+r.NormFloat64()
				if r.IntN(10) == 0 {
					y[i] += 30 * (r.Float64() - 0.5) // a patch read wrong
				}
			}
			trend, ok := trendThrough(x, y, 95)
			require.True(t, ok)
			require.True(t, trend.Low <= trend.Slope && trend.Slope <= trend.High)
			if trend.Low <= 0.7 && 0.7 <= trend.High {
				held++
			}
		}
		require.Greater(t, float64(held)/rounds, 0.935, "n %d", n)
	}
}

// One wild value does not make a trend, nor hide one.
func TestRobust(t *testing.T) {
	var x, y []float64
	for i := range 12 {
		x, y = append(x, float64(i)), append(y, 0.01*float64(i))
	}
	clean, _ := trendThrough(x, y, 95)
	require.InDelta(t, 0.01, clean.Slope, 1e-12)
	y[5] = 9
	wild, _ := trendThrough(x, y, 95)
	require.InDelta(t, 0.01, wild.Slope, 1e-9)
	require.True(t, wild.sure())
	flat := make([]float64, 12)
	flat[11] = 9
	none, _ := trendThrough(x, flat, 95)
	require.False(t, none.sure())
}

func TestTrendLimits(t *testing.T) {
	_, ok := trendThrough([]float64{0, 1, 2}, []float64{1, 2, 3}, 95)
	require.False(t, ok, "of three points in six orders one rises throughout")
	_, ok = trendThrough([]float64{0, 1, 2, 3, 4}, []float64{1, 2, 3, 4, 5}, 99.9)
	require.False(t, ok)

	n := 10 * maxTrendPoints
	x, y := make([]float64, n), make([]float64, n)
	for i := range x {
		x[i], y[i] = float64(i), 3*float64(i)
	}
	long, ok := trendThrough(x, y, 95)
	require.True(t, ok)
	require.Equal(t, maxTrendPoints, long.Points)
	require.InDelta(t, 3, long.Slope, 1e-9)
	require.True(t, slices.IsSorted(x), "the points are left as they are")
}
