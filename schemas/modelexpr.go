package schemas

import mathbits "math/bits"

// renumber gives the symbols of an expression new numbers.
func (e *expr) renumber(order []int) {
	for i, s := range e.symbols {
		e.symbols[i] = order[s]
	}
	for _, k := range e.kids {
		k.renumber(order)
	}
}

// bound tells how often a symbol stands in any word of the expression.
func (e *expr) bound(symbol int) Bound {
	switch e.op {
	case opSymbol:
		if hasSymbol(e.symbols, symbol) {
			return Bound{1, 1}
		}
	case opSeq:
		var out Bound
		for _, k := range e.kids {
			b := k.bound(symbol)
			out = Bound{out.Min + b.Min, addCount(out.Max, b.Max)}
		}
		return out
	case opChoice:
		var out Bound
		for i, k := range e.kids {
			b := k.bound(symbol)
			if i == 0 || b.Min < out.Min {
				out.Min = b.Min
			}
			if b.Max == Unbounded || out.Max != Unbounded && b.Max > out.Max {
				out.Max = b.Max
			}
		}
		return out
	case opRepeat:
		b := e.kids[0].bound(symbol)
		out := Bound{b.Min * e.min, b.Max * e.max}
		if b.Max != 0 && (e.max == Unbounded || b.Max == Unbounded) {
			out.Max = Unbounded
		}
		return out
	}
	return Bound{}
}

func addCount(a, b int) int {
	if a == Unbounded || b == Unbounded {
		return Unbounded
	}
	return a + b
}

// free tells whether the expression allows its symbols in any order and
// number, and how many symbols it has. Most models of the 1.x generation do,
// and need no automaton.
func (e *expr) free(symbols int) (free bool, count int) {
	if e.op == opSeq {
		return e.freeSequence(symbols)
	}
	all := e.all(symbols)
	if e.op != opRepeat || e.min > 0 || e.max != Unbounded {
		return all.count() == 0, 0
	}
	alone := e.kids[0].alone(symbols)
	return alone.count() == all.count(), all.count()
}

// freeSequence is free when one part is, and the others bring nothing new: what
// they allow may as well stand in that part.
func (e *expr) freeSequence(symbols int) (free bool, count int) {
	for _, k := range e.kids {
		if f, n := k.free(symbols); f && n > count {
			count = n
		}
	}
	if count != e.all(symbols).count() {
		return false, 0
	}
	for _, k := range e.kids {
		if !k.nullable() {
			return false, 0
		}
	}
	return true, count
}

func (b bits) count() int {
	n := 0
	for _, w := range b {
		n += mathbits.OnesCount64(w)
	}
	return n
}

// all is the set of symbols that stand in the expression.
func (e *expr) all(symbols int) bits {
	out := make(bits, symbols/64+1)
	e.addAll(out)
	return out
}

func (e *expr) addAll(to bits) {
	for _, s := range e.symbols {
		to.add(s)
	}
	for _, k := range e.kids {
		k.addAll(to)
	}
}

// alone is the set of symbols that are words of the expression by themselves.
func (e *expr) alone(symbols int) bits {
	out := make(bits, symbols/64+1)
	e.addAlone(out)
	return out
}

func (e *expr) addAlone(to bits) {
	switch e.op {
	case opSymbol:
		for _, s := range e.symbols {
			to.add(s)
		}
	case opChoice:
		for _, k := range e.kids {
			k.addAlone(to)
		}
	case opRepeat:
		if e.min <= 1 {
			e.kids[0].addAlone(to)
		}
	case opSeq:
		var wanted *expr
		for _, k := range e.kids {
			if k.nullable() {
				continue
			}
			if wanted != nil {
				return
			}
			wanted = k
		}
		if wanted != nil {
			wanted.addAlone(to)
			return
		}
		for _, k := range e.kids {
			k.addAlone(to)
		}
	}
}

// nullable tells whether nothing at all is a word of the expression.
func (e *expr) nullable() bool {
	switch e.op {
	case opSymbol:
		return false
	case opRepeat:
		return e.min == 0 || e.kids[0].nullable()
	case opChoice:
		for _, k := range e.kids {
			if k.nullable() {
				return true
			}
		}
		return len(e.kids) == 0
	}
	for _, k := range e.kids {
		if !k.nullable() {
			return false
		}
	}
	return true
}
