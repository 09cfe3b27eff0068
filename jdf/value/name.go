package value

import "unicode/utf8"

// IsNMTOKEN tells whether s is one xs:NMTOKEN. The characters are those of XML 1.0, Fifth Edition, which allows all
// that the earlier editions do and more.
func IsNMTOKEN(s string) bool {
	v := trim(s)
	return v != "" && nameEnd(v) == len(v)
}

// IsNMTOKENS tells whether s is a list of at least one NMTOKEN.
func IsNMTOKENS(s string) bool { return everyField(s, IsNMTOKEN) }

// IsName tells whether s is an xs:Name: an NMTOKEN that begins with a letter, an underscore or a colon.
func IsName(s string) bool {
	v := trim(s)
	return startsName(v) && nameEnd(v) == len(v)
}

// IsNCName tells whether s is an xs:NCName: a Name without a colon.
func IsNCName(s string) bool {
	v := trim(s)
	return startsName(v) && ncNameEnd(v) == len(v)
}

// IsID tells whether s has the form of an xs:ID or xs:IDREF. That the name is used once is for the caller to see.
func IsID(s string) bool { return IsNCName(s) }

// IsIDREFS tells whether s is a list of at least one ID.
func IsIDREFS(s string) bool { return everyField(s, IsNCName) }

// IsQName tells whether s has the form of an xs:QName: an NCName, or two of them with a colon between. That the
// prefix is declared is for the caller to see.
func IsQName(s string) bool {
	v := trim(s)
	if !startsName(v) {
		return false
	}
	end := ncNameEnd(v)
	if end == 0 || end == len(v) {
		return end > 0
	}
	return v[end] == ':' && v[end+1:] == trim(v[end+1:]) && IsNCName(v[end+1:])
}

// ParseNMTOKEN gives s without the white space around it, or a *[SyntaxError] when it is not one NMTOKEN.
func ParseNMTOKEN(s string) (string, error) {
	v := trim(s)
	if !IsNMTOKEN(v) {
		return "", &SyntaxError{Type: "NMTOKEN", Value: v, Want: "letters, digits and . - _ : without blanks"}
	}
	return v, nil
}

func everyField(s string, is func(string) bool) bool {
	field, rest := nextField(s)
	if field == "" {
		return false
	}
	for field != "" {
		if !is(field) {
			return false
		}
		field, rest = nextField(rest)
	}
	return true
}

// nameEnd gives the length of the run of name characters at the start of s.
func nameEnd(s string) int {
	end := 0
	for end < len(s) {
		c := s[end]
		if c < utf8.RuneSelf {
			if !isASCIINameChar(c) {
				return end
			}
			end++
			continue
		}
		r, size := utf8.DecodeRuneInString(s[end:])
		if !isWideNameChar(r, size) {
			return end
		}
		end += size
	}
	return end
}

// ncNameEnd is nameEnd, stopping at a colon.
func ncNameEnd(s string) int {
	end := nameEnd(s)
	for i := range end {
		if s[i] == ':' {
			return i
		}
	}
	return end
}

func startsName(s string) bool {
	if s == "" {
		return false
	}
	if c := s[0]; c < utf8.RuneSelf {
		return isASCIINameChar(c) && c != '-' && c != '.' && !isDigit(c)
	}
	r, size := utf8.DecodeRuneInString(s)
	return isWideNameStart(r, size)
}

func isASCIINameChar(c byte) bool {
	return 'a' <= c && c <= 'z' || 'A' <= c && c <= 'Z' || isDigit(c) || c == '_' || c == '-' || c == '.' || c == ':'
}

// isWideNameStart is NameStartChar beyond ASCII. A broken UTF-8 sequence, which has size 1, is never a name.
//
// Source: W3C XML 1.0, Fifth Edition, production [4].
func isWideNameStart(r rune, size int) bool {
	if size <= 1 {
		return false
	}
	switch {
	case 0xC0 <= r && r <= 0x2FF:
		return r != 0xD7 && r != 0xF7
	case 0x370 <= r && r <= 0x1FFF:
		return r != 0x37E
	case r == 0x200C, r == 0x200D:
		return true
	case 0x2070 <= r && r <= 0x218F, 0x2C00 <= r && r <= 0x2FEF, 0x3001 <= r && r <= 0xD7FF:
		return true
	case 0xF900 <= r && r <= 0xFDCF, 0xFDF0 <= r && r <= 0xFFFD, 0x10000 <= r && r <= 0xEFFFF:
		return true
	}
	return false
}

// isWideNameChar is NameChar beyond ASCII.
//
// Source: W3C XML 1.0, Fifth Edition, production [4a].
func isWideNameChar(r rune, size int) bool {
	return isWideNameStart(r, size) ||
		size > 1 && (r == 0xB7 || 0x300 <= r && r <= 0x36F || r == 0x203F || r == 0x2040)
}
