package learn

import "math"

// pairRank is the k-th smallest, from 1, of the means of all pairs of sorted
// values, each value with itself among them. The means are never built: how many
// lie up to a bound is counted along the staircase that the bound cuts through
// the sorted matrix, and the bound is halved down over the floating-point numbers
// themselves, whose order is that of their bits. It takes 64 walks along the
// values and no memory, and the result is exact.
func pairRank(sorted []float64, k int) float64 {
	low, high := orderOf(sorted[0]), orderOf(sorted[len(sorted)-1])
	for low < high {
		mid := low + (high-low)/2
		if pairsUpTo(sorted, floatAt(mid)) >= k {
			high = mid
		} else {
			low = mid + 1
		}
	}
	return floatAt(low) + 0 // of the two zeros the positive one
}

// pairMean is the median of the means of all pairs; not a number without values.
func pairMean(sorted []float64) float64 {
	n := len(sorted)
	if n == 0 {
		return math.NaN()
	}
	all := n * (n + 1) / 2
	return (pairRank(sorted, (all-1)/2+1) + pairRank(sorted, all/2+1)) / 2
}

// pairsUpTo counts the pairs i <= j whose mean is no greater than a bound.
func pairsUpTo(sorted []float64, bound float64) int {
	count, j := 0, len(sorted)-1
	for i, a := range sorted {
		for j >= i && (a+sorted[j])/2 > bound {
			j--
		}
		if j < i {
			break
		}
		count += j - i + 1
	}
	return count
}

// orderOf maps numbers to integers of the same order, and floatAt back.
func orderOf(v float64) uint64 {
	bits := math.Float64bits(v)
	if bits>>63 == 1 {
		return ^bits
	}
	return bits | 1<<63
}

func floatAt(order uint64) float64 {
	if order>>63 == 1 {
		return math.Float64frombits(order &^ (1 << 63))
	}
	return math.Float64frombits(^order)
}
