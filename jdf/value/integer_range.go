package value

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// IntegerRange runs from First to Last, both included, upwards or downwards. Negative numbers count from the end of
// whatever is numbered, -1 being the last; JDF's INF, beyond any end, is the largest int.
type IntegerRange struct{ First, Last int }

// IntegerRangeList is a list of ranges and of single numbers, which are ranges whose First and Last are the same.
type IntegerRangeList []IntegerRange

// ParseIntegerRange reads the form of JDF for one range or number, such as 0 ~ 5 or 0~5.
func ParseIntegerRange(s string) (IntegerRange, error) {
	list, err := ParseIntegerRangeList(s)
	if err != nil {
		return IntegerRange{}, err
	}
	if len(list) != 1 {
		return IntegerRange{}, &SyntaxError{Type: "integer range", Value: trim(s), Want: "one range such as 0 ~ 5"}
	}
	return list[0], nil
}

// ParseIntegerRangeList reads the form of JDF: ranges and numbers such as 0 ~ 5 8 10 ~ -1, with or without white space
// around a tilde. A bound may be INF, though not -INF. An empty text and numbers beyond int are a *[SyntaxError]. The
// published schema also lets numbers run together, as in 5-3; here they need white space between.
func ParseIntegerRangeList(s string) (IntegerRangeList, error) {
	scan := rangeScanner{all: s, rest: s, width: 1, glued: true}
	ranges, err := scanRanges(&scan, parseRangeInteger)
	if err == nil && len(ranges) == 0 {
		err = scan.fail("at least one number or range")
	}
	if err != nil {
		return nil, err
	}
	list := make(IntegerRangeList, len(ranges))
	for i, r := range ranges {
		list[i] = IntegerRange(r)
	}
	return list, nil
}

func parseRangeInteger(s string) (int, error) {
	if s == "INF" {
		return math.MaxInt, nil
	}
	n, err := ParseInteger(s)
	if err != nil {
		return 0, err
	}
	if int64(int(n)) != n {
		return 0, &SyntaxError{Type: "integer", Value: s, Want: "a smaller number"}
	}
	return int(n), nil
}

// ParseIntegerPairs reads the form of XJDF: pairs of first and last such as 0 5 8 -1, each a 32-bit number. An empty
// text is an empty list; an odd number of numbers is a *[SyntaxError].
func ParseIntegerPairs(s string) (IntegerRangeList, error) {
	numbers, err := ParseList(s, ParseInt)
	if err != nil {
		return nil, err
	}
	if len(numbers)%2 != 0 {
		return nil, &SyntaxError{Type: "integer range list", Value: trim(s), Want: "pairs of numbers such as 0 5 8 -1"}
	}
	var list IntegerRangeList
	for i := 0; i < len(numbers); i += 2 {
		list = append(list, IntegerRange{int(numbers[i]), int(numbers[i+1])})
	}
	return list, nil
}

// String prints the form of JDF.
func (r IntegerRange) String() string { return IntegerRangeList{r}.JDFString() }

// JDFString prints the form of JDF, such as 0 ~ 5 8 10 ~ -1.
func (l IntegerRangeList) JDFString() string {
	parts := make([]string, len(l))
	for i, r := range l {
		parts[i] = rangeInteger(r.First)
		if r.Last != r.First {
			parts[i] += " ~ " + rangeInteger(r.Last)
		}
	}
	return strings.Join(parts, " ")
}

func rangeInteger(n int) string {
	if n == math.MaxInt {
		return "INF"
	}
	return strconv.Itoa(n)
}

// XJDFString prints the form of XJDF, such as 0 5 8 8 10 -1. Numbers beyond 32 bits, INF among them, become the
// outermost that XJDF can write, which lies beyond any end as well.
func (l IntegerRangeList) XJDFString() string {
	parts := make([]string, len(l))
	for i, r := range l {
		parts[i] = fmt.Sprintf("%d %d", to32(r.First), to32(r.Last))
	}
	return strings.Join(parts, " ")
}

func to32(n int) int32 { return int32(min(max(n, math.MinInt32), math.MaxInt32)) }

// bounds gives the first and last index of the range among n things. It is false when none of them is meant. Bounds
// that lie beyond the ends are drawn to the ends.
func (r IntegerRange) bounds(n int) (first, last int, ok bool) {
	first, last = fromEnd(r.First, n), fromEnd(r.Last, n)
	if n <= 0 || first < 0 && last < 0 || first >= n && last >= n {
		return 0, 0, false
	}
	clamp := func(i int) int { return min(max(i, 0), n-1) }
	return clamp(first), clamp(last), true
}

func fromEnd(i, n int) int {
	if i < 0 {
		return i + n
	}
	return i
}

// Resolve lists the indexes among n things, from 0 to n-1, in the order the ranges have them. A range that runs
// backwards gives descending indexes; what lies beyond the ends is left out; what is listed twice comes twice.
// [IntegerRangeList.Count] tells beforehand how many there will be.
func (l IntegerRangeList) Resolve(n int) []int {
	indexes := make([]int, 0, l.Count(n))
	for _, r := range l {
		first, last, ok := r.bounds(n)
		if !ok {
			continue
		}
		step := 1
		if last < first {
			step = -1
		}
		for i := first; i != last; i += step {
			indexes = append(indexes, i)
		}
		indexes = append(indexes, last)
	}
	return indexes
}

// Contains tells whether index i, from 0 to n-1, is among those listed.
func (l IntegerRangeList) Contains(i, n int) bool {
	for _, r := range l {
		first, last, ok := r.bounds(n)
		if ok && min(first, last) <= i && i <= max(first, last) {
			return true
		}
	}
	return false
}

// Count gives how many indexes [IntegerRangeList.Resolve] lists.
func (l IntegerRangeList) Count(n int) int {
	count := 0
	for _, r := range l {
		if first, last, ok := r.bounds(n); ok {
			count += max(first, last) - min(first, last) + 1
		}
	}
	return count
}
