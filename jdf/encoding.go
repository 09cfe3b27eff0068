package jdf

import (
	"strings"

	"golang.org/x/text/encoding/charmap"
)

// decoded is a text, and what was wrong with the bytes it was made of.
type decoded struct {
	source   *Source
	encoding string
	faults   []Fault
	fatal    bool // the bytes can not be read, as the one fault says
}

func (d *decoded) fault(code FaultCode, start, end int, got, want string) {
	d.faults = append(d.faults, Fault{
		Code: code, Place: PlaceAt(d.source, start, end, ""), Got: got, Want: want,
	})
}

// headSize is how much of a text is searched for an XML declaration, in bytes.
const headSize = 4096

// declaredEncoding tells the name of the encoding and where it stands, or "".
// The declaration itself is checked when the text is scanned; one that is not
// as it should be may still name the encoding.
func declaredEncoding(text string) (label string, start, end int) {
	text = text[:min(len(text), headSize)]
	d, ok := parseDeclaration(text)
	if !ok {
		d.encoding = looseEncoding(text)
	}
	return d.encoding.in(text), d.encoding.start, d.encoding.end
}

// looseEncoding finds a name of an encoding in a declaration that has faults.
func looseEncoding(text string) stretch {
	if !strings.HasPrefix(text, "<?xml") {
		return stretch{}
	}
	head, _, _ := strings.Cut(text, ">")
	for at := range head {
		if value, _, ok := pseudoAttribute(head, at, "encoding"); ok && isEncodingName(value.in(head)) {
			return value
		}
	}
	return stretch{}
}

const bom = "\xEF\xBB\xBF"

// decode turns bytes into UTF-8 text without byte order mark. Bytes that are
// not what the encoding says become U+FFFD, and one fault tells of the first.
//
// Source: W3C Extensible Markup Language (XML) 1.0, Fifth Edition, 4.3.3 and
// appendix F: a byte order mark or the shape of the first bytes tell the
// family, the declaration tells which of it.
func decode(name, raw string) decoded {
	if family := unreadFamily(raw); family != "" {
		d := decoded{source: NewSource(name, ""), encoding: family, fatal: true}
		d.fault(FaultEncodingUnknown, 0, 0, family, readEncodings)
		return d
	}
	if order, ok := utf16Family(raw); ok {
		return decodeUTF16(name, raw, order)
	}
	text, marked := strings.CutPrefix(raw, bom)
	label, start, end := declaredEncoding(text)
	lower := strings.ToLower(label)
	switch {
	case label == "", lower == "utf-8", lower == "utf8":
		return decodeUTF8(name, text, "UTF-8")
	case marked:
		d := decodeUTF8(name, text, "UTF-8")
		d.fault(FaultEncoding, start, end, "a UTF-8 byte order mark", label)
		return d
	case lower == "us-ascii", lower == "ascii":
		return decodeASCII(name, text)
	case strings.HasPrefix(lower, "utf-16"):
		d := decodeUTF8(name, text, "UTF-8")
		d.fault(FaultEncoding, start, end, "one byte a character", label)
		return d
	}
	if page, ok := singleByte[lower]; ok {
		return decodeSingleByte(name, text, page)
	}
	d := decoded{source: NewSource(name, strings.ToValidUTF8(text, "\uFFFD")), encoding: label, fatal: true}
	d.fault(FaultEncodingUnknown, start, end, label, readEncodings)
	return d
}

const readEncodings = "UTF-8, UTF-16, ISO-8859-1, ISO-8859-15, windows-1252 or US-ASCII"

type codePage struct {
	table *charmap.Charmap
	label string
}

// singleByte lists the encodings of one byte a character by their names in
// lower case.
//
// Source: IANA Character Sets registry: names and aliases.
var singleByte = map[string]codePage{
	"iso-8859-1":   {charmap.ISO8859_1, "ISO-8859-1"},
	"iso_8859-1":   {charmap.ISO8859_1, "ISO-8859-1"},
	"iso8859-1":    {charmap.ISO8859_1, "ISO-8859-1"},
	"latin1":       {charmap.ISO8859_1, "ISO-8859-1"},
	"l1":           {charmap.ISO8859_1, "ISO-8859-1"},
	"iso-8859-15":  {charmap.ISO8859_15, "ISO-8859-15"},
	"iso_8859-15":  {charmap.ISO8859_15, "ISO-8859-15"},
	"latin-9":      {charmap.ISO8859_15, "ISO-8859-15"},
	"windows-1252": {charmap.Windows1252, "windows-1252"},
	"cp1252":       {charmap.Windows1252, "windows-1252"},
}

// unreadFamily names a family of encodings that is known by its first bytes
// and not read, or returns "".
func unreadFamily(raw string) string {
	for _, f := range []struct{ start, family string }{
		{"\x00\x00\xFE\xFF", "UTF-32"}, {"\xFF\xFE\x00\x00", "UTF-32"},
		{"\x00\x00\x00<", "UTF-32"}, {"<\x00\x00\x00", "UTF-32"},
		{"\x4C\x6F\xA7\x94", "EBCDIC"},
	} {
		if strings.HasPrefix(raw, f.start) {
			return f.family
		}
	}
	return ""
}

type byteOrder struct {
	high, low int // which of the two bytes is which
	label     string
	skip      int // length of the byte order mark
}

// utf16Family tells UTF-16 by its mark, or by the zero byte beside the first '<'.
func utf16Family(raw string) (byteOrder, bool) {
	switch {
	case strings.HasPrefix(raw, "\xFE\xFF"):
		return byteOrder{0, 1, "UTF-16BE", 2}, true
	case strings.HasPrefix(raw, "\xFF\xFE"):
		return byteOrder{1, 0, "UTF-16LE", 2}, true
	case strings.HasPrefix(raw, "\x00<"):
		return byteOrder{0, 1, "UTF-16BE", 0}, true
	case strings.HasPrefix(raw, "<\x00"):
		return byteOrder{1, 0, "UTF-16LE", 0}, true
	}
	return byteOrder{}, false
}
