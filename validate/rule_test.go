package validate_test

import (
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/validate"
)

func TestFindingWords(t *testing.T) {
	rule := &validate.Rule{
		ID: "ref/wrong", Severity: validate.Error, Mends: validate.Sender,
		Say: "{name} is {got|q}; want {want}", Do: "use {want}",
	}
	f := rule.At(jdf.Place{}, validate.F("name", "Link/@rRef"), validate.F("got", `a"b`), validate.F("want", 7))
	require.Equal(t, `Link/@rRef is "a\"b"; want 7`, f.Message())
	require.Equal(t, "use 7", f.Advice())
	require.Equal(t, "ref", rule.Group())

	// What a user writes is never taken for a template.
	f = rule.At(jdf.Place{}, validate.F("name", "{want}"), validate.F("got", "{"), validate.F("want", "x"))
	require.Equal(t, `{want} is "{"; want x`, f.Message())
	// A fact that is missing stays to be seen.
	require.Contains(t, rule.At(jdf.Place{}).Message(), "{name}")
}

func TestWithLeavesOutUnknownPlaces(t *testing.T) {
	rule := &validate.Rule{ID: "ref/x"}
	require.Empty(t, rule.At(jdf.Place{}).With(jdf.Place{}, "there").Related)
	src := jdf.NewSource("a", "text")
	require.Len(t, rule.At(jdf.Place{}).With(jdf.PlaceAt(src, 0, 1, ""), "there").Related, 1)
}

func TestNearest(t *testing.T) {
	names := []string{"IDPrinting", "Input", "Output", "Media", "MediaRef", "ConventionalPrinting"}
	for word, want := range map[string]string{
		"input":               "Input",
		"Outptu":              "Output",
		"Medai":               "Media",
		"ConventionlPrinting": "ConventionalPrinting",
		"ConvPrinting":        "ConventionalPrinting",
		"IDPrintng":           "IDPrinting",
		"xyz":                 "",
		"":                    "",
		"M":                   "",
	} {
		require.Equal(t, want, validate.Nearest(word, names), word)
	}
	require.Empty(t, validate.Nearest("word", nil))
}

func TestChoices(t *testing.T) {
	require.Equal(t, "a, b", validate.Choices([]string{"b", "a", "b"}))
	require.Equal(t, "1, 2, 3, 4, 5, 6, 7, 8 and 2 more",
		validate.Choices(strings.Fields("1 2 3 4 5 6 7 8 9 91")))
}

func TestSeverities(t *testing.T) {
	for _, s := range []validate.Severity{validate.Note, validate.Warning, validate.Error} {
		back, err := validate.ParseSeverity(s.String())
		require.NoError(t, err)
		require.Equal(t, s, back)
	}
	_, err := validate.ParseSeverity("")
	require.Error(t, err)
}

// Every fault of reading has a rule, with words for all of its facts.
func TestXMLRules(t *testing.T) {
	open := regexp.MustCompile(`\{[a-z]`)
	seen := map[string]bool{}
	for _, r := range validate.XMLRules() {
		require.False(t, seen[r.ID], r.ID)
		seen[r.ID] = true
		f := validate.OfFault(jdf.Fault{Code: jdf.FaultCode(strings.TrimPrefix(r.ID, "xml/")), Got: "g", Want: "w"})
		require.Same(t, r, f.Rule)
		require.NotRegexp(t, open, f.Message())
		require.NotRegexp(t, open, f.Advice())
		require.NotEmpty(t, r.Why)
	}
}
