package jdf

import "strings"

// xmlDeclaration is where the parts of an XML declaration stand, as offsets.
type xmlDeclaration struct {
	version, encoding stretch // of the values, between the quotes
	end               int     // just after it
}

type stretch struct{ start, end int }

const wantDeclaration = `<?xml version="1.0" encoding="UTF-8"?>`

// parseDeclaration takes apart the XML declaration that a text begins with. It
// returns false where there is none, or one that is not as XML has it.
//
// Source: W3C Extensible Markup Language (XML) 1.0, Fifth Edition, productions
// 23 to 26, 32, 80 and 81.
func parseDeclaration(text string) (d xmlDeclaration, ok bool) {
	if !strings.HasPrefix(text, "<?xml") {
		return d, false
	}
	at := len("<?xml")
	if d.version, at, ok = pseudoAttribute(text, at, "version"); !ok || !isVersion(d.version.in(text)) {
		return d, false
	}
	if s, next, ok := pseudoAttribute(text, at, "encoding"); ok {
		if !isEncodingName(s.in(text)) {
			return d, false
		}
		d.encoding, at = s, next
	}
	if s, next, ok := pseudoAttribute(text, at, "standalone"); ok {
		if alone := s.in(text); alone != "yes" && alone != "no" {
			return d, false
		}
		at = next
	}
	at = spaceEnd(text, at)
	d.end = at + len("?>")
	return d, strings.HasPrefix(text[at:], "?>")
}

// in is the stretch of a text.
func (s stretch) in(text string) string { return text[s.start:s.end] }

// pseudoAttribute finds white space and name="value" at an offset, and where
// the value stands.
func pseudoAttribute(text string, at int, name string) (value stretch, next int, ok bool) {
	start := spaceEnd(text, at)
	if start == at || !strings.HasPrefix(text[start:], name) {
		return stretch{}, at, false
	}
	equals := spaceEnd(text, start+len(name))
	if equals == len(text) || text[equals] != '=' {
		return stretch{}, at, false
	}
	quote := spaceEnd(text, equals+1)
	if quote == len(text) || text[quote] != '"' && text[quote] != '\'' {
		return stretch{}, at, false
	}
	length := strings.IndexByte(text[quote+1:], text[quote])
	if length < 0 {
		return stretch{}, at, false
	}
	end := quote + 1 + length
	return stretch{quote + 1, end}, end + 1, true
}

// isVersion reports whether a value is the number of some XML 1.x.
func isVersion(value string) bool {
	digits, ok := strings.CutPrefix(value, "1.")
	return ok && digits != "" && strings.Trim(digits, "0123456789") == ""
}

func isEncodingName(value string) bool {
	for i, c := range []byte(value) {
		letter := c|0x20 >= 'a' && c|0x20 <= 'z'
		if !letter && (i == 0 || !strings.ContainsRune("0123456789._-", rune(c))) {
			return false
		}
	}
	return value != ""
}

// declaration takes the XML declaration at the start of the text. Any version
// 1.x is read by the rules of 1.0, as the Fifth Edition has it; but 1.1 exists,
// has rules of its own, and is not what tickets are written in.
func (s *scanner) declaration() {
	if !strings.HasPrefix(s.text, "<?xml") || len(s.text) > 5 && !isSpace(s.text[5]) && s.text[5] != '?' {
		return
	}
	if d, ok := parseDeclaration(s.text[:min(len(s.text), headSize)]); ok {
		if d.version.in(s.text) == "1.1" {
			s.fault(FaultDeclaration, d.version.start, d.version.end, "XML version 1.1", "version 1.0")
		}
		s.pos = d.end
		return
	}
	end := strings.Index(s.text, "?>")
	if end < 0 {
		s.truncated(0, "the XML declaration", "?>")
		return
	}
	s.fault(FaultDeclaration, 0, end+2, clip(s.text[:end+2]), wantDeclaration)
	s.pos = end + 2
}
