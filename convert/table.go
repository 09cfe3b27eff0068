package convert

import (
	_ "embed"
	"fmt"
	"strings"
	"sync"
)

//go:embed table.txt
var tableText string

// theTable is the table of the program, parsed once.
var theTable = sync.OnceValue(func() *table {
	t, err := parseTable(tableText)
	if err != nil {
		panic(err) // the table is part of the program; a test parses it
	}
	return t
})

// step is an element on a path, with the value that tells it from its siblings.
type step struct{ name, key, value string }

// path leads from an element of the table to something in or around it.
type path struct {
	up    int // how many wrappers outwards: 1 is the Resource, 2 its ResourceSet
	steps []step
	attr  string // "" when the path ends at an element
	none  bool   // no counterpart
	said  bool   // no counterpart, but said there by something else
}

// row pairs two paths.
type row struct {
	left, right path
	op          byte
	values      string // name of a list of values, or ""
	note        string
	line        int
}

// section is the rows of a pair of elements.
type section struct {
	left, right string // "-" without counterpart
	op          byte
	note        string
	rows        []*row
	up, down    *trie // by the left and by the right paths
	line        int
}

// pair is one word with its counterpart.
type pair struct {
	left, right string
	op          byte
	note        string
}

// move is an attribute that versions of the 1.x generation name differently.
type move struct{ element, old, new, note string }

// table is the parsed table.
type table struct {
	sections []*section
	values   map[string][]pair
	order    []string // of the lists of values
	needs    [2]map[string]string
	moves    []move
	up, down map[string][]*section // by the left and the right element
}

// trie finds rows by the path of the source, step by step.
type trie struct {
	attrs  map[string][]*row
	kids   map[string]*trie
	rows   []*row
	around [3]map[string][]*row // attributes of wrappers, by how far out they are
}

func parseTable(text string) (*table, error) {
	t := &table{values: map[string][]pair{}, up: map[string][]*section{}, down: map[string][]*section{}}
	t.needs = [2]map[string]string{{}, {}}
	p := tableParser{table: t}
	for i, line := range strings.Split(text, "\n") {
		line = strings.TrimSpace(line)
		if line == "" || line[0] == '#' {
			continue
		}
		p.line = i + 1
		if err := p.read(line); err != nil {
			return nil, fmt.Errorf("read conversion table line %d: %w", i+1, err)
		}
	}
	for _, s := range t.sections {
		s.build()
		if s.op != '<' {
			t.up[s.left] = append(t.up[s.left], s)
		}
		if s.op != '>' {
			t.down[s.right] = append(t.down[s.right], s)
		}
	}
	return t, nil
}

type tableParser struct {
	*table
	section *section
	list    string
	line    int
}

func (p *tableParser) read(line string) error {
	switch {
	case line[0] == '[' && !strings.HasPrefix(line, "[@"):
		head, note, ok := strings.Cut(line[1:], "]")
		left, op, right, err := split(head)
		if !ok || err != nil {
			return fmt.Errorf("%q is no section; want [Element = Element]", line)
		}
		s := &section{left: left, right: right, op: op, line: p.line}
		s.note = strings.TrimSpace(strings.TrimPrefix(strings.TrimSpace(note), ";"))
		p.section, p.list = s, ""
		p.sections = append(p.sections, s)
		return nil
	case line[0] == '{':
		p.list, p.section = strings.Trim(line, "{} "), nil
		p.order = append(p.order, p.list)
		p.values[p.list] = nil
		return nil
	case line[0] == '!':
		return p.need(line[1:])
	case line[0] == '~':
		return p.move(strings.TrimSpace(line[1:]))
	}
	body, note, _ := strings.Cut(line, " ; ")
	left, op, right, err := split(strings.TrimSpace(body))
	if err != nil {
		return err
	}
	note = strings.TrimSpace(note)
	if p.list != "" {
		p.values[p.list] = append(p.values[p.list], pair{left, right, op, note})
		return nil
	}
	if p.section == nil {
		return fmt.Errorf("a row outside a section")
	}
	right, values, _ := strings.Cut(right, " : ")
	r := &row{op: op, note: note, line: p.line, values: strings.TrimSpace(values)}
	r.left, r.right = parsePath(left), parsePath(strings.TrimSpace(right))
	p.section.rows = append(p.section.rows, r)
	return nil
}

