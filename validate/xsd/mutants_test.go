//go:build libxml2 && cgo

package xsd_test

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/testdata/standard"
	"quoin/validate"
	"quoin/validate/xsd"
)

// mutant changes a ticket in one place, and keeps it well-formed.
func mutant(r *rand.Rand, doc *jdf.Document) string {
	text := doc.Source.Text
	var nodes []jdf.Node
	var attrs []jdf.Attr
	for n := range doc.Elements() {
		nodes = append(nodes, n)
		for a := range n.Attrs() {
			attrs = append(attrs, a)
		}
	}
	n, a := nodes[r.IntN(len(nodes))], attrs[r.IntN(len(attrs))]
	start, end := n.Place().Start, n.End()
	switch r.IntN(6) {
	case 0: // another value
		values := []string{"", "Foo", "-1", "1 2 3", "2024-01-01T00:00:00Z", "true", "Größe"}
		return text[:a.Place().Start] + values[r.IntN(len(values))] + text[a.Place().End:]
	case 1: // no such attribute
		return text[:a.NamePlace().Start] + "Foo" + text[a.NamePlace().End:]
	case 2: // an attribute missing
		return text[:a.NamePlace().Start] + text[a.Place().End+1:]
	case 3: // an element twice
		if n.Depth() > 0 {
			return text[:end] + text[start:end] + text[end:]
		}
	case 4: // an element missing
		if n.Depth() > 0 {
			return text[:start] + text[end:]
		}
	case 5: // another value, as of some other attribute
		b := attrs[r.IntN(len(attrs))]
		return text[:a.Place().Start] + text[b.Place().Start:b.Place().End] + text[a.Place().End:]
	}
	at := n.Place().End
	return text[:at-1] + " Foo='x'" + text[at-1:]
}

// Source: libxml2 as xmllint, over tickets made from the published samples.
func TestMutantsAgreeWithXmllint(t *testing.T) {
	dir := standard.Dir(t)
	for _, c := range []struct{ generation, path, judge string }{
		{"jdf", filepath.Join(dir, "jdf"), patched(t, filepath.Join(dir, "jdf"))},
		{"xjdf", filepath.Join(dir, "xjdf"), filepath.Join(dir, "xjdf", "xjdf.xsd")},
	} {
		schema, err := xsd.Compile(c.path)
		require.NoError(t, err)
		r := rand.New(rand.NewPCG(7, uint64(len(c.generation))))
		var docs []*jdf.Document
		for _, s := range standard.Samples(t) {
			doc, faults, err := jdf.ReadFile(s, jdf.Limits{})
			require.NoError(t, err)
			require.Empty(t, faults)
			if doc.Kind.First() == (c.generation == "jdf") {
				docs = append(docs, doc)
			}
		}
		var files []string
		out := t.TempDir()
		for i := range 500 {
			path := filepath.Join(out, strconv.Itoa(i)+".xml")
			require.NoError(t, os.WriteFile(path, []byte(mutant(r, docs[i%len(docs)])), 0o600))
			if _, faults, _ := jdf.ReadFile(path, jdf.Limits{}); len(faults) == 0 {
				files = append(files, path) // an attribute may have become one that is there
			}
		}
		valid, errors := agree(t, schema, c.judge, files)
		t.Logf("%s: %d files, %d valid, %d errors", c.generation, len(files), valid, errors)
		require.Greater(t, errors, 250)
		require.Greater(t, valid, 50)
		streamed(t, schema, files)
	}
}

// streamed asks whether checking in a stream finds the same at the same places,
// but for an ID that is given twice.
func streamed(t *testing.T, schema *xsd.Schema, files []string) {
	t.Helper()
	texts := func(found []validate.Finding) (said []string) {
		for _, f := range found {
			if !strings.HasSuffix(f.Message(), "or another element has it") {
				said = append(said, f.Place.Path()+" "+f.Message())
			}
		}
		return said
	}
	want := map[string][]string{}
	for _, path := range files {
		want[path] = texts(findings(t, schema, path))
	}
	schema.Stream()
	for _, path := range files {
		require.Equal(t, want[path], texts(findings(t, schema, path)), path)
	}
}
