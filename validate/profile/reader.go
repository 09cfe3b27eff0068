package profile

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"go.yaml.in/yaml/v3"

	"quoin/jdf"
	"quoin/validate"
)

// reader carries what is known while one profile is decoded.
type reader struct {
	src      *jdf.Source
	lines    []int // byte offset of each line as YAML counts them
	names    *names
	columns  map[int][]int   // byte offset of each column of a line; made when first asked for
	meant    map[string]bool // keys that the wrong keys of the last group may stand for
	findings []validate.Finding
}

func newReader(name, text string) *reader {
	return &reader{src: jdf.NewSource(name, text), lines: yamlLines(text), columns: map[int][]int{}, names: newNames(nil)}
}

// yamlLines finds where lines start. The parser, other than jdf.Source, ends
// lines at NEL, LS and PS too.
func yamlLines(text string) []int {
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

// parse returns the root node, or nil for what is not YAML, which is reported.
func (r *reader) parse() *yaml.Node {
	text := r.src.Text
	if !utf8.ValidString(text) {
		at := 0
		for at < len(text) {
			c, size := utf8.DecodeRuneInString(text[at:])
			if c == utf8.RuneError && size == 1 {
				break
			}
			at += size
		}
		r.syntax(at, fmt.Sprintf("byte %#x is not UTF-8", text[at]))
		return nil
	}
	decoder := yaml.NewDecoder(strings.NewReader(text))
	doc, err := decodeDocument(decoder)
	switch {
	case errors.Is(err, io.EOF):
		r.empty()
		return nil
	case err != nil:
		r.broken(err)
		return nil
	}
	switch more, err := decodeDocument(decoder); {
	case err == nil:
		r.syntax(r.offset(more.Line, 1), "a second document begins; a profile is one document")
		return nil
	case !errors.Is(err, io.EOF):
		r.broken(err)
		return nil
	}
	if len(doc.Content) == 0 {
		r.empty()
		return nil
	}
	return doc.Content[0]
}

func (r *reader) empty() {
	place := jdf.PlaceAt(r.src, 0, lineLength(r.src.Text), "the profile")
	r.findings = append(r.findings, missingKey.At(place, validate.F("path", "the profile"),
		validate.F("key", "profile"), validate.F("form", "a name, and the other keys of a profile")))
}

// decodeDocument reads the next document. The parser answers some malformed
// texts with a panic instead of an error; both are faults of the text.
func decodeDocument(d *yaml.Decoder) (doc *yaml.Node, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("%v", p)
		}
	}()
	doc = new(yaml.Node)
	return doc, d.Decode(doc)
}

// broken reports the parser's error, at the line that it names or the first.
func (r *reader) broken(err error) {
	problem, line := strings.TrimPrefix(err.Error(), "yaml: "), 1
	if rest, ok := strings.CutPrefix(problem, "line "); ok {
		number, after, _ := strings.Cut(rest, ": ")
		if n, err := strconv.Atoi(number); err == nil {
			problem, line = after, n
		}
	}
	r.syntax(r.mistake(line), problem)
}

// maxTries bounds the work of mistake, in bytes parsed.
const maxTries = 1 << 20

// mistake finds where a text that is not YAML goes wrong. The parser names the
// line where the enclosing group began, or none; the line behind the longest
// beginning of the file that can be read is nearer to the mistake.
func (r *reader) mistake(line int) int {
	for i, tried := len(r.lines)-1, 0; i > 0 && tried < maxTries; i-- {
		start := r.lines[i]
		tried += start
		_, err := decodeDocument(yaml.NewDecoder(strings.NewReader(r.src.Text[:start])))
		if err == nil || errors.Is(err, io.EOF) {
			return r.indented(start)
		}
	}
	return r.indented(r.offset(line, 1))
}

// indented moves an offset past the blanks of a line that holds more.
func (r *reader) indented(at int) int {
	rest := r.src.Text[at:]
	if trimmed := strings.TrimLeft(rest, " \t"); trimmed != "" {
		return at + len(rest) - len(trimmed)
	}
	return at
}

