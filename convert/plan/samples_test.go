package plan

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/testdata/standard"
	"quoin/validate"
)

// TestSamples plans every published sample on the demo plant, and pins what comes
// of each: a plan, or why there is none. Most samples show a detail of the
// standard and describe nothing that could be made.
// Source: the samples of the published standard.
func TestSamples(t *testing.T) {
	p := saltmarsh(t)
	var lines []string
	count := map[string]int{}
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
		name, err := filepath.Rel(standard.Dir(t), file)
		require.NoError(t, err)
		lines = append(lines, outcome(filepath.ToSlash(name), pl, findings, count))
	}
	slices.Sort(lines)
	total := fmt.Sprintf("%d planned, %d not\n", count["planned"], count["not"])
	require.Greater(t, count["planned"]+count["not"], 200)
	requireGolden(t, "samples.txt", total+strings.Join(lines, ""))
}

// outcome is a sample with what came of it.
func outcome(name string, pl *Plan, findings []validate.Finding, count map[string]int) string {
	var out strings.Builder
	if pl != nil {
		count["planned"]++
		fmt.Fprintf(&out, "%s: planned, %s of %s on %s\n", name, many(len(pl.Sheets), "sheet"), pl.Kind, pl.Sheets[0].Press)
	} else {
		count["not"]++
		fmt.Fprintf(&out, "%s: not planned\n", name)
	}
	for _, f := range findings {
		fmt.Fprintf(&out, "    %s: %s\n", f.Rule.ID, f.Message())
	}
	return out.String()
}
