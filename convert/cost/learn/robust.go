package learn

import (
	"cmp"
	"math"
	"slices"
)

// Estimate is a Hodges-Lehmann estimate of the middle of a sample, with a
// distribution-free interval. Ratios are estimated by their logarithms, so that
// twice as much and half as much weigh alike.
type Estimate struct {
	N      int     `json:"n"`
	Middle float64 `json:"middle"`
	Low    float64 `json:"low"`
	High   float64 `json:"high"`
	Level  float64 `json:"level"` // of the interval that was asked for; the real one is no smaller
}

// hodgesLehmann is the median of all means of two values, each with itself among
// them, and the interval that belongs to Wilcoxon's signed-rank test. It holds
// for any distribution that is symmetric about its middle, and three values in
// ten may be anything. It is false where the sample is too small for the level.
//
// Source: M. Hollander, D. A. Wolfe, Nonparametric Statistical Methods, 2nd
// edition 1999, sections 3.2 and 3.3.
func hodgesLehmann(values []float64, level float64) (Estimate, bool) {
	n := len(values)
	sorted := slices.Sorted(slices.Values(values))
	e := Estimate{N: n, Middle: pairMean(sorted), Level: level}
	skip := signedRankTail(n, (1-level)/2)
	if skip < 1 {
		return e, false
	}
	e.Low, e.High = pairRank(sorted, skip), pairRank(sorted, n*(n+1)/2-skip+1)
	return e, true
}

// median of sorted values; not a number where there are none.
func median(sorted []float64) float64 {
	n := len(sorted)
	if n == 0 {
		return math.NaN()
	}
	return (sorted[(n-1)/2] + sorted[n/2]) / 2
}

// exactUpTo is the sample up to which the distribution of ranks is counted out.
const exactUpTo = 60

// signedRankTail is the greatest k for which fewer than a share of all signs of n
// ranks has a positive sum below k; 0 when there is none.
func signedRankTail(n int, share float64) int {
	most := n * (n + 1) / 2
	if n > exactUpTo {
		mean, spread := float64(most)/2, math.Sqrt(float64(n)*float64(n+1)*float64(2*n+1)/24)
		return max(0, int(math.Floor(mean-normalQuantile(share)*spread)))
	}
	ways := make([]float64, most+1)
	ways[0] = 1
	for rank := 1; rank <= n; rank++ {
		for sum := most; sum >= rank; sum-- {
			ways[sum] += ways[sum-rank]
		}
	}
	total, below := math.Pow(2, float64(n)), 0.0
	for k := range ways {
		below += ways[k]
		if below/total > share {
			return k
		}
	}
	return 0
}

// normalQuantile is the distance from the middle beyond which a share of the
// standard normal distribution lies, on one side.
func normalQuantile(share float64) float64 { return math.Sqrt2 * math.Erfinv(1-2*share) }

// mannWhitney is how many pairs of a and b have the greater value in a, equal
// ones counted by half, and the two-sided chance of one as far from the middle,
// by the normal approximation with ties and continuity.
//
// Source: Hollander and Wolfe as above, section 4.1.
func mannWhitney(a, b []float64) (pairs, chance float64) {
	type mark struct {
		value float64
		inA   bool
	}
	all := make([]mark, 0, len(a)+len(b))
	for _, v := range a {
		all = append(all, mark{v, true})
	}
	for _, v := range b {
		all = append(all, mark{v, false})
	}
	slices.SortFunc(all, func(x, y mark) int { return cmp.Compare(x.value, y.value) })
	ranks, ties := 0.0, 0.0
	for i := 0; i < len(all); {
		j := i
		for j < len(all) && all[j].value == all[i].value {
			j++
		}
		for _, m := range all[i:j] {
			if m.inA {
				ranks += float64(i+j+1) / 2
			}
		}
		t := float64(j - i)
		ties += t * (t*t - 1)
		i = j
	}
	m, n := float64(len(a)), float64(len(b))
	pairs = ranks - m*(m+1)/2
	spread := math.Sqrt(m * n / 12 * (m + n + 1 - ties/((m+n)*(m+n-1))))
	if !(spread > 0) {
		return pairs, 1
	}
	z := max(0, math.Abs(pairs-m*n/2)-0.5) / spread
	return pairs, math.Erfc(z / math.Sqrt2)
}
