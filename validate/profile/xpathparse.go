package profile

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// The bounds of an expression. What it costs on a document is bounded when it
// is evaluated; see budget.
const (
	maxExpression = 1000 // bytes
	maxNesting    = 24   // brackets and arguments inside each other
)

// axes are those that can be asked. Nothing in a ticket hangs on the namespace axis.
var axes = []string{
	"ancestor", "ancestor-or-self", "attribute", "child", "descendant", "descendant-or-self", "following",
	"following-sibling", "parent", "preceding", "preceding-sibling", "self",
}

// parser reads the grammar of XPath 1.0, section 3. After a fault it stands at
// the end, so that no loop goes on.
type parser struct {
	tokens  []token
	names   *names
	nesting int
	fault   *fault
}

// translate checks an expression and writes it in the library's words.
func translate(expression string, names *names) (part, *fault) {
	p, f := newParser(expression, names)
	if f != nil {
		return part{}, f
	}
	whole := p.or()
	if t := p.peek(); t.kind != tokenEnd {
		p.unexpected(t, "an operator or the end")
	}
	return whole, p.fault
}

func newParser(expression string, names *names) (*parser, *fault) {
	if len(expression) > maxExpression {
		return nil, &fault{start: maxExpression, end: len(expression),
			problem: fmt.Sprintf("the expression has %d bytes; want at most %d", len(expression), maxExpression),
			advice:  "make two clauses of it"}
	}
	tokens, f := lex(expression)
	if f != nil {
		return nil, f
	}
	return &parser{tokens: tokens, names: names}, nil
}

func (p *parser) peek() token { return p.tokens[0] }

func (p *parser) next() token {
	t := p.tokens[0]
	if len(p.tokens) > 1 {
		p.tokens = p.tokens[1:]
	}
	return t
}

func (p *parser) fail(f *fault) {
	if p.fault == nil && f != nil {
		p.fault = f
	}
	if p.fault != nil {
		p.tokens = p.tokens[len(p.tokens)-1:]
	}
}

func (p *parser) unexpected(t token, want string) {
	got := strconv.Quote(t.text)
	if t.kind == tokenEnd {
		got = "the end"
	}
	p.fail(&fault{start: t.start, end: t.end, problem: fmt.Sprintf("found %s; want %s", got, want)})
}

// take takes a sign or operator when it comes next.
func (p *parser) take(words ...string) (token, bool) {
	t := p.peek()
	if (t.kind == tokenOperator || t.kind == tokenSign) && slices.Contains(words, t.text) {
		return p.next(), true
	}
	return t, false
}

func (p *parser) want(sign string) token {
	t, ok := p.take(sign)
	if !ok {
		p.unexpected(t, strconv.Quote(sign))
	}
	return t
}

// chain reads operands with operators of one level between.
func (p *parser) chain(level int, operand func() part, words ...string) part {
	left := operand()
	for {
		op, ok := p.take(words...)
		if !ok {
			return left
		}
		right := operand()
		if p.fault == nil {
			var f *fault
			left, f = operate(op.text, level, left, right)
			p.fail(f)
		}
	}
}

func (p *parser) or() part {
	if p.nesting++; p.nesting > maxNesting {
		t := p.peek()
		p.fail(&fault{start: t.start, end: t.end, problem: fmt.Sprintf("brackets are nested more than %d deep", maxNesting)})
		return part{}
	}
	defer func() { p.nesting-- }()
	return p.chain(levelOr, p.and, "or")
}

func (p *parser) and() part      { return p.chain(levelAnd, p.equality, "and") }
func (p *parser) equality() part { return p.chain(levelEqual, p.order, "=", "!=") }
func (p *parser) order() part    { return p.chain(levelOrder, p.sum, "<", "<=", ">", ">=") }
func (p *parser) sum() part      { return p.chain(levelSum, p.product, "+", "-") }
func (p *parser) product() part  { return p.chain(levelProduct, p.unary, "*", "div", "mod") }
func (p *parser) union() part    { return p.chain(levelUnion, p.path, "|") }

func (p *parser) unary() part {
	start, minus := p.peek().start, 0
	for {
		if _, ok := p.take("-"); !ok {
			break
		}
		minus++
	}
	operand := p.union()
	if minus == 0 || p.fault != nil {
		return operand
	}
	operand, f := operand.as(number)
	p.fail(f)
	operand.start = start
	if minus%2 == 1 {
		operand.out, operand.level = "-1 * "+operand.tight(levelProduct+1), levelProduct
	}
	return operand
}

// path reads a location path, or a primary expression with the predicates and
// steps behind it.
func (p *parser) path() part {
	t := p.peek()
	whole := part{typ: nodeSet, level: primary, start: t.start}
	switch {
	case t.kind == tokenOperator && (t.text == "/" || t.text == "//"):
		whole.out, whole.fixed = p.next().text, true
		if t.text == "/" && !p.stepNext() {
			whole.end = t.end
			return whole
		}
		p.steps(&whole)
		return whole
	case t.kind == tokenLiteral || t.kind == tokenNumber || t.kind == tokenFunction ||
		t.kind == tokenSign && t.text == "(":
		whole = p.primary()
	default:
		p.steps(&whole)
		return whole
	}
	for p.fault == nil && p.peek().text == "[" && p.peek().kind == tokenSign {
		p.needNodes(whole)
		whole.out += p.predicate(false).out
		whole.stirs = true
	}
	if op, ok := p.take("/", "//"); ok {
		p.needNodes(whole)
		whole.out += op.text
		p.steps(&whole)
	}
	return whole
}

func (p *parser) needNodes(base part) {
	if p.fault == nil {
		_, f := base.as(nodeSet)
		p.fail(f)
	}
}

func (p *parser) primary() part {
	t := p.next()
	at := part{level: primary, start: t.start, end: t.end}
	switch t.kind {
	case tokenLiteral:
		at.typ, at.fixed, at.out = text, true, quote(t.text)
	case tokenNumber:
		value, _ := strconv.ParseFloat(t.text, 64) // digits with a point; too many make an infinity
		at.typ, at.fixed, at.out = number, true, strconv.FormatFloat(value, 'f', -1, 64)
		if strings.HasSuffix(at.out, "Inf") {
			p.fail(&fault{start: t.start, end: t.end, problem: "the number is too large"})
		}
	case tokenFunction:
		return p.call(t, at)
	default:
		inner := p.or()
		inner.start, inner.end = t.start, p.want(")").end
		if inner.typ == nodeSet {
			inner.out, inner.level = "("+inner.out+")", primary
		}
		return inner
	}
	return at
}

// quote writes a literal; it never holds both quotes.
func quote(s string) string {
	if strings.Contains(s, `"`) {
		return "'" + s + "'"
	}
	return `"` + s + `"`
}

func (p *parser) call(name token, at part) part {
	f, ok := functionNamed(name.text)
	if !ok {
		problem, advice := unknownFunction(name.text)
		p.fail(&fault{start: name.start, end: name.end, problem: problem, advice: advice})
		return at
	}
	p.want("(")
	var args []part
	if t := p.peek(); t.text != ")" || t.kind != tokenSign {
		for more := true; more && p.fault == nil; _, more = p.take(",") {
			args = append(args, p.or())
		}
	}
	at.end = p.want(")").end
	if p.fault != nil {
		return at
	}
	at, bad := f.call(args, at)
	p.fail(bad)
	return at
}

func (p *parser) stepNext() bool {
	t := p.peek()
	return t.kind == tokenName || t.kind == tokenNodeType || t.kind == tokenAxis ||
		t.kind == tokenSign && slices.Contains([]string{".", "..", "@"}, t.text)
}
