package value

import (
	"math"
	"strconv"
	"strings"
)

// Length is a length in DTP points, 1/72 inch.
type Length float64

// pointsPerMM: an inch is 72 points and exactly 25.4 mm.
const pointsPerMM = 72 / 25.4

// FromMM gives the length of mm millimetres.
func FromMM(mm float64) Length { return Length(mm * pointsPerMM) }

// MM gives the length in millimetres.
func (l Length) MM() float64 { return float64(l) / pointsPerMM }

// Points gives the length in points.
func (l Length) Points() float64 { return float64(l) }

// String prints the points with at most three decimals and no needless zeros, such as 841.89.
func (l Length) String() string {
	if math.IsInf(float64(l), 0) || math.IsNaN(float64(l)) {
		return FormatDouble(float64(l))
	}
	text := strconv.FormatFloat(float64(l), 'f', 3, 64)
	text = strings.TrimSuffix(strings.TrimRight(text, "0"), ".")
	if text == "-0" {
		return "0"
	}
	return text
}

// slack is 0.05 mm: tickets round points to whole numbers or two decimals, and no sheet is cut finer.
const slack = Length(0.05 * pointsPerMM)

// AtMost tells whether a is not longer than b, letting 0.05 mm pass for the rounding of points in tickets.
func AtMost(a, b Length) bool { return a <= b+slack }
