package jdf

import "sync"

// Document is a ticket or message as read. It is immutable and safe for
// concurrent use.
type Document struct {
	Source   *Source
	Kind     Kind
	Version  Version // as declared on the root; zero when missing or not a version
	Encoding string  // what the bytes were encoded in, such as "UTF-8" or "windows-1252"

	nodes []node
	attrs []attr
	names []Name

	order    sync.Once
	ordinals []int32 // see path.go; made on the first question
}

// node is one element, text, comment or processing instruction. Links are
// indices into Document.nodes; node 0 is the document itself.
type node struct {
	name   int32
	parent int32
	first  int32 // first child, or 0
	next   int32 // next sibling, or 0
	attr   uint32
	attrs  uint16
	kind   NodeKind
	start  uint32 // of '<', or of the text
	inner  uint32 // just after the start tag's '>', or after the mark that opens other content
	end    uint32 // just after all of it, end tag or closing mark included
}

type attr struct {
	name       int32
	begin      uint32 // where the name starts, with the mark coded
	value, end uint32 // of the value, between the quotes
}

// coded marks an attribute whose value is not what is written: references and
// white space stand in it. Offsets have 31 bits.
const coded = 1 << 31

// start is where the name starts.
func (a *attr) start() int { return int(a.begin &^ coded) }

// text is the value as XML asks for it, out of the source text.
func (a *attr) text(source string) string {
	written := source[a.value:a.end]
	if a.begin&coded == 0 {
		return written
	}
	return decodeWith(written, false, ' ')
}

// NodeKind says what a Node is.
type NodeKind uint8

// The kinds of Node.
const (
	KindElement NodeKind = iota + 1
	KindText             // character data that is not white space only
	KindCDATA
	KindComment
	KindInstruction
)

// Root is the outermost element. It is not valid when the source had none.
func (d *Document) Root() Node {
	for n := range d.prolog() {
		if n.Kind() == KindElement {
			return n
		}
	}
	return Node{}
}

func (d *Document) prolog() func(yield func(Node) bool) {
	return Node{doc: d}.Content()
}

// Len is the number of nodes. Every Node.Index is below it.
func (d *Document) Len() int { return len(d.nodes) }

// Node returns the node of an index; it is not valid when there is none.
func (d *Document) Node(index int) Node {
	if index <= 0 || index >= len(d.nodes) {
		return Node{}
	}
	return Node{doc: d, id: int32(index)}
}

// Names lists the distinct names of the document; Node.NameID and Attr.NameID
// are indices into it.
func (d *Document) Names() []Name { return d.names }

// Elements walks all elements in document order.
func (d *Document) Elements() func(yield func(Node) bool) {
	return func(yield func(Node) bool) {
		for i := 1; i < len(d.nodes); i++ {
			if d.nodes[i].kind == KindElement && !yield(Node{doc: d, id: int32(i)}) {
				return
			}
		}
	}
}
