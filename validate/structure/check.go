package structure

import (
	"quoin/jdf"
	"quoin/schemas"
	"quoin/validate"
)

// Options say how to check. The zero Options judge a document by what it
// declares of itself.
type Options struct {
	// Version judges all by this version of the standard instead of the
	// declared ones. Default: the version that each node declares or inherits;
	// a document that declares none is not judged by version.
	Version jdf.Version
}

// Check holds a document against the dictionary and reports what it finds, in
// the order of the document but for what can only be told at the end of an
// element. It is safe for concurrent use on different documents. The document
// must have been read without faults.
func Check(doc *jdf.Document, opt Options, report func(validate.Finding)) {
	root := doc.Root()
	if !root.Valid() {
		return
	}
	c := &checker{doc: doc, names: doc.Names(), report: report, xsiTypeID: missing}
	if !c.open(root) {
		return
	}
	c.tables = spare.take(c.first)
	defer spare.giveBack(c.first, c.tables)
	c.locals = c.number(c.names)
	c.spaces = make([]space, len(c.names))
	for i, n := range c.names {
		c.spaces[i] = c.classify(n.Space)
		if c.spaces[i] == xsi && n.Local == "type" {
			c.xsiTypeID = i
		}
	}
	e := scope{}
	if !opt.Version.IsZero() {
		c.forced = true
		e.version = schemas.MakeVersion(opt.Version.Major, opt.Version.Minor)
	}
	global := c.set.Element(root.Local())
	if global == nil {
		c.unknownChild(root, jdf.Node{}, nil)
		return
	}
	if global.Abstract() {
		c.reportAbstract(root, global)
		return
	}
	c.element(root, global, e)
}

// checker is the state of checking one document.
type checker struct {
	doc       *jdf.Document
	names     []jdf.Name
	spaces    []space // of each name
	set       *schemas.Set
	first     bool   // it is that of the 1.x generation; the other is not even loaded
	namespace string // of the root, which counts as the generation's own
	forced    bool   // the version is given from outside
	xsiTypeID int    // of the name xsi:type, or missing
	report    func(validate.Finding)

	*tables
	locals   []int32  // number of each name in the tables
	counts   []uint16 // of children by symbol, for the elements being checked
	pools    map[string]*pool
	own, sub map[partKey]bool // what parts of resources have, themselves and inside
	guesses  guesses
}

// missing is the number in a cache of what the dictionary does not have.
const missing = -1

// scope is what an element hands down to those inside it.
type scope struct {
	version schemas.Version // 0 where none is declared
	links   *pool           // of the processes whose ResourceLinkPool comes next, or nil
	process *schemas.Type   // of the node whose ResourceLinkPool comes next, or nil
}

// typeInfo is what checking needs to know of a type, gathered once.
type typeInfo struct {
	*schemas.Type
	model    *schemas.Model
	span     schemas.Span
	required []int32 // indices of required attributes
	bit      []uint8 // of each attribute, 1 + its place in required
	root     bool    // a resource that may be partitioned
	leaf     bool    // a partition of one
	node     bool    // a JDF node
	message  bool    // a query, command, signal and so on
	versions bool    // Version on it is the version of the standard
}

// kid is a child as it stands in a type.
type kid struct {
	symbol  int
	element *schemas.Element
}

// open chooses the dictionary by the namespace of the root.
func (c *checker) open(root jdf.Node) bool {
	name := root.Name()
	c.namespace = name.Space
	want := name.Space
	switch {
	case name.Space == jdf.NamespaceJDF || name.Space == jdf.NamespaceXJDF:
	case name.Space == "" && isRoot(name.Local):
		want = meant("", name.Local)
		c.report(noNamespace.At(root.NamePlace(), fact("element", name.Local), fact("want", want)))
	case looksAlike(name.Space):
		want = meant(name.Space, name.Local)
		c.report(lookAlike.At(root.NamePlace(), fact("got", name.Space), fact("want", want)))
	default:
		c.report(unknownRoot.At(root.NamePlace(), fact("element", name.Local), fact("space", name.Space)))
		return false
	}
	c.first = want == jdf.NamespaceJDF
	if c.first {
		c.set = schemas.JDF()
	} else {
		c.set = schemas.XJDF()
	}
	return true
}

func isRoot(local string) bool {
	switch local {
	case "JDF", "JMF", "XJDF", "XJMF":
		return true
	}
	return false
}

func fact(name, value string) validate.Fact { return validate.Fact{Name: name, Value: value} }

// info is what is known of a type.
func (c *checker) info(t *schemas.Type) *typeInfo {
	id := t.ID()
	if id < len(c.types) && c.types[id] != nil {
		return c.types[id]
	}
	if id >= len(c.types) {
		c.types = append(c.types, make([]*typeInfo, id+64-len(c.types))...)
	}
	list := t.Attributes()
	in := &typeInfo{Type: t, model: t.Model(), span: t.Span(), bit: make([]uint8, len(list))}
	for i := range list {
		if list[i].Required {
			in.required = append(in.required, int32(i))
			in.bit[i] = uint8(len(in.required))
		}
	}
	in.root, in.leaf = c.derives(t, rootResource), c.derives(t, leafResource)
	in.node, in.message = c.derives(t, nodeType), c.derives(t, messageType)
	in.versions = in.node || in.message || c.derives(t, rootMessageType)
	c.types[id] = in
	return in
}

// The base types of resources in a pool and of their partitions, in the 1.x
// generation.
const (
	rootResource = "Resources"
	leafResource = "ResourcesLeaf"
)

// attribute finds the attribute of a type by name; -1 when there is none.
func (c *checker) attribute(in *typeInfo, nameID int) int {
	k := key(in.ID(), c.locals[nameID])
	if i, ok := c.attrs.get(k); ok {
		return int(i)
	}
	i := in.AttributeIndex(c.names[nameID].Local)
	c.attrs.put(k, int32(i))
	return i
}

// child finds a child of a type by name; nil when it may not stand there.
func (c *checker) child(in *typeInfo, nameID int) *kid {
	k := key(in.ID(), c.locals[nameID])
	i, ok := c.children.get(k)
	if !ok {
		i = missing
		if symbol, e := in.model.Child(c.names[nameID].Local); e != nil {
			i = int32(len(c.kids))
			c.kids = append(c.kids, kid{symbol, e})
		}
		c.children.put(k, i)
	}
	if i == missing {
		return nil
	}
	return &c.kids[i]
}
