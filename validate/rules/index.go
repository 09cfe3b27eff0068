package rules

import (
	"hash/maphash"
	"slices"
	"strings"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/jdf/message"
)

// index is what the rules ask of a document, gathered in one walk: elements
// and attributes by name, ids and what refers to them, and the resources that
// processes are given. Its room is used again for the next document.
type index struct {
	doc   *jdf.Document
	names map[string]meaning // local names of the document
	roles []role             // by NameID

	first, last []int32   // by NameID: the outermost links of the chains of elements
	next        []int32   // by index of an element: the next of the same name, or 0
	owners      [][]int32 // by NameID of an attribute that rules ask for: indexes of elements

	ids    idTable
	twice  []jdf.Attr // ids given before; the first is in ids
	refers []referring
	nodes  []*node
	uses   []*use

	leafLists  map[jdf.Node][]int32            // see leaves
	leafRoom   []int32                         // what leafLists are cut out of
	byFirstKey map[jdf.Node]map[string][]int32 // see selected
	demands    map[string][]demand             // see demandsOf
	links      *linkTable                      // where demands come from
	sizes      map[*node]sheet                 // see sheetSize
	keys       map[jdf.Node][]string           // see partKeysOf
	surveys    map[jdf.Node]survey             // see survey
	parts      partTable                       // room for the Parts of one set
	siblings   nodeTable                       // room for the partitions of one level
	marks      []bool                          // room for a mark on each node
	useRoom    []use                           // what uses are cut out of

	mail  []*message.Message            // of a message
	steps map[jdf.Node][]*job.Operation // of the neutral Job, by the node that they are from
}

// meaning is what a local name stands for in a document: NameIDs and 1, or 0.
type meaning struct {
	element, other int32 // of the standard, in the one namespace and in the other
	attr           int32 // without namespace
}

// role says what the walk does with an element or attribute of a name.
type role uint8

const (
	roleOurs    role = 1 << iota // an element of the standard
	roleID                       // the attribute ID
	roleRefers                   // an attribute that names ids
	roleWatched                  // an attribute that rules ask for
)

func set(names ...string) map[string]bool {
	m := make(map[string]bool, len(names))
	for _, n := range names {
		m[n] = true
	}
	return m
}

func newIndex() *index {
	return &index{
		names: map[string]meaning{}, leafLists: map[jdf.Node][]int32{},
		byFirstKey: map[jdf.Node]map[string][]int32{}, demands: map[string][]demand{},
		sizes: map[*node]sheet{}, steps: map[jdf.Node][]*job.Operation{}, keys: map[jdf.Node][]string{},
		surveys: map[jdf.Node]survey{},
		ids:     idTable{seed: maphash.MakeSeed()}, parts: partTable{seed: maphash.MakeSeed()},
	}
}

// read takes in a document.
func (x *index) read(doc *jdf.Document, of *job.Job) {
	x.doc, x.ids.doc = doc, doc
	x.ids.expect(doc.Len() / 4) // as where each resource has one
	x.readNames()
	x.walk()
	x.resolve()
	x.readUses()
	if doc.Kind.Message() {
		x.mail = message.Decode(doc).Messages
	}
	for _, op := range of.Operations {
		x.steps[op.Node] = append(x.steps[op.Node], op)
	}
}

// forget empties the index and keeps its room.
func (x *index) forget() {
	clear(x.names)
	clear(x.leafLists)
	clear(x.byFirstKey)
	clear(x.demands)
	clear(x.sizes)
	clear(x.steps)
	clear(x.keys)
	clear(x.surveys)
	clear(x.uses)
	clear(x.nodes)
	clear(x.useRoom)
	x.useRoom = x.useRoom[:0]
	clear(x.twice)
	x.ids.forget()
	x.twice, x.refers, x.nodes, x.uses = x.twice[:0], x.refers[:0], x.nodes[:0], x.uses[:0]
	x.leafRoom = x.leafRoom[:0]
	x.doc, x.ids.doc, x.links, x.mail = nil, nil, nil, nil
}

// readNames sorts out the names of the document.
func (x *index) readNames() {
	names := x.doc.Names()
	x.roles, x.first, x.last = cleared(x.roles, len(names)), cleared(x.first, len(names)), cleared(x.last, len(names))
	x.owners = slices.Grow(x.owners[:0], len(names))[:len(names)]
	refers := refersJDF
	if x.doc.Kind.Second() {
		refers = refersXJDF
	}
	for i, name := range names {
		m := x.names[name.Local]
		switch {
		case name.Space == jdf.NamespaceJDF || name.Space == jdf.NamespaceXJDF:
			x.roles[i] = roleOurs
			if m.other = int32(i) + 1; m.element == 0 {
				m.element, m.other = m.other, 0
			}
		case name.Space == "":
			x.owners[i] = x.owners[i][:0]
			m.attr = int32(i) + 1
			if refers[name.Local] {
				x.roles[i] |= roleRefers
			}
			if watched[name.Local] {
				x.roles[i] |= roleWatched
			}
			if name.Local == "ID" {
				x.roles[i] |= roleID
			}
		default:
			continue
		}
		x.names[name.Local] = m
	}
}

