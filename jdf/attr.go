package jdf

// Attr is an attribute. The zero Attr is not valid, and has the value "".
type Attr struct {
	owner Node
	id    uint32
}

// allAttrs walks the attributes with the namespace declarations among them.
func (n Node) allAttrs() func(yield func(Attr) bool) {
	return func(yield func(Attr) bool) {
		if n.Kind() != KindElement {
			return
		}
		d := &n.doc.nodes[n.id]
		for i := d.attr; i < d.attr+uint32(d.attrs); i++ {
			if !yield(Attr{n, i}) {
				return
			}
		}
	}
}

// Attrs walks the attributes in the order written, without namespace declarations.
func (n Node) Attrs() func(yield func(Attr) bool) {
	return func(yield func(Attr) bool) {
		for a := range n.allAttrs() {
			if a.Name().Space != namespaceXMLNS && !yield(a) {
				return
			}
		}
	}
}

// Namespaces walks the namespace declarations of the element: prefix and
// namespace; the default namespace has the prefix "".
func (n Node) Namespaces() func(yield func(prefix, space string) bool) {
	return func(yield func(string, string) bool) {
		for a := range n.allAttrs() {
			name := a.Name()
			if name.Space != namespaceXMLNS {
				continue
			}
			if name.Local == "xmlns" {
				name.Local = ""
			}
			if !yield(name.Local, a.Value()) {
				return
			}
		}
	}
}

// Attr is the attribute without namespace of that name.
func (n Node) Attr(local string) Attr { return n.AttrNS("", local) }

// AttrNS is the attribute of an expanded name.
func (n Node) AttrNS(space, local string) Attr {
	if n.Kind() != KindElement {
		return Attr{}
	}
	// Everything passes through this loop, so that it is written out.
	d := &n.doc.nodes[n.id]
	for i, a := range n.doc.attrs[d.attr : d.attr+uint32(d.attrs)] {
		if name := &n.doc.names[a.name]; name.Local == local && name.Space == space {
			return Attr{n, d.attr + uint32(i)}
		}
	}
	return Attr{}
}

// Get is the value of the attribute without namespace, or "".
func (n Node) Get(local string) string { return n.Attr(local).Value() }

// Has reports whether the element has the attribute without namespace.
func (n Node) Has(local string) bool { return n.Attr(local).Valid() }

// Valid reports whether there is such an attribute.
func (a Attr) Valid() bool { return a.owner.Valid() }

// Owner is the element that has the attribute.
func (a Attr) Owner() Node { return a.owner }

// Name is the expanded name.
func (a Attr) Name() Name {
	if !a.Valid() {
		return Name{}
	}
	return a.owner.doc.names[a.raw().name]
}

// NameID is the index of the name in Document.Names.
func (a Attr) NameID() int {
	if !a.Valid() {
		return -1
	}
	return int(a.raw().name)
}

// Local is the local part of the name.
func (a Attr) Local() string { return a.Name().Local }

func (a Attr) raw() *attr { return &a.owner.doc.attrs[a.id] }

// Value is the value with references decoded and white space normalised as XML
// asks: each tab and line end is a space.
func (a Attr) Value() string {
	if !a.Valid() {
		return ""
	}
	return a.raw().text(a.owner.doc.Source.Text)
}

// Place is the value between its quotes.
func (a Attr) Place() Place {
	if !a.Valid() {
		return Place{}
	}
	r := a.raw()
	return a.place(int(r.value), int(r.end))
}

// NamePlace is the name of the attribute.
func (a Attr) NamePlace() Place {
	if !a.Valid() {
		return Place{}
	}
	start := a.raw().start()
	return a.place(start, nameEnd(a.owner.doc.Source.Text, start))
}

func (a Attr) place(start, end int) Place {
	return Place{
		Source: a.owner.doc.Source, Start: start, End: end,
		node: a.owner.id, attr: int32(a.id) + 1,
	}
}
