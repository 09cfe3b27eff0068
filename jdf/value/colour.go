package value

// LabColor is a colour in CIE L*a*b*: L from 0 to 100, a and b around 0.
type LabColor struct{ L, A, B float64 }

// ParseLabColor reads three numbers of any size; see [LabColor.Check].
func ParseLabColor(s string) (LabColor, error) {
	var n [3]float64
	err := parseTuple(s, n[:], "colour in Lab", "three numbers such as 51.9 12.6 -18.9")
	return LabColor{n[0], n[1], n[2]}, err
}

// Check gives a *[SyntaxError] when L is outside 0 to 100, or a or b outside -128 to 128, which leaves room for both
// ways of cutting eight bits.
func (c LabColor) Check() error {
	if within(0, 100, c.L) && within(-128, 128, c.A, c.B) {
		return nil
	}
	return &SyntaxError{Type: "colour in Lab", Value: c.String(), Want: "L from 0 to 100, a and b from -128 to 128"}
}

// String prints the three numbers with blanks between.
func (c LabColor) String() string { return joinNumbers(c.L, c.A, c.B) }

// CMYKColor is a colour in process inks, each from 0 (none) to 1 (full).
type CMYKColor struct{ C, M, Y, K float64 }

// ParseCMYKColor reads four numbers of any size; see [CMYKColor.Check].
func ParseCMYKColor(s string) (CMYKColor, error) {
	var n [4]float64
	err := parseTuple(s, n[:], "colour in CMYK", "four numbers such as 0.3 0.6 0.8 0.1")
	return CMYKColor{n[0], n[1], n[2], n[3]}, err
}

// Check gives a *[SyntaxError] when an ink is outside 0 to 1.
func (c CMYKColor) Check() error {
	if within(0, 1, c.C, c.M, c.Y, c.K) {
		return nil
	}
	return &SyntaxError{Type: "colour in CMYK", Value: c.String(), Want: "numbers from 0 to 1"}
}

// String prints the four numbers with blanks between.
func (c CMYKColor) String() string { return joinNumbers(c.C, c.M, c.Y, c.K) }

// SRGBColor is a colour in sRGB, each part from 0 (dark) to 1 (full).
type SRGBColor struct{ R, G, B float64 }

// ParseSRGBColor reads three numbers of any size; see [SRGBColor.Check].
func ParseSRGBColor(s string) (SRGBColor, error) {
	var n [3]float64
	err := parseTuple(s, n[:], "colour in sRGB", "three numbers such as 0.6 0.3 0.2")
	return SRGBColor{n[0], n[1], n[2]}, err
}

// Check gives a *[SyntaxError] when a part is outside 0 to 1.
func (c SRGBColor) Check() error {
	if within(0, 1, c.R, c.G, c.B) {
		return nil
	}
	return &SyntaxError{Type: "colour in sRGB", Value: c.String(), Want: "numbers from 0 to 1"}
}

// String prints the three numbers with blanks between.
func (c SRGBColor) String() string { return joinNumbers(c.R, c.G, c.B) }

// within is false for NaN.
func within(low, high float64, numbers ...float64) bool {
	for _, number := range numbers {
		if !(low <= number && number <= high) {
			return false
		}
	}
	return true
}