// cleared is a slice of a length, all zero, in the room of another.
func cleared[T any](s []T, n int) []T {
	s = slices.Grow(s[:0], n)[:n]
	clear(s)
	return s
}

// walk goes over the elements.
func (x *index) walk() {
	x.next = slices.Grow(x.next[:0], x.doc.Len())[:x.doc.Len()]
	elsewhere := x.has(otherDocuments...)
	for n := range x.doc.Elements() {
		name := n.NameID()
		if x.roles[name]&roleOurs == 0 {
			continue
		}
		x.chain(name, int32(n.Index()))
		for a := range n.Attrs() {
			role := x.roles[a.NameID()]
			if role&roleID != 0 {
				x.define(a)
			}
			if role&roleWatched != 0 {
				x.owners[a.NameID()] = append(x.owners[a.NameID()], int32(n.Index()))
			}
			if role&roleRefers != 0 && inDocument(n, a.Local(), elsewhere) {
				x.refer(a)
			}
		}
	}
}

// chain adds an element to those of its name.
func (x *index) chain(name int, i int32) {
	if x.first[name] == 0 {
		x.first[name] = i
	} else {
		x.next[x.last[name]] = i
	}
	x.last[name], x.next[i] = i, 0
}

// has reports whether the document has elements of one of the names.
func (x *index) has(locals ...string) bool {
	return slices.ContainsFunc(locals, func(local string) bool { return x.names[local].element != 0 })
}

func (x *index) define(a jdf.Attr) {
	if !x.ids.add(strings.TrimSpace(a.Value()), a.Owner()) {
		x.twice = append(x.twice, a)
	}
}

// byID is the first element with an ID.
func (x *index) byID(id string) jdf.Node { return x.ids.of(id) }

// watched are the attributes that rules ask for by name, whatever element they
// stand on. Those of other names are not worth their room in the index.
var watched = set(slices.Concat(amountNames, boxNames, sizeNames, moments, durations, []string{
	"Activation", "AssemblyIDs", "BinderySignatureID", "BinderySignatureIDs", "BlockName", "BlockTrf", "CMYK",
	"CTM", "CombinedProcessIndex", "Density", "DocIndex", "FoldCatalog", "Gray", "ICSVersions", "JobPriority",
	"Lab", "LabColorValue", "MaxQueueSize", "NeutralDensity", "PageNumber", "PartIDKeys", "PercentCompleted",
	"Priority", "Range", "RelatedJobPartID", "RepeatTime", "ReturnJMF", "RunIndex", "SetIndex", "SheetIndex",
	"Transformation", "TrimCTM", "Unit", "WorkingPath", "ZoneSettingsX", "ZoneSettingsY", "sRGB",
})...)

// rarely walks the attributes of a name that is not among those watched.
func (p *pass) rarely(local string, yield func(jdf.Attr) bool) bool {
	for n := range p.doc.Elements() {
		if a := n.Attr(local); a.Valid() && ours(n) && !yield(a) {
			return false
		}
	}
	return true
}

// named walks the elements of the standard with one of the names.
func (p *pass) named(locals ...string) func(yield func(jdf.Node) bool) {
	x := p.index
	return func(yield func(jdf.Node) bool) {
		for _, local := range locals {
			m := x.names[local]
			for _, name := range [...]int32{m.element, m.other} {
				if name == 0 {
					continue
				}
				for i := x.first[name-1]; i != 0; i = x.next[i] {
					if !yield(x.doc.Node(int(i))) {
						return
					}
				}
			}
		}
	}
}

// having walks the attributes of one of the names, on elements of the standard.
// It is quick for the names that are watched.
func (p *pass) having(locals ...string) func(yield func(jdf.Attr) bool) {
	x := p.index
	return func(yield func(jdf.Attr) bool) {
		for _, local := range locals {
			name := x.names[local].attr
			if name == 0 {
				continue
			}
			if x.roles[name-1]&roleWatched == 0 {
				if !p.rarely(local, yield) {
					return
				}
				continue
			}
			for _, i := range x.owners[name-1] {
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
// same document; elsewhere says whether the document has any of otherDocuments.
// Those of messages are to what some other message or ticket
// holds, and capability evaluations speak of a device's own description.
func inDocument(n jdf.Node, attr string, elsewhere bool) bool {
	root := n.Document().Kind
	switch {
	case root.Message(), attr == "jRef":
		return false
	case attr == "refID", attr == "ref":
		// Audits refer to audits; a ticket that was split may have left the
		// earlier one behind, so that only the form can be held against it.
		return false
	}
	return !elsewhere || !up(n, otherDocuments...).Valid()
}

// otherDocuments are the elements that speak of other documents.
var otherDocuments = []string{
	"JMF", "BoolRef", "PreflightReport", "TestPool", "ActionPool", "SpawnedAudit", "Spawned", "Merged",
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
