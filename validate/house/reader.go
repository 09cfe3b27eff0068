package house

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

// reader carries what is known while one rules file is decoded.
type reader struct {
	src      *jdf.Source
	lines    []int // byte offset of each line as YAML counts them
	known    []string
	findings []validate.Finding
}

func newReader(name, text string, known []string) *reader {
	return &reader{src: jdf.NewSource(name, text), lines: yamlLines(text), known: known}
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

// parse returns the root node, or nil when the file is empty or is not YAML;
// the latter is reported.
func (r *reader) parse() *yaml.Node {
	text := r.src.Text
	if at := invalid(text); at >= 0 {
		r.syntax(at, fmt.Sprintf("byte %#x is not UTF-8; save the file as UTF-8", text[at]))
		return nil
	}
	decoder := yaml.NewDecoder(strings.NewReader(text))
	doc, err := decodeDocument(decoder)
	if errors.Is(err, io.EOF) {
		return nil
	}
	if err != nil {
		problem, line := problemOf(err)
		r.syntax(r.faultOffset(line), problem)
		return nil
	}
	switch more, err := decodeDocument(decoder); {
	case err == nil:
		r.syntax(r.offset(more.Line, 1), "a second document begins; a rules file is one document")
		return nil
	case !errors.Is(err, io.EOF):
		problem, line := problemOf(err)
		r.syntax(r.faultOffset(line), problem)
		return nil
	}
	if len(doc.Content) == 0 || null(doc.Content[0]) {
		return nil
	}
	return doc.Content[0]
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

// invalid is the offset of the first byte that is not UTF-8, or -1.
func invalid(text string) int {
	for i, c := range text {
		if c == utf8.RuneError {
			if _, size := utf8.DecodeRuneInString(text[i:]); size == 1 {
				return i
			}
		}
	}
	return -1
}

// problemOf is the parser's message, and the line that it names or 1.
func problemOf(err error) (problem string, line int) {
	s := strings.TrimPrefix(err.Error(), "yaml: ")
	if rest, ok := strings.CutPrefix(s, "line "); ok {
		number, after, _ := strings.Cut(rest, ": ")
		if line, err := strconv.Atoi(number); err == nil {
			return after, line
		}
	}
	return s, 1
}

// maxTries bounds the work of faultOffset, in bytes parsed.
const maxTries = 4 << 20

// faultOffset finds where a text that is not YAML goes wrong. The parser names
// the line where the enclosing group began, or none; the line behind the
// longest beginning of the file that can be read is nearer to the mistake.
func (r *reader) faultOffset(line int) int {
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
	at := r.lines[line-1]
	for range column - 1 {
		if at >= len(r.src.Text) {
			break
		}
		_, size := utf8.DecodeRuneInString(r.src.Text[at:])
		at += size
	}
	return at
}

// syntax reports that the file can not be read, at the rest of a line.
func (r *reader) syntax(start int, problem string) {
	end := start + lineLength(r.src.Text[start:])
	r.findings = append(r.findings,
		fileSyntax.At(jdf.PlaceAt(r.src, start, end, "the rules file"), validate.F("problem", problem)))
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
	start := r.offset(n.Line, n.Column)
	if n.Style&(yaml.DoubleQuotedStyle|yaml.SingleQuotedStyle) != 0 && start < len(r.src.Text) {
		start++
	}
	rest := r.src.Text[start:]
	end := lineLength(rest)
	if n.Kind == yaml.ScalarNode && strings.HasPrefix(rest, n.Value) {
		end = len(n.Value)
	}
	return jdf.PlaceAt(r.src, start, start+end, path)
}

func (r *reader) report(rule *validate.Rule, n *yaml.Node, path string, facts ...validate.Fact) {
	facts = slices.Insert(facts, 0, validate.F("path", path))
	r.findings = append(r.findings, rule.At(r.place(n, path), facts...))
}

func (r *reader) done() []validate.Finding {
	slices.SortStableFunc(r.findings, validate.Finding.Compare)
	return r.findings
}
