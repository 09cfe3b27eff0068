package diff

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/testdata/standard"
)

var update = flag.Bool("update", false, "write the golden files anew")

func decode(t *testing.T, path string) *job.Job {
	t.Helper()
	doc, faults, err := jdf.ReadFile(path, jdf.Limits{})
	require.NoError(t, err)
	require.Empty(t, faults)
	return job.Decode(doc)
}

func edited(t *testing.T, path string, pairs ...string) *job.Job {
	t.Helper()
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	text := string(data)
	for i := 0; i < len(pairs); i += 2 {
		require.Contains(t, text, pairs[i])
		text = strings.Replace(text, pairs[i], pairs[i+1], 1)
	}
	doc, faults, err := jdf.Read("changed.xjdf", strings.NewReader(text), jdf.Limits{})
	require.NoError(t, err)
	require.Empty(t, faults)
	return job.Decode(doc)
}

const book = "further/book-gb-collecting.xjdf"

func sample(t *testing.T, name string) string {
	return filepath.Join(standard.Dir(t), "xjdf", "samples", filepath.FromSlash(name))
}

// A change order says each thing that changed once, in the words of the trade.
//
// Source: the published sample, with changes of our own.
func TestChangeOrder(t *testing.T) {
	path := sample(t, book)
	changes := Jobs(decode(t, path), edited(t, path,
		`Amount="1000"`, `Amount="1500"`,
		`MediaQuality="135_MATT"`, `MediaQuality="170_GLOSS" Weight="170"`,
		`ColorsUsed="Black" Surface="Front"`, `ColorsUsed="Black HKS_13" Surface="Front"`,
		`FinishedDimensions="841.88 595.27 0.0" Pages="20"`, `FinishedDimensions="841.88 595.27 0.0" Pages="24"`,
		`Types="Collecting Stitching Trimming"`, `Types="Collecting Stitching Trimming BoxPacking"`,
		`Height="841.88" Width="595.27"`, `Height="841.88" Width="590"`,
		`Start="2024-09-26T22:00:00+00:00"`, `Start="2024-09-27T06:00:00+02:00"`,
	))
	var text bytes.Buffer
	require.NoError(t, Text(&text, changes))
	golden(t, "testdata/change-order.txt", text.String())
	var j bytes.Buffer
	require.NoError(t, JSON(&j, changes))
	golden(t, "testdata/change-order.json", strings.ReplaceAll(j.String(), filepath.ToSlash(path), "order.xjdf"))
	var parsed struct{ Changes []Change }
	require.NoError(t, json.Unmarshal(j.Bytes(), &parsed))
	require.Len(t, parsed.Changes, len(changes))
}

func golden(t *testing.T, path, got string) {
	t.Helper()
	if *update {
		require.Empty(t, os.Getenv("CI"), "golden files are not written in CI")
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
		require.NoError(t, os.WriteFile(path, []byte(got), 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, string(want), got)
}

// A ticket does not differ from itself, whatever it is.
//
// Source: the published samples.
func TestNoChange(t *testing.T) {
	count := 0
	for _, path := range standard.Samples(t) {
		j := decode(t, path)
		require.Empty(t, Jobs(j, j), path)
		count++
	}
	require.Equal(t, standard.SampleCount, count)
	var text bytes.Buffer
	require.NoError(t, Text(&text, nil))
	require.Equal(t, "no change\n", text.String())
}

// One job in both generations is no change.
func TestTwins(t *testing.T) {
	twins, err := filepath.Glob("../../jdf/job/testdata/twins/*.jdf")
	require.NoError(t, err)
	require.Len(t, twins, 2)
	for _, first := range twins {
		a, b := decode(t, first), decode(t, strings.TrimSuffix(first, ".jdf")+".xjdf")
		require.Empty(t, Jobs(a, b), first)
		require.Empty(t, Jobs(b, a), first)
	}
}

// What one way round is added is removed the other way round.
//
// Source: the published samples, each against the next.
func TestSymmetric(t *testing.T) {
	files := standard.Samples(t)
	different := 0
	for i := 1; i < len(files); i++ {
		a, b := decode(t, files[i-1]), decode(t, files[i])
		there, back := count(Jobs(a, b)), count(Jobs(b, a))
		require.Equal(t, there[Added], back[Removed], "%s and %s", files[i-1], files[i])
		require.Equal(t, there[Removed], back[Added], "%s and %s", files[i-1], files[i])
		require.Equal(t, there[Changed], back[Changed], "%s and %s", files[i-1], files[i])
		different += there[Added]
	}
	require.Positive(t, different)
}

func count(changes []Change) map[Kind]int {
	n := map[Kind]int{}
	for _, c := range changes {
		n[c.Kind]++
	}
	return n
}

// One instant written in another zone is no change.
func TestZone(t *testing.T) {
	path := sample(t, book)
	moved := edited(t, path, `Start="2024-09-26T22:00:00+00:00"`, `Start="2024-09-27T00:00:00+02:00"`)
	require.Empty(t, Jobs(decode(t, path), moved))
}

func TestSentences(t *testing.T) {
	for want, c := range map[string]Change{
		`product "Flyer": amount changed from 200 to 250`: {
			Kind: Changed, Where: `product "Flyer"`, Name: "amount", From: "200", To: "250",
		},
		"step Folding added":            {Kind: Added, Where: "step Folding"},
		"job: priority removed, was 50": {Kind: Removed, Where: "job", Name: "priority", From: "50"},
		"job: start added, 2026-03-02T06:00:00Z": {
			Kind: Added, Where: "job", Name: "start", To: "2026-03-02T06:00:00Z",
		},
	} {
		require.Equal(t, want, c.String())
	}
}
