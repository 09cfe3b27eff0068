package emit

import (
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/convert/plan"
	"quoin/jdf/job"
)

// gangedPlan is a flat plan whose sheet two products share, every third piece of
// the second.
func gangedPlan(t *testing.T) (*plan.Plan, int) {
	t.Helper()
	pl, findings := plan.Make(product(nil), saltmarsh(t), plan.Options{})
	require.Empty(t, findings)
	require.Len(t, pl.Sheets, 1)
	s, second := pl.Sheets[0], 0
	for i := range s.Positions {
		if i%3 == 2 {
			s.Positions[i].Product = 1
			second++
		}
	}
	require.NotZero(t, second)
	pl.Products = []plan.Product{
		{Name: "Ebb", Sheet: s.Name, Finished: pl.Finished, Ups: len(s.Positions) - second},
		{Name: "Flood", Sheet: s.Name, Finished: pl.Finished, Ups: second},
	}
	return pl, second
}

// TestGang: products that share a sheet have signatures and components of their
// own, with their share of what is cut.
func TestGang(t *testing.T) {
	pl, second := gangedPlan(t)
	quiet(t, saltmarsh(t), pl, nil, "gang")
	s, cut := pl.Sheets[0], pl.Operations[len(pl.Operations)-1]
	require.Equal(t, plan.StepCut, cut.Step)
	sheets := cut.Out / len(s.Positions)
	for _, form := range both {
		var outs []*job.Use
		signatures := map[string]bool{}
		tickets := Tickets(pl, nil, in(form))
		for _, k := range tickets {
			j := job.Decode(read(t, k))
			outs = j.Operations[len(j.Operations)-1].Outputs
			for _, g := range j.Signatures {
				signatures[g.Node.Path()] = true
			}
		}
		require.Len(t, outs, 2, form)
		require.Equal(t, int64(sheets*(len(s.Positions)-second)), outs[0].Amounts.Good.Value.IntPart(), form)
		require.Equal(t, int64(sheets*second), outs[1].Amounts.Good.Value.IntPart(), form)
		require.Len(t, signatures, 2, form)
		reading := tickets[len(tickets)-1].Reading
		require.Contains(t, reading[len(reading)-1].Text, ", Flood\n")
	}
}
