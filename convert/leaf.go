package convert

import (
	"strings"

	"quoin/jdf"
)

// key is one partition key with its value and the slot of its attribute.
type key struct {
	attr jdf.Attr
	slot int32
}

func (k key) name() string  { return k.attr.Local() }
func (k key) value() string { return k.attr.Value() }

// leaf is one partition of a resource of the 1.x generation with what it
// inherits from the partitions around it.
type leaf struct {
	chain []jdf.Node // the leaf first, then outwards to the resource
	part  []key
	more  [][]key // parts of leaves that are the same by an Identical element
}

// leavesOf takes a resource apart into its leaves, in the order written. Leaves
// that only say that they are identical to others are added to those.
func (c *conv) leavesOf(r jdf.Node) []*leaf {
	keys := strings.Fields(r.Get("PartIDKeys"))
	var all, same []*leaf
	var walk func(chain []jdf.Node, part []key)
	walk = func(chain []jdf.Node, part []key) {
		n := chain[0]
		inner := false
		for p := range n.ChildrenNamed(n.Local()) {
			if p.Has("ID") {
				continue // a resource of its own that only shares the name
			}
			inner = true
			walk(append([]jdf.Node{p}, chain...), c.keysOf(p, keys, part))
		}
		l := &leaf{chain: chain, part: part}
		switch {
		case n.Child("Identical").Valid() && len(chain) > 1:
			same = append(same, l)
		case !inner:
			all = append(all, l)
		}
	}
	walk([]jdf.Node{r}, c.keysOf(r, keys, nil))
	for _, l := range same {
		c.identical(l, all)
	}
	return all
}

// keysOf adds the partition keys that an element sets.
func (c *conv) keysOf(n jdf.Node, keys []string, around []key) []key {
	part := around[:len(around):len(around)]
	at := c.led.of(n)
	for a := range n.Attrs() {
		at++
		for _, name := range keys {
			if a.Local() == name && a.Name().Space == "" {
				part = append(part, key{a, at})
			}
		}
	}
	return part
}

// identical gives the leaves that an Identical element names the part of the
// leaf that has it.
func (c *conv) identical(l *leaf, all []*leaf) {
	const why = "the Resource lists the part beside that of its twin there"
	twin := l.chain[0].Child("Identical").Child("Part")
	found := false
	for _, m := range all {
		if !m.within(twin) {
			continue
		}
		found = true
		var part []key
		for _, k := range m.part {
			if !twin.Has(k.name()) {
				part = append(part, k)
			}
		}
		m.more = append(m.more, append(part, l.part...))
	}
	if !found {
		c.led.loseAll(l.chain[0], "the part that it is identical to is not there")
		return
	}
	c.led.keep(c.led.of(l.chain[0]), why)
	c.keepAll(l.chain[0].Child("Identical"), why)
	const counts = "the partition that it is identical to counts"
	c.led.loseAll(l.chain[0], counts)
	for _, n := range l.chain[1:] {
		at := c.led.of(n)
		c.led.lose(at, counts)
		for range n.Attrs() {
			at++
			c.led.lose(at, counts)
		}
	}
}

// keepAll notes that an element with all in it is said in another way.
func (c *conv) keepAll(n jdf.Node, why string) {
	at := c.led.of(n)
	c.led.keep(at, why)
	if n.Kind() != jdf.KindElement {
		return
	}
	for range n.Attrs() {
		at++
		c.led.keep(at, why)
	}
	for p := range n.Content() {
		c.keepAll(p, why)
	}
}

// within reports whether a leaf lies in the part that an element names.
func (l *leaf) within(part jdf.Node) bool {
	for a := range part.Attrs() {
		v, ok := l.get(a.Local())
		if !ok || v != a.Value() {
			return false
		}
	}
	return true
}

// meets reports whether a leaf and a part have no key that differs.
func (l *leaf) meets(part jdf.Node) bool {
	for a := range part.Attrs() {
		if v, ok := l.get(a.Local()); ok && v != a.Value() {
			return false
		}
	}
	return true
}

func (l *leaf) get(name string) (string, bool) {
	for _, k := range l.part {
		if k.name() == name {
			return k.value(), true
		}
	}
	return "", false
}

func (l *leaf) agrees(m *leaf) bool {
	for _, k := range m.part {
		if v, ok := l.get(k.name()); ok && v != k.value() {
			return false
		}
	}
	return true
}

func (l *leaf) keyed(name string) bool { _, ok := l.get(name); return ok }
