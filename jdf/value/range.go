package value

import (
	"fmt"
	"strings"
)

// Range runs from First to Last, both included. In an open range one of them is infinite.
type Range[T any] struct{ First, Last T }

// String prints First ~ Last.
func (r Range[T]) String() string { return text(r.First) + " ~ " + text(r.Last) }

// RangeList is a list of ranges and of single values, which are ranges whose First and Last are the same.
type RangeList[T any] []Range[T]

// String prints the ranges with a blank between; a range of one value prints as that value.
func (l RangeList[T]) String() string {
	parts := make([]string, len(l))
	for i, r := range l {
		first, last := text(r.First), text(r.Last)
		if first == last {
			parts[i] = first
		} else {
			parts[i] = first + " ~ " + last
		}
	}
	return strings.Join(parts, " ")
}

// text prints a bound as its parser reads it.
func text(bound any) string {
	switch b := bound.(type) {
	case float64:
		return FormatDouble(b)
	default:
		return fmt.Sprint(b)
	}
}

// ParseRange reads first ~ last, with white space around the tilde. A bound is made of width items separated by white
// space (one for a number, two for a pair), and parseOne reads it.
func ParseRange[T any](s string, parseOne func(string) (T, error), width int) (Range[T], error) {
	scan := rangeScanner{all: s, rest: s, width: width}
	r, single, err := nextRange(&scan, parseOne)
	if err == nil && (single || !scan.done()) {
		err = scan.fail("one range")
	}
	if err != nil {
		return Range[T]{}, err
	}
	return r, nil
}

// ParseRangeList reads a list of ranges and single values. The bounds are as for [ParseRange]. An empty text is an
// empty list. The published JDF schema checks only the items, so that it also lets a lonely tilde or half a pair pass;
// these are a *[SyntaxError] here.
func ParseRangeList[T any](s string, parseOne func(string) (T, error), width int) (RangeList[T], error) {
	scan := rangeScanner{all: s, rest: s, width: width}
	return scanRanges(&scan, parseOne)
}

func scanRanges[T any](scan *rangeScanner, parseOne func(string) (T, error)) (RangeList[T], error) {
	var list RangeList[T]
	for !scan.done() {
		r, _, err := nextRange(scan, parseOne)
		if err != nil {
			return nil, err
		}
		list = append(list, r)
	}
	return list, nil
}

// nextRange reads a single value or a range.
func nextRange[T any](scan *rangeScanner, parseOne func(string) (T, error)) (r Range[T], single bool, err error) {
	if r.First, err = nextBound(scan, parseOne); err != nil {
		return r, false, err
	}
	if !scan.tilde() {
		r.Last = r.First
		return r, true, nil
	}
	r.Last, err = nextBound(scan, parseOne)
	return r, false, err
}

func nextBound[T any](scan *rangeScanner, parseOne func(string) (T, error)) (bound T, err error) {
	words, ok := scan.bound()
	if !ok {
		return bound, scan.fail("a bound on both sides of each ~")
	}
	return parseOne(words)
}

// rangeScanner cuts a text into bounds and tildes.
type rangeScanner struct {
	all   string
	rest  string
	width int  // items in a bound
	glued bool // a tilde needs no white space around it
}

func (r *rangeScanner) done() bool {
	r.rest = skipSpace(r.rest)
	return r.rest == ""
}

func (r *rangeScanner) atTilde() bool {
	r.rest = skipSpace(r.rest)
	return r.rest != "" && r.rest[0] == '~' && (r.glued || len(r.rest) == 1 || isSpace(r.rest[1]))
}

// tilde steps over a tilde if there is one.
func (r *rangeScanner) tilde() bool {
	if !r.atTilde() {
		return false
	}
	r.rest = r.rest[1:]
	return true
}

// bound steps over the items of one bound and gives their text; it is false when there are too few.
func (r *rangeScanner) bound() (string, bool) {
	r.rest = skipSpace(r.rest)
	start := r.rest
	for range r.width {
		if r.done() || r.atTilde() {
			return "", false
		}
		end := 0
		for end < len(r.rest) && !isSpace(r.rest[end]) && !(r.glued && r.rest[end] == '~') {
			end++
		}
		r.rest = r.rest[end:]
	}
	return start[:len(start)-len(r.rest)], true
}

func (r *rangeScanner) fail(want string) error {
	if r.width > 1 {
		want = fmt.Sprintf("%s, each bound %d numbers", want, r.width)
	}
	return &SyntaxError{Type: "range", Value: trim(r.all), Want: want + ", such as 1 ~ 5"}
}