// need reads "!1 Element/@Attr value".
func (p *tableParser) need(line string) error {
	f := strings.SplitN(strings.TrimSpace(line), " ", 3)
	if len(f) != 3 || f[0] != "1" && f[0] != "2" {
		return fmt.Errorf("%q is no need; want !1 Element/@Attr value", line)
	}
	p.needs[f[0][0]-'1'][f[1]] = f[2]
	return nil
}

// move reads "~Element/@Old = @New ; note".
func (p *tableParser) move(line string) error {
	body, note, _ := strings.Cut(line, " ; ")
	left, op, right, err := split(body)
	if err != nil || op != '=' {
		return fmt.Errorf("%q is no move; want ~Element/@Old = @New", line)
	}
	element, old, ok := strings.Cut(left, "/@")
	if !ok || !strings.HasPrefix(right, "@") {
		return fmt.Errorf("%q is no move; want ~Element/@Old = @New", line)
	}
	p.moves = append(p.moves, move{element, old, right[1:], strings.TrimSpace(note)})
	return nil
}

// split finds the operator, which stands alone between blanks.
func split(s string) (left string, op byte, right string, err error) {
	for _, o := range []string{" = ", " > ", " < "} {
		if l, r, ok := strings.Cut(s, o); ok {
			return strings.TrimSpace(l), o[1], strings.TrimSpace(r), nil
		}
	}
	return "", 0, "", fmt.Errorf("%q has no operator; want =, > or < between blanks", s)
}

func parsePath(s string) path {
	if s == "-" || s == "." {
		return path{none: true, said: s == "."}
	}
	var p path
	for strings.HasPrefix(s, "^") {
		p.up, s = p.up+1, s[1:]
	}
	for s != "" {
		if s[0] == '@' {
			p.attr = s[1:]
			return p
		}
		var st step
		end := strings.IndexAny(s, "/[")
		if end < 0 {
			end = len(s)
		}
		st.name, s = s[:end], s[end:]
		if strings.HasPrefix(s, "[@") {
			cond, rest, _ := strings.Cut(s[2:], "]")
			st.key, st.value, _ = strings.Cut(cond, "=")
			s = rest
		}
		p.steps = append(p.steps, st)
		s = strings.TrimPrefix(s, "/")
	}
	return p
}

func (s *section) build() {
	s.up, s.down = &trie{}, &trie{}
	for _, r := range s.rows {
		if r.op != '<' && !r.left.none {
			s.up.add(r.left, r)
		}
		if r.op != '>' && !r.right.none {
			s.down.add(r.right, r)
		}
	}
}

func (t *trie) add(p path, r *row) {
	if p.up > 0 && len(p.steps) == 0 {
		if t.around[p.up] == nil {
			t.around[p.up] = map[string][]*row{}
		}
		t.around[p.up][p.attr] = append(t.around[p.up][p.attr], r)
		return
	}
	for _, s := range p.steps {
		if t.kids == nil {
			t.kids = map[string]*trie{}
		}
		if t.kids[s.name] == nil {
			t.kids[s.name] = &trie{}
		}
		t = t.kids[s.name]
	}
	if p.attr == "" {
		t.rows = append(t.rows, r)
		return
	}
	if t.attrs == nil {
		t.attrs = map[string][]*row{}
	}
	t.attrs[p.attr] = append(t.attrs[p.attr], r)
}

// inner reports whether rows lie further inside, so that the element itself is
// dissolved into its parent.
func (t *trie) inner() bool { return t != nil && (t.attrs != nil || t.kids != nil) }

// String writes a path as the table has it.
func (p path) String() string {
	if p.said {
		return "."
	}
	if p.none {
		return "-"
	}
	var parts []string
	for _, s := range p.steps {
		name := s.name
		if s.key != "" {
			name += "[@" + s.key + "=" + s.value + "]"
		}
		parts = append(parts, name)
	}
	if p.attr != "" {
		parts = append(parts, "@"+p.attr)
	}
	return strings.Repeat("^", p.up) + strings.Join(parts, "/")
}
