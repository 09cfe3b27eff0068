package account

import (
	"math"
	"math/big"
	"math/bits"

	"github.com/shopspring/decimal"
)

// exact is a decimal number of any size: mag times ten to the exp. It gives what
// decimal.Decimal gives, digit by digit, and needs no memory of its own up to 128
// bits, since most of the time of large books would go into it. Zero is 0.
type exact struct {
	mag  wide
	more *big.Int // the whole number with its sign where mag can not hold it, else nil
	exp  int32
	neg  bool // never for zero
}

// num is a whole number.
func num(n int64) exact {
	if n < 0 {
		return exact{mag: wide{0, -uint64(n)}, neg: true}
	}
	return exact{mag: wide{0, uint64(n)}}
}

// exactly takes a decimal as it is.
func exactly(d decimal.Decimal) exact {
	if d.NumDigits() <= 18 {
		e := num(d.CoefficientInt64())
		e.exp = d.Exponent()
		return e
	}
	return exactOf(d.Coefficient(), d.Exponent())
}

func exactOf(n *big.Int, exp int32) exact {
	if n.BitLen() > 128 {
		return exact{more: n, exp: exp}
	}
	var buf [16]byte
	n.FillBytes(buf[:])
	e := exact{neg: n.Sign() < 0, exp: exp}
	for _, b := range buf[:8] {
		e.mag.hi = e.mag.hi<<8 | uint64(b)
	}
	for _, b := range buf[8:] {
		e.mag.lo = e.mag.lo<<8 | uint64(b)
	}
	return e
}

// big is the whole number without its exponent; it may not be changed.
func (e exact) big() *big.Int {
	if e.more != nil {
		return e.more
	}
	n := new(big.Int).SetUint64(e.mag.hi)
	n.Lsh(n, 64).Or(n, new(big.Int).SetUint64(e.mag.lo))
	if e.neg {
		n.Neg(n)
	}
	return n
}

func (e exact) decimal() decimal.Decimal {
	if e.more == nil && e.mag.hi == 0 && e.mag.lo <= math.MaxInt64 {
		n := int64(e.mag.lo)
		if e.neg {
			n = -n
		}
		return decimal.New(n, e.exp)
	}
	return decimal.NewFromBigInt(e.big(), e.exp)
}

func (e exact) sign() int {
	switch {
	case e.more != nil:
		return e.more.Sign()
	case e.neg:
		return -1
	case e.mag == wide{}:
		return 0
	}
	return 1
}

func (e exact) IsZero() bool     { return e.more == nil && e.mag == wide{} }
func (e exact) IsPositive() bool { return e.sign() > 0 }
func (e exact) IsNegative() bool { return e.sign() < 0 }

// with is the number of a magnitude, whose sign is lost in zero.
func with(mag wide, neg bool, exp int32) exact {
	return exact{mag: mag, neg: neg && mag != wide{}, exp: exp}
}

// Neg is 0 less the number.
func (e exact) Neg() exact {
	if e.more != nil {
		return exact{more: new(big.Int).Neg(e.more), exp: e.exp}
	}
	return with(e.mag, !e.neg, e.exp)
}

// Abs is the number without its sign.
func (e exact) Abs() exact {
	if e.sign() < 0 {
		return e.Neg()
	}
	return e
}

// Shift multiplies by a power of ten.
func (e exact) Shift(by int32) exact {
	e.exp += by
	return e
}

// align gives both magnitudes at the smaller exponent, false where one would not fit.
func (e exact) align(f exact) (a, b wide, exp int32, ok bool) {
	switch {
	case e.more != nil || f.more != nil:
		return a, b, 0, false
	case e.exp == f.exp:
		return e.mag, f.mag, e.exp, true
	case e.exp < f.exp:
		b, ok = f.mag.shift(int64(f.exp) - int64(e.exp))
		return e.mag, b, e.exp, ok
	}
	a, ok = e.mag.shift(int64(e.exp) - int64(f.exp))
	return a, f.mag, f.exp, ok
}

// Add adds.
func (e exact) Add(f exact) exact {
	a, b, exp, ok := e.align(f)
	if ok && e.neg == f.neg {
		if sum, fits := a.add(b); fits {
			return with(sum, e.neg, exp)
		}
	}
	if ok && e.neg != f.neg {
		if a.less(b) {
			return with(b.sub(a), f.neg, exp)
		}
		return with(a.sub(b), e.neg, exp)
	}
	d := decimal.NewFromBigInt(e.big(), e.exp).Add(decimal.NewFromBigInt(f.big(), f.exp))
	return exactOf(d.Coefficient(), d.Exponent())
}

// Sub subtracts.
func (e exact) Sub(f exact) exact { return e.Add(f.Neg()) }

// Mul multiplies.
func (e exact) Mul(f exact) exact {
	if e.more == nil && f.more == nil {
		if product, ok := e.mag.mul(f.mag); ok {
			return with(product, e.neg != f.neg, e.exp+f.exp)
		}
	}
	return exactOf(new(big.Int).Mul(e.big(), f.big()), e.exp+f.exp)
}

