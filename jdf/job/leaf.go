package job

import "quoin/jdf"

// leaf is one resource as a process meets it. In JDF it is a leaf of a
// partitioned resource, which inherits attributes and elements from the
// partitions around it; in XJDF it is the one element inside a Resource.
type leaf struct {
	level          // the leaf itself
	wrap  jdf.Node // what holds id, amounts and status: the JDF resource, the XJDF Resource
	part  Part
}

// level is one element of a partitioned resource. All leaves inside share those
// around them.
type level struct {
	element jdf.Node
	outer   *level     // the partition around it; nil for the resource itself
	holds   bool       // partitions
	own     []jdf.Node // of one that holds partitions, the other children; see inside

	gathered bool // own
}

func leafOf(n jdf.Node) leaf { return leaf{level: level{element: n}, wrap: n} }

// node is the innermost element.
func (l *leaf) node() jdf.Node { return l.element }

// with is the nearest element that has the attribute; readers take it, so that
// inheritance is settled in this one place.
func (l *leaf) with(name string) jdf.Node {
	for v := &l.level; v != nil; v = v.outer {
		if v.element.Has(name) {
			return v.element
		}
	}
	return l.node()
}

// child is the first child of the name in the nearest element that has one.
func (l *leaf) child(locals ...string) jdf.Node {
	for v := &l.level; v != nil; v = v.outer {
		for _, local := range locals {
			for c := range v.inside {
				if c.Is(local) {
					return c
				}
			}
		}
	}
	return jdf.Node{}
}

// inside walks the children of one level but for its partitions. A level around
// others is asked by each of the leaves in it, so that its few other children
// are gathered once.
func (v *level) inside(yield func(jdf.Node) bool) {
	if !v.holds {
		v.element.Children()(yield)
		return
	}
	if !v.gathered {
		v.gathered = true
		for c := range v.element.Children() {
			if !partition(c, v.element) {
				v.own = append(v.own, c)
			}
		}
	}
	for _, c := range v.own {
		if !yield(c) {
			return
		}
	}
}

// children are all children of the name in the nearest element that has any.
func (l *leaf) children(local string) []jdf.Node {
	for v := &l.level; v != nil; v = v.outer {
		var found []jdf.Node
		for c := range v.inside {
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

// partition reports whether an element is a partition of the one around it. An
// ID marks a resource of its own that only shares the name.
func partition(c, outer jdf.Node) bool { return c.NameID() == outer.NameID() && !c.Has("ID") }

// countLeaves counts the leaves of a JDF resource, for a partitioned one may
// have very many.
func countLeaves(n jdf.Node) int {
	count := 0
	for c := range n.Children() {
		if partition(c, n) {
			count += countLeaves(c)
		}
	}
	return max(count, 1)
}

// leaves takes a JDF resource apart into its leaves, in document order.
func leaves(resource jdf.Node) []leaf {
	all := make([]leaf, 0, countLeaves(resource))
	w := walk{keep: true, visit: func(e *entry) { all = append(all, e.leaf) }}
	w.leaves(resource)
	return all
}
