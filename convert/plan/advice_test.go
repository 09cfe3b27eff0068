package plan

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/validate/plant"
)

// TestCreases: paper over the plant's limit is creased, by the folder if it can.
func TestCreases(t *testing.T) {
	p := tinyPlant()
	j := flatJob(99, 210, 2000, []string{"Black"}, []string{"Black"})
	j.Products[0].Fold = given("F6-2")
	notes := func() string { return strings.Join(made(t, j, p).Notes, "\n") }
	require.NotContains(t, notes(), "creased")
	p.Score = plant.Score{Along: 101, Across: 101}
	require.NotContains(t, notes(), "creased")
	p.Score = plant.Score{Along: 100, Across: 100}
	require.Contains(t, notes(), "creased before it is folded, which this plan does not hold: sheet S1")
	p.Folders[0].Creaser = true
	require.Contains(t, notes(), "crease in the folder before the fold: sheet S1")
}

// TestOrders: what has to be ordered beyond the need is named, and not charged.
func TestOrders(t *testing.T) {
	p := tinyPlant()
	j := flatJob(148, 210, 2000, []string{"Black"}, nil)
	plain := made(t, j, p)
	for _, s := range p.Stocks {
		s.MinimumOrder, s.Pack = 1200, 500
	}
	pl := made(t, j, p)
	require.Equal(t, plain.Totals, pl.Totals)
	left := 1500 - pl.Sheets[0].Bought
	require.Positive(t, left)
	require.Contains(t, strings.Join(pl.Notes, "\n"), "order 1 500 sheets of "+pl.Sheets[0].Stock.ID+
		", by its packs and least order; the "+count(left)+" that")
}
