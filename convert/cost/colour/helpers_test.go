package colour

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/validate"
	"quoin/validate/plant"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// document reads a ticket out of a text.
func document(t testing.TB, name, text string) *jdf.Document {
	t.Helper()
	doc, _, err := jdf.Read(name, strings.NewReader(text), jdf.Limits{})
	require.NoError(t, err)
	return doc
}

// file reads a ticket of testdata.
func file(t testing.TB, name string) *jdf.Document {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("testdata", name))
	require.NoError(t, err)
	return document(t, name, string(text))
}

// measured reads a ticket of testdata that has nothing wrong.
func measured(t testing.TB, names ...string) []Measurement {
	t.Helper()
	var all []Measurement
	for _, name := range names {
		ms, found := Read(file(t, name))
		require.Empty(t, messages(found), name)
		all = append(all, ms...)
	}
	return all
}

// aims are those of the demo plant.
func aims(t testing.TB) *plant.Colour {
	t.Helper()
	p, found, err := plant.LoadFile(filepath.Join("..", "..", "..", "testdata", "plant", "saltmarsh.yaml"))
	require.NoError(t, err)
	require.Empty(t, messages(found))
	return p.Colour
}

func gloss(string, string) string { return "gloss" }

// messages writes findings a line each, as terminals show them.
func messages(found []validate.Finding) []string {
	var all []string
	for _, f := range found {
		pos := f.Place.Pos()
		all = append(all, strings.Join([]string{
			f.Place.File(), ":", number(pos.Line), ":", number(pos.Column), ": ", f.Severity.String(), " ", f.Rule.ID, ": ",
			f.Message(), "; ", f.Advice(), " (", string(f.Rule.Mends), ")",
		}, ""))
	}
	return all
}

func number(n int) string { return plain(float64(n)) }

// golden compares with a file of testdata, or writes it.
func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		require.Empty(t, os.Getenv("CI"), "golden files are not written in CI")
		require.NoError(t, os.WriteFile(path, []byte(got), 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, string(want), got)
}
