package plan

import (
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/validate/plant"
)

// TestPallets stacks A4 sheets of 80 g/m2 and 0.1 mm.
// Source: ISO 216 for the size; weight and height follow from area, grammage and
// caliper. 12 lie on 800 x 1200 mm: 2 x 5 upright, 3 x 4 or more the other way.
func TestPallets(t *testing.T) {
	a4 := copyOf{size: size(210, 297), grams: dec("4.9896"), thickness: dec("100")}
	p := plant.Pallet{Size: size(800, 1200), MaxHeight: 1000 * mm, MaxWeight: dec("625"), Tare: dec("25")}
	d := stack("Notice", 300_000, a4, p)
	require.Equal(t, 12, d.PerLayer)
	require.Equal(t, 120_000, d.PerPallet, "10 000 layers of 0.1 mm; 598.752 kg are within 600")
	require.Equal(t, 3, d.Pallets)
	require.Equal(t, "623.8", d.PalletKilos.String())
	require.Equal(t, 1000*mm, d.StackHeight)
	require.Equal(t, "1496.9", d.Kilos.String())
	p.MaxWeight = dec("525")
	d = stack("Notice", 300_000, a4, p)
	require.Equal(t, 100_208, d.PerPallet, "500 kg of 4.9896 g")
	require.Equal(t, "525", d.PalletKilos.String())
	few := stack("Notice", 100, a4, p)
	require.Equal(t, []int{100, 1}, []int{few.PerPallet, few.Pallets})
	require.Equal(t, 900*plant.Micrometre, few.StackHeight)
	p.Size = size(200, 200)
	require.Zero(t, stack("Notice", 100, a4, p).Pallets, "larger than the pallet")
	require.Zero(t, stack("Notice", 100, a4, plant.Pallet{}).Pallets)
}
