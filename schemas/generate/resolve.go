package main

import (
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"
)

// families are types that share the notes of an element without sharing the
// stem of its type's name: a leaf of a partitioned resource is a resource.
var families = map[string][]string{"Resource": {"ResourcesLeaf"}}

// typeRole is the end of a type name that tells the roles of one resource
// apart: the resource (_r), the element inside another (_re), the partition
// (_rp), the part of a message (_m, _me), and so on.
var typeRole = regexp.MustCompile(`_[a-z]{0,3}$`)

func stem(typ string) string { return typeRole.ReplaceAllString(typ, "") }

// link places each fact where the tables want it, and drops, with a word, those
// whose path leads nowhere.
func (s *schema) link() error {
	if err := s.checkReferences(); err != nil {
		return err
	}
	for _, t := range s.complex {
		s.derived[t.base] = append(s.derived[t.base], t.name)
	}
	uses := s.usesByName()
	pending := map[string][]fact{} // of the types
	for _, name := range slices.Sorted(maps.Keys(s.complex)) {
		pending[name] = s.complex[name].facts
		s.complex[name].facts = nil
	}
	for _, name := range slices.Sorted(maps.Keys(s.elements)) {
		e := s.elements[name]
		family := s.family(e, uses)
		list := e.facts
		if t := s.complex[e.typ]; t != nil && stem(e.typ) == name {
			list = append(list, pending[e.typ]...)
			delete(pending, e.typ)
		}
		s.place(name, family, list)
	}
	for _, name := range slices.Sorted(maps.Keys(pending)) {
		s.place(name, []string{name}, pending[name])
	}
	s.placeLinks()
	for name := range s.facts {
		s.facts[name] = s.pairRefs(mergeFacts(s.facts[name]))
	}
	for _, t := range s.complex {
		t.facts = s.pairRefs(mergeFacts(t.facts))
	}
	return nil
}

// usesByName lists, for each element name, the types that it is declared with.
func (s *schema) usesByName() map[string]map[string]bool {
	uses := map[string]map[string]bool{}
	add := func(name, typ string) {
		if uses[name] == nil {
			uses[name] = map[string]bool{}
		}
		uses[name][typ] = true
	}
	var walk func(p *particle)
	walk = func(p *particle) {
		if p == nil {
			return
		}
		if p.kind == "elem" {
			add(p.name, p.typ)
		}
		for _, k := range p.kids {
			walk(k)
		}
	}
	for _, e := range s.elements {
		add(e.name, e.typ)
	}
	for _, t := range s.complex {
		walk(t.content)
	}
	for _, g := range s.groups {
		walk(g)
	}
	return uses
}

// family lists the types that the notes of an element speak of.
func (s *schema) family(e *element, uses map[string]map[string]bool) []string {
	out := []string{e.typ}
	for _, typ := range slices.Sorted(maps.Keys(uses[e.name])) {
		if typ != e.typ && stem(typ) == stem(e.typ) {
			out = append(out, typ)
		}
	}
	return append(out, families[e.name]...)
}

// place puts the facts of an owner into its block, or beside the types that
// their paths lead to.
func (s *schema) place(owner string, family []string, list []fact) {
	var shared []fact
	for _, f := range list {
		if f.ofLink() {
			shared = append(shared, f)
			continue
		}
		base, path := family, f.path
		for cond, types := range byClass {
			if rest, ok := strings.CutPrefix(path, cond+"/"); ok {
				base, path = types, rest
			}
		}
		steps := strings.Split(path, "/")
		last := steps[len(steps)-1]
		ends := s.walkSteps(base, steps[:len(steps)-1])
		name, ok := s.resolves(ends, last)
		if !ok {
			s.note("%s: %q leads to nothing that the release declares; not used", owner, f.path)
			continue
		}
		if name != last {
			s.note("%s: %q read as %s", owner, f.path, name)
		}
		f.path = name
		if len(steps) == 1 && &base[0] == &family[0] {
			shared = append(shared, f)
			continue
		}
		for _, end := range ends {
			if f.limit && s.usedOutside(end, owner, family) {
				s.note("%s: %q: %s stands in other places too; the limit is not used", owner, f.path, end)
				continue
			}
			s.complex[end].facts = append(s.complex[end].facts, f)
		}
	}
	if len(shared) == 0 {
		return
	}
	if len(family) == 1 && s.complex[family[0]] != nil {
		t := s.complex[family[0]]
		t.facts = append(t.facts, shared...)
		return
	}
	s.facts[owner] = append(s.facts[owner], shared...)
	for _, typ := range family {
		if t := s.complex[typ]; t != nil {
			t.shared = append(t.shared, owner)
		}
	}
}

// walkSteps follows child names from some types to the types of the children.
func (s *schema) walkSteps(from []string, steps []string) []string {
	for _, step := range steps {
		step, _, _ = strings.Cut(step, "[")
		next := map[string]bool{}
		for _, typ := range from {
			s.addChildTypes(next, typ, step)
		}
		from = slices.Sorted(maps.Keys(next))
	}
	return from
}

// addChildTypes adds the types of a child of a type, or of those derived from it.
func (s *schema) addChildTypes(to map[string]bool, typ, step string) {
	if child, ok := s.childType(typ, step); ok && s.complex[child] != nil {
		to[child] = true
	}
	for _, d := range s.derived[typ] {
		s.addChildTypes(to, d, step)
	}
}

// resolves tells whether the last step of a path is declared in one of the
// types, and mends a forgotten or needless @.
func (s *schema) resolves(types []string, step string) (string, bool) {
	declares := func(step string) bool {
		return slices.ContainsFunc(types, func(t string) bool { return s.declares(t, step) })
	}
	if step == "." || strings.ContainsRune(step, '|') || declares(step) {
		return step, true
	}
	if head, _, ok := strings.Cut(step, "["); ok {
		return s.resolveCondition(types, head, step)
	}
	other := "@" + step
	if strings.HasPrefix(step, "@") {
		other = step[1:]
	}
	return other, declares(other)
}

