package profile

import (
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// tokenKind is what a word or sign of an expression is, after the rules of
// XPath 1.0, section 3.7.
type tokenKind uint8

const (
	tokenEnd tokenKind = iota
	tokenName
	tokenLiteral
	tokenNumber
	tokenSign
	tokenOperator
	tokenFunction
	tokenNodeType
	tokenAxis
)

// token is a word or sign of an expression, with its place in bytes.
type token struct {
	kind       tokenKind
	text       string
	start, end int
}

// fault is what is wrong with an expression, and where in it, in bytes.
type fault struct {
	start, end int
	problem    string
	misplaced  bool // a name that is right elsewhere
	unknown    bool // a name that is not in the dictionary
	advice     string
}

func (f *fault) Error() string { return f.problem }

// nodeTypes are the node tests that are no names.
var nodeTypes = []string{"comment", "node", "processing-instruction", "text"}

// signs are the signs of the grammar, longer ones first.
var signs = []string{
	"//", "::", "..", "!=", "<=", ">=",
	"(", ")", "[", "]", ".", "@", ",", "/", "|", "+", "-", "=", "<", ">", "*",
}

// operatorSigns are the signs that stand between operands.
var operatorSigns = []string{"//", "/", "|", "+", "-", "=", "!=", "<", "<=", ">", ">="}

// lex takes an expression apart.
func lex(text string) ([]token, *fault) {
	var tokens []token
	for at := 0; ; {
		at += len(text[at:]) - len(strings.TrimLeft(text[at:], " \t\r\n"))
		if at == len(text) {
			return append(tokens, token{tokenEnd, "", at, at}), nil
		}
		t, f := lexOne(text, at)
		if f != nil {
			return nil, f
		}
		at = t.end
		tokens = append(tokens, classify(t, tokens, strings.TrimLeft(text[at:], " \t\r\n")))
	}
}

func lexOne(text string, at int) (token, *fault) {
	rest := text[at:]
	switch c, size := utf8.DecodeRuneInString(rest); {
	case c == '"' || c == '\'':
		end := strings.IndexByte(rest[1:], rest[0])
		if end < 0 {
			return token{}, &fault{start: at, end: len(text), problem: "the text that starts here has no closing quote"}
		}
		return token{tokenLiteral, rest[1 : 1+end], at, at + end + 2}, nil
	case digit(c) || c == '.' && len(rest) > 1 && digit(rune(rest[1])):
		n := len(rest) - len(strings.TrimLeft(rest, "0123456789"))
		if n < len(rest) && rest[n] == '.' {
			n++
			n += len(rest[n:]) - len(strings.TrimLeft(rest[n:], "0123456789"))
		}
		return token{tokenNumber, rest[:n], at, at + n}, nil
	case nameStart(c):
		n := nameLength(rest)
		// A colon joins prefix and name, two colons end the name of an axis.
		if tail := rest[n:]; strings.HasPrefix(tail, ":") && !strings.HasPrefix(tail, "::") {
			more := nameLength(tail[1:])
			if more == 0 && !strings.HasPrefix(tail, ":*") {
				return token{}, &fault{start: at, end: at + n + 1, problem: "a prefix is not followed by a name"}
			}
			n += 1 + max(more, 1)
		}
		return token{tokenName, rest[:n], at, at + n}, nil
	case c == '$':
		return token{}, &fault{start: at, end: at + 1, problem: "variables are not taken; nothing gives them a value"}
	default:
		for _, s := range signs {
			if strings.HasPrefix(rest, s) {
				return token{tokenSign, s, at, at + len(s)}, nil
			}
		}
		return token{}, &fault{start: at, end: at + size, problem: fmt.Sprintf("%q has no meaning here", c)}
	}
}

// classify tells names, operators, functions, node types and axes apart by
// what stands before and after.
func classify(t token, before []token, after string) token {
	operand := false // an operand has just ended, so that an operator must follow
	if len(before) > 0 {
		last := before[len(before)-1]
		operand = last.kind != tokenOperator &&
			!(last.kind == tokenSign && slices.Contains([]string{"@", "::", "(", "[", ","}, last.text))
	}
	switch {
	case t.kind == tokenSign && t.text == "*":
		t.kind = tokenName
		if operand {
			t.kind = tokenOperator
		}
	case t.kind == tokenSign && slices.Contains(operatorSigns, t.text):
		t.kind = tokenOperator
	case t.kind != tokenName:
	case operand && slices.Contains([]string{"and", "or", "div", "mod"}, t.text):
		t.kind = tokenOperator
	case strings.HasPrefix(after, "(") && slices.Contains(nodeTypes, t.text):
		t.kind = tokenNodeType
	case strings.HasPrefix(after, "("):
		t.kind = tokenFunction
	case strings.HasPrefix(after, "::"):
		t.kind = tokenAxis
	}
	return t
}

func digit(c rune) bool { return '0' <= c && c <= '9' }

func nameStart(c rune) bool { return c == '_' || c != utf8.RuneError && unicode.IsLetter(c) }

// nameLength is the length in bytes of the name without colon that a text starts with.
func nameLength(s string) int {
	for i, c := range s {
		inner := c == '-' || c == '.' || c == '\u00b7' || c != utf8.RuneError && (unicode.IsDigit(c) || unicode.IsMark(c))
		if !nameStart(c) && (i == 0 || !inner) {
			return i
		}
	}
	return len(s)
}