// offset turns a line and a column of the parser, both from 1, into bytes.
func (r *reader) offset(line, column int) int {
	if line < 1 || line > len(r.lines) {
		return len(r.src.Text)
	}
	columns, ok := r.columns[line]
	if !ok {
		end := len(r.src.Text)
		if line < len(r.lines) {
			end = r.lines[line]
		}
		for at := range r.src.Text[r.lines[line-1]:end] {
			columns = append(columns, r.lines[line-1]+at)
		}
		columns = append(columns, end)
		r.columns[line] = columns
	}
	return columns[min(max(column, 1), len(columns))-1]
}

// syntax reports that the file can not be read, at the rest of a line.
func (r *reader) syntax(start int, problem string) {
	end := start + lineLength(r.src.Text[start:])
	r.findings = append(r.findings,
		fileSyntax.At(jdf.PlaceAt(r.src, start, end, "the profile"), validate.F("problem", problem)))
}

func lineLength(s string) int {
	if i := strings.IndexAny(s, "\r\n"); i >= 0 {
		return i
	}
	return len(s)
}

// place is where a node stands: its text without quotes, or the rest of its
// first line.
func (r *reader) place(n *yaml.Node, path string) jdf.Place {
	if n.Kind == yaml.ScalarNode && n.Value != "" {
		if at := r.align(n); at != nil {
			return jdf.PlaceAt(r.src, at[0], at[len(at)-1], path)
		}
	}
	start := r.offset(n.Line, n.Column)
	return jdf.PlaceAt(r.src, start, start+lineLength(r.src.Text[start:]), path)
}

// placeIn is where a stretch of a scalar's value stands, in bytes of the value.
func (r *reader) placeIn(n *yaml.Node, path string, start, end int) jdf.Place {
	at := r.align(n)
	if at == nil || start > len(n.Value) || end > len(n.Value) || start > end {
		return r.place(n, path)
	}
	return jdf.PlaceAt(r.src, at[start], at[end], path)
}

// align finds, for each byte of a scalar's value and its end, the offset in the
// file. It is nil where escapes keep them apart.
func (r *reader) align(n *yaml.Node) []int {
	src, at := r.src.Text, r.offset(n.Line, n.Column)
	switch {
	case at >= len(src):
		return nil
	case n.Style&(yaml.DoubleQuotedStyle|yaml.SingleQuotedStyle) != 0:
		at++
	case n.Style&(yaml.LiteralStyle|yaml.FoldedStyle) != 0:
		at += lineLength(src[at:])
	}
	offsets := make([]int, 0, len(n.Value)+1)
	for i := 0; i < len(n.Value); {
		c, size := utf8.DecodeRuneInString(n.Value[i:])
		blank := blanks(src[min(at, len(src)):])
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
		rest := src[min(at, len(src)):]
		if n.Style&yaml.SingleQuotedStyle != 0 && strings.HasPrefix(rest, "''") ||
			n.Style&yaml.DoubleQuotedStyle != 0 && (strings.HasPrefix(rest, `\"`) || strings.HasPrefix(rest, `\\`)) {
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
	return append(offsets, min(at, len(src)))
}

func blanks(s string) int { return len(s) - len(strings.TrimLeft(s, " \t\r\n")) }

func (r *reader) report(rule *validate.Rule, n *yaml.Node, path string, facts ...validate.Fact) {
	facts = slices.Insert(facts, 0, validate.F("path", path))
	r.findings = append(r.findings, rule.At(r.place(n, path), facts...))
}

// bad reports what is wrong with an expression or path.
func (r *reader) bad(n *yaml.Node, path string, f *fault) {
	rule := badExpression
	switch {
	case f.unknown:
		rule = unknownName
	case f.misplaced:
		rule = misplacedName
	}
	r.findings = append(r.findings, rule.At(r.placeIn(n, path, f.start, f.end), validate.F("path", path),
		validate.F("problem", f.problem), validate.F("near", f.advice)))
}
