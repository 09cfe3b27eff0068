package profile

// shape is what is known of a set of nodes without looking at a document. The
// library may give a node twice, or nodes in other than document order; where
// that would tell, the expression is refused.
type shape struct {
	single   bool // at most one node
	nested   bool // nodes may stand inside each other
	doubled  bool // a node may come twice
	shuffled bool // nodes may come in another order
}

// along is the shape after a step along an axis; ok is false where the library
// would leave nodes out or judge brackets wrongly.
func (s shape) along(axis string) (to shape, ok bool) {
	many := !s.single
	switch axis {
	case "self":
	case "attribute":
		s.single = false
	case "child":
		s.shuffled = s.shuffled || s.nested
		s.single = false
	case "parent":
		s.doubled = s.doubled || many
		s.shuffled = s.shuffled || many
	case "descendant", "descendant-or-self":
		if s.nested || s.doubled {
			return s, false
		}
		s.single, s.nested = false, true
	case "following-sibling":
		return shape{}, !many
	default:
		return shape{nested: true, shuffled: axis != "following"}, !many
	}
	return s, true
}

// countable refuses a set that may hold a node twice.
func (p part) countable() *fault {
	if !p.doubled {
		return nil
	}
	return &fault{start: p.start, end: p.end,
		problem: "this may reach a node twice, and the count would be wrong",
		advice:  "name the nodes from the root with //, and say in brackets where they stand"}
}

// firstKnown refuses a set whose first node, which alone counts where a text or
// number is wanted, may not be the first of the document.
func (p part) firstKnown() *fault {
	if !p.doubled && !p.shuffled {
		return nil
	}
	return &fault{start: p.start, end: p.end,
		problem: "of this set only the first node counts here, and which one that is can not be told",
		advice:  "compare the set itself, or take a single node"}
}
