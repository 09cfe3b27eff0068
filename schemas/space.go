package schemas

import "strings"

func isSpace(c byte) bool { return c == ' ' || c == '\t' || c == '\n' || c == '\r' }

// apply normalises white space. A value that is normal already is returned as
// it is.
func (w whiteSpace) apply(s string) string {
	switch {
	case w == preserve:
		return s
	case w == replace:
		if strings.ContainsAny(s, "\t\n\r") {
			return strings.Map(func(r rune) rune {
				if r < 0x20 {
					return ' '
				}
				return r
			}, s)
		}
		return s
	case isCollapsed(s):
		return s
	}
	var out strings.Builder
	for {
		var item string
		if item, s = nextItem(s); item == "" {
			return out.String()
		}
		if out.Len() > 0 {
			out.WriteByte(' ')
		}
		out.WriteString(item)
	}
}

func isCollapsed(s string) bool {
	before := byte(' ')
	for i := range len(s) {
		c := s[i]
		if c <= ' ' && (c != ' ' && isSpace(c) || c == ' ' && before == ' ') {
			return false
		}
		before = c
	}
	return before != ' ' || s == ""
}

// nextItem cuts the first item off a list; the item is "" at the end.
func nextItem(s string) (item, rest string) {
	start := 0
	for start < len(s) && isSpace(s[start]) {
		start++
	}
	end := start
	for end < len(s) && !isSpace(s[end]) {
		end++
	}
	return s[start:end], s[end:]
}
