package report_test

import (
	"testing"

	"github.com/beevik/etree"
	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/rehearsal/report"
	"quoin/convert/cost/colour"
	"quoin/validate/plant"
)

// What was measured is read back to the last digit, and judging by the plant's
// aims finds a run that drifts.
func TestReadingsAreRead(t *testing.T) {
	p, found, err := plant.LoadFile("../../../../../testdata/plant/saltmarsh.yaml")
	require.NoError(t, err)
	require.Empty(t, found)
	a := act(t)
	ticket := etree.NewDocument()
	require.NoError(t, ticket.ReadFromString(`<XJDF xmlns="http://www.CIP4.org/JDFSchema_2_0" JobID="J1" JobPartID="P1" `+
		`Types="ConventionalPrinting" Version="2.2"/>`))
	require.NoError(t, report.Audit(ticket, a))
	ms, unread := colour.Read(sound(t, ticket))
	require.Empty(t, unread)
	type key struct {
		sheet    int64
		side     string
		colorant string
		nominal  float64
	}
	density := map[key]float64{}
	for _, m := range ms {
		if m.Kind == colour.Density {
			density[key{m.Sheet, m.Side, m.Colorant, m.Nominal}] = m.Value
		}
	}
	n := 0
	for _, r := range a.Readings {
		for _, patch := range r.Patches {
			if patch.Separation != "" {
				n++
				require.Equal(t, patch.Density, density[key{int64(r.Sheet), r.Side, patch.Separation, 100 * patch.Tint}])
			}
		}
	}
	require.Greater(t, n, 20)
	runs, _ := colour.Judge(ms, p.Colour, func(string, string) string { return "gloss" })
	require.NotEmpty(t, runs)
}
