package structure

import (
	"strconv"
	"strings"

	"quoin/jdf"
	"quoin/schemas"
)

// element checks an element against its declaration.
func (c *checker) element(n jdf.Node, e *schemas.Element, s scope) {
	t, free := c.actualType(n, e.Type())
	in := c.info(t)
	s = c.enter(n, in, s)
	c.checkSpan(n, e, in, s)
	c.typed(n, in, free, s)
}

// typed checks an element as one of a type; free tells that it may have
// attributes of other namespaces.
func (c *checker) typed(n jdf.Node, in *typeInfo, free bool, s scope) {
	c.attributes(n, in, free || in.Foreign(), s)
	if in.Text() != nil {
		c.text(n, in)
		return
	}
	c.content(n, in, s)
}

// enter makes the scope of what is inside a node or message.
func (c *checker) enter(n jdf.Node, in *typeInfo, s scope) scope {
	if !in.versions {
		if n.Local() != linkPoolName {
			s.links, s.process = nil, nil
		}
		return s
	}
	s.links, s.process = nil, nil
	if in.node {
		s.links, s.process = c.poolOf(n, in.Type), in.Type
	}
	if c.forced {
		return s
	}
	if v, ok := schemas.ParseVersion(strings.TrimSpace(n.Get("Version"))); ok {
		s.version = 0
		if c.set.Knows(v) {
			s.version = v
		}
	}
	return s
}

// checkSpan reports an element that the version does not have.
func (c *checker) checkSpan(n jdf.Node, e *schemas.Element, in *typeInfo, s scope) {
	if s.version == 0 {
		return
	}
	for _, span := range [2]schemas.Span{e.Span(), in.span} {
		if span.Open() || !c.outside(span, s.version) {
			continue
		}
		what := "element " + n.Local()
		if in.node || in.message {
			what = n.Local() + " of type " + n.Get("Type")
		}
		c.reportSpan(n.NamePlace(), what, span, s.version)
		return
	}
}

func (c *checker) outside(span schemas.Span, v schemas.Version) bool {
	return span.Before(v) || span.After(v)
}

func (c *checker) reportSpan(place jdf.Place, what string, span schemas.Span, v schemas.Version) {
	if span.Before(v) {
		c.report(notYet.At(place, fact("what", what), fact("first", span.First.String()), fact("version", v.String()), basis))
		return
	}
	c.report(noLonger.At(place, fact("what", what), fact("last", span.Last.String()), fact("version", v.String()), basis))
}

// attributes checks the attributes of an element. The others are found missing.
func (c *checker) attributes(n jdf.Node, in *typeInfo, free bool, s scope) {
	var seen uint64
	list := in.Attributes()
	for a := range n.Attrs() {
		id := a.NameID()
		if c.spaces[id] != none && c.names[id].Space != "" {
			c.qualified(n, a, free)
			continue
		}
		i := c.attribute(in, id)
		if i < 0 {
			c.unknownAttribute(n, a, in)
			continue
		}
		if b := in.bit[i]; b != 0 {
			seen |= 1 << (b - 1)
		}
		at := &list[i]
		value := a.Value()
		if f := at.Type.Check(value); f.Kind != 0 {
			c.reportValue(a.Place(), n.Local()+"/@"+at.Name, at.Type, f)
		} else if at.Fixed && at.Type.Normal(value) != at.Value {
			c.report(fixedValue.At(a.Place(), fact("at", n.Local()+"/@"+at.Name),
				fact("value", value), fact("want", at.Value)))
		}
		if s.version != 0 && !at.Span.Open() && c.outside(at.Span, s.version) && !doubtfulSpan(n, at.Name) {
			c.reportSpan(a.Place(), n.Local()+"/@"+at.Name, at.Span, s.version)
		}
	}
	if seen != 1<<len(in.required)-1 {
		c.missingAttributes(n, in, seen)
	}
}

// qualified checks an attribute that has a namespace.
func (c *checker) qualified(n jdf.Node, a jdf.Attr, free bool) {
	name := a.Name()
	switch c.spaces[a.NameID()] {
	case xsi:
		switch name.Local {
		case "type", "schemaLocation", "noNamespaceSchemaLocation":
			return
		case "nil":
			c.report(nilNotAllowed.At(a.Place(), fact("element", n.Local())))
			return
		}
	case own:
		c.report(unknownAttribute.At(a.Place(), fact("at", n.Local()+"/@"+name.Local),
			fact("hint", "; attributes of the standard have no prefix")))
		return
	case similar:
		c.report(lookAlike.At(a.Place(), fact("got", name.Space), fact("want", c.set.Namespace())))
		return
	}
	if !free {
		c.report(foreignAttribute.At(a.Place(), fact("attribute", name.Local),
			fact("space", name.Space), fact("element", n.Local())))
	}
}

// missingAttributes reports the required attributes that are not there. In a
// partitioned resource the partitions may have them, and inherit them.
func (c *checker) missingAttributes(n jdf.Node, in *typeInfo, seen uint64) {
	list := in.Attributes()
	for i, index := range in.required {
		at := &list[index]
		if seen>>i&1 == 1 || c.inherited(n, in, at.Name) {
			continue
		}
		c.report(missingAttribute.At(n.NamePlace(), fact("at", n.Local()+"/@"+at.Name), fact("want", wanted(at))))
	}
}

// wanted says what values an attribute takes.
func wanted(at *schemas.Attribute) string {
	if at.Fixed {
		return strconv.Quote(at.Value)
	}
	return want(at.Type)
}

// inherited tells whether a required attribute that an element lacks is given
// by the partitions around it, or by all those inside it.
func (c *checker) inherited(n jdf.Node, in *typeInfo, attr string) bool {
	switch {
	case in.leaf:
		for p := n.Parent(); p.Valid() && p.NameID() == n.NameID(); p = p.Parent() {
			if p.Has(attr) {
				return true
			}
		}
	case in.root && !onRoot(attr):
		return partitionsHave(n, attr)
	}
	return false
}

// onRoot tells attributes that identify a whole resource, and can not come from
// its partitions.
func onRoot(attr string) bool { return attr == "ID" || attr == "Class" || attr == "Status" }

// partitionsHave tells whether there are partitions, and each branch of them
// has the attribute.
func partitionsHave(n jdf.Node, attr string) bool {
	found := false
	for p := range n.Children() {
		if p.NameID() != n.NameID() {
			continue
		}
		if !p.Has(attr) && !partitionsHave(p, attr) {
			return false
		}
		found = true
	}
	return found
}

// text checks an element whose content is a value.
func (c *checker) text(n jdf.Node, in *typeInfo) {
	for p := range n.Children() {
		c.report(textNotAllowed.At(p.NamePlace(), fact("element", n.Local()),
			fact("what", "element "+p.Local()), fact("want", "text only")))
	}
	if f := in.Text().Check(n.Text()); f.Kind != 0 {
		c.reportValue(n.Place(), n.Local(), in.Text(), f)
	}
}
