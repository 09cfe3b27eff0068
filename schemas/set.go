package schemas

import (
	_ "embed" // the tables
	"slices"
	"sort"
	"strings"
	"sync"
	"sync/atomic"
)

//go:embed jdf.tab
var jdfTable string

//go:embed xjdf.tab
var xjdfTable string

// JDF is the dictionary of the 1.x generation, tickets and messages.
var JDF = sync.OnceValue(func() *Set { return load(jdfTable) })

// XJDF is the dictionary of the 2.x generation, tickets and messages.
var XJDF = sync.OnceValue(func() *Set { return load(xjdfTable) })

// Set is the dictionary of one generation. It is immutable as far as a caller
// can see, and safe for concurrent use: what a question needs is read from the
// table when it is first asked, so that a small ticket does not pay for the
// whole standard.
type Set struct {
	namespace, types string
	versions         []Version

	attributes, elements, facts, groups, schema, simples, complex blocks

	mu     sync.Mutex // guards the making of types
	made   map[string]*Type
	simple map[string]*Simple
	byName sync.Map // name of a global element -> *Element
	lastID int
	heads  func() map[string]bool // names that others may stand in for
	usage  func() *usage
}

// blocks are the blocks of one kind, sorted by name.
type blocks struct {
	table string
	list  []span
}

// span is where a block stands in the table: its name and its end.
type span struct{ name, nameEnd, end uint32 }

// block is one entry of a table: its name, the words after it, and its lines.
type block struct{ name, head, body string }

func (b blocks) name(i int) string { return b.table[b.list[i].name:b.list[i].nameEnd] }

func (b blocks) at(i int) block {
	s := b.list[i]
	head, body, _ := strings.Cut(b.table[s.nameEnd:s.end], "\n")
	return block{b.name(i), strings.TrimPrefix(head, " "), body}
}

// all walks the blocks.
func (b blocks) all() func(yield func(block) bool) {
	return func(yield func(block) bool) {
		for i := range b.list {
			if !yield(b.at(i)) {
				return
			}
		}
	}
}

// find looks a block up by name.
func (b blocks) find(name string) (block, bool) {
	i := sort.Search(len(b.list), func(i int) bool { return b.name(i) >= name })
	if i == len(b.list) || b.name(i) != name {
		return block{}, false
	}
	return b.at(i), true
}

// blockMark starts the first line of a block, and stands nowhere else.
const blockMark = '%'

// load indexes a table. Nothing else is read yet.
func load(table string) *Set {
	s := &Set{made: map[string]*Type{}, simple: map[string]*Simple{}}
	kinds := map[string]*blocks{
		"attributes": &s.attributes, "element": &s.elements, "facts": &s.facts,
		"group": &s.groups, "simple": &s.simples, "type": &s.complex, "schema": &s.schema,
	}
	list := make([]span, 0, strings.Count(table, string(blockMark)))
	kind, first := "", 0
	for at := 0; at < len(table); {
		end := len(table)
		if next := strings.IndexByte(table[at+1:], blockMark); next >= 0 {
			end = at + 1 + next
		}
		length := strings.IndexByte(table[at:], ' ')
		if k := table[at+1 : at+length]; k != kind {
			kind, first = k, len(list)
		}
		name := at + length + 1
		nameEnd := name + strings.IndexAny(table[name:end], " \n")
		list = append(list, span{uint32(name), uint32(nameEnd), uint32(end)})
		*kinds[kind] = blocks{table, list[first:]}
		at = end
	}
	s.header(s.schema.at(0).body)
	s.usage = sync.OnceValue(s.readUsage)
	s.heads = sync.OnceValue(s.readHeads)
	return s
}

func (s *Set) header(body string) {
	for line := range lines(body) {
		key, value, _ := strings.Cut(line, " ")
		switch key {
		case "namespace":
			s.namespace = value
		case "types":
			s.types = value
		case "versions":
			for v := range strings.FieldsSeq(value) {
				parsed, _ := ParseVersion(v)
				s.versions = append(s.versions, parsed)
			}
		}
	}
}

// lines walks the lines of a block, without the tab that all of them start with.
func lines(body string) func(yield func(string) bool) {
	return func(yield func(string) bool) {
		for len(body) > 0 {
			line, rest, _ := strings.Cut(body, "\n")
			if !yield(line[1:]) {
				return
			}
			body = rest
		}
	}
}

// Namespace is the namespace of the elements of the generation.
func (s *Set) Namespace() string { return s.namespace }

// TypesNamespace is the namespace of its simple types, where that differs; else "".
func (s *Set) TypesNamespace() string { return s.types }

// Versions lists the versions that the release knows, from old to new.
func (s *Set) Versions() []Version { return slices.Clone(s.versions) }

// Knows reports whether the release lists the version.
func (s *Set) Knows(v Version) bool { return slices.Contains(s.versions, v) }

// Element is the global element of a name, or nil. Any of them may be the root
// of a fragment; JDF, JMF, XJDF and XJMF are the roots of whole documents.
func (s *Set) Element(name string) *Element {
	if e, ok := s.byName.Load(name); ok {
		return e.(*Element)
	}
	b, ok := s.elements.find(name)
	if !ok {
		return nil
	}
	e := &Element{set: s, name: name}
	for i, word := 0, ""; ; i++ {
		word, b.head, ok = strings.Cut(b.head, " ")
		switch {
		case i == 0:
			e.typeName = word
		case word == "abstract":
			e.abstract = true
		case word == "in":
			e.head = b.head
		}
		if !ok {
			break
		}
	}
	stored, _ := s.byName.LoadOrStore(name, e)
	return stored.(*Element)
}

// readHeads lists the heads of substitution groups.
func (s *Set) readHeads() map[string]bool {
	heads := map[string]bool{}
	for b := range s.elements.all() {
		if _, head, ok := strings.Cut(b.head, " in "); ok && !heads[head] {
			heads[head] = true
		}
	}
	return heads
}

// Type is the complex type of a name, or nil. A simple type that the release
// uses for elements counts as a complex type that holds only text.
func (s *Set) Type(name string) *Type {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.typeLocked(name)
}

// Simple is the simple type of a name, or nil. Types of XML Schema itself have
// the prefix xs.
func (s *Set) Simple(name string) *Simple {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.simpleLocked(name)
}

// Types is the number of types made so far; every Type.ID is below it. It
// grows as types are asked for.
func (s *Set) Types() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.lastID
}

// Element is an element declaration: a global one, or one inside a type.
type Element struct {
	set            *Set
	name, typeName string
	head           string // of its substitution group
	abstract       bool
	span           Span
	typ            atomic.Pointer[Type]
}

// Name is the local name of the element.
func (e *Element) Name() string { return e.name }

// Abstract reports whether the element only stands for the members of its
// substitution group, and may not be used itself.
func (e *Element) Abstract() bool { return e.abstract }

// Head is the name of the element that this one may stand in for, or "".
func (e *Element) Head() string { return e.head }

// Type is the type of the element.
func (e *Element) Type() *Type {
	if t := e.typ.Load(); t != nil {
		return t
	}
	t := e.set.Type(e.typeName)
	e.typ.Store(t)
	return t
}

// Span is the versions in which the element may stand in the type that it was
// found in; for a global element it is open.
func (e *Element) Span() Span { return e.span }
