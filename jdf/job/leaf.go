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
	*level          // the leaf itself
	wrap   jdf.Node // what holds id, amounts and status: the JDF resource, the XJDF Resource
	part   Part
}

// level is one element of a partitioned resource. All leaves inside share it.
type level struct {
	element jdf.Node
	outer   *level      // the partition around it; nil for the resource itself
	own     *[]jdf.Node // children that are no partitions; nil where they are not gathered
}

// nothing is what most leaves hold beside attributes.
var nothing = &[]jdf.Node{}

func leafOf(n jdf.Node) leaf { return leaf{level: &level{element: n}, wrap: n} }

// node is the innermost element.
func (l leaf) node() jdf.Node {
	if l.level == nil {
		return jdf.Node{}
	}
	return l.element
}

// with is the nearest element that has the attribute; readers take it, so that
// inheritance is settled in this one place.
func (l leaf) with(names ...string) jdf.Node {
	for v := l.level; v != nil; v = v.outer {
		for _, name := range names {
			if v.element.Has(name) {
				return v.element
			}
		}
	}
	return l.node()
}

// child is the first child of the name in the nearest element that has one.
func (l leaf) child(locals ...string) jdf.Node {
	for v := l.level; v != nil; v = v.outer {
		for _, local := range locals {
			for c := range v.inside() {
				if c.Is(local) {
					return c
				}
			}
		}
	}
	return jdf.Node{}
}

// inside walks the children of one level. A resource of many partitions is
// asked by each of its leaves, so that its few other children are gathered once.
func (v *level) inside() iter.Seq[jdf.Node] {
	if v.own != nil {
		return slices.Values(*v.own)
	}
	return v.element.Children()
}

// children are all children of the name in the nearest element that has any.
func (l leaf) children(local string) []jdf.Node {
	for v := l.level; v != nil; v = v.outer {
		var found []jdf.Node
		for c := range v.inside() {
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

// countLeaves counts the leaves of a JDF resource, for a partitioned one may
// have very many.
func countLeaves(n jdf.Node) int {
	count := 0
	for c := range n.Children() {
		if c.NameID() == n.NameID() && !c.Has("ID") {
			count += countLeaves(c)
		}
	}
	return max(count, 1)
}

// leaves takes a JDF resource apart into its leaves, in document order.
func leaves(resource jdf.Node) []leaf {
	keys := strings.Fields(resource.Get("PartIDKeys"))
	all := make([]leaf, 0, countLeaves(resource))
	var walk func(outer leaf, n jdf.Node)
	walk = func(outer leaf, n jdf.Node) {
		v := &level{element: n, outer: outer.level, own: nothing}
		var parts, others []jdf.Node
		for c := range n.Children() {
			// An ID marks a resource of its own that only shares the name.
			if c.NameID() == n.NameID() && !c.Has("ID") {
				parts = append(parts, c)
			} else {
				others = append(others, c)
			}
		}
		if others != nil {
			v.own = &others
		}
		l := leaf{level: v, wrap: resource, part: outer.part.with(n, keys)}
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