// DivRound divides, and rounds half away from zero.
func (e exact) DivRound(f exact, places int32) exact {
	if e.more == nil && f.more == nil {
		a, b, ok := e.mag, f.mag, true
		if by := int64(e.exp) - int64(f.exp) + int64(places); by < 0 {
			b, ok = b.shift(-by)
		} else {
			a, ok = a.shift(by)
		}
		if ok {
			return with(a.over(b), e.neg != f.neg, -places)
		}
	}
	d := decimal.NewFromBigInt(e.big(), e.exp).DivRound(decimal.NewFromBigInt(f.big(), f.exp), places)
	return exactOf(d.Coefficient(), d.Exponent())
}

// Round rounds half away from zero.
func (e exact) Round(places int32) exact {
	by := -int64(places) - int64(e.exp)
	switch {
	case by == 0:
		return e
	case e.more == nil && by > 0 && by < int64(len(tens)):
		return with(e.mag.over(tens[by]), e.neg, -places)
	case e.more == nil && by < 0:
		if mag, ok := e.mag.shift(-by); ok {
			return with(mag, e.neg, -places)
		}
	}
	d := decimal.NewFromBigInt(e.big(), e.exp).Round(places)
	return exactOf(d.Coefficient(), d.Exponent())
}

// Cmp is -1, 0 or 1.
func (e exact) Cmp(f exact) int {
	if s, t := e.sign(), f.sign(); s != t || s == 0 {
		switch {
		case s < t:
			return -1
		case s > t:
			return 1
		}
		return 0
	}
	a, b, _, ok := e.align(f)
	switch {
	case !ok:
		return decimal.NewFromBigInt(e.big(), e.exp).Cmp(decimal.NewFromBigInt(f.big(), f.exp))
	case a == b:
		return 0
	case a.less(b) != e.neg:
		return -1
	}
	return 1
}

// Equal, GreaterThan and LessThan compare.
func (e exact) Equal(f exact) bool       { return e.Cmp(f) == 0 }
func (e exact) GreaterThan(f exact) bool { return e.Cmp(f) > 0 }
func (e exact) LessThan(f exact) bool    { return e.Cmp(f) < 0 }

// IntPart cuts off what stands behind the point.
func (e exact) IntPart() int64 {
	if e.exp == 0 && e.more == nil && e.mag.hi == 0 && e.mag.lo <= math.MaxInt64 {
		if e.neg {
			return -int64(e.mag.lo)
		}
		return int64(e.mag.lo)
	}
	return e.decimal().IntPart()
}

// wide is a whole number of 128 bits without a sign.
type wide struct{ hi, lo uint64 }

// tens are the powers of ten that a wide holds.
var tens = func() [39]wide {
	all := [39]wide{{0, 1}}
	for n := 1; n < len(all); n++ {
		all[n], _ = all[n-1].mul(wide{0, 10})
	}
	return all
}()

func (a wide) less(b wide) bool { return a.hi < b.hi || a.hi == b.hi && a.lo < b.lo }

func (a wide) add(b wide) (wide, bool) {
	lo, carry := bits.Add64(a.lo, b.lo, 0)
	hi, carry := bits.Add64(a.hi, b.hi, carry)
	return wide{hi, lo}, carry == 0
}

// sub takes off no more than there is.
func (a wide) sub(b wide) wide {
	lo, borrow := bits.Sub64(a.lo, b.lo, 0)
	hi, _ := bits.Sub64(a.hi, b.hi, borrow)
	return wide{hi, lo}
}

func (a wide) mul(b wide) (wide, bool) {
	if a.hi != 0 {
		a, b = b, a
	}
	if a.hi != 0 {
		return wide{}, false
	}
	hi, lo := bits.Mul64(a.lo, b.lo)
	over, more := bits.Mul64(a.lo, b.hi)
	hi, carry := bits.Add64(hi, more, 0)
	return wide{hi, lo}, over == 0 && carry == 0
}

// shift multiplies by ten to the n, which is not negative.
func (a wide) shift(n int64) (wide, bool) {
	if a == (wide{}) {
		return a, true
	}
	if n >= int64(len(tens)) {
		return a, false
	}
	return a.mul(tens[n])
}

// over divides and rounds half up.
func (a wide) over(b wide) wide {
	q, r := a.quo(b)
	if half := b.sub(r); !r.less(half) { // r >= b - r
		q, _ = q.add(wide{0, 1}) // b is 2 or more, since r is not 0
	}
	return q
}

// quo divides, and panics for a divisor of zero.
func (a wide) quo(b wide) (q, r wide) {
	if b.hi == 0 {
		q.hi, r.lo = bits.Div64(0, a.hi, b.lo)
		q.lo, r.lo = bits.Div64(r.lo, a.lo, b.lo)
		return q, r
	}
	// The first guess, from the leading bits, is right or one too high.
	//
	// Source: Donald Knuth, The Art of Computer Programming, volume 2, 4.3.1, theorem B.
	n := bits.LeadingZeros64(b.hi)
	top := b.hi<<n | b.lo>>1>>(63-n)
	guess, _ := bits.Div64(a.hi>>1, a.hi<<63|a.lo>>1, top)
	guess >>= 63 - n
	if guess != 0 {
		guess--
	}
	back, _ := b.mul(wide{0, guess})
	r = a.sub(back)
	if !r.less(b) {
		guess++
		r = r.sub(b)
	}
	return wide{0, guess}, r
}
