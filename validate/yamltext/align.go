package yamltext

import (
	"strings"
	"unicode/utf8"

	"go.yaml.in/yaml/v3"

	"quoin/jdf"
)

const (
	quoted = yaml.DoubleQuotedStyle | yaml.SingleQuotedStyle
	block  = yaml.LiteralStyle | yaml.FoldedStyle
)

// PlaceIn is where a stretch of a scalar's value stands, from start up to end
// in bytes of the value. It is the Place of the whole node where the value is
// written so that its parts can not be told, or has no such stretch.
func (t *Text) PlaceIn(n *yaml.Node, path string, start, end int) jdf.Place {
	if n.Kind == yaml.ScalarNode && 0 <= start && start <= end && end <= len(n.Value) {
		if from, to, ok := t.stretch(n, start, end); ok {
			return jdf.PlaceAt(t.src, from, to, path)
		}
	}
	return t.Place(n, path)
}

// stretch finds a stretch of a scalar's value in the text. It ends right behind
// its last byte, before a mark that guards the next or blanks that are folded.
func (t *Text) stretch(n *yaml.Node, start, end int) (from, to int, ok bool) {
	at := t.align(n)
	switch {
	case at == nil:
		return 0, 0, false
	case start == end:
		return at[start], at[start], true
	}
	return at[start], at[end-1] + 1, true
}

// align finds, for each byte of a scalar's value and its end, the offset in the
// text. It is nil where escapes keep them apart.
func (t *Text) align(n *yaml.Node) []int {
	src, at := t.src.Text, t.offset(n.Line, n.Column)
	switch {
	case at >= len(src), n.Style&block != 0 && n.Value == "":
		return nil
	case n.Style&quoted != 0:
		at++
	case n.Style&block != 0:
		at += lineLength(src[at:])
	}
	offsets := make([]int, 0, len(n.Value)+1)
	for i := 0; i < len(n.Value); {
		c, size := utf8.DecodeRuneInString(n.Value[i:])
		blank := blanks(src[at:])
		if c == ' ' || c == '\n' || c == '\t' {
			offsets = append(offsets, at)
			// A run of blanks may be folded into one; a value keeps the rest of its run.
			if next := n.Value[i+1:]; blanks(next) == 0 {
				at += blank
			} else if blank > 0 {
				at++
			}
			i++
			continue
		}
		at += blank
		rest := src[at:]
		if escaped(n.Style, rest) {
			at++
			rest = rest[1:]
		}
		if !strings.HasPrefix(rest, n.Value[i:i+size]) {
			return nil
		}
		for k := range size {
			offsets = append(offsets, at+k)
		}
		i, at = i+size, at+size
	}
	return append(offsets, at)
}

// escaped reports whether a text begins with a mark that is written in two, the
// first of which only guards the second.
func escaped(style yaml.Style, text string) bool {
	if style&yaml.SingleQuotedStyle != 0 {
		return strings.HasPrefix(text, "''")
	}
	return style&yaml.DoubleQuotedStyle != 0 && (strings.HasPrefix(text, `\"`) || strings.HasPrefix(text, `\\`))
}

func blanks(s string) int { return len(s) - len(strings.TrimLeft(s, " \t\r\n")) }
