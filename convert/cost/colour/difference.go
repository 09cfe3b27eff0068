package colour

import (
	"math"

	"quoin/validate/plant"
)

// DE76 is the colour difference dE*ab of CIE 1976: the distance of two colours
// in CIELAB.
//
// Source: CIE 15, the CIELAB 1976 colour difference.
func DE76(x, y plant.Lab) float64 {
	return math.Sqrt(sq(x.L-y.L) + sq(x.A-y.A) + sq(x.B-y.B))
}

// DE00 is the colour difference CIEDE2000, with all weights 1. It is the same
// whichever colour comes first.
//
// Source: Sharma, Wu, Dalal: The CIEDE2000 Color-Difference Formula:
// Implementation Notes, Supplementary Test Data, and Mathematical Observations,
// Color Research and Application 30(1), 2005, equations 2 to 22.
func DE00(x, y plant.Lab) float64 {
	chroma := (math.Hypot(x.A, x.B) + math.Hypot(y.A, y.B)) / 2
	g := 0.5 * (1 - math.Sqrt(ratio7(chroma)))
	c1, h1 := polar(x, g)
	c2, h2 := polar(y, g)

	dL, dC := y.L-x.L, c2-c1
	dHue, meanHue := hues(c1, h1, c2, h2)
	dH := 2 * math.Sqrt(c1*c2) * sin(dHue/2)

	meanL, meanC := (x.L+y.L)/2, (c1+c2)/2
	t := 1 - 0.17*cos(meanHue-30) + 0.24*cos(2*meanHue) + 0.32*cos(3*meanHue+6) - 0.20*cos(4*meanHue-63)
	turn := 30 * math.Exp(-sq((meanHue-275)/25))
	rT := -sin(2*turn) * 2 * math.Sqrt(ratio7(meanC))
	sL := 1 + 0.015*sq(meanL-50)/math.Sqrt(20+sq(meanL-50))
	sC := 1 + 0.045*meanC
	sH := 1 + 0.015*meanC*t
	l, c, h := dL/sL, dC/sC, dH/sH
	// Rounding may leave a sum just below zero for colours that are the same.
	return math.Sqrt(max(0, sq(l)+sq(c)+sq(h)+rT*c*h))
}

// polar gives chroma and hue, in degrees from 0 to 360, of a colour with its
// a* axis stretched. A grey has hue 0.
func polar(x plant.Lab, g float64) (chroma, hue float64) {
	a := (1 + g) * x.A
	chroma = math.Hypot(a, x.B)
	if a == 0 && x.B == 0 {
		return 0, 0
	}
	hue = math.Atan2(x.B, a) * 180 / math.Pi
	if hue < 0 {
		hue += 360
	}
	return chroma, hue
}

// hues gives the difference of two hues the short way round, and their mean.
func hues(c1, h1, c2, h2 float64) (difference, mean float64) {
	if c1*c2 == 0 {
		return 0, h1 + h2
	}
	difference = h2 - h1
	sum := h1 + h2
	switch {
	case math.Abs(difference) <= 180:
		return difference, sum / 2
	case sum < 360:
		mean = (sum + 360) / 2
	default:
		mean = (sum - 360) / 2
	}
	if difference > 180 {
		return difference - 360, mean
	}
	return difference + 360, mean
}

func sq(v float64) float64 { return v * v }

// ratio7 is c^7 / (c^7 + 25^7), written so that no chroma overflows.
func ratio7(c float64) float64 {
	if c == 0 {
		return 0
	}
	return 1 / (1 + math.Pow(25/c, 7))
}

func sin(degrees float64) float64 { return math.Sin(degrees * math.Pi / 180) }
func cos(degrees float64) float64 { return math.Cos(degrees * math.Pi / 180) }
