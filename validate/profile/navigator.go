package profile

import (
	"strings"

	"github.com/antchfx/xpath"

	"quoin/jdf"
)

// tree is what the navigators of one document share. It is not safe for
// concurrent use.
type tree struct {
	doc      *jdf.Document
	previous []int32 // sibling before each node, by index; made when first asked for
	left     int     // steps that may still be taken
}

// exhausted stops an evaluation that has used up its steps.
type exhausted struct{}

// The steps that evaluation may take over one document for all clauses of a
// profile: so many, and so many more for each node. A step is a move from node
// to node, or the making of a value of up to 64 bytes.
const (
	stepsAtLeast = 2_000_000
	stepsPerNode = 200
)

func newTree(doc *jdf.Document) *tree {
	return &tree{doc: doc, left: stepsAtLeast + stepsPerNode*doc.Len()}
}

func (t *tree) spend(steps int) {
	if t.left -= steps; t.left < 0 {
		panic(exhausted{})
	}
}

// before is the sibling before a node.
func (t *tree) before(n jdf.Node) jdf.Node {
	if t.previous == nil {
		t.previous = make([]int32, t.doc.Len())
		for i := range t.doc.Len() {
			if next := t.doc.Node(i).NextContent(); next.Valid() {
				t.previous[next.Index()] = int32(i)
			}
		}
	}
	return t.doc.Node(int(t.previous[n.Index()]))
}

// navigator walks a document for the library. A node that is not valid is the
// document itself. Processing instructions are passed over.
//
// Elements of the standard and attributes without namespace have no prefix,
// however the ticket writes them, so that expressions name them plainly.
type navigator struct {
	tree  *tree
	node  jdf.Node
	attrs []jdf.Attr // of the node; read when first asked for
	at    int        // index of the attribute after the current one; 0 on the node itself
}

var _ xpath.NodeNavigator = (*navigator)(nil)

func (n *navigator) attr() (jdf.Attr, bool) {
	if n.at == 0 {
		return jdf.Attr{}, false
	}
	return n.attrs[n.at-1], true
}

// NodeType is the kind of the current node.
func (n *navigator) NodeType() xpath.NodeType {
	if n.at > 0 {
		return xpath.AttributeNode
	}
	switch n.node.Kind() {
	case jdf.KindElement:
		return xpath.ElementNode
	case jdf.KindText, jdf.KindCDATA:
		return xpath.TextNode
	case jdf.KindComment:
		return xpath.CommentNode
	}
	return xpath.RootNode
}

func (n *navigator) name() jdf.Name {
	if a, ok := n.attr(); ok {
		return a.Name()
	}
	return n.node.Name()
}

// LocalName is the name without prefix.
func (n *navigator) LocalName() string { return n.name().Local }

// NamespaceURL is the namespace of the name.
func (n *navigator) NamespaceURL() string { return n.name().Space }

// Prefix is empty for what is named plainly.
func (n *navigator) Prefix() string {
	name, place := n.name(), jdf.Place{}
	if a, ok := n.attr(); ok {
		if name.Space == "" {
			return ""
		}
		place = a.NamePlace()
	} else {
		if n.node.Kind() != jdf.KindElement || name.Space == jdf.NamespaceJDF || name.Space == jdf.NamespaceXJDF {
			return ""
		}
		place = n.node.NamePlace()
	}
	prefix, _, ok := strings.Cut(place.Source.Text[place.Start:place.End], ":")
	if !ok {
		return "*" // no plain name: it is not of the standard
	}
	return prefix
}

// Value is the string value, after XPath 1.0, section 5.
func (n *navigator) Value() string {
	value := ""
	if a, ok := n.attr(); ok {
		value = a.Value()
	} else {
		node := n.node
		if !node.Valid() {
			node = n.tree.doc.Root()
		}
		value = n.text(node)
	}
	n.tree.spend(1 + len(value)/64)
	return value
}

// text joins all text inside an element.
func (n *navigator) text(node jdf.Node) string {
	if node.Kind() != jdf.KindElement {
		return node.Text()
	}
	inner := false
	for range node.Children() {
		inner = true
		break
	}
	if !inner {
		return node.Text()
	}
	var out strings.Builder
	last := node.End()
	for i := node.Index() + 1; i < n.tree.doc.Len(); i++ {
		c := n.tree.doc.Node(i)
		if c.Place().Start >= last {
			break
		}
		n.tree.spend(1)
		if c.Kind() == jdf.KindText || c.Kind() == jdf.KindCDATA {
			out.WriteString(c.Text())
		}
	}
	return out.String()
}

// Copy is another navigator at the same node.
func (n *navigator) Copy() xpath.NodeNavigator {
	c := *n
	return &c
}

func (n *navigator) move(to jdf.Node) {
	n.tree.spend(1)
	n.node, n.attrs, n.at = to, nil, 0
}

// MoveToRoot moves to the document.
func (n *navigator) MoveToRoot() { n.move(jdf.Node{}) }

// MoveToParent moves to the enclosing node, or to the element of an attribute.
func (n *navigator) MoveToParent() bool {
	switch {
	case n.at > 0:
		n.at = 0
	case !n.node.Valid():
		return false
	default:
		n.move(n.node.Parent())
	}
	return true
}

// MoveToNextAttribute moves to the first attribute, or from one to the next.
func (n *navigator) MoveToNextAttribute() bool {
	if n.attrs == nil {
		for a := range n.node.Attrs() {
			n.attrs = append(n.attrs, a)
		}
		n.tree.spend(1 + len(n.attrs))
	}
	if n.at >= len(n.attrs) {
		return false
	}
	n.tree.spend(1)
	n.at++
	return true
}

// skip passes over processing instructions.
func skip(c jdf.Node, step func(jdf.Node) jdf.Node) jdf.Node {
	for c.Kind() == jdf.KindInstruction {
		c = step(c)
	}
	return c
}

// to moves to a node, if there is one.
func (n *navigator) to(c jdf.Node) bool {
	if c.Valid() {
		n.move(c)
	}
	return c.Valid()
}

// MoveToChild moves to the first node inside the current one.
func (n *navigator) MoveToChild() bool {
	switch {
	case n.at > 0:
		return false
	case !n.node.Valid():
		return n.to(n.tree.doc.Root())
	}
	return n.to(skip(n.node.FirstContent(), jdf.Node.NextContent))
}

// siblings tells whether the current node can have siblings. What stands
// beside the root element is not looked at.
func (n *navigator) siblings() bool { return n.at == 0 && n.node.Parent().Valid() }

// MoveToFirst moves to the first sibling.
func (n *navigator) MoveToFirst() bool {
	return n.siblings() && n.to(skip(n.node.Parent().FirstContent(), jdf.Node.NextContent))
}

// MoveToNext moves to the next sibling.
func (n *navigator) MoveToNext() bool {
	return n.siblings() && n.to(skip(n.node.NextContent(), jdf.Node.NextContent))
}

// MoveToPrevious moves to the sibling before.
func (n *navigator) MoveToPrevious() bool {
	return n.siblings() && n.to(skip(n.tree.before(n.node), n.tree.before))
}

// MoveTo moves to where another navigator is.
func (n *navigator) MoveTo(other xpath.NodeNavigator) bool {
	o, ok := other.(*navigator)
	if ok {
		*n = *o
	}
	return ok
}
