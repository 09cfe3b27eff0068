// Package yamltext reads a YAML text that a person wrote, and tells the place
// of every value in it and of the mistake that keeps it from being read.
//
// A [Text] is one file. Its Parse gives the root of the one document that the
// file may hold, or a [Fault]; its Place and PlaceIn turn a node of the parser
// into a [jdf.Place]. What the values mean is left to the packages that read
// them, and so are the rules that a fault breaks.
package yamltext

import (
	"strings"
	"unicode/utf8"

	"go.yaml.in/yaml/v3"

	"quoin/jdf"
)

// Text is one YAML text. It is not safe for concurrent use.
type Text struct {
	src     *jdf.Source
	whole   string
	lines   []int         // byte offset of each line as YAML counts them
	columns map[int][]int // byte offset of each column of a line; made when first asked for
}

// New takes a text, without byte order mark. The second argument names the whole of it,
// such as "the plant file": it is the path of the place of a fault.
func New(src *jdf.Source, whole string) *Text {
	return &Text{src: src, whole: whole, lines: lineStarts(src.Text), columns: map[int][]int{}}
}

// lineStarts finds where lines start. The parser, other than jdf.Source, ends
// lines at NEL, LS and PS too.
func lineStarts(text string) []int {
	lines := []int{0}
	for i, c := range text {
		switch c {
		case '\r':
			if strings.HasPrefix(text[i+1:], "\n") {
				continue
			}
		case '\n', '\u0085', '\u2028', '\u2029':
		default:
			continue
		}
		lines = append(lines, i+utf8.RuneLen(c))
	}
	return lines
}

// MaxLine bounds the lines that the parser counts: no node of the text has a
// higher Line. It is one more than there are, since the parser puts a value
// that is missing at the end of a text, as in "---", on a line behind it.
func (t *Text) MaxLine() int { return len(t.lines) + 1 }

// offset turns a line and a column of the parser, both from 1, into bytes. A
// column behind the line is its end, a line behind the text the text's.
func (t *Text) offset(line, column int) int {
	text := t.src.Text
	if line < 1 || line > len(t.lines) {
		return len(text)
	}
	columns, ok := t.columns[line]
	if !ok {
		start, end := t.lines[line-1], len(text)
		if line < len(t.lines) {
			end = t.lines[line]
		}
		for at := range text[start:end] {
			columns = append(columns, start+at)
		}
		columns = append(columns, end)
		t.columns[line] = columns
	}
	return columns[min(max(column, 1), len(columns))-1]
}

// Place is where a node of the text stands: a scalar's value without its
// quotes, or the rest of the first line of anything else. So stands a scalar
// too whose value is written with escapes, an anchor or a tag. The path is
// that of the place.
func (t *Text) Place(n *yaml.Node, path string) jdf.Place {
	start := t.offset(n.Line, n.Column)
	if n.Kind != yaml.ScalarNode {
		return t.rest(start, path)
	}
	if n.Style == 0 && strings.HasPrefix(t.src.Text[start:], n.Value) {
		return jdf.PlaceAt(t.src, start, start+len(n.Value), path)
	}
	if from, to, ok := t.stretch(n, 0, len(n.Value)); ok {
		return jdf.PlaceAt(t.src, from, to, path)
	}
	return t.rest(start, path)
}

// rest is the place from an offset to the end of its line.
func (t *Text) rest(start int, path string) jdf.Place {
	return jdf.PlaceAt(t.src, start, start+lineLength(t.src.Text[start:]), path)
}

func lineLength(s string) int {
	if i := strings.IndexAny(s, "\r\n"); i >= 0 {
		return i
	}
	return len(s)
}
