package colour

import (
	"math"
	"slices"
)

// Trend is the slope through the points of a series, by the method of Theil and
// Sen: the median of the slopes between all pairs. One point far off, or a few,
// do not move it.
//
// Source: Sen: Estimates of the Regression Coefficient Based on Kendall's Tau,
// Journal of the American Statistical Association 63, 1968, pages 1379 to 1389.
type Trend struct {
	Points     int     `json:"points"`     // that it is through; long series are of medians of neighbours
	Slope      float64 `json:"slope"`      // unit of the series by unit of the order
	Low        float64 `json:"low"`        // interval around Slope
	High       float64 `json:"high"`       //
	Confidence float64 `json:"confidence"` // of the interval at least, percent
	Tau        float64 `json:"tau"`        // of Kendall, from -1 to 1: how much the points keep one direction
	MidX, MidY float64 `json:"-"`          // medians, through which the line is drawn
}

// maxTrendPoints bounds the pairs that slopes are taken of.
const maxTrendPoints = 200

// trendThrough fits a line to points whose x rise strictly; there have to be
// two at least. The confidence is in percent. It is false when there are too
// few points for an interval of that confidence.
func trendThrough(xs, ys []float64, confidence float64) (Trend, bool) {
	xs, ys = thin(xs, ys)
	n := len(xs)
	slopes := make([]float64, 0, n*(n-1)/2)
	sign := 0
	for i := range xs {
		for k := i + 1; k < n; k++ {
			slopes = append(slopes, (ys[k]-ys[i])/(xs[k]-xs[i]))
			switch {
			case ys[k] > ys[i]:
				sign++
			case ys[k] < ys[i]:
				sign--
			}
		}
	}
	slices.Sort(slopes)
	pairs := len(slopes)
	below := (pairs - criticalSum(ys, confidence)) / 2 // slopes cut off at each end
	if below < 1 {
		return Trend{}, false
	}
	return Trend{
		Points: n, Slope: median(slopes), Low: slopes[below-1], High: slopes[pairs-below], Confidence: confidence,
		Tau: float64(sign) / float64(pairs), MidX: median(slices.Clone(xs)), MidY: median(slices.Clone(ys)),
	}, true
}

// sure reports whether the interval leaves out zero.
func (t *Trend) sure() bool { return t.Low > 0 || t.High < 0 }

// at is the line's value.
func (t *Trend) at(x float64) float64 { return t.MidY + t.Slope*(x-t.MidX) }

// reaches is where a line of the slope, through the middle of the points, has
// the value.
func (t *Trend) reaches(value, slope float64) float64 { return t.MidX + (value-t.MidY)/slope }

// criticalSum is the whole number C such that Kendall's sum S lies within -C
// to C with at least the confidence when there is no trend. Up to exactUpTo
// points without ties it is exact, by counting permutations; else S is taken
// as normal, with its variance lessened by ties.
//
// Source: Hollander, Wolfe: Nonparametric Statistical Methods, section 9.3,
// confidence interval for the slope: C is the critical value of S less 2; and
// for the variance with ties Kendall: Rank Correlation Methods.
func criticalSum(ys []float64, confidence float64) int {
	n, tail := len(ys), (1-confidence/100)/2
	ties := tieSum(ys)
	if n <= exactUpTo && ties == 0 {
		return exactCritical(n, tail)
	}
	m := float64(n)
	variance := (m*(m-1)*(2*m+5) - ties) / 18
	z := math.Sqrt2 * math.Erfinv(1-2*tail)
	c := int(math.Ceil(z * math.Sqrt(max(0, variance))))
	if (n*(n-1)/2-c)%2 != 0 {
		c++ // what is cut off at both ends is a whole number at each
	}
	return c
}

const exactUpTo = 30

// exactCritical counts how many orders of n values have each number of
// inversions; S is the number of pairs less twice that.
func exactCritical(n int, tail float64) int {
	share := []float64{1} // by number of inversions
	for size := 2; size <= n; size++ {
		next := make([]float64, len(share)+size-1)
		for i, p := range share {
			for k := range size {
				next[i+k] += p / float64(size)
			}
		}
		share = next
	}
	pairs, sum := n*(n-1)/2, 0.0
	for inversions, p := range share {
		if sum += p; sum > tail {
			// S of pairs-2*inversions is too likely; the next larger is the
			// critical value, and 2 less than that is this one.
			return pairs - 2*inversions
		}
	}
	return pairs
}

// tieSum is the sum of t(t-1)(2t+5) over the groups of t equal values.
func tieSum(ys []float64) float64 {
	sorted := slices.Sorted(slices.Values(ys))
	sum, run := 0.0, 1.0
	for i := 1; i <= len(sorted); i++ {
		if i < len(sorted) && sorted[i] == sorted[i-1] {
			run++
			continue
		}
		sum += run * (run - 1) * (2*run + 5)
		run = 1
	}
	return sum
}

// thin takes the medians of neighbours where there are too many points.
func thin(xs, ys []float64) (x, y []float64) {
	n := len(xs)
	if n <= maxTrendPoints {
		return xs, ys
	}
	for i := range maxTrendPoints {
		from, to := i*n/maxTrendPoints, (i+1)*n/maxTrendPoints
		x = append(x, median(slices.Clone(xs[from:to])))
		y = append(y, median(slices.Clone(ys[from:to])))
	}
	return x, y
}

// median sorts the values; there has to be one.
func median(v []float64) float64 {
	slices.Sort(v)
	n := len(v)
	if n%2 == 1 {
		return v[n/2]
	}
	return v[n/2-1]/2 + v[n/2]/2
}
