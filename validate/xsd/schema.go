package xsd

import (
	"fmt"
	"strings"

	"quoin/jdf"
	"quoin/validate"
)

// namespace of XML Schema.
const namespace = "http://www.w3.org/2001/XMLSchema"

// Schema is a compiled schema. It is safe for concurrent use.
type Schema struct {
	engine  *engine
	sources *sources
	large   int // size of a document in bytes from which it is streamed
}

// largeDocument is the size in bytes from which no tree is built. A tree takes
// fifteen times the size of a ticket in memory, and four times as long.
const largeDocument = 4 << 20

// Compile reads a schema with all that it includes and imports. The path is a
// file, or a folder: then it is the one file of the folder that no other of
// it includes, or, when there are several, all of these together.
//
// The error says where the schema is wrong, or that the engine is not built in.
func Compile(path string) (*Schema, error) {
	if !BuiltIn() {
		return nil, errNotBuiltIn
	}
	s, err := load(path)
	if err != nil {
		return nil, fmt.Errorf("read schema %q: %w", path, err)
	}
	e, err := compile(s)
	if err != nil {
		return nil, fmt.Errorf("compile schema %q: %w", path, err)
	}
	return &Schema{engine: e, sources: s, large: largeDocument}, nil
}

// Notices tells what was passed over or mended in the schema, as findings of
// severity Note in its files.
func (s *Schema) Notices() []validate.Finding { return s.sources.notices }

// Check reports what the schema does not allow in the document, in the order
// in which the engine meets it. A document of 4 MiB or more is streamed, and a
// finding of severity Note says what that leaves out. The document must have
// been read without faults; the error says that it was not, or that the engine
// gave up.
func (s *Schema) Check(doc *jdf.Document, report func(validate.Finding)) error {
	root := doc.Root()
	if !root.Valid() {
		return fmt.Errorf("check %q against the schema: no root element", doc.Source.Name)
	}
	stream := len(doc.Source.Text) >= s.large
	errors, more, err := s.engine.check(afterDeclaration(doc.Source.Text), stream)
	if err != nil {
		return fmt.Errorf("check %q against the schema: %w", doc.Source.Name, err)
	}
	elements := elementsOf(doc, errors)
	for i, e := range errors {
		n := elements[i]
		if !n.Valid() {
			n = root
		}
		report(finding(n, e))
	}
	if more > 0 {
		report(moreFinding(doc, more))
	}
	if stream {
		report(ruleLarge.At(root.NamePlace(), validate.F("size", len(doc.Source.Text)), validate.F("most", s.large)))
	}
	return nil
}

// fault is an error of the engine.
type fault struct {
	element int    // number of the element in document order, from 1; 0 when not known
	message string // as the engine words it
}

// elementsOf finds the elements of errors.
func elementsOf(doc *jdf.Document, errors []fault) []jdf.Node {
	found := make([]jdf.Node, len(errors))
	if len(errors) == 0 {
		return found
	}
	var elements []jdf.Node
	for n := range doc.Elements() {
		elements = append(elements, n)
	}
	for i, e := range errors {
		if e.element > 0 && e.element <= len(elements) {
			found[i] = elements[e.element-1]
		}
	}
	return found
}

// finding places an error: at the value of an attribute, at the name of one
// that may not be there, or at the name of an element.
func finding(n jdf.Node, e fault) validate.Finding {
	what, attr, message := tidy(n, e.message)
	place := n.NamePlace()
	switch a := n.AttrNS(attr.Space, attr.Local); {
	case !a.Valid():
	case strings.HasSuffix(message, "is not allowed"):
		place = a.NamePlace()
	default:
		place = a.Place()
	}
	return ruleXSD.At(place, validate.F("what", what), validate.F("message", message))
}

// afterDeclaration leaves the XML declaration off: its encoding is that of the
// file, and the text is UTF-8.
func afterDeclaration(text string) string {
	if !strings.HasPrefix(text, "<?xml") {
		return text
	}
	if end := strings.Index(text, "?>"); end >= 0 && len(text) > 5 && strings.IndexByte(" \t\r\n", text[5]) >= 0 {
		return text[end+2:]
	}
	return text
}