// conditionAttributes are the attributes that conditions on a child may mean,
// in the order tried: the notes name the wrong one now and then.
var conditionAttributes = []string{"ResourceUsage", "Side"}

func (s *schema) resolveCondition(types []string, head, step string) (string, bool) {
	attr, value, _ := strings.Cut(strings.TrimSuffix(step[len(head)+2:], "]"), "=")
	ends := s.walkSteps(types, []string{head})
	for _, try := range append([]string{attr}, conditionAttributes...) {
		if slices.ContainsFunc(ends, func(t string) bool { return s.declares(t, "@"+try) }) {
			return fmt.Sprintf("%s[@%s=%s]", head, try, value), true
		}
	}
	return step, false
}

// declares tells whether a type, or one derived from it, has the attribute
// @name or the child name. The notes of a base often speak of what only the
// derived types declare.
func (s *schema) declares(typ, step string) bool {
	if attr, ok := strings.CutPrefix(step, "@"); ok {
		if s.hasAttribute(typ, attr) {
			return true
		}
	} else if _, ok := s.childType(typ, step); ok {
		return true
	}
	return slices.ContainsFunc(s.derived[typ], func(t string) bool { return s.declares(t, step) })
}

func (s *schema) hasAttribute(typ, name string) bool {
	for t := s.complex[typ]; t != nil; t = s.complex[t.base] {
		if s.setHas(&t.attributes, name) {
			return true
		}
	}
	return false
}

func (s *schema) setHas(set *attributeSet, name string) bool {
	if slices.ContainsFunc(set.list, func(a attribute) bool { return a.name == name }) {
		return true
	}
	return slices.ContainsFunc(set.groups, func(g string) bool { return s.setHas(s.attributes[g], name) })
}

// childType finds the type of a child element by name.
func (s *schema) childType(typ, name string) (string, bool) {
	var find func(p *particle) (string, bool)
	find = func(p *particle) (string, bool) {
		switch {
		case p == nil:
			return "", false
		case p.kind == "elem" && p.name == name:
			return p.typ, true
		case p.kind == "ref" && p.name == name:
			return s.elements[name].typ, true
		case p.kind == "ref" && s.elements[name] != nil && s.substitutes(name, p.name):
			return s.elements[name].typ, true
		case p.kind == "group":
			return find(s.groups[p.name])
		}
		for _, k := range p.kids {
			if t, ok := find(k); ok {
				return t, true
			}
		}
		return "", false
	}
	for t := s.complex[typ]; t != nil; t = s.complex[t.base] {
		if child, ok := find(t.content); ok {
			return child, true
		}
		if t.how == "restricts" {
			break
		}
	}
	return "", false
}

func (s *schema) substitutes(name, head string) bool {
	for e := s.elements[name]; e != nil; e = s.elements[e.head] {
		if e.head == head {
			return true
		}
	}
	return false
}

// pairRefs joins the minimum on a child and the one on the reference that may
// stand for it: one of the two is wanted, not both.
func (s *schema) pairRefs(list []fact) []fact {
	at := map[string]int{}
	for i, f := range list {
		if f.limit && f.min != "0" {
			at[f.path] = i
		}
	}
	drop := map[int]bool{}
	for i, f := range list {
		head, _, _ := strings.Cut(f.path, "[")
		j, ok := at[head+"Ref"]
		if !ok || !f.limit || f.min == "0" || f.ofLink() {
			continue
		}
		list[i].path += "|" + list[j].path
		drop[j] = true
	}
	var out []fact
	for i, f := range list {
		if !drop[i] {
			out = append(out, f)
		}
	}
	return out
}

// placeLinks gives the facts about generic links to the process types whose
// link pool is built with them.
func (s *schema) placeLinks() {
	for _, name := range slices.Sorted(maps.Keys(s.complex)) {
		pool, ok := s.childType(name, strings.TrimSuffix(linkPool, "/"))
		if !ok {
			continue
		}
		t := s.complex[name]
		for p := s.complex[pool]; p != nil; p = s.complex[p.base] {
			if list := linkFacts(p.facts); len(list) > 0 {
				s.facts[p.name] = list
				t.shared = append(t.shared, p.name)
			}
			for _, g := range groupsIn(p.content) {
				if list := s.groups[g].facts; len(list) > 0 {
					s.facts[g] = list
					t.shared = append(t.shared, g)
				}
			}
		}
	}
	for _, t := range s.complex {
		if len(s.facts[t.name]) > 0 {
			t.facts = slices.DeleteFunc(t.facts, fact.ofLink)
		}
	}
}

func linkFacts(list []fact) []fact {
	var out []fact
	for _, f := range list {
		if f.ofLink() {
			out = append(out, f)
		}
	}
	return out
}

func groupsIn(p *particle) []string {
	if p == nil {
		return nil
	}
	var out []string
	if p.kind == "group" {
		out = append(out, p.name)
	}
	for _, k := range p.kids {
		out = append(out, groupsIn(k)...)
	}
	return out
}

// usedOutside tells whether a type stands in the content of types that do not
// belong to the owner of a fact.
func (s *schema) usedOutside(typ, owner string, family []string) bool {
	var has func(p *particle) bool
	has = func(p *particle) bool {
		return p != nil && (p.kind == "elem" && p.typ == typ || slices.ContainsFunc(p.kids, has))
	}
	for name, t := range s.complex {
		if has(t.content) && !strings.HasPrefix(name, owner) && !slices.Contains(family, name) {
			return true
		}
	}
	return false
}
