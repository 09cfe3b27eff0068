package main

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// schema is a whole release, gathered from its files.
type schema struct {
	release
	namespace string // of the elements
	types     string // of the simple types, when they have one of their own

	elements   map[string]*element
	complex    map[string]*complexType
	simples    map[string]*simpleType
	groups     map[string]*particle // model groups
	attributes map[string]*attributeSet
	facts      map[string][]fact   // blocks of facts that several types share
	derived    map[string][]string // types by their base
	notes      []string            // what was mended or could not be used
}

type element struct {
	name, typ, head string
	abstract        bool
	facts           []fact
}

type complexType struct {
	name, base, how string // how is "extends" or "restricts"
	text            string // simple type of the content, if it is text
	abstract, mixed bool
	content         *particle
	attributes      attributeSet
	shared          []string // names of fact blocks that apply
	facts           []fact
}

// attributeSet is the attributes of a type, or an attribute group.
type attributeSet struct {
	list   []attribute
	groups []string
	any    *wildcard
}

type attribute struct {
	name, typ, use string
	hint           string // default=… or fixed=…, ready to print
}

type wildcard struct{ namespace, process string }

// particle is a node of a content model.
type particle struct {
	kind      string // seq, choice, all, elem, ref, group, any
	name, typ string
	wildcard  wildcard
	min, max  int // max -1 is unbounded
	kids      []*particle
	facts     []fact // of a named group
}

func newSchema(r release) *schema {
	return &schema{
		release: r, elements: map[string]*element{}, complex: map[string]*complexType{},
		simples: map[string]*simpleType{}, groups: map[string]*particle{},
		attributes: map[string]*attributeSet{}, facts: map[string][]fact{}, derived: map[string][]string{},
	}
}

func (s *schema) note(format string, args ...any) {
	s.notes = append(s.notes, fmt.Sprintf(format, args...))
}

// reader reads the components of one file.
type reader struct {
	*schema
	prefixes map[string]string
}

func (r *reader) qname(q string) string { return r.schema.qname(r.prefixes, q) }

// add gathers the components of one file.
func (s *schema) add(root *node) error {
	r := &reader{s, prefixesOf(root)}
	for _, n := range root.kids {
		name := n.attr["name"]
		switch n.name {
		case "element":
			if err := r.element(n); err != nil {
				return err
			}
			s.namespace = root.attr["targetNamespace"]
		case "complexType":
			if err := r.complexType(name, n); err != nil {
				return err
			}
		case "simpleType":
			if err := r.simpleType(name, n); err != nil {
				return err
			}
		case "group":
			p, err := r.particle(name, only(n, "sequence", "choice", "all"))
			if err != nil {
				return err
			}
			p.facts = r.factsOf(n, name)
			s.groups[name] = p
		case "attributeGroup":
			set, err := r.attributeSet(name, n)
			if err != nil {
				return err
			}
			s.attributes[name] = &set
		case "annotation", "include", "import":
		default:
			return fmt.Errorf("xs:%s at top level is not supported", n.name)
		}
	}
	if s.namespace != root.attr["targetNamespace"] {
		s.types = root.attr["targetNamespace"]
	}
	return nil
}

// only is the child that has one of the names; a schema has at most one.
func only(n *node, names ...string) *node {
	for _, k := range n.kids {
		if slices.Contains(names, k.name) {
			return k
		}
	}
	return nil
}

// element reads a global element.
func (r *reader) element(n *node) error {
	e := &element{name: n.attr["name"], abstract: n.attr["abstract"] == "true"}
	if head := n.attr["substitutionGroup"]; head != "" {
		e.head = r.qname(head)
	}
	typ, err := r.elementType("", n)
	e.typ = typ
	e.facts = r.factsOf(n, e.name)
	r.elements[e.name] = e
	return err
}

// elementType is the type of an element declaration; an anonymous one is given
// a name made of the path to it.
func (r *reader) elementType(scope string, n *node) (string, error) {
	path := scope + "/" + n.attr["name"]
	if n.attr["nillable"] == "true" {
		return "", fmt.Errorf("%s: nillable elements are not supported", path)
	}
	if t := n.attr["type"]; t != "" {
		return r.qname(t), nil
	}
	if inline := n.kid("complexType"); inline != nil {
		return path, r.complexType(path, inline)
	}
	if inline := n.kid("simpleType"); inline != nil {
		return path, r.simpleType(path, inline)
	}
	return "xs:anyType", nil
}

