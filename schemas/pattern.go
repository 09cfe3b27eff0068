package schemas

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"
)

// pattern is the alternatives of the pattern facets of one type, compiled when
// it is first used.
type pattern struct {
	sources []string
	words   []string // that match in any mixture of case, in lower case
	machine func() *matcher
}

// matcher runs an automaton over classes of characters.
type matcher struct {
	class [classes]uint8 // of each distinct character, the symbol
	*automaton
}

// The characters that patterns tell apart: ASCII one by one, digits of other
// scripts, and the rest.
const (
	otherDigit = utf8.RuneSelf
	otherRune  = utf8.RuneSelf + 1
	classes    = utf8.RuneSelf + 2
)

func newPattern(sources, words []string) *pattern {
	p := &pattern{sources: sources, words: words}
	slices.Sort(p.words)
	p.machine = sync.OnceValue(p.compile)
	return p
}

func (p *pattern) match(value string) bool {
	if p.words != nil {
		if _, ok := slices.BinarySearch(p.words, strings.ToLower(value)); ok {
			return true
		}
	}
	return p.sources != nil && p.machine().match(value)
}

func (m *matcher) match(value string) bool {
	state := 0
	for _, r := range value {
		c := int(r)
		if r >= utf8.RuneSelf {
			c = otherRune
			if unicode.Is(unicode.Nd, r) {
				c = otherDigit
			}
		}
		next := m.next[state*m.symbols+int(m.class[c])]
		if next == dead {
			return false
		}
		state = int(next)
	}
	return m.accept[state]
}

// compile parses the alternatives. The generator has made sure that they parse.
func (p *pattern) compile() *matcher {
	all := &expr{op: opChoice}
	for _, s := range p.sources {
		e, err := parsePattern(s)
		if err != nil {
			panic(err)
		}
		all.kids = append(all.kids, e)
	}
	m := &matcher{}
	symbols := m.classify(all)
	m.automaton = compile(all, symbols)
	return m
}

// classify joins characters that no part of the pattern tells apart, and
// renames the symbols of the expression accordingly.
func (m *matcher) classify(e *expr) int {
	var leaves []*expr
	var walk func(*expr)
	walk = func(e *expr) {
		if e.op == opSymbol {
			leaves = append(leaves, e)
		}
		for _, k := range e.kids {
			walk(k)
		}
	}
	walk(e)
	numbers := map[string]int{}
	for c := range classes {
		var key strings.Builder
		for _, l := range leaves {
			if slices.Contains(l.symbols, c) {
				key.WriteByte('1')
			} else {
				key.WriteByte('0')
			}
		}
		n, ok := numbers[key.String()]
		if !ok {
			n = len(numbers)
			numbers[key.String()] = n
		}
		m.class[c] = uint8(n)
	}
	for _, l := range leaves {
		for i, c := range l.symbols {
			l.symbols[i] = int(m.class[c])
		}
		slices.Sort(l.symbols)
		l.symbols = slices.Compact(l.symbols)
	}
	return len(numbers)
}

// patternParser reads the part of the pattern language of XML Schema that the
// releases use: groups, alternatives, character classes with ranges, the
// escapes \d \D \s \S and of single characters, the dot, and counts.
type patternParser struct {
	s  string
	at int
}

// CheckPattern reports why a pattern can not be compiled, or nil.
func CheckPattern(s string) error {
	_, err := parsePattern(s)
	return err
}

func parsePattern(s string) (*expr, error) {
	p := &patternParser{s: s}
	e, err := p.choice()
	if err != nil {
		return nil, err
	}
	if p.at < len(s) {
		return nil, p.fault("not understood")
	}
	return e, nil
}

func (p *patternParser) fault(why string) error {
	return fmt.Errorf("pattern %q: byte %d: %s", p.s, p.at+1, why)
}

func (p *patternParser) peek() byte {
	if p.at == len(p.s) {
		return 0
	}
	return p.s[p.at]
}

