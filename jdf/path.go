package jdf

import (
	"slices"
	"strconv"
	"strings"
)

// Path names an element from the root, as in /JDF/ResourcePool/Media[2]. An
// index is given where there are several siblings of the name.
func (n Node) Path() string {
	if n.Valid() && n.Kind() != KindElement {
		n = n.Parent()
	}
	var steps []string
	for ; n.Valid(); n = n.Parent() {
		step := n.Local()
		if at := n.ordinal(); at > 0 {
			step += "[" + strconv.Itoa(at) + "]"
		}
		steps = append(steps, step)
	}
	if steps == nil {
		return ""
	}
	slices.Reverse(steps)
	return "/" + strings.Join(steps, "/")
}

// ordinal counts the siblings of the same name up to the element, from 1; it
// is 0 for the only one.
func (n Node) ordinal() int {
	n.doc.order.Do(n.doc.countSiblings)
	return int(n.doc.ordinals[n.id])
}

// countSiblings numbers all elements at once: counting at each question would
// take the square of the time on a pool of many thousand resources.
func (d *Document) countSiblings() {
	type tally struct{ parent, first, count int32 }
	tallies := make([]tally, len(d.names)) // by name
	for i := range tallies {
		tallies[i].parent = -1
	}
	d.ordinals = make([]int32, len(d.nodes))
	for parent := range d.nodes {
		for c := d.nodes[parent].first; c != 0; c = d.nodes[c].next {
			if d.nodes[c].kind != KindElement {
				continue
			}
			t := &tallies[d.nodes[c].name]
			if t.parent != int32(parent) {
				*t = tally{parent: int32(parent), first: c, count: 1}
				continue
			}
			t.count++
			d.ordinals[t.first] = 1
			d.ordinals[c] = t.count
		}
	}
}
