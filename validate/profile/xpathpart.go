package profile

import (
	"fmt"
	"strings"
)

// part is a piece of an expression, in the words that the evaluating library
// takes, with every conversion that XPath 1.0 makes silently written out: the
// library leaves some of them out.
//
// The library evaluates brackets by moving the context node, and does not put
// it back: what is evaluated next would start from the wrong node. Arithmetic
// and the operators and, or do put it back, so that numbers and truths can be
// settled by writing such an operator around them. Texts and sets of nodes can
// not; where one that stirs the context would spoil its neighbour, the
// expression is refused.
type part struct {
	out        string
	typ        valueType
	level      int // how tight its outermost operator binds; primary for none
	start, end int
	positional bool // position() or last() is asked outside a predicate
	stirs      bool // evaluation leaves the context moved
	fixed      bool // the value does not depend on the context node
	shape           // of a set of nodes
}

// The levels of operators, from loose to tight.
const (
	levelOr = iota
	levelAnd
	levelEqual
	levelOrder
	levelSum
	levelProduct
	levelUnion
	primary
)

func (p part) tight(level int) string {
	if p.level < level {
		return "(" + p.out + ")"
	}
	return p.out
}

// settled is a number or truth that leaves the context as it was.
func (p part) settled() part {
	switch {
	case !p.stirs:
		return p
	case p.typ == number:
		p.out = "(" + p.tight(levelSum) + " + 0)"
	case p.typ == truth:
		p.out = "((" + p.tight(levelAnd) + " or false()) and true())"
	default:
		return p
	}
	p.level, p.stirs = primary, false
	return p
}

// as converts a piece to a type. A number is no truth here: XPath 1.0 takes
// one that is not 0, which the library gets wrong for what is no number at
// all, and which is most often a comparison that was forgotten.
func (p part) as(typ valueType) (part, *fault) {
	if p.typ == typ {
		return p, nil
	}
	if p.typ == nodeSet && typ != truth {
		if f := p.firstKnown(); f != nil {
			return p, f
		}
	}
	name := ""
	switch {
	case typ == nodeSet:
		return p, &fault{start: p.start, end: p.end, problem: fmt.Sprintf("this is %s; want a set of nodes", p.typ)}
	case typ == truth && p.typ == number:
		return p, &fault{
			start: p.start, end: p.end, problem: "a number stands where true or false is wanted",
			advice: "compare it, as in > 0",
		}
	case typ == truth:
		name = "boolean"
	case typ == number:
		name = "number"
	default:
		name = "string"
	}
	p.out, p.typ, p.level, p.shape = name+"("+p.out+")", typ, primary, shape{}
	return p.settled(), nil
}

// call writes a function call; at has its place.
func (f function) call(args []part, at part) (part, *fault) {
	at.typ, at.level, at.fixed = f.result, primary, len(args) > 0 || f.result == truth
	if len(args) < f.least || len(args) > f.most {
		return at, &fault{start: at.start, end: at.start + len(f.name),
			problem: fmt.Sprintf("%s() is given %d; want %s", f.name, len(args), span(f.least, f.most))}
	}
	words := make([]string, 0, len(args)+1)
	for i, a := range args {
		a, bad := a.as(f.args[min(i, len(f.args)-1)])
		if bad != nil {
			return at, bad
		}
		if at.stirs && !a.fixed {
			return at, spoiled(args[i])
		}
		if a.typ == nodeSet {
			bad = a.firstKnown()
			if f.result == number {
				bad = a.countable()
			}
			if bad != nil {
				return at, bad
			}
		}
		at.positional = at.positional || a.positional
		at.stirs = at.stirs || a.stirs
		at.fixed = at.fixed && a.fixed
		words = append(words, a.out)
	}
	switch {
	case len(args) == 0 && f.most == 1:
		self, _ := part{out: "self::node()", level: primary}.as(f.args[0])
		words = append(words, self.out)
	case f.name == "substring" && len(args) == 2:
		// The library stumbles over a start that is no number, unless a length is given.
		words = append(words, "1 div 0")
	case f.name == "position" || f.name == "last":
		at.positional = true
	}
	at.out = f.name + "(" + strings.Join(words, ", ") + ")"
	return at.settled(), nil
}

// span says how many arguments are wanted.
func span(least, most int) string {
	switch {
	case most == 0:
		return "no argument"
	case most == anyNumber:
		return fmt.Sprintf("%d arguments or more", least)
	case least == 1 && most == 1:
		return "1 argument"
	case least == most:
		return fmt.Sprintf("%d arguments", least)
	}
	return fmt.Sprintf("%d or %d arguments", least, most)
}

func spoiled(p part) *fault {
	return &fault{start: p.start, end: p.end,
		problem: "this can not stand beside an operand with brackets",
		advice:  "put the comparison into the brackets, or compare with a single attribute"}
}

// operate writes two operands with an operator between.
func operate(op string, level int, a, b part) (part, *fault) {
	result := part{
		typ: truth, level: level, start: a.start, end: b.end,
		positional: a.positional || b.positional, fixed: a.fixed && b.fixed,
	}
	want := truth
	switch level {
	case levelEqual, levelOrder:
		return compare(op, level, a, b, result)
	case levelSum, levelProduct:
		want = number
	case levelUnion:
		want = nodeSet
	}
	a, bad := a.as(want)
	if bad != nil {
		return result, bad
	}
	b, bad = b.as(want)
	result.typ = want
	if want == nodeSet {
		result.stirs = a.stirs || b.stirs
		result.shape = shape{nested: true, shuffled: true}
	}
	// The right operand is bracketed at its own level too: operators group to the left.
	result.out = a.tight(level) + " " + op + " " + b.tight(level+1)
	return result, bad
}

// compare brings two operands to types that the library compares as XPath 1.0,
// section 3.4 asks: a set of nodes stands on the left, beside a set, a text or
// a number; other operands are of one type.
func compare(op string, level int, a, b, result part) (part, *fault) {
	want := number
	switch {
	case a.typ == truth || b.typ == truth:
		want = truth
	case a.typ == nodeSet || b.typ == nodeSet:
		return compareNodes(op, level, a, b, result)
	case level == levelEqual && a.typ == text && b.typ == text:
		want = text
		if a.stirs && !b.fixed {
			a, b = b, a
		}
		if a.stirs && !b.fixed {
			return result, spoiled(b)
		}
	}
	first, bad := a.as(want)
	if bad != nil {
		return result, bad
	}
	second, bad := b.as(want)
	if want == truth && level == levelOrder && bad == nil {
		first, _ = first.as(number)
		second, _ = second.as(number)
	}
	result.out = first.tight(level) + " " + op + " " + second.tight(level+1)
	result.stirs = first.stirs || second.stirs
	return result.settled(), bad
}

func compareNodes(op string, level int, a, b, result part) (part, *fault) {
	safe := func(left, right part) bool {
		switch right.typ {
		case nodeSet:
			// The right set is selected once for each node on the left.
			return !left.stirs && !right.stirs || right.fixed || left.single && !left.stirs
		case text:
			// The right text is made first.
			return !right.stirs || left.fixed
		}
		return true
	}
	if a.typ != nodeSet || b.typ == nodeSet && !safe(a, b) {
		a, b, op = b, a, flip(op)
	}
	if !safe(a, b) {
		return result, spoiled(b)
	}
	result.out = a.tight(level) + " " + op + " " + b.tight(level+1)
	result.stirs = a.stirs || b.stirs
	return result.settled(), nil
}

// flip is the operator that says the same of the operands in the other order.
func flip(op string) string {
	return strings.NewReplacer("<", ">", ">", "<").Replace(op)
}
