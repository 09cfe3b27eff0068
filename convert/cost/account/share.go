package account

import (
	"math/big"

	"github.com/shopspring/decimal"
)

// shareInt shares a whole number out by weights, none of them negative: each share
// is between the two whole numbers next to the exact one, and they add up to the
// total. Where all weights are zero, the last gets it all.
func shareInt(total int64, weights []int64) []int64 {
	shares := make([]int64, len(weights))
	whole := new(big.Int)
	for _, w := range weights {
		whole.Add(whole, big.NewInt(w))
	}
	if whole.Sign() == 0 {
		shares[len(shares)-1] = total
		return shares
	}
	sum, part, before := new(big.Int), new(big.Int), int64(0)
	for i, w := range weights {
		sum.Add(sum, big.NewInt(w))
		part.Quo(part.Mul(big.NewInt(total), sum), whole)
		upTo := part.Int64()
		shares[i], before = upTo-before, upTo
	}
	return shares
}

// shareAmount shares an amount out in units of its last decimal place, so that
// whole pieces stay whole.
func shareAmount(total decimal.Decimal, weights []int64) []decimal.Decimal {
	shares := make([]decimal.Decimal, len(weights))
	unit := min(total.Exponent(), 0)
	count := total.Shift(-unit)
	if !count.BigInt().IsInt64() {
		shares[len(shares)-1] = total // more than any machine makes in its life
		return shares
	}
	for i, n := range shareInt(count.IntPart(), weights) {
		shares[i] = decimal.New(n, unit)
	}
	return shares
}