func (r *reader) complexType(name string, n *node) error {
	t := &complexType{
		name: name, abstract: n.attr["abstract"] == "true", mixed: n.attr["mixed"] == "true",
	}
	body := n
	if content := only(n, "complexContent", "simpleContent"); content != nil {
		t.mixed = t.mixed || content.attr["mixed"] == "true"
		t.how = "extends"
		if body = content.kid("extension"); body == nil {
			t.how, body = "restricts", content.kid("restriction")
		}
		t.base = r.qname(body.attr["base"])
		if content.name == "simpleContent" {
			if t.how != "extends" {
				return fmt.Errorf("type %s: a restriction of simple content is not supported", name)
			}
			t.base, t.text, t.how = "", t.base, ""
		}
	}
	if p := only(body, "sequence", "choice", "all", "group"); p != nil {
		content, err := r.particle(name, p)
		if err != nil {
			return err
		}
		t.content = content
	}
	set, err := r.attributeSet(name, body)
	t.attributes = set
	t.facts = r.factsOf(n, name)
	r.complex[name] = t
	return err
}

func (r *reader) attributeSet(scope string, n *node) (attributeSet, error) {
	var set attributeSet
	for _, k := range n.kids {
		switch k.name {
		case "attribute":
			a, err := r.attribute(scope, k)
			if err != nil {
				return set, err
			}
			set.list = append(set.list, a)
		case "attributeGroup":
			set.groups = append(set.groups, r.qname(k.attr["ref"]))
		case "anyAttribute":
			set.any = &wildcard{k.attr["namespace"], k.attr["processContents"]}
		}
	}
	slices.SortFunc(set.list, func(a, b attribute) int { return strings.Compare(a.name, b.name) })
	slices.Sort(set.groups)
	return set, nil
}

func (r *reader) attribute(scope string, n *node) (attribute, error) {
	a := attribute{name: n.attr["name"], use: n.attr["use"]}
	if n.attr["ref"] != "" {
		return a, fmt.Errorf("%s: references to global attributes are not supported", scope)
	}
	if v, ok := n.attr["default"]; ok {
		a.hint = "default=" + strconv.Quote(v)
	}
	if v, ok := n.attr["fixed"]; ok {
		a.hint = "fixed=" + strconv.Quote(v)
	}
	a.typ = "xs:anySimpleType"
	if t := n.attr["type"]; t != "" {
		a.typ = r.qname(t)
	} else if inline := n.kid("simpleType"); inline != nil {
		a.typ = scope + "/@" + a.name
		return a, r.simpleType(a.typ, inline)
	}
	return a, nil
}

// particle reads a piece of a content model.
func (r *reader) particle(scope string, n *node) (*particle, error) {
	p := &particle{min: 1, max: 1}
	if err := p.occurs(n); err != nil {
		return nil, fmt.Errorf("%s: %w", scope, err)
	}
	switch n.name {
	case "sequence", "choice", "all":
		p.kind = map[string]string{"sequence": "seq", "choice": "choice", "all": "all"}[n.name]
		for _, k := range n.kids {
			if k.name == "annotation" {
				continue
			}
			kid, err := r.particle(scope, k)
			if err != nil {
				return nil, err
			}
			p.kids = append(p.kids, kid)
		}
	case "group":
		p.kind, p.name = "group", r.qname(n.attr["ref"])
	case "any":
		p.kind, p.wildcard = "any", wildcard{n.attr["namespace"], n.attr["processContents"]}
	case "element":
		if ref := n.attr["ref"]; ref != "" {
			p.kind, p.name = "ref", r.qname(ref)
			break
		}
		typ, err := r.elementType(scope, n)
		if err != nil {
			return nil, err
		}
		p.kind, p.name, p.typ = "elem", n.attr["name"], typ
	default:
		return nil, fmt.Errorf("%s: xs:%s in a content model is not supported", scope, n.name)
	}
	return p, nil
}

func (p *particle) occurs(n *node) error {
	if v := n.attr["minOccurs"]; v != "" {
		m, err := strconv.Atoi(v)
		if err != nil {
			return fmt.Errorf("minOccurs %q is not a number", v)
		}
		p.min = m
	}
	if v := n.attr["maxOccurs"]; v == "unbounded" {
		p.max = -1
	} else if v != "" {
		m, err := strconv.Atoi(v)
		if err != nil {
			return fmt.Errorf("maxOccurs %q is not a number", v)
		}
		p.max = m
	}
	return nil
}
