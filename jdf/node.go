package jdf

import "strings"

// Node is an element, or a piece of its content. The zero Node is not valid;
// its methods answer with zero values, so that a chain of questions about an
// absent element needs no checks between.
type Node struct {
	doc *Document
	id  int32
}

// Valid reports whether there is such a node.
func (n Node) Valid() bool { return n.doc != nil && n.id > 0 }

// Document is the document that the node belongs to.
func (n Node) Document() *Document { return n.doc }

// Index is the position of the node in document order, from 1.
func (n Node) Index() int { return int(n.id) }

// Kind says what the node is.
func (n Node) Kind() NodeKind {
	if !n.Valid() {
		return 0
	}
	return n.doc.nodes[n.id].kind
}

// Name is the expanded name of an element, or the target of a processing
// instruction as a local name.
func (n Node) Name() Name {
	if !n.Valid() || n.doc.nodes[n.id].name < 0 {
		return Name{}
	}
	return n.doc.names[n.doc.nodes[n.id].name]
}

// NameID is the index of the name in Document.Names, or -1 for text and comments.
func (n Node) NameID() int {
	if !n.Valid() {
		return -1
	}
	return int(n.doc.nodes[n.id].name)
}

// Local is the local part of the name.
func (n Node) Local() string { return n.Name().Local }

// Space is the namespace of the name.
func (n Node) Space() string { return n.Name().Space }

// Is reports whether the node is an element of the standard, of either
// generation, with one of the local names.
func (n Node) Is(locals ...string) bool {
	if !n.Valid() || n.doc.nodes[n.id].name < 0 {
		return false
	}
	name := &n.doc.names[n.doc.nodes[n.id].name]
	for _, l := range locals {
		if name.Local == l {
			return name.Space == NamespaceJDF || name.Space == NamespaceXJDF
		}
	}
	return false
}

// Parent is the enclosing element; it is not valid for the root.
func (n Node) Parent() Node {
	if !n.Valid() {
		return Node{}
	}
	return Node{n.doc, n.doc.nodes[n.id].parent}
}

// FirstContent is the first piece of content of any kind.
func (n Node) FirstContent() Node {
	if n.doc == nil {
		return Node{}
	}
	return Node{n.doc, n.doc.nodes[n.id].first}
}

// NextContent is the next sibling of any kind.
func (n Node) NextContent() Node {
	if !n.Valid() {
		return Node{}
	}
	return Node{n.doc, n.doc.nodes[n.id].next}
}

// Content walks all that the element holds, but for text of white space only.
func (n Node) Content() func(yield func(Node) bool) {
	return func(yield func(Node) bool) {
		for c := n.FirstContent(); c.Valid(); c = c.NextContent() {
			if !yield(c) {
				return
			}
		}
	}
}

// Children walks the child elements, of any namespace.
func (n Node) Children() func(yield func(Node) bool) {
	return func(yield func(Node) bool) {
		for c := n.FirstContent(); c.Valid(); c = c.NextContent() {
			if c.Kind() == KindElement && !yield(c) {
				return
			}
		}
	}
}

// ChildrenNamed walks the child elements of the standard with the local name.
func (n Node) ChildrenNamed(local string) func(yield func(Node) bool) {
	return func(yield func(Node) bool) {
		for c := range n.Children() {
			if c.Is(local) && !yield(c) {
				return
			}
		}
	}
}

// Child is the first child element of the standard with the local name.
func (n Node) Child(local string) Node {
	for c := range n.ChildrenNamed(local) {
		return c
	}
	return Node{}
}

// Find follows a chain of child names, taking the first of each.
func (n Node) Find(locals ...string) Node {
	for _, l := range locals {
		n = n.Child(l)
	}
	return n
}

// Text is the character data directly inside the element, or of the piece of
// text, comment or instruction itself, with references decoded. White space
// counts where there is something beside it: the text of an element that holds
// nothing but white space and other elements is "".
func (n Node) Text() string {
	if !n.Valid() {
		return ""
	}
	if n.Kind() != KindElement {
		return n.ownText()
	}
	first := n.FirstContent()
	if first.Kind() == KindText && !first.NextContent().Valid() {
		return first.ownText()
	}
	for c := range n.Content() {
		if c.Kind() == KindText || c.Kind() == KindCDATA {
			return n.mixedText()
		}
	}
	return ""
}

// mixedText joins pieces of text with the white space between them, which the
// arena does not keep.
func (n Node) mixedText() string {
	var out strings.Builder
	source := n.doc.Source.Text
	at := int(n.doc.nodes[n.id].inner)
	space := func(end int) {
		out.WriteString(decodeText(source[at:spaceEnd(source[:end], at)], true))
	}
	for c := range n.Content() {
		d := n.doc.nodes[c.id]
		space(int(d.start))
		if d.kind == KindText || d.kind == KindCDATA {
			out.WriteString(c.ownText())
		}
		at = int(d.end)
	}
	space(n.End())
	return out.String()
}

func (n Node) ownText() string {
	d := n.doc.nodes[n.id]
	raw := n.doc.Source.Text[d.inner : int(d.end)-closingMark(d.kind)]
	return decodeText(raw, d.kind != KindText)
}

// Depth is the number of elements around the node; the root has 0.
func (n Node) Depth() int {
	depth := 0
	for p := n.Parent(); p.Valid(); p = p.Parent() {
		depth++
	}
	return depth
}

// Lookup finds the namespace that a prefix is bound to at the node; "" asks
// for the default namespace.
func (n Node) Lookup(prefix string) (string, bool) {
	want := Name{namespaceXMLNS, prefix}
	switch prefix {
	case "":
		want.Local = "xmlns"
	case "xmlns":
		return namespaceXMLNS, true
	}
	for ; n.Valid(); n = n.Parent() {
		for a := range n.allAttrs() {
			if a.Name() == want {
				return a.Value(), true
			}
		}
	}
	if prefix == "xml" {
		return NamespaceXML, true
	}
	return "", prefix == ""
}

// Place is the start tag of an element, or the whole of other content.
func (n Node) Place() Place {
	if !n.Valid() {
		return Place{}
	}
	d := n.doc.nodes[n.id]
	p := Place{Source: n.doc.Source, Start: int(d.start), End: int(d.inner), node: n.id}
	if d.kind != KindElement {
		p.End = int(d.end)
		p.node = d.parent
	}
	return p
}

// NamePlace is the name in the start tag.
func (n Node) NamePlace() Place {
	p := n.Place()
	if n.Kind() == KindElement {
		p.Start++
		p.End = nameEnd(p.Source.Text, p.Start)
	}
	return p
}

// End is the byte offset just after the node.
func (n Node) End() int {
	if !n.Valid() {
		return 0
	}
	return int(n.doc.nodes[n.id].end)
}
