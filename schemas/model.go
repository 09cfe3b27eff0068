package schemas

import (
	"slices"
	"strings"
)

// Model is the content model of a type: which child elements, in which order,
// how often.
type Model struct {
	set     *Set
	names   []string // of the symbols, sorted
	kids    []*Element
	heads   []int // symbols that stand for their substitution groups
	foreign int   // the symbol of elements of other namespaces, or -1
	symbols int
	words   *expr // the model as an expression
	limits  []Limit
	free    bool // any child, any order, any number
	machine *automaton
}

// Bound is how often a child may stand in content of a type, order aside.
type Bound struct{ Min, Max int }

// State is how far content has come in a Model. The zero State is the start.
type State int16

// Foreign is the symbol of elements of other namespaces, or -1 where none may stand.
func (m *Model) Foreign() int { return m.foreign }

// Empty reports whether no child may stand at all.
func (m *Model) Empty() bool { return len(m.names) == 0 && m.foreign < 0 }

// Symbols is the number of symbols; Names lists the names of all but the foreign one.
func (m *Model) Symbols() int { return m.symbols }

// Names lists the child names, sorted, by their symbols. The head of a
// substitution group stands for its members. The caller must not change the slice.
func (m *Model) Names() []string { return m.names }

// Element is the declaration of a symbol.
func (m *Model) Element(symbol int) *Element { return m.kids[symbol] }

// Bound is how often a symbol may stand.
func (m *Model) Bound(symbol int) Bound { return m.words.bound(symbol) }

// Limits lists the cardinalities of the notes. The caller must not change the slice.
func (m *Model) Limits() []Limit { return m.limits }

// Free reports whether the children may stand in any order and number.
func (m *Model) Free() bool { return m.free }

// Child finds the symbol and the declaration of a child by name. A member of a
// substitution group has the symbol of the head that stands in the model.
func (m *Model) Child(name string) (symbol int, e *Element) {
	if i, ok := m.index(name); ok {
		return i, m.kids[i]
	}
	if len(m.heads) == 0 {
		return -1, nil
	}
	member := m.set.Element(name)
	for h := member; h != nil && h.head != ""; h = m.set.Element(h.head) {
		if i, ok := m.index(h.head); ok && slices.Contains(m.heads, i) {
			return i, member.under(m.kids[i])
		}
	}
	return -1, nil
}

// under is a member of a substitution group as it stands for the head: in the
// versions in which the head may stand.
func (e *Element) under(head *Element) *Element {
	if head.span.Open() {
		return e
	}
	member := &Element{set: e.set, name: e.name, typeName: e.typeName, head: e.head, abstract: e.abstract}
	member.span = head.span
	return member
}

func (m *Model) index(name string) (int, bool) { return slices.BinarySearch(m.names, name) }

// Next is the state after one more child; ok is false when the child may not
// stand there.
func (m *Model) Next(s State, symbol int) (to State, ok bool) {
	if m.free {
		return s, true
	}
	n := m.machine.next[int(s)*m.machine.symbols+symbol]
	return State(n), n != dead
}

// Accepts reports whether content may end in the state.
func (m *Model) Accepts(s State) bool { return m.free || m.machine.accept[s] }

// modelReader turns the lines of a content model into an expression.
type modelReader struct {
	set     *Set
	model   *Model
	symbols map[string]int // in the order met
	kids    []*Element
}

// foreignName is the name under which a modelReader keeps the wildcard.
const foreignName = "*"

func (t *Type) makeModel() *Model {
	m := &Model{set: t.set, foreign: -1}
	r := &modelReader{set: t.set, model: m, symbols: map[string]int{}}
	e := r.typeExpr(t)
	order := make([]int, len(r.kids)) // old symbol -> new
	for name := range r.symbols {
		if name != foreignName {
			m.names = append(m.names, name)
		}
	}
	slices.Sort(m.names)
	m.kids = make([]*Element, len(m.names))
	for i, name := range m.names {
		old := r.symbols[name]
		order[old] = i
		m.kids[i] = r.kids[old]
		m.kids[i].span = t.childSpan(name)
		if m.kids[i].isHead() {
			m.heads = append(m.heads, i)
		}
	}
	symbols := len(m.names)
	if old, ok := r.symbols[foreignName]; ok {
		m.foreign = symbols
		order[old] = symbols
		symbols++
	}
	e.renumber(order)
	m.symbols, m.words = symbols, e
	m.limits = t.makeLimits(m)
	if free, names := e.free(symbols); free && names == symbols {
		m.free = true
		return m
	}
	m.machine = compile(e, symbols)
	return m
}

// isHead reports whether the element is global and others may stand in for it.
func (e *Element) isHead() bool {
	return e.set.heads()[e.name]
}

// typeExpr is the content of a type behind that of the type it extends.
func (r *modelReader) typeExpr(t *Type) *expr {
	e := &expr{op: opSeq}
	if t.base != nil && !t.restricts {
		e.kids = append(e.kids, r.typeExpr(t.base))
	}
	if t.own != "" {
		own, _ := r.particle(t.own, 1)
		e.kids = append(e.kids, own)
	}
	return e
}

// particle reads one particle, with those inside it, from lines that start with
// so many tabs; it returns the lines behind it.
func (r *modelReader) particle(text string, depth int) (*expr, string) {
	line, rest, _ := strings.Cut(text, "\n")
	word, args, _ := strings.Cut(line[depth:], " ")
	var e *expr
	switch word {
	case "seq", "choice", "all":
		e = &expr{op: opSeq}
		if word == "choice" {
			e.op = opChoice
		}
		for len(rest) > depth && strings.Count(rest[:depth+1], "\t") == depth+1 {
			var kid *expr
			kid, rest = r.particle(rest, depth+1)
			e.kids = append(e.kids, kid)
		}
		return r.counted(e, args), rest
	case "group":
		name, count, _ := strings.Cut(args, " ")
		b, _ := r.set.groups.find(name)
		e, _ = r.particle(b.body, 1)
		return r.counted(e, count), rest
	case "ref":
		name, count, _ := strings.Cut(args, " ")
		global := r.set.Element(name)
		return r.counted(r.symbol(name, global.typeName, global), count), rest
	case "elem":
		name, args, _ := strings.Cut(args, " ")
		typ, count, _ := strings.Cut(args, " ")
		return r.counted(r.symbol(name, typ, nil), count), rest
	}
	_, count, _ := strings.Cut(args, " lax")
	return r.counted(r.symbol(foreignName, "", nil), strings.TrimSpace(count)), rest
}

func (r *modelReader) symbol(name, typ string, global *Element) *expr {
	i, ok := r.symbols[name]
	if !ok {
		i = len(r.kids)
		r.symbols[name] = i
		kid := &Element{set: r.set, name: name, typeName: typ}
		if global != nil {
			kid.abstract, kid.head = global.abstract, global.head
		}
		r.kids = append(r.kids, kid)
	}
	return &expr{op: opSymbol, symbols: []int{i}}
}

func (r *modelReader) counted(e *expr, count string) *expr {
	switch count {
	case "":
		return e
	case "?":
		return repeat(e, 0, 1)
	case "*":
		return repeat(e, 0, Unbounded)
	case "+":
		return repeat(e, 1, Unbounded)
	}
	least, most := parseCount(count)
	return repeat(e, least, most)
}
