package orders_test

import (
	"bytes"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/rehearsal/orders"
	"quoin/convert/plan"
	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/validate/plant"
)

// Orders of all kinds come up, in the range of quantities that they should have,
// and the plant can make most of them.
func TestOrders(t *testing.T) {
	p, found, err := plant.LoadFile("../../../../../testdata/plant/saltmarsh.yaml")
	require.NoError(t, err)
	require.Empty(t, found)
	placed := time.Date(2026, 3, 2, 9, 0, 0, 0, p.Zone)
	kinds, planned, ids := map[string]int{}, 0, map[string]bool{}
	const n = 120
	for i := range n {
		o := orders.Make(p, 1, i, 0, placed)
		kinds[o.Product]++
		require.False(t, ids[o.Job])
		ids[o.Job] = true
		require.True(t, o.Quantity >= 200 && o.Quantity <= 200_000)
		require.True(t, o.Due.After(o.Placed))
		data, err := o.Doc.WriteToBytes()
		require.NoError(t, err)
		again, err := orders.Make(p, 1, i, 0, placed).Doc.WriteToBytes()
		require.NoError(t, err)
		require.Equal(t, string(data), string(again))
		doc, faults, err := jdf.Read("order.xjdf", bytes.NewReader(data), jdf.Limits{})
		require.NoError(t, err)
		require.Empty(t, faults)
		j := job.Decode(doc)
		require.Empty(t, j.Faults)
		require.Equal(t, o.Customer.Name, j.Customer.Name.Value)
		if pl, _ := plan.Make(j, p, plan.Options{Alternatives: 1}); pl != nil {
			require.Equal(t, o.Quantity, pl.Quantity)
			planned++
		}
	}
	require.Len(t, kinds, 5)
	require.Greater(t, planned, n*8/10)
	require.NotEqual(t, orders.Make(p, 1, 1, 0, placed).Doc, orders.Make(p, 2, 1, 0, placed).Doc)
}
