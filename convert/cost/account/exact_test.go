package account

import (
	"math/big"
	"math/rand/v2"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"
)

// Whatever is reckoned with exact numbers comes out as with decimals, to the last
// digit and the same exponent.
//
// Source: the arithmetic of github.com/shopspring/decimal.
func TestExactIsDecimal(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	any := func() decimal.Decimal {
		n := new(big.Int).Lsh(big.NewInt(r.Int64()), uint(r.IntN(90)))
		n.Add(n, big.NewInt(r.Int64()))
		n.Rsh(n, uint(r.IntN(n.BitLen()+1)))
		if r.IntN(2) == 0 {
			n.Neg(n)
		}
		return decimal.NewFromBigInt(n, int32(r.IntN(25)-20))
	}
	same := func(want decimal.Decimal, got exact, what string, of ...decimal.Decimal) {
		t.Helper()
		require.Equal(t, want.String(), got.decimal().String(), "%s of %v", what, of)
		require.Equal(t, want.Exponent(), got.exp, "%s of %v", what, of)
	}
	for range 100_000 {
		a, b, places := any(), any(), int32(r.IntN(16))
		x, y := exactly(a), exactly(b)
		same(a, x, "itself", a)
		same(a.Add(b), x.Add(y), "sum", a, b)
		same(a.Sub(b), x.Sub(y), "difference", a, b)
		same(a.Mul(b), x.Mul(y), "product", a, b)
		same(a.Round(places), x.Round(places), "rounding", a)
		same(a.Shift(-3), x.Shift(-3), "shift", a)
		same(a.Abs(), x.Abs(), "magnitude", a)
		if !b.IsZero() {
			same(a.DivRound(b, places), x.DivRound(y, places), "quotient", a, b)
		}
		require.Equal(t, a.Cmp(b), x.Cmp(y), "%s against %s", a, b)
		require.Equal(t, a.IsNegative(), x.IsNegative())
		require.Equal(t, a.IsZero(), x.IsZero())
		if a.Abs().LessThan(decimal.New(1, 18)) {
			require.Equal(t, a.IntPart(), x.IntPart(), "%s", a)
		}
	}
}

// Halves go away from zero, at both ends of what fits.
func TestExactRoundsHalfAwayFromZero(t *testing.T) {
	for text, want := range map[string]string{
		"0.5": "1", "-0.5": "-1", "1.4999999999": "1", "-1.5": "-2", "2.5": "3", "0": "0",
		"340282366920938463463374607431768211455.5": "340282366920938463463374607431768211456",
	} {
		d := decimal.RequireFromString(text)
		require.Equal(t, want, exactly(d).Round(0).decimal().String(), text)
	}
}
