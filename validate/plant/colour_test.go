package plant

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestDemoColour(t *testing.T) {
	c := loadDemo(t).Colour
	require.Equal(t, Measuring{"DIN16536", "D50", 2, "Pol", ""}, c.Measuring)
	require.Equal(t, []any{DifferenceOf1976, 75.0, 68.0, 8, 95.0, 200.0, 1.0, 100 * Micrometre, 5.0, Range{40, 50}, 10.0},
		[]any{c.Formula, c.Near, c.Within, c.TrendSheets, c.Confidence, c.LookAhead, c.YuleNielsen, c.Register,
			c.MidtoneSpread, c.Midtones, c.InkZone})
	require.Equal(t, Length(32500), c.ZoneWidth("offset-b1"))
	require.Zero(t, c.ZoneWidth("digital-1"))
	require.Equal(t, "coated", c.On("silk").Name)
	require.Equal(t, "uncoated", c.On("none").Name)
	require.Nil(t, c.On(""), "several aims, and nobody knows which")

	coated := c.On("gloss")
	require.Equal(t, &Lab{55, -37, -50}, coated.Solid("cyan").Lab)
	require.Equal(t, &Lab{47, 68, 48}, coated.Solid("Yellow+Magenta").Lab)
	require.Nil(t, coated.Solid("Gold"))
	require.Equal(t, 14.0, coated.Tone("Black", 50).Increase)
	require.Nil(t, coated.Tone("Gold", 50))
	require.Nil(t, coated.Tone("Black", 51))
	require.Positive(t, coated.Solid("Black").At("lab").Pos().Line)

	one := &Colour{Aims: []*Aims{{Name: "all", Tones: []Tone{
		{Tint: 50, Increase: 1}, {Tint: 50, Increase: 2, Colorants: []string{"Cyan", "Gold"}},
	}}}}
	require.Equal(t, "all", one.On("").Name)
	require.Nil(t, one.On("gloss"), "they are for no such stock")
	require.Equal(t, 2.0, one.Aims[0].Tone("CYAN", 50).Increase, "an aim that names the colorant goes first")
	require.Equal(t, 1.0, one.Aims[0].Tone("Black", 50).Increase)
	var none *Colour
	require.Nil(t, none.On("gloss"))
	require.Nil(t, none.On("gloss").Solid("Cyan"))
	require.Nil(t, none.On("gloss").Tone("Cyan", 50))
	require.Zero(t, none.ZoneWidth("offset-b2"))
}

// Each mistake is one finding, at its place.
func TestColourMistakes(t *testing.T) {
	text, err := os.ReadFile(demo)
	require.NoError(t, err)
	plain := string(text)
	for _, c := range [][3]string{
		{"lab: 55 -37 -50", "lab: 55 -37", `is "55 -37": it is not three numbers`},
		{"lab: 55 -37 -50", "lab: 155 -37 -50", "L* goes from 0 to 100"},
		{"lab: 55 -37 -50", "lab: -5 -37 -50", "L* goes from 0 to 100"},
		{"lab: 55 -37 -50", "lab: 55 -237 -50", "a* and b* go from -200 to 200"},
		{"lab: 55 -37 -50", "lab: 55 --37 -50", "a number below zero has no sense here"},
		{"lab: 55 -37 -50", "lab: 55 -37 x", "there is no number where one has to stand"},
		{"colorant: Cyan, lab: 55 -37 -50,", "colorant: Cyan,", "a difference is stated, and no aim that it is against"},
		{"colorant: Cyan, lab: 55 -37 -50,", "colorant: black, lab: 55 -37 -50,", `two solids are of "black"`},
		{"tint: 50 %, increase: 14 %", "tint: 40 %, increase: 14 %", "two tones are of the tint 40 %"},
		{"tint: 50 %, increase: 14 %", "tint: 100 %, increase: 14 %", "it has to be from 0.1 to 99.9 %"},
		{"stock: [none]", "stock: [none, silk]", `the coating "silk" is in the aims "coated" and "uncoated"`},
		{"stock: [none]", "stock: [glossy]", "it is not one of those known"},
		{"formula: dE76", "formula: dE94", "it is not one of those known"},
		{"near: 75 %", "near: 75", "it has no unit"},
		{"trend from: 8 sheets", "trend from: 4 sheets", "it has to be at least 5"},
		{"confidence: 95 %", "confidence: 100 %", "it has to be from 50 to 99.9 %"},
		{"density: DIN16536", "density: DIN 16536", "it is not one of those known"},
		{"  within: 68 %", "  # within: 68 %", `has no "within"`},
		{"midtones: 40 - 50 %", "midtones: 50 - 40 %", "the range ends at 40, below its start at 50"},
	} {
		require.Contains(t, plain, c[0])
		_, found := Load("a.yaml", []byte(strings.Replace(plain, c[0], c[1], 1)))
		require.Len(t, found, 1, c[1])
		require.Contains(t, found[0].Message(), c[2])
		require.True(t, found[0].Place.Known())
	}
}
