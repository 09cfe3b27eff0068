package xsd

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"quoin/jdf"
	"quoin/validate"
)

// Limits of a schema: how large a file and how many of them.
const (
	maxFileBytes = 64 << 20
	maxFiles     = 1000
)

// sources is a schema as read: all its files, each under a name of our own
// that its includes are changed to, so that the engine asks for these alone.
type sources struct {
	start   *file
	files   []*file
	notices []validate.Finding

	read  map[string]*file  // by path
	names map[string]string // by path
}

// file is one file of a schema.
type file struct {
	name   string // as the engine knows it
	path   string
	space  string   // target namespace
	text   string   // as the engine gets it
	refers []string // paths of the files it includes or imports
}

// load reads a schema, from a file or from a folder.
func load(path string) (*sources, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	s := &sources{read: make(map[string]*file), names: make(map[string]string)}
	path = filepath.Clean(path)
	if info.IsDir() {
		return s, s.loadFolder(path)
	}
	if err := s.follow(path); err != nil {
		return nil, err
	}
	s.start = s.read[path]
	return s, nil
}

// follow reads a file and all that it refers to.
func (s *sources) follow(path string) error {
	for queue := []string{path}; len(queue) > 0; queue = queue[1:] {
		path := queue[0]
		if s.read[path] != nil {
			continue
		}
		if len(s.files) == maxFiles {
			return fmt.Errorf("the schema has more than %d files", maxFiles)
		}
		f, err := s.readFile(path)
		if err != nil {
			return err
		}
		s.add(f)
		queue = append(queue, f.refers...)
	}
	return nil
}

func (s *sources) add(f *file) {
	s.files = append(s.files, f)
	s.read[f.path] = f
}

// nameOf is what the engine is to call a file. It is an absolute URI, for the
// engine would take anything else as relative to the file that names it.
func (s *sources) nameOf(path string) string {
	if s.names[path] == "" {
		s.names[path] = "urn:quoin:xsd:" + strconv.Itoa(len(s.names)+1)
	}
	return s.names[path]
}

// pathOf turns back what nameOf did.
func (s *sources) pathOf(name string) string {
	for _, f := range s.files {
		if f.name == name {
			return f.path
		}
	}
	return name
}

func (s *sources) readFile(path string) (*file, error) {
	if path == xmlPath {
		return &file{name: s.nameOf(path), path: path, space: jdf.NamespaceXML, text: xmlSchema}, nil
	}
	if info, err := os.Stat(path); err == nil && !info.Mode().IsRegular() {
		return nil, fmt.Errorf("%q is not a file", path)
	}
	doc, faults, err := jdf.ReadFile(path, jdf.Limits{MaxBytes: maxFileBytes})
	if err != nil {
		return nil, err
	}
	if len(faults) > 0 {
		return nil, at(faults[0].Place, "not well-formed XML: %s", faults[0].Code)
	}
	root := doc.Root()
	if root.Name() != (jdf.Name{Space: namespace, Local: "schema"}) {
		return nil, at(root.NamePlace(), "root element is %q; want schema of %s", root.Name(), namespace)
	}
	f := &file{name: s.nameOf(path), path: path, space: root.Get("targetNamespace")}
	edits, err := s.references(f, root)
	if err != nil {
		return nil, err
	}
	edits = append(edits, s.mend(doc)...)
	f.text = apply(blankDeclaration(doc.Source.Text), edits)
	return f, nil
}

// at makes an error about a place of a schema.
func at(p jdf.Place, format string, args ...any) error {
	pos := p.Pos()
	return fmt.Errorf("%s:%d:%d: "+format, append([]any{p.File(), pos.Line, pos.Column}, args...)...)
}

// references finds the files that a schema names, and the edits that make it
// name them as the engine shall know them.
func (s *sources) references(f *file, root jdf.Node) ([]edit, error) {
	var edits []edit
	for n := range root.Children() {
		follows := slices.Contains([]string{"include", "import", "redefine"}, n.Local())
		location := n.Attr("schemaLocation")
		if n.Space() != namespace || !follows || !location.Valid() {
			continue
		}
		path, ok := locate(f.path, location.Value())
		_, missing := os.Stat(path)
		if n.Get("namespace") == jdf.NamespaceXML && (!ok || missing != nil) {
			path, ok, missing = xmlPath, true, nil
		}
		if ok && missing != nil {
			return nil, at(location.Place(), "%s of %q: %w", n.Local(), location.Value(), missing)
		}
		if ok {
			f.refers = append(f.refers, path)
			edits = append(edits, edit{location.Place(), s.nameOf(path)})
			continue
		}
		if n.Local() != "import" {
			return nil, at(location.Place(), "%s of %q is not followed, for nothing is fetched from the network; "+
				"want the path of a file", n.Local(), location.Value())
		}
		s.notices = append(s.notices, ruleAbsent.At(location.Place(),
			validate.F("space", n.Get("namespace")), validate.F("location", location.Value())))
		whole := location.Place()
		whole.Start, whole.End = location.NamePlace().Start, whole.End+1
		edits = append(edits, edit{whole, ""})
	}
	return edits, nil
}

// edit puts something else for a stretch of a file.
type edit struct {
	place jdf.Place
	text  string
}

func apply(text string, edits []edit) string {
	slices.SortFunc(edits, func(a, b edit) int { return a.place.Compare(b.place) })
	var out strings.Builder
	done := 0
	for _, e := range edits {
		out.WriteString(text[done:e.place.Start])
		out.WriteString(e.text)
		done = e.place.End
	}
	out.WriteString(text[done:])
	return out.String()
}

// blankDeclaration puts white space for an XML declaration: its encoding is
// that of the file, and the text is UTF-8. Lines and offsets stay.
func blankDeclaration(text string) string {
	rest := afterDeclaration(text)
	blank := strings.Map(func(r rune) rune {
		if r == '\n' || r == '\r' {
			return r
		}
		return ' '
	}, text[:len(text)-len(rest)])
	return blank + rest
}
