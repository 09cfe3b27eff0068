package value

import "strings"

// TransferFunction is a curve given by its points: input X, output Y.
type TransferFunction []XYPair

// ParseTransferFunction reads pairs of numbers. An odd number of them is a *[SyntaxError], though the schemas, which
// see only a list of numbers, let it through.
func ParseTransferFunction(s string) (TransferFunction, error) {
	numbers, err := ParseList(s, ParseDouble)
	if err != nil || len(numbers)%2 != 0 {
		return nil, &SyntaxError{Type: "transfer function", Value: trim(s), Want: "pairs of numbers such as 0 0 1 1"}
	}
	var curve TransferFunction
	for i := 0; i < len(numbers); i += 2 {
		curve = append(curve, XYPair{numbers[i], numbers[i+1]})
	}
	return curve, nil
}

// String prints the numbers of all points with blanks between.
func (f TransferFunction) String() string {
	points := make([]string, len(f))
	for i, point := range f {
		points[i] = point.String()
	}
	return strings.Join(points, " ")
}
