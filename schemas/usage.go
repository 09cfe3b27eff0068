package schemas

import (
	"maps"
	"slices"
	"strings"
)

// usage is where names are used, for the words of a finding. It is read from
// the table when somebody first asks.
type usage struct {
	elements   map[string]bool            // all names of elements
	attributes map[string]map[string]bool // names of attributes -> types and groups that list them
	names      []string                   // of elements, sorted
	attrNames  []string                   // of attributes, sorted
	parents    map[string]map[string]bool // child name -> types and groups whose content lists it
	groups     map[string]map[string]bool // model group, attribute group -> types and groups that use it
	declared   map[string]map[string]bool // type -> names of elements declared with it
	derived    map[string][]string        // type -> types derived from it
}

func (s *Set) readUsage() *usage {
	u := &usage{
		elements: map[string]bool{}, attributes: map[string]map[string]bool{},
		parents: map[string]map[string]bool{}, groups: map[string]map[string]bool{},
		declared: map[string]map[string]bool{}, derived: map[string][]string{},
	}
	for b := range s.elements.all() {
		typ, _, _ := strings.Cut(b.head, " ")
		put(u.declared, typ, b.name)
		u.elements[b.name] = true
	}
	for b := range s.complex.all() {
		if base := baseOf(b.head); base != "" {
			u.derived[base] = append(u.derived[base], b.name)
		}
		u.read(b, b.name)
	}
	for b := range s.groups.all() {
		u.read(b, "group "+b.name)
	}
	for b := range s.attributes.all() {
		u.read(b, "attributes "+b.name)
	}
	u.names = slices.Sorted(maps.Keys(u.elements))
	u.attrNames = slices.Sorted(maps.Keys(u.attributes))
	return u
}

// baseOf is the base that the first line of a type names, or "".
func baseOf(head string) string {
	words := strings.Fields(head)
	for i, w := range words {
		if w == "extends" || w == "restricts" {
			return words[i+1]
		}
	}
	return ""
}

func put(m map[string]map[string]bool, key, value string) {
	if m[key] == nil {
		m[key] = map[string]bool{}
	}
	m[key][value] = true
}

// read notes what the lines of a block mention.
func (u *usage) read(b block, owner string) {
	for line := range lines(b.body) {
		line = strings.TrimLeft(line, "\t")
		word, rest, _ := strings.Cut(line, " ")
		name, rest, _ := strings.Cut(rest, " ")
		switch {
		case word == "elem":
			typ, _, _ := strings.Cut(rest, " ")
			put(u.declared, typ, name)
			put(u.parents, name, owner)
			u.elements[name] = true
		case word == "ref":
			put(u.parents, name, owner)
		case word == "group" || word == "attributes":
			put(u.groups, word+" "+name, owner)
		case word[0] == '@' && word != "@*":
			put(u.attributes, word[1:], owner)
		}
	}
}

// owners turns the types and groups of a name into names of elements: groups
// are followed to the types that use them, types to those that extend them.
func (u *usage) owners(from map[string]bool) []string {
	seen, found := map[string]bool{}, map[string]bool{}
	var visit func(owner string)
	visit = func(owner string) {
		if seen[owner] {
			return
		}
		seen[owner] = true
		for user := range u.groups[owner] {
			visit(user)
		}
		for _, d := range u.derived[owner] {
			visit(d)
		}
		for name := range u.declared[owner] {
			found[name] = true
		}
	}
	for owner := range from {
		visit(owner)
	}
	return slices.Sorted(maps.Keys(found))
}

// Has reports whether the generation has an element of the name anywhere. Most
// that are asked for are global, and need no look at all the others.
func (s *Set) Has(name string) bool {
	_, global := s.elements.find(name)
	return global || s.usage().elements[name]
}

// HasAttribute reports whether the generation has an attribute of the name anywhere.
func (s *Set) HasAttribute(name string) bool { return s.usage().attributes[name] != nil }

// Names lists the names of all elements, sorted. The caller must not change the slice.
func (s *Set) Names() []string { return s.usage().names }

// AttributeNames lists the names of all attributes, sorted. The caller must not
// change the slice.
func (s *Set) AttributeNames() []string { return s.usage().attrNames }

// Parents lists the elements that may hold an element of the name, sorted. A
// member of a substitution group may stand where the head may.
func (s *Set) Parents(name string) []string {
	u := s.usage()
	from := maps.Clone(u.parents[name])
	if from == nil {
		from = map[string]bool{}
	}
	for e := s.Element(name); e != nil && e.head != ""; e = s.Element(e.head) {
		maps.Copy(from, u.parents[e.head])
	}
	return u.owners(from)
}

// Carriers lists the elements that may have an attribute of the name, sorted.
func (s *Set) Carriers(attribute string) []string {
	u := s.usage()
	return u.owners(u.attributes[attribute])
}

// Members lists the elements that may stand in for a global element and are not
// abstract themselves, sorted.
func (s *Set) Members(head string) []string {
	var out []string
	for b := range s.elements.all() {
		if e := s.Element(b.name); !e.abstract && s.standsFor(e, head) {
			out = append(out, b.name)
		}
	}
	return out
}

func (s *Set) standsFor(e *Element, head string) bool {
	for ; e != nil && e.head != ""; e = s.Element(e.head) {
		if e.head == head {
			return true
		}
	}
	return false
}

// DerivedTypes lists the types derived from a type, directly or not, without
// abstract ones, sorted.
func (s *Set) DerivedTypes(base string) []string {
	var out []string
	var visit func(name string)
	visit = func(name string) {
		for _, d := range s.usage().derived[name] {
			if !s.Type(d).Abstract() {
				out = append(out, d)
			}
			visit(d)
		}
	}
	visit(base)
	slices.Sort(out)
	return out
}
