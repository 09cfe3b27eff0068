package main

import (
	"fmt"
	"math/rand/v2"
	"strings"

	"quoin/jdf"
)

// mutant is a sample changed in one place.
type mutant struct {
	sample *sample
	what   string // was changed, and where
	text
}

// draw is what operators draw from.
type draw struct {
	*rand.Rand
	*sample
}

// operator changes a sample. It returns no description where there is nothing
// of its kind to change.
type operator struct {
	name  string
	apply func(d draw) (xml, what string)
}

// operators lists the kinds of change; each is drawn as often as the others.
func operators() []operator {
	return append(attributeOperators(), elementOperators()...)
}

// mutate draws one change after the other until one leaves well-formed XML that
// is not the sample itself.
func mutate(r *rand.Rand, samples []*sample) mutant {
	all := operators()
	for {
		s := samples[r.IntN(len(samples))]
		op := all[r.IntN(len(all))]
		xml, what := op.apply(draw{r, s})
		if what == "" || xml == s.doc.Source.Text {
			continue
		}
		if _, err := read(xml); err != nil {
			continue // such as the same attribute twice
		}
		what = op.name + ": " + what
		if s.bare {
			what = dropTypes + ", " + what
		}
		return mutant{s, what, text{s.gen, xml}}
	}
}

// cut replaces a piece of the text.
func (d draw) cut(start, end int, by string) string {
	t := d.doc.Source.Text
	return t[:start] + by + t[end:]
}

func pick[T any](d draw, list []T) T {
	if len(list) == 0 {
		var none T
		return none
	}
	return list[d.IntN(len(list))]
}

// place is where a thing stands in the sample, as people write it.
func place(p jdf.Place, what string) string {
	pos := p.Pos()
	return fmt.Sprintf("%s at %d:%d", what, pos.Line, pos.Column)
}

// escaped is a value as it stands between quotes. White space that is no space
// is written as references, so that it gets through.
func escaped(value string) string {
	return strings.NewReplacer("&", "&amp;", "<", "&lt;", `"`, "&quot;", "'", "&apos;",
		"\t", "&#9;", "\n", "&#10;", "\r", "&#13;").Replace(value)
}

// values are texts of all data types of the standard, and texts that only just
// are not.
var values = []string{
	"", " ", "0", "-0", "+1", "-1", "7", "007", "1.0", "-.5", "1.", ".", "1e3", "1E-3", "1e", "INF", "-INF",
	"+INF", "inf", "NaN", "0x1F", "1,5", "2147483647", "2147483648", "-2147483649", "99999999999999999999",
	"1e400", "255", "100", "100.5", "true", "false", "TRUE", "1 ", " 1", "yes", "2024-02-29", "2023-02-29",
	"2024-02-29T10:00:00", "2024-02-29T10:00:00Z", "2024-02-29T10:00:00+14:00", "2024-02-29T10:00:00+14:01",
	"2024-02-29T24:00:00Z", "2024-02-29T24:00:01Z", "2024-02-29T23:59:60Z", "2024-2-29T10:00:00Z",
	"2024-02-29T10:00:00.123-05:30", "2024-02-29 10:00:00", "2024-02", "2024-13", "--02",
	"0000-01-01T00:00:00Z", "-0001-01-01T00:00:00Z", "12024-01-01T00:00:00Z", "10:00:00", "25:00:00", "PT1H",
	"P1Y2M3DT4H5M6.7S", "-P1D", "P", "PT", "P1H", "PT1.5H", "P1M ", "p1d", "1 2", "1 2 3", "1 2 3 4",
	"1 2 3 4 5 6", "1  2", "0 ~ 3", "0~3", "0 ~ -1", "3 ~", "~", "0 1 2 ~ 5", "1 0 0 1 0 0",
	"0.1 0.2 0.3 0.4", "1.1 0.2 0.3 0.4", "a", "A", "a b", "a  b", "_x", "9x", "-x", "x:y", ":x", "x y:z",
	"Größe", "日本", "a,b", "a(b)", "en", "en-GB", "en_GB", "x-marsh-dialect", "abcdefghi", "de en", "DE", "GB",
	"gb", "http://saltmarsh.example/a b", "http://saltmarsh.example/%zz", "file:///jobs/a.pdf", "cid:1", "#x",
	"a#b#c", "http://[", ":", "0AFF", "0aff", "0AF", "GG", "F8-7", "F8-X", "f8-7", "8-7", "F-1",
	"0 0 m 100 0 l", "Black", "black", "BLACK", "None", "none", "Front", "Back", "Waiting", "Available",
	"All", "Unknown", "1.4", "1.9", "2.0", "2.1", "2.9", "urn:x:y", "a\tb", "a\nb", "\n", "Component",
	"Cutting", "JDF", "Sheet", "x xx xxx", "1/2", "50%", "#FF0000", "0 0 0", "0 0", "595.28 841.89",
	"595,28 841,89",
}

// respelt changes one character of a word, or its case.
func (d draw) respelt(word string) string {
	runes := []rune(word)
	if len(runes) == 0 {
		return "x"
	}
	i := d.IntN(len(runes))
	switch d.IntN(4) {
	case 0:
		return string(runes[:i]) + string(runes[i+1:])
	case 1:
		return string(runes[:i+1]) + string(runes[i:])
	case 2:
		return string(runes[:i]) + string(pick(d, []rune("aZ_-.x9: ~"))) + string(runes[i+1:])
	}
	j := d.IntN(len(runes))
	runes[i], runes[j] = runes[j], runes[i]
	return string(runes)
}

// recased changes the case of a word.
func (d draw) recased(word string) string {
	switch d.IntN(4) {
	case 0:
		return strings.ToLower(word)
	case 1:
		return strings.ToUpper(word)
	}
	i := d.IntN(max(1, len(word)))
	if i >= len(word) || word[i] >= 0x80 {
		return strings.ToUpper(word)
	}
	c := string(word[i])
	if strings.ToLower(c) == c {
		return word[:i] + strings.ToUpper(c) + word[i+1:]
	}
	return word[:i] + strings.ToLower(c) + word[i+1:]
}

// spaces are namespaces that a sender may write in place of the right one.
var spaces = []string{
	"", "urn:saltmarsh:private", jdf.NamespaceJDF, jdf.NamespaceXJDF, "http://www.cip4.org/JDFSchema_1_1",
	"http://www.CIP4.org/JDFSchema_2_1", "http://www.CIP4.org/JDFSchema_1_1/", jdf.NamespaceXSI, jdf.NamespaceXML + "x",
}
