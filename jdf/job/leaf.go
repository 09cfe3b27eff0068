package job

import (
	"iter"
	"slices"
	"strings"

	"quoin/jdf"
)

// leaf is one resource as a process meets it. In JDF it is a leaf of a
// partitioned resource, which inherits attributes and elements from the
// partitions around it; in XJDF it is the one element inside a Resource.
type leaf struct {
	chain []jdf.Node   // the leaf first, then outwards to the resource itself
	own   [][]jdf.Node // children of each that are no partitions; nil where not gathered
	wrap  jdf.Node     // what holds id, amounts and status: the JDF resource, the XJDF Resource
	part  Part
}

func leafOf(n jdf.Node) leaf { return leaf{chain: []jdf.Node{n}, wrap: n} }

// node is the innermost element.
func (l leaf) node() jdf.Node {
	if len(l.chain) == 0 {
		return jdf.Node{}
	}
	return l.chain[0]
}

// with is the nearest element that has the attribute; readers take it, so that
// inheritance is settled in this one place.
func (l leaf) with(names ...string) jdf.Node {
	for _, n := range l.chain {
		for _, name := range names {
			if n.Has(name) {
				return n
			}
		}
	}
	return l.node()
}

// child is the first child of the name in the nearest element that has one.
func (l leaf) child(locals ...string) jdf.Node {
	for i := range l.chain {
		for _, local := range locals {
			for c := range l.inside(i) {
				if c.Is(local) {
					return c
				}
			}
		}
	}
	return jdf.Node{}
}

// inside walks the children of one element of the chain. A resource of many
// partitions is asked by each of its leaves, so that its few other children
// are gathered once.
func (l leaf) inside(i int) iter.Seq[jdf.Node] {
	if l.own != nil {
		return slices.Values(l.own[i])
	}
	return l.chain[i].Children()
}

// children are all children of the name in the nearest element that has any.
func (l leaf) children(local string) []jdf.Node {
	for i := range l.chain {
		var found []jdf.Node
		for c := range l.inside(i) {
			if c.Is(local) {
				found = append(found, c)
			}
		}
		if found != nil {
			return found
		}
	}
	return nil
}

// leaves takes a JDF resource apart into its leaves, in document order.
func leaves(resource jdf.Node) []leaf {
	keys := strings.Fields(resource.Get("PartIDKeys"))
	var all []leaf
	var walk func(outer leaf, n jdf.Node)
	walk = func(outer leaf, n jdf.Node) {
		var parts, others []jdf.Node
		for c := range n.Children() {
			// An ID marks a resource of its own that only shares the name.
			if c.Local() == n.Local() && c.Space() == n.Space() && !c.Has("ID") {
				parts = append(parts, c)
			} else {
				others = append(others, c)
			}
		}
		l := leaf{
			chain: append([]jdf.Node{n}, outer.chain...),
			own:   append([][]jdf.Node{others}, outer.own...),
			wrap:  resource, part: outer.part.with(n, keys),
		}
		for _, c := range parts {
			walk(l, c)
		}
		if parts == nil {
			all = append(all, l)
		}
	}
	walk(leaf{}, resource)
	return all
}

// with adds the partition keys that an element sets.
func (p Part) with(n jdf.Node, keys []string) Part {
	next := p
	for _, key := range keys {
		a := n.Attr(key)
		if !a.Valid() {
			continue
		}
		if next.same(p) {
			next = p.clone()
		}
		next[key] = a.Value()
	}
	return next
}

func (p Part) clone() Part {
	c := make(Part, len(p)+1)
	for k, v := range p {
		c[k] = v
	}
	return c
}

func (p Part) same(q Part) bool {
	if len(p) != len(q) {
		return false
	}
	for k, v := range p {
		if w, ok := q[k]; !ok || w != v {
			return false
		}
	}
	return true
}

// Meets reports whether the part lies within another, or the other within it:
// no key that both have differs. Process conditions such as Condition="Good"
// are about amounts, not about which piece is meant.
func (p Part) Meets(q Part) bool {
	for k, v := range p {
		if w, ok := q[k]; ok && w != v && k != "Condition" {
			return false
		}
	}
	return true
}

// String lists the keys in order, as in "SheetName=S1 Side=Front".
func (p Part) String() string {
	keys := make([]string, 0, len(p))
	for k := range p {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	for i, k := range keys {
		keys[i] = k + "=" + p[k]
	}
	return strings.Join(keys, " ")
}
