package structure

// cache keeps small numbers by type and name, so that each pair of them is
// looked up in the dictionary once. It grows with the pairs met,
// never with what could be met.
type cache struct {
	keys   []uint64 // type and name, plus one; 0 is free
	values []int32
	used   int
}

func key(typeID int, nameID int32) uint64 { return uint64(typeID)<<32 | uint64(uint32(nameID)) + 1 }

// get finds the number of a key.
func (c *cache) get(k uint64) (int32, bool) {
	if len(c.keys) == 0 {
		return 0, false
	}
	mask := uint64(len(c.keys) - 1)
	for i := hash(k) & mask; ; i = (i + 1) & mask {
		if c.keys[i] == k {
			return c.values[i], true
		}
		if c.keys[i] == 0 {
			return 0, false
		}
	}
}

func (c *cache) put(k uint64, v int32) {
	if c.used*2 >= len(c.keys) {
		c.grow()
	}
	mask := uint64(len(c.keys) - 1)
	i := hash(k) & mask
	for c.keys[i] != 0 {
		i = (i + 1) & mask
	}
	c.keys[i], c.values[i] = k, v
	c.used++
}

func (c *cache) grow() {
	old := *c
	size := max(256, 2*len(old.keys))
	*c = cache{keys: make([]uint64, size), values: make([]int32, size)}
	for i, k := range old.keys {
		if k != 0 {
			c.put(k, old.values[i])
		}
	}
}

// hash spreads a key; the multiplier is the golden ratio of 64 bits.
func hash(k uint64) uint64 {
	k *= 0x9E3779B97F4A7C15
	return k ^ k>>29
}
