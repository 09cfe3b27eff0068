package profile

import (
	"fmt"
	"slices"
	"strings"

	"quoin/validate"
)

// steps reads the steps of a location path behind what whole holds.
func (p *parser) steps(whole *part) {
	var out strings.Builder
	out.WriteString(whole.out)
	owner := "" // the element whose attributes and children the next step names, where it is known
	if whole.typ == nodeSet && (whole.out == "" || whole.out == "/" || whole.out == "//") {
		whole.shape = shape{single: true}
	}
	if strings.HasSuffix(whole.out, "//") {
		p.along(whole, "descendant-or-self", p.peek())
	}
	for {
		owner = p.step(&out, owner, whole)
		op, ok := p.take("/", "//")
		if !ok {
			break
		}
		if op.text == "//" {
			owner = ""
			p.along(whole, "descendant-or-self", op)
		}
		out.WriteString(op.text)
	}
	whole.out, whole.typ, whole.level = out.String(), nodeSet, primary
}

// step reads one step, and returns the name of the element it leads to or "".
func (p *parser) step(out *strings.Builder, owner string, whole *part) string {
	if t, ok := p.take("."); ok {
		out.WriteString("self::node()")
		whole.end = t.end
		p.noPredicate(t)
		return owner
	}
	if t, ok := p.take(".."); ok {
		out.WriteString("parent::node()")
		whole.end = t.end
		p.along(whole, "parent", t)
		p.noPredicate(t)
		return ""
	}
	axis := p.axis()
	out.WriteString(axis + "::")
	t := p.next()
	local := ""
	switch t.kind {
	case tokenName:
		local = p.nameTest(t, axis, owner)
		out.WriteString(t.text)
	case tokenNodeType:
		p.nodeType(t)
		out.WriteString(t.text + "()")
	default:
		p.unexpected(t, "a name")
	}
	one := whole.single && axis == "attribute" && t.text != "*"
	whole.end = t.end
	p.along(whole, axis, t)
	whole.single = whole.single || one
	first := axis == "child" || axis == "attribute"
	for p.fault == nil && p.peek().kind == tokenSign && p.peek().text == "[" {
		inner := p.predicate(first)
		out.WriteString(inner.out)
		whole.stirs, whole.end, first = true, inner.end, false
	}
	return local
}

// along takes the shape of a set along an axis.
func (p *parser) along(whole *part, axis string, at token) {
	to, ok := whole.shape.along(axis)
	if !ok {
		p.fail(&fault{start: at.start, end: at.end,
			problem: fmt.Sprintf("a step along %s is not taken from several nodes beside or inside each other", axis),
			advice:  "name the nodes from the root with //, and say in brackets where they stand"})
	}
	whole.shape = to
}

// noPredicate refuses brackets behind a dot, which XPath 1.0 does not have.
func (p *parser) noPredicate(t token) {
	if next := p.peek(); next.kind == tokenSign && next.text == "[" {
		p.fail(&fault{start: next.start, end: next.end, problem: fmt.Sprintf("brackets can not follow %q", t.text),
			advice: "write self::node() or parent::node() for it"})
	}
}

func (p *parser) axis() string {
	if _, ok := p.take("@"); ok {
		return "attribute"
	}
	if p.peek().kind != tokenAxis {
		return "child"
	}
	t := p.next()
	if !slices.Contains(axes, t.text) {
		advice := ""
		if near := validate.Nearest(t.text, axes); near != "" {
			advice = "write " + near
		}
		p.fail(&fault{start: t.start, end: t.end, advice: advice,
			problem: fmt.Sprintf("%q is no axis that is taken; want one such as %s", t.text, validate.Choices(axes))})
	}
	p.want("::")
	return t.text
}

// nameTest checks a name, and returns it when it is that of one element of the standard.
func (p *parser) nameTest(t token, axis, owner string) string {
	if p.fault != nil || t.text == "*" {
		return ""
	}
	prefix, local, prefixed := strings.Cut(t.text, ":")
	if prefixed && local == "*" {
		p.fail(&fault{start: t.start, end: t.end, problem: "a prefix with * is not taken",
			advice: fmt.Sprintf("write *[namespace-uri() = ...] with the namespace of %s", prefix)})
		return ""
	}
	if axis != "child" && axis != "attribute" {
		owner = ""
	}
	kind := elementName
	if axis == "attribute" {
		kind = attributeName
	}
	p.fail(p.names.check(t, kind, owner))
	if prefixed || kind == attributeName {
		return ""
	}
	return t.text
}

func (p *parser) nodeType(t token) {
	if t.text == "processing-instruction" {
		p.fail(&fault{start: t.start, end: t.end, problem: "processing instructions are not looked at"})
	}
	p.want("(")
	p.want(")")
}

// predicate reads an expression in brackets. Positions are only taken first
// behind a step along the child axis: elsewhere the library counts otherwise
// than XPath 1.0 does.
func (p *parser) predicate(positions bool) part {
	open := p.want("[")
	inner := p.or()
	closing := p.want("]")
	whole := part{start: open.start, end: closing.end, positional: inner.positional || inner.typ == number}
	if p.fault != nil {
		return whole
	}
	if whole.positional && !positions {
		p.fail(&fault{start: inner.start, end: inner.end, advice: "count siblings with preceding-sibling::",
			problem: "a position is only taken in the first brackets behind a child"})
	}
	if inner.typ == number && strings.Trim(inner.out, "0123456789") != "" && inner.out != "last()" {
		p.fail(&fault{start: inner.start, end: inner.end, advice: "write position() = before it",
			problem: "a position is a whole number or last()"})
	}
	if inner.typ == text {
		inner, _ = inner.as(truth)
	}
	whole.out = "[" + inner.out + "]"
	return whole
}
