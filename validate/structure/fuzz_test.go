package structure

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/validate"
)

// Whatever is well-formed can be checked: no panic, every finding has a place in
// the source and all its facts, and a second run says the same.
func FuzzCheck(f *testing.F) {
	seeds, err := filepath.Glob("testdata/rules/*/*.*df")
	require.NoError(f, err)
	messages, err := filepath.Glob("testdata/rules/*/*.*mf")
	require.NoError(f, err)
	require.NotEmpty(f, seeds)
	for _, path := range append(seeds, messages...) {
		data, err := os.ReadFile(path)
		require.NoError(f, err)
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		doc, faults, err := jdf.Read("fuzz", bytes.NewReader(data), jdf.Limits{MaxBytes: 1 << 16})
		require.NoError(t, err)
		if len(faults) > 0 {
			return
		}
		first := runOnce(t, doc)
		require.Equal(t, first, runOnce(t, doc))
	})
}

func runOnce(t *testing.T, doc *jdf.Document) []string {
	var out []string
	Check(doc, Options{}, func(f validate.Finding) {
		require.True(t, f.Place.Known())
		require.GreaterOrEqual(t, f.Place.Start, 0)
		require.LessOrEqual(t, f.Place.Start, f.Place.End)
		require.LessOrEqual(t, f.Place.End, len(doc.Source.Text))
		require.True(t, strings.HasPrefix(f.Place.Path(), "/"), f.Place.Path())
		for _, name := range factNames(f.Rule.Say + f.Rule.Do) {
			require.True(t, hasFact(f, name), "%s lacks the fact %s", f.Rule.ID, name)
		}
		out = append(out, line(f)+" "+f.Message())
	})
	return out
}

// factNames lists the names in braces.
func factNames(template string) []string {
	var out []string
	for {
		_, rest, ok := strings.Cut(template, "{")
		if !ok {
			return out
		}
		var name string
		name, template, _ = strings.Cut(rest, "}")
		out = append(out, strings.TrimSuffix(name, "|q"))
	}
}

func hasFact(f validate.Finding, name string) bool {
	for _, x := range f.Facts {
		if x.Name == name {
			return true
		}
	}
	return false
}
