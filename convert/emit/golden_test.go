package emit

import (
	"bytes"
	"flag"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/convert/plan"
	"quoin/jdf/job"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// TestGolden pins the tickets and summaries of two books, one of each step, and
// the tree of one.
func TestGolden(t *testing.T) {
	seen := map[plan.Step]bool{}
	for _, j := range []*job.Job{book(true), glued(3000), finished()} {
		pinSteps(t, j, seen)
	}
	require.Len(t, seen, 11)
	pl, _ := emitted(t, book(true))
	opt := in(JDF)
	opt.Times = times(pl)
	trees := Tickets(pl, nil, opt)
	require.Len(t, trees, 1)
	require.Equal(t, "SM-7.jdf", trees[0].Name)
	pin(t, "book.jdf", trees[0].Doc)
	pl, _ = emitted(t, finished())
	pin(t, "finished.jdf", Tickets(pl, nil, in(JDF))[0].Doc)
}

func pinSteps(t *testing.T, j *job.Job, seen map[plan.Step]bool) {
	t.Helper()
	pl, tickets := emitted(t, j)
	for i, o := range pl.Operations {
		if seen[o.Step] {
			continue
		}
		seen[o.Step] = true
		pin(t, string(o.Step)+".xjdf", tickets[i].Doc)
		require.Len(t, tickets[i].Reading, 1)
		pin(t, string(o.Step)+"-operator.txt", strings.NewReader(tickets[i].Reading[0].Text))
	}
}

func pin(t *testing.T, name string, text io.WriterTo) {
	t.Helper()
	var got bytes.Buffer
	_, err := text.WriteTo(&got)
	require.NoError(t, err)
	golden := filepath.Join("testdata", name)
	if *update {
		require.Empty(t, os.Getenv("CI"), "golden files are not rewritten in CI")
		require.NoError(t, os.WriteFile(golden, got.Bytes(), 0o644))
	}
	want, err := os.ReadFile(golden)
	require.NoError(t, err)
	require.Equal(t, string(want), got.String())
}

func BenchmarkTickets(b *testing.B) {
	pl, _ := emitted(b, book(true))
	b.ReportAllocs()
	for b.Loop() {
		Tickets(pl, nil, noon)
	}
}
