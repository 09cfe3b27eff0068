package jdf

import "encoding/binary"

// Source: W3C Extensible Markup Language (XML) 1.0, Fifth Edition, production
// 2 (Char), 3 (S), 4 (NameStartChar) and 4a (NameChar).

// The classes of a byte, for the loops that everything passes through.
const (
	classSpace   = 1 << iota // white space
	classNameEnd             // can not be part of a name, so that a name ends before it
	classValue               // may end an attribute value, or does not stand in it for itself
	classControl             // not a character, or the first byte of one that XML may not allow
)

var class = classes()

func classes() (table [256]uint8) {
	for c := range 0x20 {
		table[c] |= classControl
	}
	table[0xEF] |= classControl // begins U+FFFE and U+FFFF
	for _, c := range " \t\r\n" {
		table[c] = table[c]&^classControl | classSpace
	}
	for _, c := range " \t\r\n=/><\"'?&;" {
		table[c] |= classNameEnd
	}
	for _, c := range "\"'<&\t\n\r" {
		table[c] |= classValue
	}
	return table
}

func isSpace(c byte) bool { return class[c]&classSpace != 0 }

// spaceEnd finds the first byte from i on that is not white space.
func spaceEnd(text string, i int) int {
	for i < len(text) && class[text[i]]&classSpace != 0 {
		i++
	}
	return i
}

// nameEnd finds where a name that starts at i stops: at the first byte that
// can only belong to markup or white space.
func nameEnd(text string, i int) int {
	for i < len(text) && class[text[i]]&classNameEnd == 0 {
		i++
	}
	return i
}

// isChar reports whether XML lets the code point stand in a document.
func isChar(r rune) bool {
	switch {
	case r < 0x20:
		return r == '\t' || r == '\n' || r == '\r'
	case r < 0xD800:
		return true
	}
	return r >= 0xE000 && r <= 0xFFFD || r >= 0x10000 && r <= 0x10FFFF
}

type runeRange struct{ first, last rune }

var nameStart = []runeRange{
	{'A', 'Z'}, {'_', '_'}, {'a', 'z'}, {0xC0, 0xD6}, {0xD8, 0xF6}, {0xF8, 0x2FF}, {0x370, 0x37D},
	{0x37F, 0x1FFF}, {0x200C, 0x200D}, {0x2070, 0x218F}, {0x2C00, 0x2FEF}, {0x3001, 0xD7FF},
	{0xF900, 0xFDCF}, {0xFDF0, 0xFFFD}, {0x10000, 0xEFFFF},
}

var nameMore = []runeRange{{'-', '.'}, {'0', '9'}, {0xB7, 0xB7}, {0x300, 0x36F}, {0x203F, 0x2040}}

func within(ranges []runeRange, r rune) bool {
	for _, x := range ranges {
		if r >= x.first && r <= x.last {
			return true
		}
	}
	return false
}

// isNCName reports whether s, which is valid UTF-8, is a name without a colon.
func isNCName(s string) bool {
	for i, r := range s {
		if !within(nameStart, r) && (i == 0 || !within(nameMore, r)) {
			return false
		}
	}
	return s != ""
}

// badChar finds the first character that XML does not allow in text that is
// valid UTF-8, or returns -1.
func badChar(text string) int {
	for i := 0; i < len(text); i++ {
		i = plainEnd(text, i)
		for i < len(text) && class[text[i]]&classControl == 0 {
			if i++; i%8 == 0 {
				i = plainEnd(text, i)
			}
		}
		if i == len(text) {
			return -1
		}
		if text[i] != 0xEF || i+2 < len(text) && text[i+1] == 0xBF && text[i+2] >= 0xBE {
			return i
		}
	}
	return -1
}

// plainEnd passes over blocks of eight bytes that are all printable ASCII.
func plainEnd(text string, i int) int {
	const ones, high = 0x0101010101010101, 0x8080808080808080
	for ; i+8 <= len(text); i += 8 {
		w := binary.LittleEndian.Uint64([]byte(text[i : i+8]))
		if (w|(w-0x20*ones))&high != 0 {
			return i
		}
	}
	return i
}
