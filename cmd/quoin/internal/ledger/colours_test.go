package ledger_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/ledger"
	"quoin/convert/cost/colour"
	"quoin/jdf"
	"quoin/testdata/standard"
)

// Source: all published samples. What package colour reads of them is kept once,
// and nothing of it is lost.
func TestMeasurementsAreKept(t *testing.T) {
	want := map[string]bool{}
	var docs []*jdf.Document
	for _, path := range standard.Samples(t) {
		doc, faults, err := jdf.ReadFile(path, jdf.Limits{})
		require.NoError(t, err)
		if len(faults) > 0 {
			continue
		}
		docs = append(docs, doc)
		measured, _ := colour.Read(doc)
		for i := range measured {
			want[measured[i].Key()] = true
		}
	}
	require.NotEmpty(t, want)
	l := open(t, saltmarsh(t))
	done, _, err := l.Import(t.Context(), arrivals(docs...))
	require.NoError(t, err)
	require.Equal(t, len(want), done.Measurements.New)
	got := map[string]bool{}
	for m, err := range l.Measurements(t.Context(), ledger.Filter{}) {
		require.NoError(t, err)
		got[m.Key()] = true
	}
	require.Equal(t, want, got)
	again, _, err := l.Import(t.Context(), arrivals(docs...))
	require.NoError(t, err)
	require.Zero(t, again.Measurements.New+again.Records.New+again.Uses.New)
	require.Zero(t, again.Notices.New+again.Orders.New+again.Tasks.New)
	require.Zero(t, again.Devices)
	_, err = l.Books(t.Context(), ledger.Filter{})
	require.NoError(t, err)
}
