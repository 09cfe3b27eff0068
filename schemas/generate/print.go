package main

import (
	"bytes"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
)

// printer writes the lines of a table.
type printer struct{ bytes.Buffer }

func (p *printer) line(depth int, words ...string) {
	for range depth {
		p.WriteByte('\t')
	}
	first := true
	for _, w := range words {
		if w == "" {
			continue
		}
		if !first {
			p.WriteByte(' ')
		}
		p.WriteString(w)
		first = false
	}
	p.WriteByte('\n')
}

// print writes the table: blocks sorted by kind and name.
func (s *schema) print() []byte {
	var p printer
	for _, name := range slices.Sorted(maps.Keys(s.attributes)) {
		p.line(0, "%attributes", name)
		p.attributeSet(s.attributes[name])
	}
	for _, name := range slices.Sorted(maps.Keys(s.elements)) {
		e := s.elements[name]
		head := ""
		if e.head != "" {
			head = "in " + e.head
		}
		p.line(0, "%element", name, e.typ, word(e.abstract, "abstract"), head)
	}
	for _, name := range slices.Sorted(maps.Keys(s.facts)) {
		if len(s.facts[name]) > 0 {
			p.line(0, "%facts", name)
			p.facts(s.facts[name])
		}
	}
	for _, name := range slices.Sorted(maps.Keys(s.groups)) {
		p.line(0, "%group", name)
		p.particle(1, s.groups[name])
	}
	s.printHeader(&p)
	for _, name := range slices.Sorted(maps.Keys(s.simples)) {
		t := s.simples[name]
		p.line(0, "%simple", name, t.how, strings.Join(t.of, " "))
		for _, f := range t.facets {
			p.line(1, f)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(s.complex)) {
		s.printType(&p, s.complex[name])
	}
	return p.Bytes()
}

func word(on bool, w string) string {
	if on {
		return w
	}
	return ""
}

func (s *schema) printHeader(p *printer) {
	p.line(0, "%schema", s.release.name)
	p.line(1, "namespace", s.namespace)
	if s.types != "" {
		p.line(1, "types", s.types)
	}
	var versions []string
	for _, f := range s.simples[s.versions].facets {
		if v, ok := strings.CutPrefix(f, "enum "); ok {
			versions = append(versions, v)
		}
	}
	p.line(1, "versions", strings.Join(versions, " "))
}

func (s *schema) printType(p *printer, t *complexType) {
	text := ""
	if t.text != "" {
		text = "text " + t.text
	}
	p.line(0, "%type", t.name, word(t.abstract, "abstract"), word(t.mixed, "mixed"), t.how, t.base, text)
	slices.Sort(t.shared)
	for _, name := range slices.Compact(t.shared) {
		if len(s.facts[name]) > 0 {
			p.line(1, "facts", name)
		}
	}
	if t.content != nil {
		p.particle(1, t.content)
	}
	p.attributeSet(&t.attributes)
	p.facts(t.facts)
}

func (p *printer) attributeSet(set *attributeSet) {
	for _, g := range set.groups {
		p.line(1, "attributes", g)
	}
	for _, a := range set.list {
		use := a.use
		if use == "optional" {
			use = ""
		}
		p.line(1, "@"+a.name, a.typ, use, a.hint)
	}
	if set.any != nil {
		p.line(1, "@*", set.any.namespace, set.any.process)
	}
}

func (p *printer) facts(list []fact) {
	lines := make([]string, 0, len(list))
	for _, f := range list {
		lines = append(lines, f.String())
	}
	slices.Sort(lines)
	for _, l := range slices.Compact(lines) {
		p.line(1, l)
	}
}

func (p *printer) particle(depth int, q *particle) {
	switch q.kind {
	case "seq", "choice", "all":
		p.line(depth, q.kind, q.occurrence())
		for _, k := range q.kids {
			p.particle(depth+1, k)
		}
	case "any":
		p.line(depth, "any", q.wildcard.namespace, q.wildcard.process, q.occurrence())
	default:
		p.line(depth, q.kind, q.name, q.typ, q.occurrence())
	}
}

// occurrence is how often a particle may stand: nothing for once, else ?, *, +
// or min..max.
func (q *particle) occurrence() string {
	switch {
	case q.min == 1 && q.max == 1:
		return ""
	case q.min == 0 && q.max == 1:
		return "?"
	case q.min == 0 && q.max == -1:
		return "*"
	case q.min == 1 && q.max == -1:
		return "+"
	case q.max == -1:
		return strconv.Itoa(q.min) + ".."
	}
	return strconv.Itoa(q.min) + ".." + strconv.Itoa(q.max)
}

// checkReferences makes sure that every name that is used is declared, so that
// a reader of the table need not doubt it.
func (s *schema) checkReferences() error {
	for _, t := range s.simples {
		for _, name := range t.of {
			if err := s.checkSimple(name); err != nil {
				return fmt.Errorf("simple type %s: %w", t.name, err)
			}
		}
	}
	for _, set := range s.attributes {
		if err := s.checkSet(set); err != nil {
			return err
		}
	}
	for _, g := range s.groups {
		if err := s.checkParticle(g); err != nil {
			return err
		}
	}
	for _, e := range s.elements {
		if !s.hasType(e.typ) || e.head != "" && s.elements[e.head] == nil {
			return fmt.Errorf("element %s: type %s or head %q is not declared", e.name, e.typ, e.head)
		}
	}
	for _, t := range s.complex {
		if t.base != "" && s.complex[t.base] == nil {
			return fmt.Errorf("type %s: base %s is not declared", t.name, t.base)
		}
		if t.text != "" {
			if err := s.checkSimple(t.text); err != nil {
				return fmt.Errorf("type %s: %w", t.name, err)
			}
		}
		if err := s.checkSet(&t.attributes); err != nil {
			return fmt.Errorf("type %s: %w", t.name, err)
		}
		if err := s.checkParticle(t.content); err != nil {
			return fmt.Errorf("type %s: %w", t.name, err)
		}
		if s.simples[t.name] != nil {
			return fmt.Errorf("type %s: there is a simple type of the same name", t.name)
		}
	}
	return nil
}

func (s *schema) checkSimple(name string) error {
	if strings.HasPrefix(name, "xs:") || s.simples[name] != nil {
		return nil
	}
	return fmt.Errorf("simple type %s is not declared", name)
}

// hasType tells whether an element may be declared with the type.
func (s *schema) hasType(name string) bool {
	return s.complex[name] != nil || s.checkSimple(name) == nil
}

func (s *schema) checkSet(set *attributeSet) error {
	for _, a := range set.list {
		if err := s.checkSimple(a.typ); err != nil {
			return fmt.Errorf("attribute %s: %w", a.name, err)
		}
	}
	for _, g := range set.groups {
		if s.attributes[g] == nil {
			return fmt.Errorf("attribute group %s is not declared", g)
		}
	}
	if set.any != nil && *set.any != supported {
		return fmt.Errorf("attribute wildcard %v is not supported; want %v", *set.any, supported)
	}
	return nil
}

// supported is the one kind of wildcard that both releases use.
var supported = wildcard{"##other", "lax"}

func (s *schema) checkParticle(p *particle) error {
	if p == nil {
		return nil
	}
	switch p.kind {
	case "group":
		if s.groups[p.name] == nil {
			return fmt.Errorf("group %s is not declared", p.name)
		}
	case "ref":
		if s.elements[p.name] == nil {
			return fmt.Errorf("element %s is not declared", p.name)
		}
	case "elem":
		if !s.hasType(p.typ) {
			return fmt.Errorf("element %s: type %s is not declared", p.name, p.typ)
		}
	case "any":
		if p.wildcard != supported {
			return fmt.Errorf("wildcard %v is not supported; want %v", p.wildcard, supported)
		}
	}
	for _, k := range p.kids {
		if err := s.checkParticle(k); err != nil {
			return err
		}
	}
	return nil
}
