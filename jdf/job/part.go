package job

import (
	"iter"
	"slices"
	"strings"

	"quoin/jdf"
)

// Part is a set of partition keys with their values, such as SheetName to S1.
// It never changes. The leaves of a partition share the keys of the elements
// around them, since a large ticket has very many leaves.
type Part struct{ last *partKey }

type partKey struct {
	outer       *partKey // the keys set before; those of the same name are hidden
	name, value string
}

// NewPart makes a part of names and values in turn.
func NewPart(pairs ...string) Part {
	var p Part
	for pair := range slices.Chunk(pairs, 2) {
		p = p.set(pair[0], pair[1])
	}
	return p
}

func (p Part) set(name, value string) Part { return Part{&partKey{p.last, name, value}} }

// Empty reports whether no key is set, so that the whole is meant.
func (p Part) Empty() bool { return p.last == nil }

// Get is the value of a key, or "" when it is not set.
func (p Part) Get(name string) string {
	value, _ := p.Lookup(name)
	return value
}

// Lookup is the value of a key, and whether it is set.
func (p Part) Lookup(name string) (value string, ok bool) {
	for k := p.last; k != nil; k = k.outer {
		if k.name == name {
			return k.value, true
		}
	}
	return "", false
}

// All gives each key and its value, those set last first.
func (p Part) All() iter.Seq2[string, string] {
	return func(yield func(string, string) bool) {
		for k := p.last; k != nil; k = k.outer {
			if !p.hides(k) && !yield(k.name, k.value) {
				return
			}
		}
	}
}

// hides reports whether a key of the same name was set after k.
func (p Part) hides(k *partKey) bool {
	for l := p.last; l != k; l = l.outer {
		if l.name == k.name {
			return true
		}
	}
	return false
}

// with adds the partition keys that an element sets.
func (p Part) with(n jdf.Node, keys []string) Part {
	for _, key := range keys {
		if a := n.Attr(key); a.Valid() {
			p = p.set(key, a.Value())
		}
	}
	return p
}

// and gives the keys of both; q wins.
func (p Part) and(q Part) Part {
	if p.Empty() {
		return q
	}
	for name, value := range q.All() {
		p = p.set(name, value)
	}
	return p
}

// without leaves keys out.
func (p Part) without(names ...string) Part {
	var rest Part
	for name, value := range p.All() {
		if !slices.Contains(names, name) {
			rest = rest.set(name, value)
		}
	}
	return rest
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
	var part Part
	var mixed []string
	for p := range n.ChildrenNamed("Part") {
		for a := range p.Attrs() {
			old, known := part.Lookup(a.Local())
			switch {
			case !known:
				part = part.set(a.Local(), a.Value())
			case old != a.Value():
				mixed = append(mixed, a.Local())
			}
		}
	}
	if mixed == nil {
		return part
	}
	return part.without(mixed...)
}
