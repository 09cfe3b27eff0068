package structure

import (
	"strings"

	"quoin/jdf"
	"quoin/schemas"
)

// The types of the 1.x generation whose content follows an attribute Type.
const (
	nodeType        = "JDFProcessNode"  // a JDF node of any kind
	namedNodeType   = "JDFAbstractNode" // the base of those of a known kind
	messageType     = "Message"
	rootMessageType = "JMFRootMessage"
	linkPoolName    = "ResourceLinkPool"
	generalPoolType = "GeneralProcessResLinkPool_"
)

// derives tells whether a type of the 1.x generation is a type, or derived from it.
func (c *checker) derives(t *schemas.Type, base string) bool {
	if !c.first {
		return false
	}
	for ; t != nil; t = t.Base() {
		if t.Name() == base {
			return true
		}
	}
	return false
}

// actualType is the type that an element is checked as: the one that xsi:type
// names, else the one that its Type implies, else the declared one. free tells
// that attributes of other namespaces are allowed although the type says no,
// because the sender did not name the type.
func (c *checker) actualType(n jdf.Node, declared *schemas.Type) (t *schemas.Type, free bool) {
	implied := c.impliedType(n, declared)
	at := c.xsiTypeOf(n)
	if !at.Valid() {
		if implied == nil {
			return declared, false
		}
		return implied, declared.Foreign()
	}
	named := c.xsiType(n, at, declared)
	switch {
	case named == nil && implied == nil:
		return declared, false
	case named == nil:
		return implied, declared.Foreign()
	case implied != nil && named != declared && !named.DerivesFrom(implied):
		c.report(xsiContradicts.At(at.Place(), fact("value", at.Value()),
			fact("type", n.Get("Type")), fact("want", implied.Name())))
	}
	return named, false
}

// xsiTypeOf is the attribute xsi:type of an element; most have none.
func (c *checker) xsiTypeOf(n jdf.Node) jdf.Attr {
	if c.xsiTypeID == missing {
		return jdf.Attr{}
	}
	for a := range n.Attrs() {
		if a.NameID() == c.xsiTypeID {
			return a
		}
	}
	return jdf.Attr{}
}

// impliedType is the type that the attribute Type of a node or message implies,
// or nil when it implies none.
func (c *checker) impliedType(n jdf.Node, declared *schemas.Type) *schemas.Type {
	var name, base string
	switch {
	case declared.Name() == nodeType && c.first:
		name, base = n.Get("Type"), namedNodeType
	case declared.Base() != nil && declared.Base().Name() == messageType && c.first:
		name, base = declared.Name()+n.Get("Type"), declared.Name()
	default:
		return nil
	}
	t := c.set.Type(strings.TrimSpace(name))
	if t == nil || t.Abstract() || t.Anonymous() || !c.derives(t, base) {
		return nil
	}
	return t
}

// xsiType is the type that xsi:type names, when it may take the place of the
// declared one, if any. A type of a private namespace is not the standard's
// matter, but must be told by a prefix on an element of the standard: most often
// the prefix was forgotten.
func (c *checker) xsiType(n jdf.Node, at jdf.Attr, declared *schemas.Type) *schemas.Type {
	value := strings.TrimSpace(at.Value())
	prefix, local, ok := strings.Cut(value, ":")
	if !ok {
		prefix, local = "", value
	}
	uri, bound := n.Lookup(prefix)
	t := c.set.Type(local)
	if t != nil && t.Anonymous() {
		t = nil
	}
	switch {
	case bound && t == nil && c.private(uri) && (prefix != "" || declared == nil) && c.isQName(value):
		return nil
	case !bound || c.classify(uri) != own || t == nil:
		c.report(unknownXSIType.At(at.Place(), fact("value", value), fact("hint", c.hintType(local, declared))))
		return nil
	}
	if declared != nil && !t.DerivesFrom(declared) {
		c.report(xsiNotDerived.At(at.Place(), fact("value", value), fact("base", declared.Name())))
		return nil
	}
	if t.Abstract() {
		c.report(abstractElement.At(at.Place(), fact("element", "the type "+local),
			fact("members", c.guesses.choices(typesUnder, local, c.set.DerivedTypes))))
		return nil
	}
	return t
}

// private tells whether a namespace is none of the standard's.
func (c *checker) private(uri string) bool {
	return c.classify(uri) == foreign && uri != c.set.TypesNamespace()
}

func (c *checker) isQName(value string) bool {
	return c.set.Simple("xs:QName").Check(value).Kind == 0
}

// hintType names the type that was meant, if there is one near.
func (c *checker) hintType(local string, declared *schemas.Type) string {
	if declared == nil || !c.first {
		return ""
	}
	if t := c.set.Type(local); t != nil && t.DerivesFrom(declared) {
		return "; " + local + " is one in the namespace " + c.set.Namespace()
	}
	return hint(c.guesses.near(declared, local, func() []string { return c.set.DerivedTypes(declared.Name()) }))
}
