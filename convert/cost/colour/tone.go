package colour

import "math"

// ToneValue is the tone value in percent of a tint of density tint, by the
// formula of Murray and Davies where n is 1, and of Yule and Nielsen else: each
// density above the paper is divided by n. A tint lighter than the paper is
// below 0, one darker than the solid above 100. It is false when the solid is
// no darker than the paper, or n is not above 0.
//
// Source: Murray: Monochrome reproduction in photoengraving, Journal of the
// Franklin Institute 221, 1936; Yule, Nielsen: The penetration of light into
// paper and its effect on halftone reproduction, TAGA 1951.
func ToneValue(paper, solid, tint, n float64) (float64, bool) {
	if !(solid > paper) || !(n > 0) {
		return 0, false
	}
	v := 100 * (1 - math.Pow(10, -(tint-paper)/n)) / (1 - math.Pow(10, -(solid-paper)/n))
	return v, !math.IsNaN(v) && !math.IsInf(v, 0)
}

// spread is the midtone spread: how far the deviations from the aims of the
// three chromatic colours lie apart.
//
// From memory: ISO 12647-1 defines it as the largest less the smallest
// deviation of the increases from their aims.
func spread(deviations []float64) float64 {
	least, most := deviations[0], deviations[0]
	for _, d := range deviations {
		least, most = min(least, d), max(most, d)
	}
	return most - least
}
