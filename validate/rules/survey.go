package rules

import (
	"hash/maphash"
	"slices"

	"quoin/jdf"
)

// survey says which mistakes the partitions of a resource have, so that the
// rules about them need not walk each of the very many resources that have none.
type survey struct {
	wrong bool // a partition has no key, or not that of its level alone
	deep  bool // there are more levels than keys
	twice bool // two partitions of one parent have the same value
}

func (x *index) survey(root jdf.Node) survey {
	keys := x.partKeysOf(root)
	if !root.Has("PartIDKeys") {
		return survey{}
	}
	s, known := x.surveys[root]
	if !known {
		x.surveyLevel(root, root, keys, &s)
		x.surveys[root] = s
	}
	return s
}

// surveyLevel looks at the partitions of one parent; keys are those of their
// level and of the levels inside.
func (x *index) surveyLevel(parent, root jdf.Node, keys []string, s *survey) {
	first := true
	for c := range parent.ChildrenNamed(root.Local()) {
		if c.Has("ID") {
			continue
		}
		if len(keys) == 0 {
			s.deep = true
			return
		}
		s.wrong = s.wrong || !carriesOnly(c, keys[0], x.keys[root])
		if a := c.Attr(keys[0]); a.Valid() {
			if first {
				x.siblings.forget()
				first = false
			}
			s.twice = s.twice || x.sibling(a)
		}
	}
	for c := range parent.ChildrenNamed(root.Local()) {
		if !c.Has("ID") && c.FirstContent().Valid() {
			x.surveyLevel(c, root, keys[1:], s)
		}
	}
}

// sibling takes in the key of a partition, and reports whether one before has
// the same value.
func (x *index) sibling(key jdf.Attr) bool {
	value := key.Value()
	hash := uint32(maphash.String(x.ids.seed, value))
	return x.siblings.put(hash, int32(key.Owner().Index()), func(i int32) bool {
		return x.doc.Node(int(i)).Get(key.Local()) == value
	}) != 0
}

// carriesOnly reports whether an element has one partition key of those of the
// resource, and just that one.
func carriesOnly(n jdf.Node, want string, keys []string) bool {
	found, others := false, false
	for a := range n.Attrs() {
		if name := a.Name(); name.Space == "" && slices.Contains(keys, name.Local) && allPartitions[name.Local] {
			found = found || name.Local == want
			others = others || name.Local != want
		}
	}
	return found && !others
}
