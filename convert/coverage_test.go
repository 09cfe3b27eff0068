package convert

import (
	"fmt"
	"strings"
	"testing"

	"github.com/beevik/etree"
	"github.com/stretchr/testify/require"

	"quoin/jdf"
)

// What was carried, what was changed and what was lost are together exactly the
// elements and attributes of the source, each once, in every sample and in both
// directions; and none of them is there for want of a rule.
//
// Source: the published samples.
func TestNothingIsLostInSilence(t *testing.T) {
	for kind := range kindsConverted {
		for name, doc := range samplesOf(t, kind) {
			r, err := To([]*jdf.Document{doc}, other[kind], Options{Clock: noon})
			require.NoError(t, err)
			want := piecesOf(doc)
			got := map[string]int{}
			for i := range r.All() {
				if i.What == Element || i.What == Attribute {
					got[fmt.Sprintf("%s %d-%d", i.What, i.Place.Start, i.Place.End)]++
				}
				require.NotEqual(t, notReached, i.Reason, "%s: %s", name, i.Path())
				require.Equal(t, i.Outcome != Carried, i.Rule != nil && i.Reason != "", "%s: %s", name, i.Path())
			}
			require.Equal(t, want, got, name)
			require.Positive(t, len(got))
		}
	}
}

// piecesOf lists the elements and attributes of a document by their places, as
// reading it tells, without the ledger.
func piecesOf(doc *jdf.Document) map[string]int {
	all := map[string]int{}
	for n := range doc.Elements() {
		all[fmt.Sprintf("element %d-%d", n.Place().Start, n.Place().End)]++
		for a := range n.Attrs() {
			all[fmt.Sprintf("attribute %d-%d", a.Place().Start, a.Place().End)]++
		}
	}
	return all
}

// An attribute that is said to be carried stands in the target with its name
// and value; one that is lost does not lend its place to another.
//
// Source: the published samples.
func TestCarriedIsThere(t *testing.T) {
	carried := 0
	for kind := range kindsConverted {
		for name, doc := range samplesOf(t, kind) {
			r, err := To([]*jdf.Document{doc}, other[kind], Options{Clock: noon})
			require.NoError(t, err)
			there, elements := map[string]bool{}, map[string]bool{}
			for _, o := range r.Outputs {
				doc := etree.NewDocument()
				require.NoError(t, doc.ReadFromString(text(t, o)))
				for _, e := range doc.FindElements("//*") {
					elements[e.Tag] = true
					for _, a := range e.Attr {
						there[a.Key+"="+a.Value] = true
					}
				}
			}
			for i := range r.All() {
				switch {
				case i.Outcome != Carried:
				case i.What == Attribute:
					_, local, _ := strings.Cut(i.Name, "/@")
					value := i.Place.Node().Document().Source.Text[i.Place.Start:i.Place.End]
					require.True(t, there[local+"="+unescape(t, value)], "%s: %s=%q is not there", name, i.Path(), value)
					carried++
				case i.What == Element:
					require.True(t, elements[i.Name], "%s: %s is not there", name, i.Path())
				}
			}
		}
	}
	require.Greater(t, carried, 1000)
}

// unescape reads an attribute value as XML does.
func unescape(t *testing.T, raw string) string {
	d := etree.NewDocument()
	require.NoError(t, d.ReadFromString("<a b=\""+strings.ReplaceAll(raw, `"`, "&quot;")+"\"/>"))
	return d.Root().SelectAttrValue("b", "")
}

// What the converter writes is the same, whoever asks and however often.
func TestDeterministic(t *testing.T) {
	for kind := range kindsConverted {
		for name, doc := range samplesOf(t, kind) {
			var first []string
			for range 2 {
				r, err := To([]*jdf.Document{doc}, other[kind], Options{Clock: noon})
				require.NoError(t, err)
				var all []string
				for _, o := range r.Outputs {
					all = append(all, o.Name+"\n"+text(t, o))
				}
				for i := range r.Losses() {
					all = append(all, i.Path()+" "+i.Finding().Message())
				}
				if first == nil {
					first = all
				}
				require.Equal(t, first, all, name)
			}
		}
	}
}
