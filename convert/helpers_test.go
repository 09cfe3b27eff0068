package convert

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/testdata/standard"
	"quoin/validate"
	"quoin/validate/structure"
)

var update = flag.Bool("update", false, "write the golden files anew")

// noon is the clock of all tests.
func noon() time.Time { return time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC) }

func read(t testing.TB, name, text string) *jdf.Document {
	t.Helper()
	doc, faults, err := jdf.Read(name, strings.NewReader(text), jdf.Limits{})
	require.NoError(t, err)
	require.Empty(t, faults, name)
	return doc
}

// text is the bytes of an output.
func text(t testing.TB, o Output) string {
	t.Helper()
	var b bytes.Buffer
	_, err := o.WriteTo(&b)
	require.NoError(t, err)
	return b.String()
}

// reread reads outputs as the next program would.
func reread(t testing.TB, outputs []Output) []*jdf.Document {
	t.Helper()
	var docs []*jdf.Document
	for _, o := range outputs {
		docs = append(docs, read(t, o.Name, text(t, o)))
	}
	return docs
}

// errors lists what the structure stage has against a document.
func structureErrors(doc *jdf.Document) []string {
	var all []string
	structure.Check(doc, structure.Options{}, func(f validate.Finding) {
		if f.Severity == validate.Error {
			all = append(all, f.Rule.ID+" "+f.Place.Path()+": "+f.Message())
		}
	})
	return all
}

func outline(t testing.TB, doc *jdf.Document) string {
	t.Helper()
	var b strings.Builder
	require.NoError(t, job.Decode(doc).Outline(&b))
	return b.String()
}

// samplesOf lists the published samples of a kind, as paths under the folder of
// the standard.
//
// Source: the published samples of both generations.
func samplesOf(t testing.TB, kind jdf.Kind) map[string]*jdf.Document {
	t.Helper()
	all := map[string]*jdf.Document{}
	for _, path := range standard.Samples(t) {
		doc, _, err := jdf.ReadFile(path, jdf.Limits{})
		require.NoError(t, err)
		if doc.Kind != kind {
			continue
		}
		name, err := filepath.Rel(standard.Dir(t), path)
		require.NoError(t, err)
		all[filepath.ToSlash(name)] = doc
	}
	return all
}

var other = map[jdf.Kind]jdf.Kind{
	jdf.KindJDF: jdf.KindXJDF, jdf.KindXJDF: jdf.KindJDF, jdf.KindJMF: jdf.KindXJMF, jdf.KindXJMF: jdf.KindJMF,
}

func golden(t *testing.T, path, got string) {
	t.Helper()
	if *update {
		require.Empty(t, os.Getenv("CI"), "golden files are not written in CI")
		require.NoError(t, os.WriteFile(path, []byte(got), 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, string(want), got)
}
