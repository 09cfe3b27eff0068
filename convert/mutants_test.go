package convert

import (
	"fmt"
	"math/rand/v2"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
)

var (
	anAttribute = regexp.MustCompile(`\s[A-Za-z]+="[^"]*"`)
	anEmpty     = regexp.MustCompile(`<[A-Za-z]+(\s[^<>]*)?/>`)
)

// mutant changes a ticket in one place: an attribute goes, gets another value or
// another name; an empty element goes, or comes twice.
func mutant(text string, r *rand.Rand) string {
	find := anAttribute
	if r.IntN(3) == 0 {
		find = anEmpty
	}
	all := find.FindAllStringIndex(text, -1)
	if len(all) == 0 {
		return text
	}
	at := all[r.IntN(len(all))]
	old := text[at[0]:at[1]]
	if strings.HasPrefix(old, " xmlns") {
		return text
	}
	name, _, _ := strings.Cut(strings.TrimSpace(old), "=")
	var fresh string
	switch r.IntN(4) {
	case 0:
	case 1:
		fresh = old + old
		if find == anAttribute {
			fresh = fmt.Sprintf(" %s=\"%d ~ %d\"", name, r.IntN(9), r.IntN(9))
		}
	case 2:
		fresh = strings.Replace(old, name, name+"X", 1)
		if find == anEmpty {
			fresh = old
		}
	default:
		fresh = old
		if find == anAttribute {
			fresh = fmt.Sprintf(" %s=\"x y %d\"", name, r.IntN(99))
		}
	}
	return text[:at[0]] + fresh + text[at[1]:]
}

// Whatever is wrong with a ticket or message, converting it neither breaks off
// nor loses anything in silence, and what comes out is valid.
//
// Source: mutants of the published samples.
func TestMutants(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 11))
	converted := 0
	for _, kind := range []jdf.Kind{jdf.KindJDF, jdf.KindJMF, jdf.KindXJDF, jdf.KindXJMF} {
		samples := samplesOf(t, kind)
		for _, name := range sorted(samples) {
			for range 5 {
				text := mutant(samples[name].Source.Text, r)
				doc, faults, err := jdf.Read(name, strings.NewReader(text), jdf.Limits{})
				require.NoError(t, err)
				if len(faults) > 0 || doc.Kind == jdf.KindUnknown {
					continue
				}
				for _, target := range []jdf.Kind{other[kind], kind} {
					checkMutant(t, doc, target, text)
					converted++
				}
			}
		}
	}
	require.Greater(t, converted, 2000)
}

func checkMutant(t *testing.T, doc *jdf.Document, target jdf.Kind, source string) {
	r, err := To([]*jdf.Document{doc}, target, Options{Clock: noon})
	require.NoError(t, err, source)
	for _, o := range reread(t, r.Outputs) {
		if strings.Contains(source, "foo:") {
			continue // a private message holds elements of the standard, which are taken over as they stand
		}
		require.Empty(t, structureErrors(o), "from\n%s\nto %s\n%s", source, target, o.Source.Text)
	}
	got := map[string]int{}
	for i := range r.All() {
		if i.What == Element || i.What == Attribute {
			got[fmt.Sprintf("%s %d-%d", i.What, i.Place.Start, i.Place.End)]++
		}
		require.Equal(t, i.Outcome != Carried, i.Reason != "", "%s\n%s", source, i.Path())
	}
	require.Equal(t, piecesOf(doc), got, source)
}
