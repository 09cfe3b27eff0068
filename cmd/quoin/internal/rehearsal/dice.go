package rehearsal

import (
	"hash/fnv"
	"math"
	"math/rand/v2"
)

// Dice draws what one thing needs of chance.
type Dice struct{ r *rand.Rand }

// Throw gives the dice for one thing, told by its names: the same seed and
// names give the same draws.
func Throw(seed uint64, about ...string) *Dice {
	h := fnv.New64a()
	for _, name := range about {
		_, _ = h.Write([]byte(name)) // a hash does not fail
		_, _ = h.Write([]byte{0})
	}
	return &Dice{rand.New(rand.NewPCG(seed, h.Sum64()))}
}

// Between is a number from one bound to the other, each as likely.
func (d *Dice) Between(from, to float64) float64 { return from + (to-from)*d.r.Float64() }

// Whole is a whole number from one bound to the other, both included.
func (d *Dice) Whole(from, to int) int { return from + d.r.IntN(to-from+1) }

// Chance is true with the probability p.
func (d *Dice) Chance(p float64) bool { return d.r.Float64() < p }

// Factor is log-normal: its median is 1, and its logarithm has the given
// standard deviation, cut off at three of them so that nothing runs away.
func (d *Dice) Factor(spread float64) float64 {
	return math.Exp(spread * max(-3, min(3, d.r.NormFloat64())))
}

// Normal is a normal deviate with mean 0 and the given standard deviation, cut
// off at three of them.
func (d *Dice) Normal(spread float64) float64 { return spread * max(-3, min(3, d.r.NormFloat64())) }

// Wait is exponential: the time to the next of events that come at a mean distance.
func (d *Dice) Wait(mean float64) float64 { return mean * d.r.ExpFloat64() }

// Scale is a number between two bounds of which each order of magnitude is as likely.
func (d *Dice) Scale(from, to float64) float64 {
	return math.Exp(d.Between(math.Log(from), math.Log(to)))
}

// Weighted is an index into the weights, each as likely as its weight.
func (d *Dice) Weighted(weights ...float64) int {
	sum := 0.0
	for _, w := range weights {
		sum += w
	}
	at := d.Between(0, sum)
	for i, w := range weights {
		if at < w {
			return i
		}
		at -= w
	}
	return len(weights) - 1
}

// Shuffle changes the order of n things.
func (d *Dice) Shuffle(n int, swap func(i, j int)) { d.r.Shuffle(n, swap) }
