package cost_test

import (
	"testing"
	"time"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"quoin/convert/cost"
	"quoin/convert/plan"
)

func TestSuppliesOfPlan(t *testing.T) {
	n := decimal.NewFromInt
	p := &plan.Plan{
		JobID: "SM-1",
		Operations: []*plan.Operation{
			{Step: plan.StepPlates, Sheet: "S1"}, {Step: plan.StepPrint, Sheet: "S1", Device: "offset-b2"},
		},
		Materials: []*plan.Material{
			{Kind: plan.Paper, Sheet: "S1", Name: "gloss-135", Quantity: n(2600), Unit: "sheets", Kilos: n(150), Cost: n(216)},
			{Kind: "wire", Name: "wire", Quantity: n(2), Unit: "1000 stitches", Cost: n(2)},
		},
	}
	morning := time.Date(2026, 11, 25, 8, 0, 0, 0, time.UTC)
	first := cost.SuppliesOfPlan(p, "plan.json", morning)
	require.Len(t, first, 2)
	require.Equal(t, "02-print-S1", first[0].Part, "as the ticket that prints it is named")
	require.Equal(t, "paper", first[0].Kind)
	require.Equal(t, "", first[1].Part)

	p.Materials = p.Materials[:1]
	later := cost.SuppliesOfPlan(p, "plan.json", morning.Add(time.Hour))
	merged := cost.MergeSupplies(append(append(later, first...), later...))
	require.Equal(t, later, merged, "the last plan of a job counts, once")
	require.NotEqual(t, first[0].Key(), later[0].Key())
}
