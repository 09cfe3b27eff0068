package rules

import (
	"strings"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/jdf/message"
)

// index is what the rules ask of a document, gathered in one walk: elements
// and attributes by name, ids and what refers to them, and the resources that
// processes are given.
type index struct {
	doc        *jdf.Document
	names      map[string][]int // local name of elements of the standard -> NameIDs
	attrNames  map[string]int   // local name of attributes without namespace -> NameID
	elements   [][]int32        // by NameID: indexes of nodes
	attributes [][]int32        // by NameID: indexes of owners

	ids    map[string]jdf.Node
	twice  []jdf.Attr // ids given before; the first is in ids
	refers []referring
	nodes  []*node
	uses   []*use

	leafLists  map[jdf.Node][]carrier            // see leaves
	byFirstKey map[jdf.Node]map[string][]carrier // see selected
	demands    map[string][]demand               // see demandsOf
	links      *linkTable                        // where demands come from
	sizes      map[*node]sheet                   // see sheetSize

	mail  *message.Envelope             // of a message; without messages for a ticket
	steps map[jdf.Node][]*job.Operation // of the neutral Job, by the node that they are from
}

// reference is one id that an attribute names.
type reference struct {
	attr jdf.Attr
	id   string
}

// referring is an attribute that names ids. It is kept small, for a large
// ticket has very many.
type referring struct{ owner, name int32 }

// references gives every id that an attribute names, in document order.
func (x *index) references(yield func(reference) bool) {
	names := x.doc.Names()
	for _, r := range x.refers {
		a := x.doc.Node(int(r.owner)).Attr(names[r.name].Local)
		for id := range strings.FieldsSeq(a.Value()) {
			if !yield(reference{a, id}) {
				return
			}
		}
	}
}

// The attributes of type IDREF and IDREFS of each generation.
// Source: the published schemas of JDF 1.x and XJDF 2.x.
var (
	refersJDF = set("ActionRef", "ActionRefs", "ContentDataRefs", "ContentRef", "ContentRefs", "DependentMacroRef",
		"DevCapRef", "DevCapRefs", "DevCapsRef", "KnockoutRefs", "MacroRefs", "ModuleRefs", "SetRef", "TestRef",
		"jRef", "rRef", "rRefs", "rRefsROCopied", "rRefsRWCopied", "rSubRef", "ref", "refID", "rRefsOverwritten")
	refersXJDF = set("ChildRef", "ChildRefs", "ComponentRef", "ContactRef", "ContactRefs", "Container", "ContentRef",
		"ContentRefs", "DieLayoutRef", "FilmRef", "GlueRef", "ItemRef", "KnockoutRefs", "MediaRef", "PaperRef",
		"PlateRef", "PositionRef", "ProofPaperRef", "RunListRef", "ShapeDefRef", "ToolRef", "rRef")
)

func set(names ...string) map[string]bool {
	m := make(map[string]bool, len(names))
	for _, n := range names {
		m[n] = true
	}
	return m
}

func newIndex(doc *jdf.Document, of *job.Job) *index {
	x := &index{
		doc: doc, names: map[string][]int{}, attrNames: make(map[string]int, len(doc.Names())),
		leafLists: map[jdf.Node][]carrier{}, byFirstKey: map[jdf.Node]map[string][]carrier{},
		demands: map[string][]demand{}, sizes: map[*node]sheet{},
	}
	refers := refersJDF
	if doc.Kind.Second() {
		refers = refersXJDF
	}
	refs := make([]bool, len(doc.Names()))
	idName := -1
	for i, name := range doc.Names() {
		switch {
		case name.Space == jdf.NamespaceJDF || name.Space == jdf.NamespaceXJDF:
			x.names[name.Local] = append(x.names[name.Local], i)
		case name.Space == "":
			x.attrNames[name.Local] = i
			refs[i] = refers[name.Local]
			if name.Local == "ID" {
				idName = i
			}
		}
	}
	x.walk(refs, idName)
	x.readUses()
	x.mail = message.Decode(doc)
	x.steps = make(map[jdf.Node][]*job.Operation, len(of.Operations))
	for _, op := range of.Operations {
		x.steps[op.Node] = append(x.steps[op.Node], op)
	}
	return x
}

