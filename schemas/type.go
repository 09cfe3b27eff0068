package schemas

import (
	"slices"
	"strconv"
	"strings"
	"sync"
)

// Type is a complex type with all that it inherits.
type Type struct {
	set             *Set
	id              int
	name            string
	base            *Type
	restricts       bool
	abstract, mixed bool
	text            *Simple
	attributes      []Attribute // sorted by name
	foreign         bool        // attributes of other namespaces are allowed

	versions []versionFact // of this type itself, sorted by path
	limits   []limitFact
	links    []Link
	own      string // lines of the content model, with its depth

	model func() *Model
}

// Attribute is an attribute of a type.
type Attribute struct {
	Name     string
	Type     *Simple
	Required bool
	Fixed    bool   // Value is the only one allowed
	Value    string // the default or fixed value, or ""
	Span     Span   // the versions in which it may be used
}

// ID is a small number of the type, unique in its Set, for caches.
func (t *Type) ID() int { return t.id }

// Name is the name of the type. Anonymous types are named after the path to
// them: /XJMF is the type of the global element XJMF.
func (t *Type) Name() string { return t.name }

// Anonymous reports whether the release gives the type no name of its own.
func (t *Type) Anonymous() bool { return strings.Contains(t.name, "/") }

// Base is the type that this one extends or restricts, or nil.
func (t *Type) Base() *Type { return t.base }

// Abstract reports whether elements must name a derived type.
func (t *Type) Abstract() bool { return t.abstract }

// Mixed reports whether text may stand among the child elements.
func (t *Type) Mixed() bool { return t.mixed }

// Text is the simple type of the content, or nil when the type has child
// elements or nothing.
func (t *Type) Text() *Simple { return t.text }

// Foreign reports whether attributes of other namespaces are allowed.
func (t *Type) Foreign() bool { return t.foreign }

// DerivesFrom reports whether the type is the other, or is derived from it.
func (t *Type) DerivesFrom(other *Type) bool {
	for ; t != nil; t = t.base {
		if t == other {
			return true
		}
	}
	return false
}

// Attributes lists the attributes, inherited ones with them, by name. The
// caller must not change the slice.
func (t *Type) Attributes() []Attribute { return t.attributes }

// AttributeIndex is the index in Attributes of the attribute of a name, or -1.
func (t *Type) AttributeIndex(name string) int {
	if i, ok := findAttribute(t.attributes, name); ok {
		return i
	}
	return -1
}

// Attribute is the attribute of a name, or nil.
func (t *Type) Attribute(name string) *Attribute {
	i, ok := findAttribute(t.attributes, name)
	if !ok {
		return nil
	}
	return &t.attributes[i]
}

func findAttribute(list []Attribute, name string) (int, bool) {
	return slices.BinarySearchFunc(list, name, func(a Attribute, name string) int {
		return strings.Compare(a.Name, name)
	})
}

// Model is the content model.
func (t *Type) Model() *Model { return t.model() }

// Span is the versions in which elements of the type may be used at all.
func (t *Type) Span() Span {
	if f, ok := findVersion(t.versions, "."); ok {
		return f
	}
	return Span{}
}

// typeLocked makes a type, or returns it when it was made before.
func (s *Set) typeLocked(name string) *Type {
	if t, ok := s.made[name]; ok {
		return t
	}
	b, ok := s.complex.find(name)
	if !ok {
		simple := s.simpleLocked(name)
		if simple == nil {
			return nil
		}
		return s.add(&Type{name: name, text: simple})
	}
	t := &Type{name: name}
	head := strings.Fields(b.head)
	for i, word := range head {
		switch word {
		case "abstract":
			t.abstract = true
		case "mixed":
			t.mixed = true
		case "extends", "restricts":
			t.restricts = word == "restricts"
			t.base = s.typeLocked(head[i+1])
		case "text":
			t.text = s.simpleLocked(head[i+1])
		}
	}
	s.readBody(t, b.body)
	return s.add(t)
}

func (s *Set) add(t *Type) *Type {
	t.set, t.id = s, s.lastID
	t.model = sync.OnceValue(t.makeModel)
	s.lastID++
	s.made[t.name] = t
	return t
}

// readBody reads the lines of a type: attributes are flattened, facts gathered,
// and the content model is set aside until it is asked for.
func (s *Set) readBody(t *Type, body string) {
	if t.base != nil {
		t.attributes = slices.Clone(t.base.attributes)
		t.foreign = t.base.foreign && !t.restricts
		if t.text == nil {
			t.text = t.base.text
		}
	}
	first, end := -1, 0 // of the lines of the content model, which stand together
	for at := 0; at < len(body); {
		next := at + strings.IndexByte(body[at:], '\n') + 1
		line := body[at+1 : next-1]
		switch {
		case line[0] == '\t' || isParticle(line):
			if first < 0 {
				first = at
			}
			end = next
		case line[0] == '@':
			s.readAttribute(t, line)
		case strings.HasPrefix(line, "attributes "):
			s.readGroup(t, strings.TrimPrefix(line, "attributes "))
		case strings.HasPrefix(line, "facts "):
			b, _ := s.facts.find(strings.TrimPrefix(line, "facts "))
			for fact := range lines(b.body) {
				t.readFact(fact)
			}
		default:
			t.readFact(line)
		}
		at = next
	}
	if first >= 0 {
		t.own = body[first:end]
	}
	t.sortFacts()
	for _, f := range t.versions {
		if f.path[0] == '@' {
			if i, ok := findAttribute(t.attributes, f.path[1:]); ok {
				t.attributes[i].Span = f.span
			}
		}
	}
}

func isParticle(line string) bool {
	word, _, _ := strings.Cut(line, " ")
	switch word {
	case "seq", "choice", "all", "elem", "ref", "group", "any":
		return true
	}
	return false
}

func (s *Set) readGroup(t *Type, name string) {
	b, _ := s.attributes.find(name)
	for line := range lines(b.body) {
		if line[0] == '@' {
			s.readAttribute(t, line)
		} else {
			s.readGroup(t, strings.TrimPrefix(line, "attributes "))
		}
	}
}

// readAttribute reads a line such as
//
//	@Status eNodeStatus_ required fixed="Waiting"
func (s *Set) readAttribute(t *Type, line string) {
	name, rest, _ := strings.Cut(line[1:], " ")
	if name == "*" {
		t.foreign = true
		return
	}
	typ, rest, _ := strings.Cut(rest, " ")
	a := Attribute{Name: name, Type: s.simpleLocked(typ)}
	if after, ok := strings.CutPrefix(rest, "required"); ok {
		a.Required = true
		rest = strings.TrimPrefix(after, " ")
	}
	if key, value, ok := strings.Cut(rest, "="); ok {
		a.Fixed = key == "fixed"
		a.Value, _ = strconv.Unquote(value)
	}
	i, found := findAttribute(t.attributes, name)
	switch {
	case rest == "prohibited" && found:
		t.attributes = slices.Delete(t.attributes, i, i+1)
	case rest == "prohibited":
	case found:
		t.attributes[i] = a
	default:
		t.attributes = slices.Insert(t.attributes, i, a)
	}
}
