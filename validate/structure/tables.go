package structure

import (
	"strings"
	"sync"

	"quoin/jdf"
)

// tables keep what was looked up in a dictionary. They stay from one document
// to the next: tickets use the same few types and names again and again.
type tables struct {
	types    []*typeInfo      // by schemas.Type.ID
	names    map[string]int32 // local names met
	attrs    cache            // type, name -> index of the attribute, or missing
	children cache            // type, name -> index in kids, or missing
	kids     []kid
}

// keptNames is how many names tables may know and still be kept, so that
// documents full of invented names do not fill the memory.
const keptNames = 1 << 11

// kept holds the tables that nobody uses, for each of the two generations.
type kept struct{ first, second sync.Pool }

var spare kept

func (k *kept) pool(first bool) *sync.Pool {
	if first {
		return &k.first
	}
	return &k.second
}

// take gives tables to a checker of the first generation, or of the second.
func (k *kept) take(first bool) *tables {
	if t, ok := k.pool(first).Get().(*tables); ok {
		return t
	}
	return &tables{names: map[string]int32{}}
}

// giveBack takes tables that are no longer used.
func (k *kept) giveBack(first bool, t *tables) {
	if len(t.names) <= keptNames {
		k.pool(first).Put(t)
	}
}

// number tells the numbers of the local names of a document.
func (t *tables) number(names []jdf.Name) []int32 {
	ids := make([]int32, len(names))
	for i, n := range names {
		id, ok := t.names[n.Local]
		if !ok {
			id = int32(len(t.names))
			t.names[strings.Clone(n.Local)] = id
		}
		ids[i] = id
	}
	return ids
}