// walk goes over the elements; refs says for each name whether attributes of it
// refer to ids, idName is the name of ids or -1.
func (x *index) walk(refs []bool, idName int) {
	x.makeRoom(refs, idName)
	for n := range x.doc.Elements() {
		if !ours(n) {
			continue
		}
		x.elements[n.NameID()] = append(x.elements[n.NameID()], int32(n.Index()))
		for a := range n.Attrs() {
			name := a.NameID()
			x.attributes[name] = append(x.attributes[name], int32(n.Index()))
			switch {
			case name == idName:
				x.define(a)
			case refs[name] && inDocument(n, a.Local()):
				x.refers = append(x.refers, referring{int32(n.Index()), int32(name)})
			}
		}
	}
}

// makeRoom counts what walk will find, and cuts the lists of all names out of
// one array.
func (x *index) makeRoom(refs []bool, idName int) {
	names := len(x.doc.Names())
	elements, attributes := make([]int, names), make([]int, names)
	total, refer := 0, 0
	for n := range x.doc.Elements() {
		if !ours(n) {
			continue
		}
		elements[n.NameID()]++
		total++
		for a := range n.Attrs() {
			attributes[a.NameID()]++
			if refs[a.NameID()] {
				refer++
			}
			total++
		}
	}
	room := make([]int32, total)
	cut := func(counts []int) [][]int32 {
		lists := make([][]int32, names)
		for i, n := range counts {
			lists[i], room = room[:0:n], room[n:]
		}
		return lists
	}
	x.elements, x.attributes = cut(elements), cut(attributes)
	x.refers = make([]referring, 0, refer)
	ids := 0
	if idName >= 0 {
		ids = attributes[idName]
	}
	x.ids = make(map[string]jdf.Node, ids)
}

func (x *index) define(a jdf.Attr) {
	id := strings.TrimSpace(a.Value())
	if _, taken := x.ids[id]; taken {
		x.twice = append(x.twice, a)
		return
	}
	x.ids[id] = a.Owner()
}

// named walks the elements of the standard with one of the names.
func (p *pass) named(locals ...string) func(yield func(jdf.Node) bool) {
	x := p.index
	return func(yield func(jdf.Node) bool) {
		for _, local := range locals {
			for _, name := range x.names[local] {
				for _, i := range x.elements[name] {
					if !yield(x.doc.Node(int(i))) {
						return
					}
				}
			}
		}
	}
}

// having walks the attributes of one of the names, on elements of the standard.
func (p *pass) having(locals ...string) func(yield func(jdf.Attr) bool) {
	x := p.index
	return func(yield func(jdf.Attr) bool) {
		for _, local := range locals {
			name, ok := x.attrNames[local]
			if !ok {
				continue
			}
			for _, i := range x.attributes[name] {
				if !yield(x.doc.Node(int(i)).Attr(local)) {
					return
				}
			}
		}
	}
}

func ours(n jdf.Node) bool {
	space := n.Space()
	return space == jdf.NamespaceJDF || space == jdf.NamespaceXJDF
}

// inDocument reports whether the references of an element are to ids of the
// same document. Those of messages are to what some other message or ticket
// holds, and capability evaluations speak of a device's own description.
func inDocument(n jdf.Node, attr string) bool {
	root := n.Document().Kind
	switch {
	case root.Message(), attr == "jRef":
		return false
	case attr == "refID", attr == "ref":
		// Audits refer to audits; a ticket that was split may have left the
		// earlier one behind, so that only the form can be held against it.
		return false
	}
	for p := n; p.Valid(); p = p.Parent() {
		if p.Is("JMF", "BoolRef", "PreflightReport", "TestPool", "ActionPool", "SpawnedAudit", "Spawned", "Merged") {
			return false
		}
	}
	return true
}

func attrName(a jdf.Attr) string { return a.Owner().Local() + "/@" + a.Local() }

func article(word string) string {
	if word != "" && strings.ContainsRune("AEIOU", rune(word[0])) {
		return "an"
	}
	return "a"
}

// up is the nearest element around n, or n itself, with one of the names.
func up(n jdf.Node, locals ...string) jdf.Node {
	for n.Valid() && !n.Is(locals...) {
		n = n.Parent()
	}
	return n
}
