package plan

import (
	"fmt"
	"math"
	"os/exec"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf/value"
	"quoin/validate/plant"
)

// isoA is the A series, isoSRA the untrimmed sheets that A sizes are cut from, in
// millimetres from size 0 on.
// Source: ISO 216 for A, ISO 217 for SRA, as in the media names of PWG 5101.1.
var (
	isoA = [][2]int{
		{841, 1189}, {594, 841}, {420, 594}, {297, 420}, {210, 297}, {148, 210}, {105, 148}, {74, 105},
	}
	isoSRA = [][2]int{{900, 1280}, {640, 900}, {450, 640}, {320, 450}, {225, 320}}
)

// TestISOSheets: an SRA sheet carries one A sheet of its number with room for bleed
// and grip, two of the next, four of the one behind that, and so on. The halving
// rule of the series makes all of them.
// Source: ISO 216 and ISO 217.
func TestISOSheets(t *testing.T) {
	for n := 1; n < len(isoA); n++ {
		require.Equal(t, [2]int{isoA[n-1][1] / 2, isoA[n-1][0]}, isoA[n], "half of A%d", n-1)
	}
	for n, sra := range isoSRA {
		sheet := size(sra[0], sra[1])
		for k := n; k < min(n+3, len(isoA)); k++ {
			ups := 0
			for _, as := range bothWays(size(isoA[k][0], isoA[k][1])) {
				m := margins{lead: 5 * mm, trail: 3 * mm, side: 2 * mm}
				ups = max(ups, layOut(sheet, as, 2*mm, 0, m, Simplex).ups())
			}
			require.Equal(t, 1<<(k-n), ups, "A%d on SRA%d", k, n)
		}
	}
}

// TestISOAgainstLibpaper holds the A series, and how ticket sizes in points are
// brought to whole millimetres, against the paper sizes of Debian.
// Source: the paper sizes of libpaper, by its program paperconf.
func TestISOAgainstLibpaper(t *testing.T) {
	tool, err := exec.LookPath("paperconf")
	if err != nil {
		t.Skip("paperconf is not installed; install libpaper-utils to hold paper sizes against those of Debian")
	}
	for n, want := range isoA {
		name := fmt.Sprintf("a%d", n)
		out, err := exec.Command(tool, "-p", name, "-s").Output()
		require.NoError(t, err, name)
		var w, h float64
		_, err = fmt.Sscan(strings.TrimSpace(string(out)), &w, &h)
		require.NoError(t, err, "%s: %q", name, out)
		// The program writes points to few places, so that a tenth of a millimetre is open.
		for i, points := range []float64{w, h} {
			require.InDelta(t, float64(want[i]), value.Length(points).MM(), 0.2, "%s side %d", name, i)
			require.InDelta(t, float64(want[i]), math.Round(float64(snap(points))/float64(plant.Millimetre)), 0.1, name)
		}
	}
}
