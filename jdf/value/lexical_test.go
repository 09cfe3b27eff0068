package value_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf/value"
)

// The forms that the comparison with libxml2 cannot show: it wants declared prefixes for xs:QName, for example.
func TestLexicalChecks(t *testing.T) {
	for _, c := range []struct {
		name string
		is   func(string) bool
		good []string
		bad  []string
	}{
		{"QName", value.IsQName, []string{"a", "jdf:Color", " _x:y-1 "},
			[]string{"", "a:", ":a", "a:b:c", "a:1", "a: b", "1:a", "a b"}},
		{"IDREFS", value.IsIDREFS, []string{"a", "a b\n_c"}, []string{"", " ", "a 1", "a b:c"}},
		{"languages", value.IsLanguages, []string{"", "de-CH de en-GB en"}, []string{"de_CH", "en ,"}},
		// Source: JDFTypes.xsd, pattern of PDFPath.
		{"PDFPath", value.IsPDFPath,
			[]string{"0 0 m", "0 0 m 10 -5.5 l\n1 2 3 4 5 6 c 0 0 612 792 re h", "h"},
			[]string{"", " 0 0 m", "0 0 m ", "0  0 m", "0 m", "1 2 3 l", "0 0", "0 0 q", "1. 2 m", ".5 2 m", "0 0 m l", "1 h"}},
		{"NMTOKEN", value.IsNMTOKEN, []string{"a\u0300", "\U000effff", "\u200d", "\ufffd"},
			[]string{"\xff", "a\xc3", "\u2028", "\ufffe", "\U000f0000", "\u00a0", "\u3000"}},
		{"NCName", value.IsNCName, []string{"Ñ", "日本"}, []string{"·a", "\xe3\x81"}},
	} {
		for _, s := range c.good {
			require.True(t, c.is(s), "%s %q", c.name, s)
		}
		for _, s := range c.bad {
			require.False(t, c.is(s), "%s %q", c.name, s)
		}
	}
	_, err := value.ParseNMTOKEN("a b")
	require.EqualError(t, err, `"a b" is not an NMTOKEN; want letters, digits and . - _ : without blanks`)
}

type lexicalCheck struct {
	name  string
	is    func(string) bool
	value string
}

func lexicalChecks() []lexicalCheck {
	return []lexicalCheck{
		{"NMTOKEN", value.IsNMTOKEN, "WorkAndTurn"},
		{"NMTOKENS", value.IsNMTOKENS, "Cyan Magenta Yellow Black Überdruck"},
		{"Name", value.IsName, "jdf:Color"},
		{"NCName", value.IsNCName, "ID_0001"},
		{"QName", value.IsQName, "jdf:Color"},
		{"Language", value.IsLanguage, "de-CH"},
		{"URI", value.IsURI, "file://host/jobs/c%20ü.pdf?page=1#top"},
		{"HexBinary", value.IsHexBinary, "0A1CFF"},
		{"Integer", value.IsInteger, "-12345678901234567890123"},
		{"Double", value.IsDouble, "841.8898"},
		{"PDFPath", value.IsPDFPath, "0 0 m 10 10 l h"},
		{"ParseBoolean", parses(value.ParseBoolean), "true"},
		{"ParseInteger", parses(value.ParseInteger), "250000"},
		{"ParseDouble", parses(value.ParseDouble), " 841.8898 "},
		{"ParseDuration", parses(value.ParseDuration), "P1DT1H30M0.5S"},
		{"ParseDateTime", parses(value.ParseDateTime), "2026-03-31T14:00:00.5+02:00"},
		{"ParseXYPair", parses(value.ParseXYPair), "612 792"},
		{"ParseRectangle", parses(value.ParseRectangle), "0 0 612 792"},
		{"ParseMatrix", parses(value.ParseMatrix), "1 0 0 1 3.14 21631.3"},
	}
}

// A large ticket has some hundred thousand attributes; none may cost an allocation when it is good.
func TestLexicalChecksDoNotAllocate(t *testing.T) {
	for _, check := range lexicalChecks() {
		require.True(t, check.is(check.value), check.name)
		require.Zero(t, testing.AllocsPerRun(100, func() { check.is(check.value) }), check.name)
	}
}

func BenchmarkLexicalChecks(b *testing.B) {
	for _, check := range lexicalChecks() {
		b.Run(check.name, func(b *testing.B) {
			b.ReportAllocs()
			b.SetBytes(int64(len(check.value)))
			for b.Loop() {
				check.is(check.value)
			}
		})
	}
}

// Every check must stay linear on long values.
func TestLexicalChecksOnLongValues(t *testing.T) {
	for _, check := range lexicalChecks() {
		check.is(strings.Repeat(check.value+" ", 100_000))
		check.is(strings.Repeat(" ", 1_000_000))
		check.is(strings.Repeat(":", 1_000_000))
	}
}