func (p *patternParser) choice() (*expr, error) {
	e := &expr{op: opChoice}
	for {
		seq := &expr{op: opSeq}
		for c := p.peek(); c != 0 && c != '|' && c != ')'; c = p.peek() {
			piece, err := p.piece()
			if err != nil {
				return nil, err
			}
			seq.kids = append(seq.kids, piece)
		}
		e.kids = append(e.kids, seq)
		if p.peek() != '|' {
			return e, nil
		}
		p.at++
	}
}

// piece is an atom with its count.
func (p *patternParser) piece() (*expr, error) {
	e, err := p.atom()
	if err != nil {
		return nil, err
	}
	switch p.peek() {
	case '?':
		e = repeat(e, 0, 1)
	case '*':
		e = repeat(e, 0, Unbounded)
	case '+':
		e = repeat(e, 1, Unbounded)
	case '{':
		end := strings.IndexByte(p.s[p.at:], '}')
		if end < 0 {
			return nil, p.fault("the count has no end")
		}
		n, err := strconv.Atoi(p.s[p.at+1 : p.at+end])
		if err != nil {
			return nil, p.fault("the count is not a number")
		}
		p.at += end
		e = repeat(e, n, n)
	default:
		return e, nil
	}
	p.at++
	return e, nil
}

func (p *patternParser) atom() (*expr, error) {
	c := p.peek()
	switch c {
	case '(':
		p.at++
		e, err := p.choice()
		if err != nil {
			return nil, err
		}
		if p.peek() != ')' {
			return nil, p.fault("the group has no end")
		}
		p.at++
		return e, nil
	case '[':
		return p.class()
	case '.':
		p.at++
		return symbols(func(c int) bool { return c != '\n' && c != '\r' }), nil
	case '*', '+', '?', '{', '}', ']':
		return nil, p.fault("a count without anything before it")
	}
	in, err := p.single()
	if err != nil {
		return nil, err
	}
	return symbols(in), nil
}

// single reads one character or escape, as the set of characters it stands for.
func (p *patternParser) single() (func(int) bool, error) {
	c := p.peek()
	p.at++
	if c != '\\' {
		if c >= utf8.RuneSelf {
			return nil, p.fault("characters above ASCII are not supported")
		}
		return func(x int) bool { return x == int(c) }, nil
	}
	c = p.peek()
	p.at++
	digit := func(x int) bool { return x >= '0' && x <= '9' || x == otherDigit }
	space := func(x int) bool { return x < utf8.RuneSelf && isSpace(byte(x)) }
	switch c {
	case 'd':
		return digit, nil
	case 'D':
		return func(x int) bool { return !digit(x) }, nil
	case 's':
		return space, nil
	case 'S':
		return func(x int) bool { return !space(x) }, nil
	}
	if c == 0 || isLetter(c) || isDigit(c) {
		return nil, p.fault("unknown escape")
	}
	return func(x int) bool { return x == int(c) }, nil
}

// class reads [...], with ranges, escapes and a leading ^.
func (p *patternParser) class() (*expr, error) {
	p.at++
	not := p.peek() == '^'
	if not {
		p.at++
	}
	var parts []func(int) bool
	for p.peek() != ']' {
		if p.peek() == 0 {
			return nil, p.fault("the class has no end")
		}
		low := p.peek()
		in, err := p.single()
		if err != nil {
			return nil, err
		}
		if p.peek() == '-' && p.at+1 < len(p.s) && p.s[p.at+1] != ']' && low != '\\' {
			p.at++
			high := p.peek()
			p.at++
			in = func(x int) bool { return x >= int(low) && x <= int(high) }
		}
		parts = append(parts, in)
	}
	p.at++
	return symbols(func(c int) bool {
		return not != slices.ContainsFunc(parts, func(in func(int) bool) bool { return in(c) })
	}), nil
}

// symbols is the expression of one character of a set.
func symbols(in func(int) bool) *expr {
	e := &expr{op: opSymbol}
	for c := range classes {
		if in(c) {
			e.symbols = append(e.symbols, c)
		}
	}
	return e
}
