package schemas

import (
	"encoding/binary"
	"slices"
)

// Content models and patterns are regular languages. Both are turned into a
// small deterministic automaton here: an expression over symbols gives
// positions, each with the positions that may follow it; a state is the set of
// positions that may come next.

// expr is a regular expression over symbols, which are small numbers.
type expr struct {
	op       exprOp
	symbols  []int // of opSymbol: any one of them
	kids     []*expr
	min, max int // of opRepeat
}

type exprOp uint8

const (
	opSymbol exprOp = iota
	opSeq
	opChoice
	opRepeat
)

// repeat wraps an expression in a count, if it needs one.
func repeat(e *expr, least, most int) *expr {
	if least == 1 && most == 1 {
		return e
	}
	return &expr{op: opRepeat, kids: []*expr{e}, min: least, max: most}
}

// bits is a set of positions.
type bits []uint64

func (b bits) add(i int)      { b[i/64] |= 1 << (i % 64) }
func (b bits) has(i int) bool { return b[i/64]>>(i%64)&1 == 1 }

func (b bits) join(o bits) {
	for i, w := range o {
		b[i] |= w
	}
}

func (b bits) clear() {
	for i := range b {
		b[i] = 0
	}
}

// appendKey writes the set, and whether the state accepts, as bytes.
func (b bits) appendKey(buf []byte, accept bool) []byte {
	for _, w := range b {
		buf = binary.LittleEndian.AppendUint64(buf, w)
	}
	if accept {
		buf = append(buf, '+')
	}
	return buf
}

// part is what building needs to know of a piece of an expression.
type part struct {
	empty       bool // may be nothing
	first, last bits
}

// builder gathers the positions of an expression.
type builder struct {
	words   int
	symbols [][]int // of each position
	follow  []bits
}

func (e *expr) positions() int {
	if e.op == opSymbol {
		return 1
	}
	n := 0
	for _, k := range e.kids {
		n += k.positions()
	}
	if e.op == opRepeat {
		n *= max(e.min, e.max, 1)
	}
	return n
}

func (b *builder) set() bits { return make(bits, b.words) }

func (b *builder) build(e *expr) part {
	switch e.op {
	case opSymbol:
		p := part{first: b.set(), last: b.set()}
		i := len(b.symbols)
		b.symbols = append(b.symbols, e.symbols)
		b.follow = append(b.follow, b.set())
		p.first.add(i)
		p.last.add(i)
		return p
	case opChoice:
		p := part{first: b.set(), last: b.set()}
		for _, k := range e.kids {
			q := b.build(k)
			p.empty = p.empty || q.empty
			p.first.join(q.first)
			p.last.join(q.last)
		}
		return p
	case opSeq:
		p := part{empty: true, first: b.set(), last: b.set()}
		for _, k := range e.kids {
			p = b.chain(p, b.build(k))
		}
		return p
	}
	return b.buildRepeat(e)
}

// buildRepeat writes a count out as copies: e{2,4} is e e e? e?, and e{2,} is
// e e+, where the last copy may follow itself.
func (b *builder) buildRepeat(e *expr) part {
	p := part{empty: true, first: b.set(), last: b.set()}
	for i := range max(e.min, e.max, 1) {
		q := b.build(e.kids[0])
		q.empty = q.empty || i >= e.min
		if e.max == Unbounded {
			b.connect(q.last, q.first)
		}
		p = b.chain(p, q)
	}
	if e.max == 0 {
		return part{empty: true, first: b.set(), last: b.set()}
	}
	return p
}

// chain puts one part behind another.
func (b *builder) chain(p, q part) part {
	b.connect(p.last, q.first)
	if p.empty {
		p.first.join(q.first)
	}
	if q.empty {
		p.last.join(q.last)
	} else {
		p.last = q.last
	}
	p.empty = p.empty && q.empty
	return p
}

// connect lets the positions of one set follow those of another.
func (b *builder) connect(last, first bits) {
	for i := range b.follow {
		if last.has(i) {
			b.follow[i].join(first)
		}
	}
}

// automaton is deterministic. State 0 is the start; dead means no way on.
type automaton struct {
	symbols int
	next    []int16 // state*symbols + symbol
	accept  []bool
}

const dead = -1

// compiler finds the states of an automaton.
type compiler struct {
	*builder
	*automaton
	last   bits
	known  map[string]int16
	states []bits
	key    []byte
}

// compile makes the automaton of an expression over so many symbols.
func compile(e *expr, symbols int) *automaton {
	b := &builder{words: e.positions()/64 + 1}
	whole := b.build(e)
	c := &compiler{
		builder: b, automaton: &automaton{symbols: symbols},
		last: whole.last, known: map[string]int16{},
	}
	c.state(whole.first, whole.empty)
	to := make([]bits, symbols)
	for i := range to {
		to[i] = b.set()
	}
	for i := 0; i < len(c.states); i++ {
		c.expand(i, to)
	}
	return c.automaton
}

// state is the number of a set of positions, a new one when it is new.
func (c *compiler) state(set bits, accept bool) int16 {
	c.key = set.appendKey(c.key[:0], accept)
	if i, ok := c.known[string(c.key)]; ok {
		return i
	}
	i := int16(len(c.states))
	c.known[string(c.key)] = i
	c.states = append(c.states, slices.Clone(set))
	c.accept = append(c.accept, accept)
	return i
}

// expand adds the ways out of a state. The sets of to are scratch space.
func (c *compiler) expand(i int, to []bits) {
	const none, some, ends = 0, 1, 2
	found := make([]uint8, len(to))
	for p, symbols := range c.builder.symbols {
		if !c.states[i].has(p) {
			continue
		}
		for _, s := range symbols {
			if found[s] == none {
				to[s].clear()
				found[s] = some
			}
			to[s].join(c.follow[p])
			if c.last.has(p) {
				found[s] = ends
			}
		}
	}
	for s, f := range found {
		if f == none {
			c.next = append(c.next, dead)
			continue
		}
		c.next = append(c.next, c.state(to[s], f == ends))
	}
}

func hasSymbol(list []int, symbol int) bool { return slices.Contains(list, symbol) }
