package jdf

import (
	"strings"
	"unicode/utf8"
)

// beginnings tell files of other kinds that reach a reader of tickets: by a
// wrong name, or because a server answered with a page of its own.
//
// Source: ISO 32000-1, section 7.5.2 (%PDF-); RFC 1952, section 2.3.1 (gzip);
// PKWARE APPNOTE, section 4.3.7 (PK\x03\x04); RFC 8259, section 2 (JSON).
var beginnings = []struct{ text, kind string }{
	{"<!doctype html", "an HTML page"},
	{"<html", "an HTML page"},
	{"%pdf-", "a PDF"},
	{"%!ps", "PostScript"},
	{"pk\x03\x04", "a ZIP file"},
	{"{", "JSON"},
	{"[", "JSON"},
	{"http/1", "an HTTP message with its header"},
	{"mime-version:", "a MIME package"},
	{"content-type:", "a MIME package"},
}

// wantXML is what a file of another kind should have been.
const wantXML = "a ticket or message in XML"

// otherKind says what a text is that is plainly no XML of ours, or "".
func otherKind(text string) string {
	const longest = len("<!doctype html")
	at := spaceEnd(text, 0)
	if strings.HasPrefix(text[at:], "<?") || at == len(text) {
		return ""
	}
	if text[at] == '<' && (at+1 == len(text) || !strings.ContainsRune("!hH", rune(text[at+1]))) {
		return ""
	}
	start := strings.ToLower(text[at:min(len(text), at+longest)])
	for _, b := range beginnings {
		if strings.HasPrefix(start, b.text) {
			return b.kind
		}
	}
	if !strings.Contains(text, "<") && text[at] != '&' {
		return "plain text"
	}
	return ""
}

// notXML reports a file of another kind, at its first line.
func (s *scanner) notXML(kind string) {
	start := spaceEnd(s.text, 0)
	end := strings.IndexAny(s.text[start:], "\r\n")
	if end < 0 {
		end = len(s.text) - start
	}
	s.faults = s.faults[:0] // what is wrong with its bytes as XML helps nobody
	s.stop(FaultNotXML, start, start+end, kind, wantXML)
}

// unquoted reports an attribute whose value has no quotes, or those of a text
// processor, which are letters to XML.
func (s *scanner) unquoted(start, stop, value int) {
	r, size := utf8.DecodeRuneInString(s.text[value:])
	if strings.ContainsRune("“”„‘’‚«»", r) {
		s.stop(FaultSyntax, value, value+size, string(r), `a straight quote, " or '`)
		return
	}
	s.stop(FaultSyntax, start, stop, clip(s.text[start:stop]), "a value in quotes after =")
}
