package job_test

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/jdf/job"
)

var update = flag.Bool("update", false, "write the golden files anew")

func outline(t *testing.T, path string) string {
	t.Helper()
	doc, faults, err := jdf.ReadFile(path, jdf.Limits{})
	require.NoError(t, err)
	require.Empty(t, faults)
	j := job.Decode(doc)
	require.Empty(t, j.Faults)
	var out strings.Builder
	require.NoError(t, j.Outline(&out))
	return out.String()
}

// One job written in each generation decodes to the same Job: what both say is
// also kept in a file, so that two empty Jobs could not pass.
func TestTwins(t *testing.T) {
	const want = 2
	twins, err := filepath.Glob("testdata/twins/*.jdf")
	require.NoError(t, err)
	require.Len(t, twins, want)
	for _, first := range twins {
		base := strings.TrimSuffix(first, ".jdf")
		t.Run(filepath.Base(base), func(t *testing.T) {
			got := outline(t, first)
			if *update {
				require.NoError(t, os.WriteFile(base+".txt", []byte(got), 0o644))
			}
			golden, err := os.ReadFile(base + ".txt")
			require.NoError(t, err)
			require.Equal(t, string(golden), got)
			require.Equal(t, got, outline(t, base+".xjdf"))
		})
	}
}
