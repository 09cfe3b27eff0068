package job

import (
	"iter"
	"slices"
	"strings"

	"quoin/jdf"
)

// Part is a set of partition keys with their values, such as SheetName to S1.
// It never changes. A large ticket has very many parts, so that one that stands
// in the ticket is kept as the element to read it from.
type Part struct {
	at   jdf.Node  // a Part element that stands alone, or a leaf of a partitioned resource
	keys *partKeys // nil for a Part element
}

// partKeys is what the parts of one resource have in common, or, for a part
// that no single element holds, its keys and values.
type partKeys struct {
	names []string  // the partition keys of the resource
	top   jdf.Node  // the resource, whose own keys count as well
	pairs []partKey // in the order set; those set before under the same name are hidden
}

type partKey struct{ name, value string }

// NewPart makes a part of names and values in turn.
func NewPart(pairs ...string) Part {
	var list []partKey
	for pair := range slices.Chunk(pairs, 2) {
		list = append(list, partKey{pair[0], pair[1]})
	}
	return listed(list)
}

func listed(pairs []partKey) Part {
	if len(pairs) == 0 {
		return Part{}
	}
	return Part{keys: &partKeys{pairs: pairs}}
}

// Empty reports whether no key is set, so that the whole is meant.
func (p Part) Empty() bool {
	if p.keys == nil {
		for range p.at.Attrs() {
			return false
		}
		return true
	}
	for range p.All() {
		return false
	}
	return true
}

// Get is the value of a key, or "" when it is not set.
func (p Part) Get(name string) string {
	value, _ := p.Lookup(name)
	return value
}

// Lookup is the value of a key, and whether it is set.
func (p Part) Lookup(name string) (value string, ok bool) {
	switch {
	case p.keys == nil:
		a := p.at.Attr(name)
		return a.Value(), a.Valid()
	case p.at.Valid():
		a := p.inherited(name)
		return a.Value(), a.Valid()
	}
	return find(p.keys.pairs, name)
}

func find(pairs []partKey, name string) (value string, ok bool) {
	for _, k := range slices.Backward(pairs) {
		if k.name == name {
			return k.value, true
		}
	}
	return "", false
}

// inherited is a key of a leaf, from the nearest element around it that sets it.
func (p Part) inherited(name string) jdf.Attr {
	if !slices.Contains(p.keys.names, name) {
		return jdf.Attr{}
	}
	for n := p.at; ; n = n.Parent() {
		if a := n.Attr(name); a.Valid() || n == p.keys.top {
			return a
		}
	}
}

// All gives each key and its value, those set last first.
func (p Part) All() iter.Seq2[string, string] {
	return func(yield func(string, string) bool) {
		switch {
		case p.keys == nil:
			for _, a := range slices.Backward(slices.Collect(p.at.Attrs())) {
				if !yield(a.Local(), a.Value()) {
					return
				}
			}
		case p.at.Valid():
			p.allInherited(yield)
		default:
			for i, k := range slices.Backward(p.keys.pairs) {
				if _, hidden := find(p.keys.pairs[i+1:], k.name); !hidden && !yield(k.name, k.value) {
					return
				}
			}
		}
	}
}

// allInherited gives the keys of a leaf, the innermost first.
func (p Part) allInherited(yield func(string, string) bool) {
	for n := p.at; ; n = n.Parent() {
		for i, name := range slices.Backward(p.keys.names) {
			a := n.Attr(name)
			if !a.Valid() || p.inherited(name) != a || slices.Contains(p.keys.names[i+1:], name) {
				continue
			}
			if !yield(name, a.Value()) {
				return
			}
		}
		if n == p.keys.top {
			return
		}
	}
}

// and gives the keys of both; q wins.
func (p Part) and(q Part) Part {
	switch {
	case p.Empty():
		return q
	case q.Empty():
		return p
	}
	pairs := p.pairs()
	slices.Reverse(pairs)
	return listed(append(pairs, q.pairs()...))
}

// pairs lists the keys, those set last first.
func (p Part) pairs() []partKey {
	var pairs []partKey
	for name, value := range p.All() {
		pairs = append(pairs, partKey{name, value})
	}
	return pairs
}

// without leaves keys out.
func (p Part) without(names ...string) Part {
	return listed(slices.DeleteFunc(p.pairs(), func(k partKey) bool { return slices.Contains(names, k.name) }))
}

// Meets reports whether the part lies within another, or the other within it:
// no key that both have differs. Process conditions such as Condition="Good"
// are about amounts, not about which piece is meant.
func (p Part) Meets(q Part) bool {
	for name, v := range p.All() {
		if w, ok := q.Lookup(name); ok && w != v && name != "Condition" {
			return false
		}
	}
	return true
}

// String lists the keys in order, as in "SheetName=S1 Side=Front".
func (p Part) String() string {
	var keys []string
	for name, value := range p.All() {
		keys = append(keys, name+"="+value)
	}
	slices.Sort(keys)
	return strings.Join(keys, " ")
}

// partOf gathers the partition keys of the Part children of an element. Where
// there are several, keys with one value in all of them are kept.
func partOf(n jdf.Node) Part {
	only := n.Child("Part")
	if plainPart(only) {
		return Part{at: only}
	}
	var pairs []partKey
	var mixed []string
	for p := range n.ChildrenNamed("Part") {
		for a := range p.Attrs() {
			old, known := find(pairs, a.Local())
			switch {
			case !known:
				pairs = append(pairs, partKey{a.Local(), a.Value()})
			case old != a.Value():
				mixed = append(mixed, a.Local())
			}
		}
	}
	if mixed == nil {
		return listed(pairs)
	}
	return listed(pairs).without(mixed...)
}

// plainPart reports whether a Part element says all by itself: no other stands
// beside it, and its attributes are told apart by their local names.
func plainPart(n jdf.Node) bool {
	for c := n.NextContent(); c.Valid(); c = c.NextContent() {
		if c.Is("Part") {
			return false
		}
	}
	for a := range n.Attrs() {
		if a.Name().Space != "" {
			return false
		}
	}
	return n.Valid()
}
