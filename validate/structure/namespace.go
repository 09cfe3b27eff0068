package structure

import (
	"strings"

	"quoin/jdf"
)

// space is what a namespace is to the document under check.
type space uint8

const (
	foreign space = iota // anything else
	none                 // no namespace
	own                  // of the generation of the document
	other                // of the other generation
	similar              // only looks like the standard's
	xsi                  // XML Schema instance
)

// classify tells what a namespace is. The namespace of the root counts as the
// generation's own even when it only looks like it: it is reported once, and
// the rest is checked all the same.
func (c *checker) classify(uri string) space {
	switch {
	case uri == c.namespace || uri == c.set.Namespace():
		return own
	case uri == "":
		return none
	case uri == jdf.NamespaceXSI:
		return xsi
	case uri == jdf.NamespaceJDF || uri == jdf.NamespaceXJDF:
		return other
	case uri == jdf.NamespaceXML:
		return foreign
	case looksAlike(uri):
		return similar
	}
	return foreign
}

// looksAlike tells whether somebody may have meant the standard's namespace.
// The namespace of simple types is a namespace of the standard, but no element
// or attribute is in it.
func looksAlike(uri string) bool {
	if uri == jdf.NamespaceJDF || uri == jdf.NamespaceXJDF {
		return false
	}
	lower := strings.ToLower(uri)
	return strings.Contains(lower, "jdfschema") || strings.Contains(lower, "cip4.org/jdf")
}

// meant is the namespace of the standard that a look-alike most likely means.
func meant(uri, element string) string {
	if strings.Contains(uri, "2_") || strings.HasPrefix(element, "XJ") {
		return jdf.NamespaceXJDF
	}
	return jdf.NamespaceJDF
}

// generation names the generation of a namespace, as a message says it.
func generation(uri string) string {
	if uri == jdf.NamespaceXJDF {
		return "XJDF 2.x"
	}
	return "JDF 1.x"
}
