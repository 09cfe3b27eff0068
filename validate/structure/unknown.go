package structure

import (
	"maps"
	"slices"
	"strings"

	"quoin/jdf"
	"quoin/schemas"
	"quoin/validate"
)

// hint offers a near name at the end of a message.
func hint(near string) string {
	if near == "" {
		return ""
	}
	return "; did you mean " + near + "?"
}

// aside offers a near name in the middle of a message.
func aside(near string) string {
	if near == "" {
		return ""
	}
	return " (did you mean " + near + "?)"
}

func choicesOf(set map[string]bool) string { return validate.Choices(slices.Collect(maps.Keys(set))) }

func (c *checker) otherSet() *schemas.Set {
	if c.first {
		return schemas.XJDF()
	}
	return schemas.JDF()
}

// unknownChild reports an element that its parent can not have; in is nil for
// the root. Its content is not looked at, since nobody can say what it means.
func (c *checker) unknownChild(n, parent jdf.Node, in *typeInfo) {
	name := n.Local()
	switch {
	case c.set.Has(name) && in != nil && strings.HasSuffix(in.Name(), "ResLinkPool_") && c.isLink(name):
		f := foreignLink.At(n.NamePlace(), fact("link", name), fact("process", parent.Parent().Get("Type")),
			fact("links", validate.Choices(slices.DeleteFunc(slices.Clone(in.model.Names()), c.noLink))))
		if t := c.set.Type(parent.Parent().Get("Type")); t != nil && !c.xsiTypeOf(parent.Parent()).Valid() && noted(t, n) {
			f.Severity = validate.Warning // the notes on the process contradict its content model
		}
		c.report(f)
	case c.set.Has(name):
		where, parents := "the place of the root", c.guesses.choices(parentsOf, name, c.parents)
		if in != nil {
			where = parent.Local()
		}
		if where == parents {
			where, parents = "this "+where, "that of others"
		}
		c.report(wrongParent.At(n.NamePlace(), fact("element", name), fact("parent", where), fact("parents", parents)))
	case c.otherSet().Has(name):
		repair := ""
		if in == nil { // a root in the other namespace
			repair = "; the namespace of " + name + " is " + c.otherSet().Namespace()
		}
		c.report(otherGeneration.At(n.NamePlace(), fact("what", "element "+name), fact("repair", repair),
			fact("other", generation(c.otherSet().Namespace())), fact("this", generation(c.set.Namespace()))))
	default:
		c.report(unknownElement.At(n.NamePlace(), fact("element", name), fact("hint", hint(c.nearElement(name, in)))))
	}
}

// nearElement is the name that was meant: one that may stand here, else one of
// the whole dictionary, with the places where that may stand.
func (c *checker) nearElement(name string, in *typeInfo) string {
	if in != nil {
		if near := c.guesses.near(in, name, func() []string { return c.allowed(in) }); near != "" {
			return near
		}
	}
	near := c.guesses.near(anyElement, name, c.set.Names)
	if near == "" || in == nil {
		return near
	}
	if parents := c.guesses.choices(parentsOf, near, c.parents); parents != "" {
		near += ", which may stand in " + parents
	}
	return near
}

// parents lists where an element may stand; for a resource or link, where any
// may, before the many places where this one may be written inline.
func (c *checker) parents(name string) []string {
	if e := c.set.Element(name); e != nil && e.Head() != "" {
		if list := c.set.Parents(e.Head()); len(list) > 0 {
			return list
		}
	}
	return c.set.Parents(name)
}

// isLink tells whether an element of the 1.x generation is a link to a resource.
func (c *checker) isLink(name string) bool {
	e := c.set.Element(name)
	return e != nil && e.Head() == "ResourceLink"
}

func (c *checker) noLink(name string) bool { return !c.isLink(name) }

// allowed lists the children that a type may have, with the members of its
// substitution groups.
func (c *checker) allowed(in *typeInfo) []string {
	names := slices.Clone(in.model.Names())
	for symbol := range in.model.Names() {
		names = append(names, c.set.Members(in.model.Element(symbol).Name())...)
	}
	return names
}

func (c *checker) reportAbstract(n jdf.Node, e *schemas.Element) {
	c.report(abstractElement.At(n.NamePlace(), fact("element", e.Name()),
		fact("members", c.guesses.choices(membersOf, e.Name(), c.set.Members))))
}

// unknownAttribute reports an attribute that its element can not have.
func (c *checker) unknownAttribute(n jdf.Node, a jdf.Attr, in *typeInfo) {
	name := a.Local()
	at := n.Local() + "/@" + name
	near := c.guesses.near(in, "@"+name, func() []string { return attributeNames(in) })
	switch {
	case near != "":
		near = near[1:]
	case c.set.HasAttribute(name):
		near = name + " on " + c.guesses.choices(carriersOf, name, c.set.Carriers)
	case c.otherSet().HasAttribute(name):
		c.report(otherGeneration.At(a.Place(), fact("what", "attribute "+at), fact("repair", ""),
			fact("other", generation(c.otherSet().Namespace())), fact("this", generation(c.set.Namespace()))))
		return
	default:
		near = c.guesses.near(anyAttribute, name, c.set.AttributeNames)
	}
	c.report(unknownAttribute.At(a.Place(), fact("at", at), fact("hint", hint(near))))
}

// attributeNames lists the attributes of a type, each with an @ before it.
func attributeNames(in *typeInfo) []string {
	var names []string
	for _, a := range in.Attributes() {
		names = append(names, "@"+a.Name)
	}
	return names
}
