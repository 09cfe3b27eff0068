package value

// XYPair is a point, or a width and a height, in points where it is a length.
type XYPair struct{ X, Y float64 }

// ParseXYPair reads two numbers.
func ParseXYPair(s string) (XYPair, error) {
	var n [2]float64
	err := parseTuple(s, n[:], "XY pair", "two numbers such as 612 792")
	return XYPair{n[0], n[1]}, err
}

// String prints the two numbers with a blank between.
func (p XYPair) String() string { return joinNumbers(p.X, p.Y) }

// Shape is the extent of a thing in three directions, in points.
type Shape struct{ X, Y, Z float64 }

// ParseShape reads three numbers.
func ParseShape(s string) (Shape, error) {
	var n [3]float64
	err := parseTuple(s, n[:], "shape", "three numbers such as 612 792 36")
	return Shape{n[0], n[1], n[2]}, err
}

// String prints the three numbers with blanks between.
func (s Shape) String() string { return joinNumbers(s.X, s.Y, s.Z) }

// Rectangle lies between its lower left and its upper right corner, in points.
type Rectangle struct{ LLX, LLY, URX, URY float64 }

// ParseRectangle reads four numbers. It takes them in any order of size; see [Rectangle.Check].
func ParseRectangle(s string) (Rectangle, error) {
	var n [4]float64
	err := parseTuple(s, n[:], "rectangle", "four numbers such as 0 0 612 792")
	return Rectangle{n[0], n[1], n[2], n[3]}, err
}

// Width is negative when the rectangle is turned inside out.
func (r Rectangle) Width() float64 { return r.URX - r.LLX }

// Height is negative when the rectangle is turned inside out.
func (r Rectangle) Height() float64 { return r.URY - r.LLY }

// Check gives a *[SyntaxError] when the lower left corner is right of or above the upper right one, or is no number.
func (r Rectangle) Check() error {
	if r.LLX <= r.URX && r.LLY <= r.URY {
		return nil
	}
	return &SyntaxError{Type: "rectangle", Value: r.String(), Want: "the lower left corner before the upper right one"}
}

// String prints the four numbers with blanks between.
func (r Rectangle) String() string { return joinNumbers(r.LLX, r.LLY, r.URX, r.URY) }
