package job

import (
	"strings"

	"quoin/jdf"
)

// group is what all resources of an XJDF set, or of a JDF link, have in common.
// They are met one at a time, and none is kept: there may be many thousand.
type group struct {
	kind   string   // Media, NodeInfo, …
	usage  string   // Input, Output or "" when nothing says
	role   string   // ProcessUsage
	steps  []int    // positions among the Types of the node that it is for; none means not said
	link   jdf.Node // of JDF
	amount *Amounts // of a link; those of a set stand in its resources

	whole  jdf.Node // the XJDF set, or the JDF resource when all its leaves are meant
	chosen []leaf   // those that a link chooses from a JDF resource
	count  int      // of the leaves, or of the resources of the set

	ops []*Operation // that it is for; see prepare
	set setter       // nil for resources without parameters
}

// entry is one resource with what the ticket says of its use.
type entry struct {
	*group
	leaf   leaf
	amount *Amounts
}

// walk goes over resources, one entry at a time.
type walk struct {
	entry entry // the one visited, good for the visit alone
	visit func(*entry)

	keep  bool      // leaves are kept, and with them the levels around
	keys  *partKeys // of the resource; nil when it is not partitioned
	outer []*level  // around the leaf
}

// each visits the resources of a group.
func (d *decoder) each(g *group, visit func(*entry)) {
	w := &d.walk
	w.visit = visit
	w.entry.group, w.entry.amount = g, g.amount
	switch {
	case d.job.Document.Kind.Second():
		for r := range g.whole.ChildrenNamed("Resource") {
			w.entry.leaf, w.entry.amount = xjdfLeaf(r, g.kind), d.amountOf(r)
			visit(&w.entry)
		}
	case g.whole.Valid():
		w.leaves(g.whole)
	}
	for i := range g.chosen {
		w.entry.leaf = g.chosen[i]
		visit(&w.entry)
	}
}

// leaves visits the leaves of a JDF resource, in document order.
func (w *walk) leaves(resource jdf.Node) {
	w.keys = nil
	if names := strings.Fields(resource.Get("PartIDKeys")); names != nil {
		w.keys = &partKeys{names: names, top: resource}
	}
	w.entry.leaf = leaf{wrap: resource}
	w.inside(resource, nil, 0)
}

func (w *walk) inside(n jdf.Node, outer *level, depth int) {
	var v *level
	for c := range n.Children() {
		if !partition(c, n) {
			continue
		}
		if v == nil {
			v = w.level(depth)
			*v = level{element: n, outer: outer, holds: true}
		}
		w.inside(c, v, depth+1)
	}
	if v != nil {
		return
	}
	w.entry.leaf.level = level{element: n, outer: outer}
	if w.keys != nil {
		w.entry.leaf.part = Part{at: n, keys: w.keys}
	}
	w.visit(&w.entry)
}

// level is room for the level at a depth: that of the one before, whose leaves
// have been visited, unless they are kept.
func (w *walk) level(depth int) *level {
	if w.keep {
		return new(level)
	}
	if depth == len(w.outer) {
		w.outer = append(w.outer, new(level))
	}
	return w.outer[depth]
}
