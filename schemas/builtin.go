package schemas

import (
	"strings"
	"unicode/utf8"
)

// builtin is an atomic type of XML Schema that the releases rest on.
// Source: XML Schema Part 2: Datatypes, second edition, section 3.
type builtin struct {
	name  string
	space whiteSpace
	check func(string) bool // nil takes any value
}

var builtins = func() map[string]*builtin {
	m := map[string]*builtin{}
	for _, b := range []*builtin{
		{"anySimpleType", preserve, nil},
		{"string", preserve, nil},
		{"normalizedString", replace, nil},
		{"token", collapse, nil},
		{"boolean", collapse, isBoolean},
		{"anyURI", collapse, isURI},
		{"hexBinary", collapse, isHex},
		{"language", collapse, isLanguage},
		{"NMTOKEN", collapse, isNMTOKEN},
		{"ID", collapse, isNCName},
		{"IDREF", collapse, isNCName},
		{"NCName", collapse, isNCName},
		{"QName", collapse, isQName},
		{"float", collapse, isFloat},
		{"double", collapse, isFloat},
		{"integer", collapse, isInteger},
		{"long", collapse, func(s string) bool { return isBounded(s, "9223372036854775807", "9223372036854775808") }},
		{"int", collapse, func(s string) bool { return isBounded(s, "2147483647", "2147483648") }},
		{"duration", collapse, isDuration},
		{"dateTime", collapse, isDateTime},
		{"date", collapse, isDate},
		{"time", collapse, isTime},
		{"gYearMonth", collapse, isYearMonth},
	} {
		m[b.name] = b
	}
	return m
}()

func isBoolean(s string) bool { return s == "true" || s == "false" || s == "1" || s == "0" }

func isHex(s string) bool {
	for i := range len(s) {
		if !isHexDigit(s[i]) {
			return false
		}
	}
	return len(s)%2 == 0
}

func isHexDigit(c byte) bool { return isDigit(c) || c|0x20 >= 'a' && c|0x20 <= 'f' }

func isDigit(c byte) bool  { return c >= '0' && c <= '9' }
func isLetter(c byte) bool { return c|0x20 >= 'a' && c|0x20 <= 'z' }

// isLanguage takes subtags of up to eight letters, digits too after the first.
func isLanguage(s string) bool {
	for n := 0; ; n++ {
		tag, rest, more := strings.Cut(s, "-")
		if tag == "" || len(tag) > 8 {
			return false
		}
		for i := range len(tag) {
			if !isLetter(tag[i]) && (n == 0 || !isDigit(tag[i])) {
				return false
			}
		}
		if !more {
			return true
		}
		s = rest
	}
}

func isInteger(s string) bool {
	s = withoutSign(s)
	for i := range len(s) {
		if !isDigit(s[i]) {
			return false
		}
	}
	return s != ""
}

func withoutSign(s string) string {
	if s != "" && (s[0] == '+' || s[0] == '-') {
		return s[1:]
	}
	return s
}

// isBounded takes an integer up to the greatest value, and down to the negative
// of the least one.
func isBounded(s, greatest, least string) bool {
	if !isInteger(s) {
		return false
	}
	limit := greatest
	if s[0] == '-' {
		limit = least
	}
	digits := strings.TrimLeft(withoutSign(s), "0")
	return len(digits) < len(limit) || len(digits) == len(limit) && digits <= limit
}

// isFloat takes a decimal number with an optional exponent, INF, -INF and NaN.
func isFloat(s string) bool {
	if s == "INF" || s == "-INF" || s == "NaN" {
		return true
	}
	s = withoutSign(s)
	i, digits := 0, 0
	for ; i < len(s) && isDigit(s[i]); i++ {
		digits++
	}
	if i < len(s) && s[i] == '.' {
		for i++; i < len(s) && isDigit(s[i]); i++ {
			digits++
		}
	}
	if digits == 0 {
		return false
	}
	if i < len(s) && s[i]|0x20 == 'e' {
		return isInteger(s[i+1:])
	}
	return i == len(s)
}

func isNMTOKEN(s string) bool {
	for _, r := range s {
		if !isNameChar(r) {
			return false
		}
	}
	return s != ""
}

func isNCName(s string) bool {
	first, _ := utf8.DecodeRuneInString(s)
	return s != "" && isNameStart(first) && isNMTOKEN(s) && !strings.Contains(s, ":")
}

func isQName(s string) bool {
	prefix, local, ok := strings.Cut(s, ":")
	if !ok {
		return isNCName(s)
	}
	return isNCName(prefix) && isNCName(local)
}

func isNameStart(r rune) bool {
	if r < utf8.RuneSelf {
		return isLetter(byte(r)) || r == '_' || r == ':'
	}
	return inRanges(r, nameStart)
}

func isNameChar(r rune) bool {
	if r < utf8.RuneSelf {
		return isLetter(byte(r)) || isDigit(byte(r)) || r == '.' || r == '-' || r == '_' || r == ':'
	}
	return r == 0xb7 || r >= 0x300 && r <= 0x36f || r == 0x203f || r == 0x2040 || inRanges(r, nameStart)
}

// nameStart is the characters above ASCII that a name may start with.
// Source: XML 1.0, fifth edition, production 4.
var nameStart = [][2]rune{
	{0xc0, 0xd6}, {0xd8, 0xf6}, {0xf8, 0x2ff}, {0x370, 0x37d}, {0x37f, 0x1fff}, {0x200c, 0x200d},
	{0x2070, 0x218f}, {0x2c00, 0x2fef}, {0x3001, 0xd7ff}, {0xf900, 0xfdcf}, {0xfdf0, 0xfffd},
	{0x10000, 0xeffff},
}

func inRanges(r rune, ranges [][2]rune) bool {
	for _, x := range ranges {
		if r >= x[0] && r <= x[1] {
			return true
		}
	}
	return false
}
