package profile

import (
	"errors"
	"fmt"
	"maps"
	"sync"

	"github.com/antchfx/xpath"

	"quoin/jdf"
)

// condition is an expression that is true or false of an element. It is safe
// for concurrent use: the library's compiled expressions are not, so that each
// evaluation takes one of its own out of the pool.
type condition struct {
	source string // as written
	quick  []attrTest
	pool   *sync.Pool // not used when there are quick tests
}

// compile makes a condition of an expression whose names are checked.
func compile(expression string, names *names) (*condition, *fault) {
	whole, f := translate(expression, names)
	if f != nil {
		return nil, f
	}
	if whole.positional {
		return nil, &fault{end: len(expression), problem: "position() and last() have a meaning only in brackets"}
	}
	if whole, f = whole.as(truth); f != nil {
		return nil, f
	}
	return compilePart(expression, whole, names)
}

func compilePart(expression string, whole part, names *names) (*condition, *fault) {
	spaces := maps.Clone(names.spaces)
	first, err := build(whole.out, spaces)
	if err != nil {
		// What the checks let pass and the library does not.
		return nil, &fault{end: len(expression), problem: fmt.Sprintf("the expression is not taken: %v", err)}
	}
	pool := &sync.Pool{New: func() any {
		e, _ := build(whole.out, spaces) // as it was built before
		return e
	}}
	pool.Put(first)
	return &condition{expression, quickTests(whole.out), pool}, nil
}

// build compiles in the library, which may panic on what it does not expect.
func build(expression string, spaces map[string]string) (e *xpath.Expr, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("%v", p)
		}
	}()
	return xpath.CompileWithNS(expression, spaces)
}

// holds evaluates the condition at an element. The error says that there was no
// answer, since the library gave way. It panics with exhausted when the steps
// are used up.
func (c *condition) holds(t *tree, n jdf.Node) (ok bool, err error) {
	defer func() {
		switch p := recover().(type) {
		case nil:
		case exhausted:
			panic(p)
		default:
			err = fmt.Errorf("the evaluation stopped: %v", p)
		}
	}()
	t.spend(1)
	if len(c.quick) > 0 {
		return allHold(c.quick, n), nil
	}
	e := c.pool.Get().(*xpath.Expr)
	answer, isTruth := e.Evaluate(&navigator{tree: t, node: n}).(bool)
	if !isTruth {
		return false, errors.New("it is neither true nor false")
	}
	c.pool.Put(e) // not after a panic: its state is unknown then
	return answer, nil
}
