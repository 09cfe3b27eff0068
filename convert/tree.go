package convert

import (
	"slices"
	"strconv"
	"strings"

	"quoin/jdf"
)

// elem is an element of the target with the slots of the source that went in.
// One without a name is a piece of text between the elements of private content.
type elem struct {
	space string // "" for the target's own namespace
	local string
	attrs []attr
	kids  []*elem
	text  string
	slots []int32 // of the element, and of text in it
}

// attr is an attribute. A private one has its namespace in braces before its
// name: there are few, and the others stay small.
type attr struct {
	name, value string
	slot        int32
}

func nameIn(space, local string) string {
	if space == "" {
		return local
	}
	return "{" + space + "}" + local
}

// space is the namespace of a private attribute, or "".
func (a *attr) space() string {
	if a.name[0] != '{' {
		return ""
	}
	return a.name[1:strings.IndexByte(a.name, '}')]
}

// nameType writes the type of the schema where a schema processor must be told.
// SuspendQueueEntryParams and SeparationControlParamsLink do not stand in the
// groups that a message or node has places for unless its type is named.
//
// Source: the substitution groups of the published JDF schema.
func (e *elem) nameType(local string) { e.set(nameIn(jdf.NamespaceXSI, "type"), local) }

func (a *attr) local() string {
	if a.name[0] != '{' {
		return a.name
	}
	return a.name[strings.IndexByte(a.name, '}')+1:]
}

func (e *elem) get(name string) string {
	for i := range e.attrs {
		if e.attrs[i].name == name {
			return e.attrs[i].value
		}
	}
	return ""
}

func (e *elem) has(name string) bool {
	return slices.ContainsFunc(e.attrs, func(a attr) bool { return a.name == name })
}

// set writes an attribute that has no source.
func (e *elem) set(name, value string) *elem {
	for i := range e.attrs {
		if e.attrs[i].name == name {
			e.attrs[i].value = value
			return e
		}
	}
	e.attrs = append(e.attrs, attr{name: name, value: value, slot: none})
	return e
}

// add makes a child that has no source.
func (e *elem) add(local string) *elem {
	c := &elem{local: local}
	e.kids = append(e.kids, c)
	return c
}

func (e *elem) child(local string) *elem {
	for _, c := range e.kids {
		if c.local == local && c.space == "" {
			return c
		}
	}
	return nil
}

// bare reports whether an element says nothing.
func (e *elem) bare() bool { return len(e.attrs) == 0 && len(e.kids) == 0 && e.text == "" }

// prefixes binds the foreign namespaces of a source.
type prefixes struct {
	of   map[string]string // prefix by namespace
	used map[string]bool   // prefixes
}

func newPrefixes(docs []*jdf.Document) *prefixes {
	p := &prefixes{of: map[string]string{}, used: map[string]bool{"xml": true, "xsi": true, "": true}}
	for _, d := range docs {
		for n := range d.Elements() {
			for prefix, space := range n.Namespaces() {
				switch space {
				case jdf.NamespaceXSI, jdf.NamespaceXML, jdf.NamespaceJDF, jdf.NamespaceXJDF, "":
					continue
				}
				p.bind(prefix, space)
			}
		}
	}
	p.bind("jdf", jdf.NamespaceJDF)
	p.bind("xjdf", jdf.NamespaceXJDF)
	p.of[jdf.NamespaceXML] = "xml"
	p.of[jdf.NamespaceXSI] = "xsi"
	return p
}

func (p *prefixes) bind(prefix, space string) {
	if p.of[space] != "" {
		return
	}
	base := prefix
	if base == "" {
		base = "ns"
	}
	for i := 1; prefix == "" || p.used[prefix]; i++ {
		prefix = base + strconv.Itoa(i)
	}
	p.of[space], p.used[prefix] = prefix, true
}

func sorted[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}
