package emit

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/convert/plan"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// TestGolden pins the tickets of a book: one of each step.
func TestGolden(t *testing.T) {
	pl, tickets := emitted(t, book(true))
	seen := map[plan.Step]bool{}
	for i, o := range pl.Operations {
		if seen[o.Step] {
			continue
		}
		seen[o.Step] = true
		var got bytes.Buffer
		_, err := tickets[i].Doc.WriteTo(&got)
		require.NoError(t, err)
		golden := filepath.Join("testdata", string(o.Step)+".xjdf")
		if *update {
			require.Empty(t, os.Getenv("CI"), "golden files are not rewritten in CI")
			require.NoError(t, os.WriteFile(golden, got.Bytes(), 0o644))
		}
		want, err := os.ReadFile(golden)
		require.NoError(t, err)
		require.Equal(t, string(want), got.String())
	}
	require.Len(t, seen, 6)
}

func BenchmarkTickets(b *testing.B) {
	pl, _ := emitted(b, book(true))
	b.ReportAllocs()
	for b.Loop() {
		Tickets(pl, nil, noon)
	}
}
