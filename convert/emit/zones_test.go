package emit

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/convert/plan"
	"quoin/jdf/value"
)

// TestInkZones: the zones of a form hold, all together, the area that is inked,
// in either generation, and there are none where the ticket tells no coverage.
// From memory: the settings of an ink zone profile are mean coverages from 0 to 1.
func TestInkZones(t *testing.T) {
	plain, _ := emitted(t, product(nil))
	for _, o := range plain.Operations {
		require.True(t, o.Print == nil || len(o.Print.Zones) == 0)
	}
	for _, c := range cases {
		if !strings.HasPrefix(c.name, "coverage told") {
			continue
		}
		pl, _ := emitted(t, c.job)
		for _, o := range pl.Operations {
			if o.Print == nil {
				continue
			}
			var s *plan.Sheet
			for _, k := range pl.Sheets {
				if k.Name == o.Sheet {
					s = k
				}
			}
			require.NotEmpty(t, o.Print.Zones, c.name)
			sheet := float64(s.Size.Height) * float64(o.Print.ZoneWidth)
			total := 0.0
			for _, z := range o.Print.Zones {
				for _, v := range z.Settings {
					require.True(t, v >= 0 && v <= 1)
					total += v * sheet
				}
			}
			// 160 % of the front and 30 % of the back of each piece with its bleed. Half of
			// the positions of a turned form bear the front.
			piece := float64(s.Piece.Width+2*s.Bleed) * float64(s.Piece.Height+2*s.Bleed) * float64(s.Ups())
			want := 1.9 * piece
			if s.Style == plan.WorkAndTurn || s.Style == plan.WorkAndTumble {
				want /= 2
			}
			require.InEpsilon(t, want, total, 0.01, c.name)
		}
		for _, form := range both {
			found := 0
			for _, k := range Tickets(pl, c.job, in(form)) {
				for _, e := range k.Doc.FindElements("//InkZoneProfile[@ZoneSettingsX]") {
					found++
					settings := strings.Fields(e.SelectAttrValue("ZoneSettingsX", ""))
					require.Greater(t, len(settings), 20)
					for _, v := range settings {
						_, err := value.ParseDouble(v)
						require.NoError(t, err)
					}
				}
			}
			require.GreaterOrEqual(t, found, 4, "%s as %s", c.name, form)
		}
	}
}
