package jdf

import (
	"fmt"
	"strings"
	"unicode/utf16"
	"unicode/utf8"
)

// decodeUTF8 replaces what is not UTF-8 and reports the first such byte.
func decodeUTF8(name, text, label string) decoded {
	if utf8.ValidString(text) {
		return decoded{source: NewSource(name, text), encoding: label}
	}
	at := 0
	for {
		r, size := utf8.DecodeRuneInString(text[at:])
		if r == utf8.RuneError && size == 1 {
			break
		}
		at += size
	}
	d := decoded{source: NewSource(name, strings.ToValidUTF8(text, "\uFFFD")), encoding: label}
	d.fault(FaultEncoding, at, at+len("\uFFFD"), byteName(text[at]), label)
	return d
}

// decodeASCII takes UTF-8 for what it is, but says that it was not announced.
func decodeASCII(name, text string) decoded {
	d := decodeUTF8(name, text, "US-ASCII")
	at := strings.IndexFunc(text, func(r rune) bool { return r >= utf8.RuneSelf })
	if at >= 0 && len(d.faults) == 0 {
		_, size := utf8.DecodeRuneInString(text[at:])
		d.fault(FaultEncoding, at, at+size, byteName(text[at]), "US-ASCII")
	}
	return d
}

func byteName(c byte) string { return fmt.Sprintf("byte 0x%02X", c) }

func decodeSingleByte(name, raw string, page codePage) decoded {
	var out strings.Builder
	out.Grow(len(raw) + len(raw)/16)
	bad, at := -1, 0
	for i := range len(raw) {
		r := page.table.DecodeByte(raw[i])
		if r == utf8.RuneError && bad < 0 {
			bad, at = i, out.Len()
		}
		out.WriteRune(r)
	}
	d := decoded{source: NewSource(name, out.String()), encoding: page.label}
	if bad >= 0 {
		d.fault(FaultEncoding, at, at+len("\uFFFD"), byteName(raw[bad]), page.label)
	}
	return d
}

func decodeUTF16(name, raw string, order byteOrder) decoded {
	raw = raw[order.skip:]
	var out strings.Builder
	out.Grow(len(raw)/2 + 16)
	bad := -1
	unit := func(i int) rune { return rune(raw[i+order.high])<<8 | rune(raw[i+order.low]) }
	for i := 0; i+1 < len(raw); i += 2 {
		r := unit(i)
		if utf16.IsSurrogate(r) {
			r = utf8.RuneError
			if i+3 < len(raw) {
				r = utf16.DecodeRune(unit(i), unit(i+2))
			}
			if r == utf8.RuneError {
				bad = firstOf(bad, out.Len())
			} else {
				i += 2
			}
		}
		out.WriteRune(r)
	}
	if len(raw)%2 != 0 {
		bad = firstOf(bad, out.Len())
	}
	d := decoded{source: NewSource(name, out.String()), encoding: order.label}
	if bad >= 0 {
		end := min(bad+len("\uFFFD"), len(d.source.Text))
		d.fault(FaultEncoding, bad, end, "half a character", order.label)
	}
	label, start, end := declaredEncoding(d.source.Text)
	if label != "" && !strings.EqualFold(label, "UTF-16") && !strings.EqualFold(label, order.label) {
		d.fault(FaultEncoding, start, end, order.label+" bytes", label)
	}
	return d
}

// firstOf keeps an offset that is already set.
func firstOf(at, next int) int {
	if at >= 0 {
		return at
	}
	return next
}
