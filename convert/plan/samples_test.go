package plan

import (
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/testdata/standard"
)

// TestSamples plans every published sample on the demo plant: most describe no
// product that sheets are made for, and each is answered by a plan or by
// findings with a place.
// Source: the samples of the published standard.
func TestSamples(t *testing.T) {
	p := saltmarsh(t)
	answered := 0
	for _, file := range standard.Samples(t) {
		doc, _, err := jdf.ReadFile(file, jdf.Limits{})
		require.NoError(t, err)
		if doc.Kind.Message() || !doc.Root().Valid() {
			continue
		}
		pl, findings := Make(job.Decode(doc), p, Options{})
		if pl == nil {
			require.NotEmpty(t, findings, file)
		}
		for _, f := range findings {
			require.True(t, f.Place.Known(), "%s: %s", file, f.Rule.ID)
			require.NotContains(t, f.Message()+f.Advice(), "{", file)
		}
		if testing.Verbose() {
			for _, f := range findings {
				t.Logf("%s: %s %s", file, f.Rule.ID, f.Message())
			}
			if pl != nil {
				t.Logf("%s: %d sheets, %s", file, len(pl.Sheets), pl.Totals.Cost)
			}
		}
		answered++
	}
	require.Greater(t, answered, 100)
}
