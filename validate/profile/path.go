package profile

import (
	"fmt"
	"strings"

	"quoin/jdf"
)

// path is a chain of element names with conditions, and an attribute or not at
// its end. It is the plain part of XPath that a profile says places with:
//
//	path = [ "/" ] step { "/" step }
//	step = ( name | "*" ) { "[" expression "]" } | "@" name
//
// Only the last step may be an attribute.
type path struct {
	source   string
	absolute bool
	steps    []pathStep // none for an attribute of the element itself
	attr     string     // of the last element, or ""
	attrNS   string
}

type pathStep struct {
	local, space string // local * for any element; space "" for the standard's
	where        []*condition
}

// element is the name of the last element, or "".
func (p *path) element() string {
	if len(p.steps) == 0 {
		return ""
	}
	last := p.steps[len(p.steps)-1]
	if last.local == "*" || last.space != "" {
		return ""
	}
	return last.local
}

// parsePath reads a path; owner is the element that it starts from, or "".
func parsePath(source, owner string, names *names) (*path, *fault) {
	p, f := newParser(source, names)
	if f != nil {
		return nil, f
	}
	out := &path{source: source}
	if t, ok := p.take("/"); ok {
		out.absolute, owner = true, ""
		if !p.stepNext() {
			p.unexpected(t, "the name of the root element behind it")
		}
	}
	for p.fault == nil {
		if _, ok := p.take("@"); ok {
			out.attr, out.attrNS = p.pathName(attributeName, owner)
			break
		}
		var step pathStep
		step.local, step.space = p.pathName(elementName, owner)
		for p.fault == nil && p.peek().kind == tokenSign && p.peek().text == "[" {
			if c := p.where(source); c != nil {
				step.where = append(step.where, c)
			}
		}
		out.steps = append(out.steps, step)
		owner = out.element()
		if _, ok := p.take("/"); !ok {
			break
		}
	}
	if t := p.peek(); p.fault == nil && t.kind != tokenEnd {
		p.unexpected(t, "/, [ or the end")
	}
	return out, p.fault
}

// pathName reads the name of a step.
func (p *parser) pathName(kind nameKind, owner string) (local, space string) {
	t := p.next()
	if t.kind != tokenName || t.text == "*" && kind == attributeName {
		p.unexpected(t, fmt.Sprintf("the name of an %s", kind))
		return "", ""
	}
	if t.text == "*" {
		return "*", ""
	}
	p.fail(p.names.check(t, kind, owner))
	prefix, local, ok := strings.Cut(t.text, ":")
	if !ok {
		return prefix, ""
	}
	return local, p.names.spaces[prefix]
}

// where reads a condition in brackets.
func (p *parser) where(source string) *condition {
	open := p.want("[")
	inner := p.or()
	closing := p.want("]")
	if p.fault != nil {
		return nil
	}
	if inner.positional || inner.typ == number {
		p.fail(&fault{start: open.start, end: closing.end, problem: "a position is not taken here",
			advice: "write it in a condition"})
		return nil
	}
	inner, f := inner.as(truth)
	if f == nil {
		var c *condition
		if c, f = compilePart(source[open.end:closing.start], inner, p.names); f == nil {
			return c
		}
	}
	p.fail(f)
	return nil
}

func (s pathStep) matches(n jdf.Node) bool {
	if s.local != "*" && s.local != n.Local() {
		return false
	}
	if s.space != "" {
		return n.Space() == s.space
	}
	return n.Space() == jdf.NamespaceJDF || n.Space() == jdf.NamespaceXJDF
}

// finder collects what paths lead to in one document.
type finder struct {
	tree   *tree
	byName map[string][]jdf.Node // elements by local name; made when first asked for
}

func (f *finder) named(local string) []jdf.Node {
	if f.byName == nil {
		f.byName = map[string][]jdf.Node{}
		for n := range f.tree.doc.Elements() {
			f.tree.spend(1)
			f.byName[n.Local()] = append(f.byName[n.Local()], n)
			f.byName["*"] = append(f.byName["*"], n)
		}
	}
	return f.byName[local]
}

// all are the elements that a path leads to from anywhere in the document, or
// from its root.
func (f *finder) all(p *path) ([]jdf.Node, error) {
	first := p.steps[0]
	start := f.named(first.local)
	if p.absolute {
		start = []jdf.Node{f.tree.doc.Root()}
	}
	found, err := f.filter(first, start)
	if err != nil {
		return nil, err
	}
	return f.follow(p.steps[1:], found)
}

// from are the elements that a path leads to from an element; the element
// itself for a path without steps.
func (f *finder) from(p *path, n jdf.Node) ([]jdf.Node, error) {
	return f.follow(p.steps, []jdf.Node{n})
}

func (f *finder) follow(steps []pathStep, from []jdf.Node) ([]jdf.Node, error) {
	for _, s := range steps {
		var inner []jdf.Node
		for _, n := range from {
			for c := range n.Children() {
				f.tree.spend(1)
				inner = append(inner, c)
			}
		}
		var err error
		if from, err = f.filter(s, inner); err != nil {
			return nil, err
		}
	}
	return from, nil
}

func (f *finder) filter(s pathStep, nodes []jdf.Node) ([]jdf.Node, error) {
	var out []jdf.Node
	for _, n := range nodes {
		f.tree.spend(1)
		if !s.matches(n) {
			continue
		}
		ok := true
		for _, c := range s.where {
			var err error
			if ok, err = c.holds(f.tree, n); err != nil {
				return nil, err
			}
			if !ok {
				break
			}
		}
		if ok {
			out = append(out, n)
		}
	}
	return out, nil
}
