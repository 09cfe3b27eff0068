package jdf

import (
	"regexp"
	"strings"
)

// declaration is the XML declaration, white space and order as the standard
// of XML has it.
//
// Source: W3C Extensible Markup Language (XML) 1.0, Fifth Edition, productions
// 23 to 26, 32, 80 and 81.
var declaration = regexp.MustCompile(
	`^<\?xml[ \t\r\n]+version[ \t\r\n]*=[ \t\r\n]*(?:"(1\.[0-9]+)"|'(1\.[0-9]+)')` +
		`(?:[ \t\r\n]+encoding[ \t\r\n]*=[ \t\r\n]*(?:"[A-Za-z][A-Za-z0-9._-]*"|'[A-Za-z][A-Za-z0-9._-]*'))?` +
		`(?:[ \t\r\n]+standalone[ \t\r\n]*=[ \t\r\n]*(?:"(?:yes|no)"|'(?:yes|no)'))?[ \t\r\n]*\?>`)

const wantDeclaration = `<?xml version="1.0" encoding="UTF-8"?>`

// declaration takes the XML declaration at the start of the text. Any version
// 1.x is read by the rules of 1.0, as the Fifth Edition has it; but 1.1 exists,
// has rules of its own, and is not what tickets are written in.
func (s *scanner) declaration() {
	if !strings.HasPrefix(s.text, "<?xml") || len(s.text) > 5 && !isSpace(s.text[5]) && s.text[5] != '?' {
		return
	}
	if m := declaration.FindStringSubmatchIndex(s.text[:min(len(s.text), headSize)]); m != nil {
		start, end := max(m[2], m[4]), max(m[3], m[5])
		if s.text[start:end] == "1.1" {
			s.fault(FaultDeclaration, start, end, "XML version 1.1", "version 1.0")
		}
		s.pos = m[1]
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
