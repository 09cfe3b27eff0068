package job_test

import (
	"io"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/testdata/standard"
)

// Source: the published samples of the standard. The counts were taken from
// the files by searching for the root elements; the two tickets without JobID
// are snippets that leave it out.
func TestDecodeAllSamples(t *testing.T) {
	var withoutID []string
	tickets, operations, products := 0, 0, 0
	for _, path := range standard.Samples(t) {
		doc, _, err := jdf.ReadFile(path, jdf.Limits{})
		require.NoError(t, err)
		j := job.Decode(doc)
		require.NoError(t, j.Outline(io.Discard))
		if doc.Kind == jdf.KindUnknown || doc.Kind.Message() {
			require.Empty(t, j.Operations, path)
			continue
		}
		tickets++
		if !j.ID.Given {
			withoutID = append(withoutID, filepath.Base(path))
		}
		operations += len(j.Operations)
		products += len(j.Products)
		require.Empty(t, j.Faults, path)
	}
	require.Equal(t, 209, tickets)
	require.Equal(t, []string{"MultiPosition.jdf", "MultiSection.jdf"}, withoutID)
	require.Positive(t, operations)
	require.Positive(t, products)
}
