package main

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"quoin/jdf"
	"quoin/schemas"
)

// generation is one of the two that the standard has.
type generation struct {
	name   string // of its folder
	schema string // path of the published schema in the folder of the standard
	set    *schemas.Set
}

func generations() []generation {
	return []generation{
		{"jdf", "jdf/JDF.xsd", schemas.JDF()},
		{"xjdf", "xjdf/xjdf.xsd", schemas.XJDF()},
	}
}

// sample is a published ticket or message.
type sample struct {
	name string // path in the folder of the standard
	gen  int    // index in generations
	bare bool   // the xsi:type of its nodes and messages was taken away
	doc  *jdf.Document

	nodes []jdf.Node
	attrs []jdf.Attr // of all elements, without namespace declarations
	types []*schemas.Type
}

// readSamples reads all samples, sorted by name. A sample with xsi:type is there
// a second time without, as most senders write it.
func readSamples(dir string) ([]*sample, error) {
	var all []*sample
	for gen, g := range generations() {
		paths, err := list(filepath.Join(dir, g.name))
		if err != nil {
			return nil, err
		}
		for _, path := range paths {
			s, err := readSample(dir, path, gen)
			if err != nil {
				return nil, err
			}
			all = append(all, s)
			if bare := withoutTypes(s); bare != s.doc.Source.Text {
				s, err := newSample(s.name, gen, bare)
				if err != nil {
					return nil, err
				}
				s.bare = true
				all = append(all, s)
			}
		}
	}
	if len(all) == 0 {
		return nil, fmt.Errorf("no samples in %q: %w", dir, os.ErrNotExist)
	}
	return all, nil
}

// list finds the tickets and messages below a folder.
func list(root string) ([]string, error) {
	var paths []string
	err := filepath.WalkDir(root, func(path string, _ fs.DirEntry, err error) error {
		if err == nil && slices.Contains([]string{".jdf", ".jmf", ".xjdf", ".xjmf"}, filepath.Ext(path)) {
			paths = append(paths, path)
		}
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("list samples: %w", err)
	}
	return paths, nil
}

func readSample(dir, path string, gen int) (*sample, error) {
	doc, faults, err := jdf.ReadFile(path, jdf.Limits{})
	if err != nil {
		return nil, fmt.Errorf("read sample: %w", err)
	}
	if len(faults) > 0 {
		return nil, fmt.Errorf("read sample %q: not well-formed", path)
	}
	name, err := filepath.Rel(dir, path)
	if err != nil {
		return nil, fmt.Errorf("name sample: %w", err)
	}
	return newSample(filepath.ToSlash(name), gen, withoutDeclaration(doc.Source.Text))
}

// newSample reads a text, which must be well-formed.
func newSample(name string, gen int, text string) (*sample, error) {
	doc, faults, err := jdf.Read(name, strings.NewReader(text), jdf.Limits{})
	if err != nil {
		return nil, fmt.Errorf("read %q: %w", name, err)
	}
	if len(faults) > 0 {
		return nil, fmt.Errorf("read %q: not well-formed", name)
	}
	s := &sample{name: name, gen: gen, doc: doc}
	for n := range doc.Elements() {
		s.nodes = append(s.nodes, n)
		s.types = append(s.types, nil)
		for a := range n.Attrs() {
			s.attrs = append(s.attrs, a)
		}
	}
	s.findTypes()
	return s, nil
}

// findTypes finds what the schema has for each element; nil where it says nothing.
func (s *sample) findTypes() {
	set := generations()[s.gen].set
	at := map[int]int{}
	for i, n := range s.nodes {
		at[n.Index()] = i
	}
	for i, n := range s.nodes {
		if n.Space() != set.Namespace() {
			continue
		}
		var e *schemas.Element
		if p := n.Parent(); !p.Valid() {
			e = set.Element(n.Local())
		} else if t := s.types[at[p.Index()]]; t != nil {
			_, e = t.Model().Child(n.Local())
		}
		if e == nil {
			continue
		}
		s.types[i] = e.Type()
		for _, name := range []string{n.AttrNS(jdf.NamespaceXSI, "type").Value(), typeName(n)} {
			if named := set.Type(name); named != nil {
				s.types[i] = named
				break
			}
		}
	}
}

// typeName is the name of the schema's type that the Type of a node or message
// of the 1.x generation means, or "".
func typeName(n jdf.Node) string {
	switch {
	case n.Space() != jdf.NamespaceJDF:
		return ""
	case n.Is("JDF"):
		return n.Get("Type")
	case n.Parent().Is("JMF"):
		return n.Local() + n.Get("Type")
	}
	return ""
}

// withoutTypes takes xsi:type off the nodes and messages.
func withoutTypes(s *sample) string {
	var out strings.Builder
	from := 0
	for _, a := range s.attrs {
		if a.Name() == (jdf.Name{Space: jdf.NamespaceXSI, Local: "type"}) && a.Owner().Has("Type") {
			start, end := span(a)
			out.WriteString(s.doc.Source.Text[from:start])
			from = end
		}
	}
	return out.String() + s.doc.Source.Text[from:]
}

// withoutDeclaration leaves the XML declaration off: its encoding is that of the
// file, and the text is UTF-8.
func withoutDeclaration(text string) string {
	if strings.HasPrefix(text, "<?xml ") {
		if _, rest, ok := strings.Cut(text, "?>"); ok {
			return rest
		}
	}
	return text
}
