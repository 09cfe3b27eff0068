package rules

import (
	"hash/maphash"
	"strings"

	"quoin/jdf"
)

// nodeTable finds elements by a hash of what they are known by. It keeps no more
// than that, in a few bytes each: a map of strings would take several times the
// room, and a large ticket has very many elements with an ID or a Part.
type nodeTable struct {
	slots []nodeSlot // a power of two of them, half of them free
	count int
}

type nodeSlot struct {
	hash uint32
	node int32 // index, or 0 for a free slot
}

// put finds the element of a hash that is the same as another, or takes in the
// other; it gives 0 then.
func (t *nodeTable) put(hash uint32, node int32, same func(int32) bool) int32 {
	t.expect(1)
	s := t.slot(hash, same)
	if s.node != 0 {
		return s.node
	}
	*s = nodeSlot{hash, node}
	t.count++
	return 0
}

// find is the element of a hash that is the one looked for, or 0.
func (t *nodeTable) find(hash uint32, same func(int32) bool) int32 {
	if t.count == 0 {
		return 0
	}
	return t.slot(hash, same).node
}

func (t *nodeTable) slot(hash uint32, same func(int32) bool) *nodeSlot {
	mask := uint32(len(t.slots) - 1)
	for i := hash & mask; ; i = (i + 1) & mask {
		if s := &t.slots[i]; s.node == 0 || s.hash == hash && same(s.node) {
			return s
		}
	}
}

// expect makes room for so many more elements.
func (t *nodeTable) expect(more int) {
	size := max(64, len(t.slots))
	for 2*(t.count+more) > size {
		size *= 2
	}
	if size == len(t.slots) {
		return
	}
	old := t.slots
	t.slots = make([]nodeSlot, size)
	for _, s := range old {
		if s.node != 0 {
			*t.slot(s.hash, func(int32) bool { return false }) = s
		}
	}
}

// forget empties the table. It keeps its room, unless clearing that for each of
// many small uses would take long.
func (t *nodeTable) forget() {
	const most = 1024
	if len(t.slots) > most {
		t.slots = nil
	}
	clear(t.slots)
	t.count = 0
}

// idTable finds elements by their ID.
type idTable struct {
	nodeTable
	doc  *jdf.Document
	seed maphash.Seed
}

// add takes in an ID, unless an element before has it.
func (t *idTable) add(id string, n jdf.Node) bool {
	return t.put(t.hash(id), int32(n.Index()), func(i int32) bool { return t.id(i) == id }) == 0
}

// of is the element of an ID; it is not valid when there is none.
func (t *idTable) of(id string) jdf.Node {
	return t.doc.Node(int(t.find(t.hash(id), func(i int32) bool { return t.id(i) == id })))
}

func (t *idTable) hash(id string) uint32 { return uint32(maphash.String(t.seed, id)) }

func (t *idTable) id(i int32) string { return strings.TrimSpace(t.doc.Node(int(i)).Get("ID")) }

// few lists the ids, or none when there are so many that looking for a near one
// would take long.
func (t *idTable) few() []string {
	if t.count > mostNear {
		return nil
	}
	var ids []string
	for _, s := range t.slots {
		if s.node != 0 {
			ids = append(ids, t.id(s.node))
		}
	}
	return ids
}

// partTable finds Part elements by their keys, in whatever order they are written.
type partTable struct {
	nodeTable
	seed maphash.Seed
}

// put finds the Part that says the same as another, or takes in the other; what
// it gives is not valid then.
func (t *partTable) put(part jdf.Node) jdf.Node {
	hash := uint64(0)
	for a := range part.Attrs() {
		if a.Name().Space == "" {
			hash += (maphash.String(t.seed, a.Value()) ^ uint64(a.NameID())) * 0x9E3779B97F4A7C15
		}
	}
	doc := part.Document()
	return doc.Node(int(t.nodeTable.put(uint32(hash>>32), int32(part.Index()), func(i int32) bool {
		return samePart(doc.Node(int(i)), part)
	})))
}

// samePart reports whether two Part elements have the same keys and values.
func samePart(a, b jdf.Node) bool {
	count := 0
	for k := range a.Attrs() {
		if k.Name().Space != "" {
			continue
		}
		if other := b.Attr(k.Local()); !other.Valid() || other.Value() != k.Value() {
			return false
		}
		count++
	}
	for k := range b.Attrs() {
		if k.Name().Space == "" {
			count--
		}
	}
	return count == 0
}
