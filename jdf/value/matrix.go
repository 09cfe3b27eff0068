package value

// Matrix maps a point (x, y) to (A x + C y + TX, B x + D y + TY), as in PDF.
//
// Source: ISO 32000-1, 8.3.3 and 8.3.4.
type Matrix struct{ A, B, C, D, TX, TY float64 }

// Identity gives the matrix that leaves every point where it is.
func Identity() Matrix { return Matrix{A: 1, D: 1} }

// ParseMatrix reads six numbers.
func ParseMatrix(s string) (Matrix, error) {
	var n [6]float64
	err := parseTuple(s, n[:], "matrix", "six numbers such as 1 0 0 1 0 0")
	return Matrix{n[0], n[1], n[2], n[3], n[4], n[5]}, err
}

// Apply maps a point.
func (m Matrix) Apply(p XYPair) XYPair {
	return XYPair{m.A*p.X + m.C*p.Y + m.TX, m.B*p.X + m.D*p.Y + m.TY}
}

// Mul gives the matrix that does m first and then next.
func (m Matrix) Mul(next Matrix) Matrix {
	shift := next.Apply(XYPair{m.TX, m.TY})
	return Matrix{
		A: m.A*next.A + m.B*next.C, B: m.A*next.B + m.B*next.D,
		C: m.C*next.A + m.D*next.C, D: m.C*next.B + m.D*next.D,
		TX: shift.X, TY: shift.Y,
	}
}

// String prints the six numbers with blanks between.
func (m Matrix) String() string { return joinNumbers(m.A, m.B, m.C, m.D, m.TX, m.TY) }
