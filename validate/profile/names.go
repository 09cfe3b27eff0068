package profile

import (
	"fmt"
	"slices"
	"strings"

	"quoin/jdf"
	"quoin/schemas"
	"quoin/validate"
)

// nameKind tells names of elements and of attributes apart.
type nameKind uint8

const (
	elementName nameKind = iota
	attributeName
)

func (k nameKind) String() string { return [...]string{"element", "attribute"}[k] }

// names checks the names of a profile against the dictionaries of the
// generations that it holds for.
type names struct {
	sets   []*schemas.Set
	spaces map[string]string // prefix to namespace
	known  []string          // names of processes; made when first asked for
	places map[nameAt][]string
	hints  int // how many near names may still be looked for
}

// nameAt is a question where a name may stand.
type nameAt struct {
	set  *schemas.Set
	kind nameKind
	name string
}

// owners lists the elements that may have an element or attribute of the name.
func (n *names) owners(at nameAt) []string {
	list, ok := n.places[at]
	if !ok {
		list = at.set.Parents(at.name)
		if at.kind == attributeName {
			list = at.set.Carriers(at.name)
		}
		n.places[at] = list
	}
	return list
}

// maxHints bounds the near names that are looked for in one profile. A profile
// with more mistyped names has other troubles.
const maxHints = 100

// fixedSpaces are the prefixes that need no declaration.
var fixedSpaces = []struct{ prefix, space string }{
	{"jdf", jdf.NamespaceJDF}, {"xjdf", jdf.NamespaceXJDF}, {"xsi", jdf.NamespaceXSI}, {"xml", jdf.NamespaceXML},
}

// newNames takes the dictionaries of some kinds of document; those of both
// generations when there is none.
func newNames(kinds []jdf.Kind) *names {
	n := &names{spaces: map[string]string{}, places: map[nameAt][]string{}, hints: maxHints}
	for _, f := range fixedSpaces {
		n.spaces[f.prefix] = f.space
	}
	if len(kinds) == 0 {
		kinds = []jdf.Kind{jdf.KindJDF, jdf.KindXJDF}
	}
	if slices.ContainsFunc(kinds, jdf.Kind.First) {
		n.sets = append(n.sets, schemas.JDF())
	}
	if slices.ContainsFunc(kinds, jdf.Kind.Second) {
		n.sets = append(n.sets, schemas.XJDF())
	}
	return n
}

// check looks a name up; owner is the element that has it, or "".
func (n *names) check(t token, kind nameKind, owner string) *fault {
	prefix, local, prefixed := strings.Cut(t.text, ":")
	sets := n.sets
	if !prefixed {
		local = prefix
	} else {
		space, ok := n.spaces[prefix]
		switch {
		case !ok:
			return &fault{start: t.start, end: t.end, problem: fmt.Sprintf("the prefix %q is not declared", prefix),
				advice: "give its namespace under namespaces"}
		case space == jdf.NamespaceJDF && kind == elementName:
			sets, owner = []*schemas.Set{schemas.JDF()}, ""
		case space == jdf.NamespaceXJDF && kind == elementName:
			sets, owner = []*schemas.Set{schemas.XJDF()}, ""
		default:
			return nil // not the standard's
		}
	}
	return n.lookUp(sets, token{text: local, start: t.start, end: t.end}, kind, owner)
}

func (n *names) lookUp(sets []*schemas.Set, t token, kind nameKind, owner string) *fault {
	var places []string
	known := false
	for _, s := range sets {
		has := s.Has
		if kind == attributeName {
			has = s.HasAttribute
		}
		if !has(t.text) {
			continue
		}
		known = true
		if owner == "" || !s.Has(owner) {
			return nil
		}
		at := n.owners(nameAt{s, kind, t.text})
		if slices.Contains(at, owner) {
			return nil
		}
		places = append(places, at...)
	}
	if known {
		return &fault{start: t.start, end: t.end, misplaced: true,
			problem: fmt.Sprintf("%s has no %s %q; it stands in %s", owner, kind, t.text, validate.Choices(places))}
	}
	f := &fault{start: t.start, end: t.end, unknown: true,
		problem: fmt.Sprintf("%q is no %s of the standard", t.text, kind)}
	if n.hints--; n.hints < 0 {
		return f
	}
	var candidates []string
	for _, s := range sets {
		if kind == attributeName {
			candidates = append(candidates, s.AttributeNames()...)
		} else {
			candidates = append(candidates, s.Names()...)
		}
	}
	if near := validate.Nearest(t.text, candidates); near != "" {
		f.advice = "write " + near
	}
	return f
}

// list tells whether the values of an attribute are lists of words.
func (n *names) list(owner, attribute string) bool {
	for _, s := range n.sets {
		for _, carrier := range n.owners(nameAt{s, attributeName, attribute}) {
			if owner != "" && carrier != owner {
				continue
			}
			e := s.Element(carrier)
			if e == nil || e.Type() == nil {
				continue
			}
			if a := e.Type().Attribute(attribute); a != nil && a.Type != nil {
				return a.Type.Variety() == schemas.List
			}
		}
	}
	return false
}

// processes lists the names of processes that can be told from the
// dictionaries: the 2.x generation leaves them open, and names parameters after
// most of them.
func (n *names) processes() []string {
	if n.known != nil {
		return n.known
	}
	var all []string
	for _, s := range []*schemas.Set{schemas.JDF(), schemas.XJDF()} {
		all = append(all, s.DerivedTypes("JDFAbstractNode")...)
		for _, name := range s.Names() {
			if process, ok := strings.CutSuffix(name, "Params"); ok {
				all = append(all, process)
			}
		}
	}
	slices.Sort(all)
	n.known = slices.Compact(all)
	return n.known
}

// process tells whether a name can be that of a process: it is known, or
// resembles none that is.
func (n *names) process(name string) bool {
	all := n.processes()
	return slices.Contains(all, name) || validate.Nearest(name, all) == ""
}
