package convert

import (
	"slices"
	"strconv"
	"strings"

	"github.com/beevik/etree"

	"quoin/jdf"
)

// elem is an element of the target with the slots of the source that went in.
type elem struct {
	space string // "" for the target's own namespace
	local string
	attrs []attr
	kids  []*elem
	text  string
	slots []int // of the element, and of text in it
}

type attr struct {
	space, name, value string
	slot               int
}

func (e *elem) get(name string) string {
	for i := range e.attrs {
		if e.attrs[i].name == name && e.attrs[i].space == "" {
			return e.attrs[i].value
		}
	}
	return ""
}

func (e *elem) has(name string) bool {
	return slices.ContainsFunc(e.attrs, func(a attr) bool { return a.name == name && a.space == "" })
}

// set writes an attribute that has no source.
func (e *elem) set(name, value string) *elem {
	for i := range e.attrs {
		if e.attrs[i].name == name && e.attrs[i].space == "" {
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

// document writes the tree with two spaces for each level. Foreign namespaces
// that are used, in names or as the prefix of a value, are declared at the root.
func (e *elem) document(namespace string, p *prefixes) *etree.Document {
	doc := etree.NewDocument()
	doc.CreateProcInst("xml", `version="1.0" encoding="UTF-8"`)
	need := map[string]bool{}
	w := writer{prefixes: p, need: need, namespace: namespace}
	root := w.element(e)
	doc.SetRoot(root)
	var declared []etree.Attr
	for _, space := range sorted(p.of) {
		prefix := p.of[space]
		if need[prefix] && space != namespace && prefix != "xml" {
			declared = append(declared, etree.Attr{Space: "xmlns", Key: prefix, Value: space})
		}
	}
	root.Attr = append(append([]etree.Attr{{Key: "xmlns", Value: namespace}}, declared...), root.Attr...)
	doc.Indent(2)
	return doc
}

type writer struct {
	*prefixes
	need      map[string]bool
	namespace string
}

func (w *writer) element(e *elem) *etree.Element {
	out := etree.NewElement(e.local)
	if e.space != "" && e.space != w.namespace {
		out.Space = w.of[e.space]
		w.need[out.Space] = true
	}
	for _, a := range e.attrs {
		key := etree.Attr{Key: a.name, Value: a.value}
		if a.space != "" {
			key.Space = w.of[a.space]
			w.need[key.Space] = true
		}
		if prefix, _, ok := strings.Cut(a.value, ":"); ok && (a.space == "" || a.space == jdf.NamespaceXSI) {
			w.mention(prefix)
		}
		out.Attr = append(out.Attr, key)
	}
	if e.text != "" {
		out.CreateText(e.text)
	}
	for _, c := range e.kids {
		out.AddChild(w.element(c))
	}
	return out
}

// mention declares a prefix that the last word before a colon names, as in a
// list of process types.
func (w *writer) mention(before string) {
	if i := strings.LastIndexAny(before, " \t"); i >= 0 {
		before = before[i+1:]
	}
	if w.used[before] && before != "" {
		w.need[before] = true
	}
}

func sorted[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}
