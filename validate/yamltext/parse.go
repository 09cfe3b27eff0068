package yamltext

import (
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode/utf8"

	"go.yaml.in/yaml/v3"

	"quoin/jdf"
)

// Kind tells the faults of a text apart.
type Kind int

// The kinds of fault. The parser is asked first when the text is UTF-8.
const (
	Empty    Kind = iota + 1 // no document, or only comments
	Encoding                 // not UTF-8
	Second                   // a second document
	Syntax                   // not YAML
)

// Fault is why a text has no root.
type Fault struct {
	Kind    Kind
	Problem string    // in words that stand for themselves: "it is empty", or the parser's without the line
	Place   jdf.Place // the rest of the line where it shows
}

// Parse reads the text, and gives either the root of its one document or the
// fault. A root that is the null value is a root.
func (t *Text) Parse() (*yaml.Node, *Fault) {
	text := t.src.Text
	if at := validLength(text); at < len(text) {
		return nil, t.fault(Encoding, at, fmt.Sprintf("byte %#x is not UTF-8", text[at]))
	}
	decoder := yaml.NewDecoder(strings.NewReader(text))
	doc, err := next(decoder)
	switch {
	case errors.Is(err, io.EOF), err == nil && len(doc.Content) == 0:
		return nil, t.fault(Empty, 0, "it is empty")
	case err != nil:
		return nil, t.syntax(err)
	}
	switch more, err := next(decoder); {
	case err == nil:
		return nil, t.fault(Second, t.offset(more.Line, 1), "a second document begins")
	case !errors.Is(err, io.EOF):
		return nil, t.syntax(err)
	}
	return doc.Content[0], nil
}

func (t *Text) fault(kind Kind, start int, problem string) *Fault {
	return &Fault{kind, problem, t.rest(start, t.whole)}
}

// syntax makes a fault of the parser's error, which names a line or none.
func (t *Text) syntax(err error) *Fault {
	problem, line := strings.TrimPrefix(err.Error(), "yaml: "), 1
	if rest, ok := strings.CutPrefix(problem, "line "); ok {
		number, after, _ := strings.Cut(rest, ": ")
		if n, err := strconv.Atoi(number); err == nil {
			problem, line = after, n
		}
	}
	return t.fault(Syntax, t.mistake(line), problem)
}

// validLength is the length of the valid UTF-8 that a text begins with.
func validLength(text string) int {
	for i, c := range text {
		if c == utf8.RuneError {
			if _, size := utf8.DecodeRuneInString(text[i:]); size == 1 {
				return i
			}
		}
	}
	return len(text)
}

// next reads the next document. The parser answers some malformed texts with a
// panic instead of an error; both are faults of the text.
func next(d *yaml.Decoder) (doc *yaml.Node, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("%v", p)
		}
	}()
	doc = new(yaml.Node)
	err = d.Decode(doc)
	return doc, err
}

// The bounds of mistake: bytes parsed, and lines that a value may go over.
const (
	maxTried  = 4 << 20
	maxSpread = 20
)

// mistake finds where a text that is not YAML goes wrong. The parser names the
// line where the enclosing group began, or none; the line behind the longest
// beginning of the text that can be read is nearer to the mistake. It is
// searched by halves. A beginning that ends within a value of several lines can
// not be read either, so the search goes on when a longer one can. Where no
// line can be read, or that takes too long, the line named has to do.
func (t *Text) mistake(line int) int {
	text, tried := t.src.Text, 0
	reads := func(lines int) bool {
		tried += t.lines[lines]
		return readable(text[:t.lines[lines]])
	}
	good, limit := 0, len(t.lines)
	for tried < maxTried {
		for bad := limit; bad-good > 1 && tried < maxTried; {
			if middle := (good + bad) / 2; reads(middle) {
				good = middle
			} else {
				bad = middle
			}
		}
		longer := 0
		for n := good + 2; n < limit && n <= good+maxSpread && longer == 0 && tried < maxTried; n++ {
			if reads(n) {
				longer = n
			}
		}
		if longer == 0 {
			break
		}
		good = longer
	}
	start := t.lines[good]
	if good == 0 || tried >= maxTried {
		start = t.offset(line, 1)
	}
	return start + indent(text[start:])
}

// readable reports whether a text is YAML.
func readable(text string) bool {
	_, err := next(yaml.NewDecoder(strings.NewReader(text)))
	return err == nil || errors.Is(err, io.EOF)
}

// indent is the number of blanks that a text begins with, none for a text of blanks.
func indent(text string) int {
	trimmed := strings.TrimLeft(text, " \t")
	if trimmed == "" {
		return 0
	}
	return len(text) - len(trimmed)
}
