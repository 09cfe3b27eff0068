package jdf

import (
	"strconv"
	"strings"
)

// reference decodes what stands between & and ;. It returns false for what is
// neither one of the five entities nor an allowed character.
func reference(body string) (rune, bool) {
	switch body {
	case "lt":
		return '<', true
	case "gt":
		return '>', true
	case "amp":
		return '&', true
	case "quot":
		return '"', true
	case "apos":
		return '\'', true
	}
	digits, base := "", 10
	if d, ok := strings.CutPrefix(body, "#x"); ok {
		digits, base = d, 16
	} else if d, ok := strings.CutPrefix(body, "#"); ok {
		digits = d
	}
	// Neither a sign nor, with the base given, an underscore passes ParseUint.
	n, err := strconv.ParseUint(digits, base, 31)
	if err != nil || !isChar(rune(n)) {
		return 0, false
	}
	return rune(n), true
}

// decodeText normalises line ends, and decodes references unless the text is
// literal, as in CDATA and comments.
func decodeText(raw string, literal bool) string {
	if strings.IndexByte(raw, '\r') < 0 && (literal || strings.IndexByte(raw, '&') < 0) {
		return raw
	}
	return decodeWith(raw, literal, '\n')
}

// decodeWith decodes references, unless the text is literal, and puts one byte
// for each line end. A space for those is what attributes ask for, and there
// stands for each tab as well.
func decodeWith(raw string, literal bool, lineEnd byte) string {
	var out strings.Builder
	out.Grow(len(raw))
	for i := 0; i < len(raw); i++ {
		c := raw[i]
		switch {
		case c == '\r':
			if i+1 < len(raw) && raw[i+1] == '\n' {
				i++
			}
			out.WriteByte(lineEnd)
		case lineEnd == ' ' && (c == '\n' || c == '\t'):
			out.WriteByte(' ')
		case c == '&' && !literal:
			end := nameEnd(raw, i+1)
			r, ok := reference(raw[i+1 : end])
			if !ok || end == len(raw) || raw[end] != ';' {
				out.WriteByte(c)
				continue
			}
			out.WriteRune(r)
			i = end
		default:
			out.WriteByte(c)
		}
	}
	return out.String()
}

// references checks each & of a stretch.
func (s *scanner) references(start, end int) {
	for i := start; i < end && !s.dead; {
		at := strings.IndexByte(s.text[i:end], '&')
		if at < 0 {
			return
		}
		i += at
		stop := nameEnd(s.text[:end], i+1)
		body := s.text[i+1 : stop]
		if stop == end || s.text[stop] != ';' || body == "" {
			s.fault(FaultReference, i, i+1, "&", "&amp;")
			i++
			continue
		}
		if _, ok := reference(body); !ok {
			s.badReference(i, stop+1, body)
		}
		i = stop + 1
	}
}

func (s *scanner) badReference(start, end int, body string) {
	got := clip(s.text[start:end])
	switch {
	case body[0] == '#' && isNumber(body):
		s.fault(FaultCharacter, start, end, got, "")
	case isNCName(body):
		s.fault(FaultEntity, start, end, got, "")
	default:
		s.fault(FaultReference, start, end, got, "&amp;")
	}
}

// isNumber reports whether the body of a reference is well formed as the
// number of a character, whether or not there is such a character.
func isNumber(body string) bool {
	digits, hex := strings.CutPrefix(body, "#x")
	allowed := "0123456789abcdefABCDEF"
	if !hex {
		digits, allowed = body[1:], allowed[:10]
	}
	return digits != "" && strings.Trim(digits, allowed) == ""
}
