package jdf_test

import (
	"math/rand/v2"
	"os"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/testdata/standard"
)

// checkAny holds what must be so whatever the bytes are.
func checkAny(t *testing.T, bytes string) {
	t.Helper()
	doc, faults := read(t, bytes)
	text := doc.Source.Text
	require.True(t, utf8.ValidString(text), "%q", bytes)
	for _, f := range faults {
		for _, p := range []jdf.Place{f.Place, f.Related} {
			if p.Known() && (p.Start < 0 || p.Start > p.End || p.End > len(text)) {
				t.Fatalf("%q: fault %s at %d-%d of %d", bytes, f.Code, p.Start, p.End, len(text))
			}
		}
		require.NotEmpty(t, f.Code)
		require.True(t, utf8.ValidString(f.Got+f.Want), "%q: %s", bytes, f.Code)
	}
	checkTree(t, doc)
	walk(doc)
	if len(faults) > 0 {
		return
	}
	require.True(t, doc.Root().Valid(), "%q", bytes)
	if j, err := judge(text); err == nil {
		require.Empty(t, differ(doc.Root(), j), "%q", bytes)
	}
}

// checkTree asks whether the nodes are a tree in document order, each within
// its parent and after its elder siblings.
func checkTree(t *testing.T, doc *jdf.Document) {
	t.Helper()
	next := 1
	var visit func(n jdf.Node) int
	visit = func(n jdf.Node) int {
		at := n.Place().End
		if n.Kind() != jdf.KindElement {
			return at
		}
		for c := range n.Content() {
			if c.Index() != next || c.Parent() != n || c.Place().Start < at {
				t.Fatalf("%q: node %d at %d, want %d from %d", doc.Source.Text, c.Index(), c.Place().Start, next, at)
			}
			next++
			at = visit(c)
		}
		if n.End() < at || n.End() > len(doc.Source.Text) {
			t.Fatalf("%q: node %d ends at %d, want from %d", doc.Source.Text, n.Index(), n.End(), at)
		}
		return n.End()
	}
	for i := 1; i < doc.Len(); i++ {
		if n := doc.Node(i); !n.Parent().Valid() {
			require.Equal(t, next, i, "%q", doc.Source.Text)
			next++
			visit(n)
		}
	}
	require.Equal(t, max(doc.Len(), 1), next)
}

// A text cut anywhere is either whole, for the rest was after the root, or has
// a fault; and what stands before the cut is still read.
//
// Source: the published samples, as texts to cut.
func TestTruncatedTexts(t *testing.T) {
	texts := []string{utf16Bytes(sampleText, true, true), utf16Bytes(sampleText, false, false)}
	texts = append(texts, wellFormed...)
	for i, path := range standard.Samples(t) {
		if i%75 == 0 {
			sample, err := os.ReadFile(path)
			require.NoError(t, err)
			texts = append(texts, string(sample))
		}
	}
	for _, text := range texts {
		whole := clean(t, text)
		for cut := range len(text) {
			doc, faults := read(t, text[:cut])
			require.LessOrEqual(t, doc.Len(), whole.Len()+1)
			if len(faults) == 0 {
				require.Equal(t, whole.Root().End(), doc.Root().End(), "%q cut at %d", text, cut)
				rest := whole.Source.Text[doc.Root().End():]
				require.NotContains(t, rest, "</", "cut at %d", cut)
			}
			walk(doc)
		}
	}
}

// mutate changes a text in one to three places.
func mutate(r *rand.Rand, text string) string {
	const hot = "<>&\"'=/!?-[]: \n\x00\xff\xefa;#x"
	for range 1 + r.IntN(3) {
		if text == "" {
			return text
		}
		at := r.IntN(len(text))
		length := min(r.IntN(8), len(text)-at)
		switch r.IntN(4) {
		case 0:
			text = text[:at] + text[at+length:]
		case 1:
			text = text[:at] + string(hot[r.IntN(len(hot))]) + text[at:]
		case 2:
			text = text[:at] + string(hot[r.IntN(len(hot))]) + text[at+1:]
		default:
			from := r.IntN(len(text) - length + 1)
			text = text[:at] + text[from:from+length] + text[at:]
		}
	}
	return text
}

// Source: the published samples, as texts to change.
func TestMutatedTexts(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	samples := standard.Samples(t)
	for i := range 1500 {
		text := wellFormed[i%len(wellFormed)]
		if i%2 == 0 {
			sample, err := os.ReadFile(samples[i%len(samples)])
			require.NoError(t, err)
			text = string(sample)
		}
		checkAny(t, mutate(r, text))
	}
}

func TestRandomBytes(t *testing.T) {
	const hot = "<<</>>>&&;=\"' \nab:!-[]?x\xff\xfe\x00\xef\xbb\xbf"
	r := rand.New(rand.NewPCG(3, 4))
	for range 3000 {
		var b strings.Builder
		for range r.IntN(60) {
			if r.IntN(8) == 0 {
				b.WriteByte(byte(r.IntN(256)))
			} else {
				b.WriteByte(hot[r.IntN(len(hot))])
			}
		}
		checkAny(t, b.String())
	}
}

func FuzzRead(f *testing.F) {
	for _, c := range faultCases {
		f.Add(c.text)
	}
	for _, c := range encodingCases {
		f.Add(c.bytes)
	}
	for _, text := range wellFormed {
		f.Add(text)
	}
	if _, ok := standard.Find(); ok {
		for i, path := range standard.Samples(f) {
			sample, err := os.ReadFile(path)
			if err != nil {
				f.Fatal(err)
			}
			if i%20 == 0 {
				f.Add(string(sample))
			}
		}
	}
	f.Fuzz(func(t *testing.T, bytes string) { checkAny(t, bytes) })
}
