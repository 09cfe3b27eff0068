package plant

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"
	"unicode/utf8"

	"go.yaml.in/yaml/v3"

	"quoin/jdf"
	"quoin/validate"
)

// MaxFile is the largest plant file in bytes that LoadFile takes. One with a
// hundred machines and a thousand stocks has a tenth of it.
const MaxFile = 4 << 20

// LoadFile reads and decodes a plant file, or a folder of them as LoadFiles
// does. The error is of reading; what is wrong in the file comes as findings.
func LoadFile(path string) (*Plant, []validate.Finding, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, nil, fmt.Errorf("read plant file %q: %w", path, err)
	}
	if info.IsDir() {
		return loadFolder(path)
	}
	src, err := readFile(path, MaxFile)
	if err != nil {
		return nil, nil, err
	}
	p, findings := Load(path, src)
	return p, findings, nil
}

// Load decodes a plant file, which is YAML in UTF-8; name is the file name that
// findings are shown with. The Plant holds what could be read, and is nil only
// when the text is not YAML at all. It is fit for use when there are no
// findings; all of them are errors of the group plant.
func Load(name string, src []byte) (*Plant, []validate.Finding) {
	return LoadFiles([]File{{name, src}})
}

// parse reads the YAML, or reports why it can not be read and returns nil.
func (r *reader) parse(text string) *yaml.Node {
	if !utf8.ValidString(text) {
		at := validLength(text)
		r.broken(fileForm, at, fmt.Sprintf("byte %#x is not UTF-8", text[at]), "save the file as UTF-8")
		return nil
	}
	decoder := yaml.NewDecoder(strings.NewReader(text))
	doc, err := decodeDocument(decoder)
	if errors.Is(err, io.EOF) {
		r.broken(fileForm, 0, "it is empty", "begin with a line such as \"name: Saltmarsh Print Works\"")
		return nil
	}
	if err == nil && len(doc.Content) > 0 {
		var more *yaml.Node
		if more, err = decodeDocument(decoder); err == nil {
			r.broken(fileForm, r.file.offset(more.Line, 1), "a second document begins", "give each plant a file of its own")
			return nil
		}
	}
	if err != nil && !errors.Is(err, io.EOF) {
		problem, line := yamlProblem(err)
		r.broken(fileSyntax, r.faultOffset(line), problem, "")
		return nil
	}
	return doc.Content[0]
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

// broken reports that the file can not be read, at the rest of a line.
func (r *reader) broken(rule *validate.Rule, start int, problem, do string) {
	end := len(r.file.src.Text)
	if i := strings.IndexAny(r.file.src.Text[start:], "\r\n"); i >= 0 {
		end = start + i
	}
	r.findings = append(r.findings, rule.At(jdf.PlaceAt(r.file.src, start, end, "the plant file"),
		validate.F("problem", problem), validate.F("do", do)))
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
	err = d.Decode(doc)
	return doc, err
}

// yamlProblem is the parser's message, and the line that it names or 1.
func yamlProblem(err error) (problem string, line int) {
	s := strings.TrimPrefix(err.Error(), "yaml: ")
	if rest, ok := strings.CutPrefix(s, "line "); ok {
		number, after, _ := strings.Cut(rest, ": ")
		if line, err := strconv.Atoi(number); err == nil {
			return after, line
		}
	}
	return s, 1
}

// The bounds of faultOffset: bytes parsed, and lines that a value may go over.
const (
	maxTried  = 4 << 20
	maxSpread = 20
)

// faultOffset finds where a text that is not YAML goes wrong. The parser names
// the line where the enclosing group began, or none; the line behind the
// longest beginning of the file that can be read is nearer to the mistake. It
// is searched by halves. A beginning that ends within a value of several lines
// can not be read either, so the search goes on when a longer one can. Where
// that takes too long, the line named has to do.
func (r *reader) faultOffset(line int) int {
	text, tried := []byte(r.file.src.Text), 0
	reads := func(lines int) bool {
		tried += r.file.lines[lines]
		return readable(text[:r.file.lines[lines]])
	}
	good, limit := 0, len(r.file.lines)
	for tried < maxTried {
		for bad := limit; bad-good > 1 && tried < maxTried; {
			if middle := (good + bad) / 2; reads(middle) {
				good = middle
			} else {
				bad = middle
			}
		}
		next := 0
		for n := good + 2; n < limit && n <= good+maxSpread && next == 0 && tried < maxTried; n++ {
			if reads(n) {
				next = n
			}
		}
		if next == 0 {
			break
		}
		good = next
	}
	start := r.file.lines[good]
	if tried >= maxTried {
		start = r.file.offset(line, 1)
	}
	return start + indent(text[start:])
}

// readable reports whether a text is YAML.
func readable(text []byte) bool {
	_, err := decodeDocument(yaml.NewDecoder(bytes.NewReader(text)))
	return err == nil || errors.Is(err, io.EOF)
}

// indent is the number of blanks that a text begins with, none for a text of blanks.
func indent(text []byte) int {
	trimmed := bytes.TrimLeft(text, " \t")
	if len(trimmed) == 0 {
		return 0
	}
	return len(text) - len(trimmed)
}
