package value_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf/value"
)

func TestLength(t *testing.T) {
	// Source: ISO 216, A4 is 210 x 297 mm; an inch is 25.4 mm and 72 points.
	require.InDelta(t, 595.2756, value.FromMM(210).Points(), 1e-4)
	require.Equal(t, "841.89", value.FromMM(297).String())
	require.InDelta(t, 25.4, value.Length(72).MM(), 1e-12)
	require.Equal(t, "0", value.Length(-0.0001).String())
	require.Equal(t, "-12", value.Length(-12).String())
	require.Equal(t, "INF", value.Length(math.Inf(1)).String())

	require.True(t, value.AtMost(595, value.FromMM(210)))
	require.True(t, value.AtMost(595.4, value.FromMM(210)), "0.04 mm over is rounding")
	require.False(t, value.AtMost(595.5, value.FromMM(210)), "0.08 mm over is not")
	require.False(t, value.AtMost(value.Length(math.NaN()), 1))
}

func TestTuples(t *testing.T) {
	box, err := value.ParseRectangle(" 0 0\t612 792 ")
	require.NoError(t, err)
	require.Equal(t, value.Rectangle{URX: 612, URY: 792}, box)
	require.Equal(t, []float64{612, 792}, []float64{box.Width(), box.Height()})
	for _, s := range []string{"", "1", "1 2 3", "1 2 3 4 5", "1 2 3 x", "1,2,3,4"} {
		got, err := value.ParseRectangle(s)
		require.EqualError(t, err, (&value.SyntaxError{
			Type: "rectangle", Value: s, Want: "four numbers such as 0 0 612 792"}).Error())
		require.Zero(t, got)
	}
	for text, parse := range map[string]func(string) bool{
		"1 2": parses(value.ParseXYPair), "1 2 3": parses(value.ParseShape), "1 2 3 4 5 6": parses(value.ParseMatrix),
		"1 2 3 4": parses(value.ParseCMYKColor), "0 50 -50": parses(value.ParseLabColor),
		"0 1 .5": parses(value.ParseSRGBColor),
	} {
		require.True(t, parse(text), text)
		require.False(t, parse(text+" 7"), text)
		require.False(t, parse(text[2:]), text)
	}
}

func TestChecks(t *testing.T) {
	nan := math.NaN()
	require.NoError(t, value.Rectangle{0, 0, 0, 0}.Check())
	require.EqualError(t, value.Rectangle{5, 0, 3, 1}.Check(),
		`"5 0 3 1" is not a rectangle; want the lower left corner before the upper right one`)
	require.Error(t, value.Rectangle{0, nan, 1, 1}.Check())
	require.NoError(t, value.LabColor{100, -128, 127}.Check())
	require.Error(t, value.LabColor{100.1, 0, 0}.Check())
	require.Error(t, value.LabColor{50, 0, 129}.Check())
	require.NoError(t, value.CMYKColor{0, 1, 0.5, 0}.Check())
	require.EqualError(t, value.CMYKColor{0, 100, 0, 0}.Check(),
		`"0 100 0 0" is not a colour in CMYK; want numbers from 0 to 1`)
	require.NoError(t, value.SRGBColor{1, 0, 0}.Check())
	require.Error(t, value.SRGBColor{nan, 0, 0}.Check())
}

// Source: ISO 32000-1, 8.3.3, translation, scaling and rotation, and the order in which they are combined.
func TestMatrix(t *testing.T) {
	turn := value.Matrix{A: 0, B: 1, C: -1, D: 0}
	shift := value.Matrix{A: 1, D: 1, TX: 10, TY: 20}
	scale := value.Matrix{A: 2, D: 3}
	p := value.XYPair{X: 1, Y: 0}
	require.Equal(t, value.XYPair{X: 0, Y: 1}, turn.Apply(p), "a quarter turn is anticlockwise")
	require.Equal(t, value.XYPair{X: 11, Y: 20}, shift.Apply(p))
	require.Equal(t, value.XYPair{X: 22, Y: 60}, shift.Mul(scale).Apply(p), "shift first, then scale")
	require.Equal(t, value.XYPair{X: 12, Y: 20}, scale.Mul(shift).Apply(p), "scale first, then shift")
	require.Equal(t, turn, turn.Mul(value.Identity()))
	require.Equal(t, turn, value.Identity().Mul(turn))
	all := turn.Mul(shift).Mul(scale)
	require.Equal(t, scale.Apply(shift.Apply(turn.Apply(value.XYPair{X: 3, Y: 4}))), all.Apply(value.XYPair{X: 3, Y: 4}))
}

func TestTransferFunction(t *testing.T) {
	curve, err := value.ParseTransferFunction("0 0 .1 .105 1 1")
	require.NoError(t, err)
	require.Equal(t, value.TransferFunction{{0, 0}, {0.1, 0.105}, {1, 1}}, curve)
	require.Equal(t, "0 0 0.1 0.105 1 1", curve.String())
	_, err = value.ParseTransferFunction("0 0 1")
	require.EqualError(t, err, `"0 0 1" is not a transfer function; want pairs of numbers such as 0 0 1 1`)
	_, err = value.ParseTransferFunction("0 x")
	require.Error(t, err)
}
