package xsd

import (
	"strings"

	"quoin/jdf"
	"quoin/validate"
)

// escapable are the characters that a backslash may stand before in a pattern,
// beside letters and digits, which mean something of their own.
//
// Source: W3C XML Schema Part 2: Datatypes, Second Edition, appendix F,
// production 24 (SingleCharEsc).
const escapable = `\|.?*+(){}-[]^`

// mend finds the patterns of a schema that escape what needs no escape and may
// have none, and takes the backslashes out.
func (s *sources) mend(doc *jdf.Document) []edit {
	var edits []edit
	for n := range doc.Elements() {
		if n.Space() != namespace || n.Local() != "pattern" {
			continue
		}
		place := n.Attr("value").Place()
		if !place.Known() {
			continue
		}
		text := doc.Source.Text
		for i := place.Start; i+1 < place.End; i++ {
			if text[i] != '\\' {
				continue
			}
			if c := text[i+1]; !isWordByte(c) && strings.IndexByte(escapable, c) < 0 {
				at := place
				at.Start, at.End = i, i+1
				edits = append(edits, edit{at, ""})
				at.End = i + 2
				s.notices = append(s.notices, ruleMended.At(at,
					validate.F("got", text[i:i+2]), validate.F("want", string(c))))
			}
			i++
		}
	}
	return edits
}

// isWordByte reports letters, digits and all bytes beyond ASCII.
func isWordByte(c byte) bool {
	return c >= 0x80 || c|0x20 >= 'a' && c|0x20 <= 'z' || c >= '0' && c <= '9'
}
