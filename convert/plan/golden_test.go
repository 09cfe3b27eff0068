package plan

import (
	"bytes"
	"flag"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf/job"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// TestText pins the summaries of a leaflet, a stitched and a perfect-bound book, a
// gang, and of coasters that are coated, laminated, die-cut and packed by hand.
func TestText(t *testing.T) {
	for _, name := range []string{"leaflet", "booklet", "pilotbook", "cards", "coasters"} {
		t.Run(name, func(t *testing.T) {
			var got bytes.Buffer
			require.NoError(t, Write(&got, made(t, ticket(t, name+".xjdf"), saltmarsh(t))))
			requireGolden(t, name+".txt", got.String())
		})
	}
}

// requireGolden holds a text against a golden file.
func requireGolden(t *testing.T, name, got string) {
	t.Helper()
	golden := filepath.Join("testdata", name)
	if *update {
		require.Empty(t, os.Getenv("CI"), "golden files are not rewritten in CI")
		require.NoError(t, os.WriteFile(golden, []byte(got), 0o644))
	}
	want, err := os.ReadFile(golden)
	require.NoError(t, err)
	require.Equal(t, string(want), got)
}

func BenchmarkLeaflet(b *testing.B) { benchmark(b, "leaflet.xjdf") }

func BenchmarkBooklet(b *testing.B) { benchmark(b, "booklet.xjdf") }

func BenchmarkPilotBook(b *testing.B) { benchmark(b, "pilotbook.xjdf") }

func BenchmarkGang(b *testing.B) { benchmark(b, "cards.xjdf") }

func benchmark(b *testing.B, name string) {
	j, p := ticket(b, name), saltmarsh(b)
	b.ReportAllocs()
	for b.Loop() {
		if pl, _ := Make(j, p, Options{}); pl == nil {
			b.Fatal("no plan")
		}
	}
}

// BenchmarkRandomJobs plans a thousand random jobs on the demo plant.
func BenchmarkRandomJobs(b *testing.B) {
	const count = 1000
	p := saltmarsh(b)
	rng := rand.New(rand.NewPCG(3, 14))
	jobs := make([]*job.Job, count)
	for i := range jobs {
		jobs[i] = randomJob(rng, p)
	}
	planned := 0
	for b.Loop() {
		planned = 0
		for _, j := range jobs {
			if pl, _ := Make(j, p, Options{}); pl != nil {
				planned++
			}
		}
	}
	b.ReportMetric(float64(b.Elapsed().Milliseconds())/float64(b.N*count), "ms/job")
	b.ReportMetric(float64(planned), "planned")
}
