package rules

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"quoin/jdf"
)

// partSeparator stands between the pairs of a part written as one word; no
// attribute can hold it.
const partSeparator = "\x00"

// partKey writes the keys of a Part element as one word, in a fixed order, so
// that equal parts are equal words.
func partKey(part jdf.Node) string {
	var room [8]jdf.Attr // more keys than that are rare
	attrs, size := room[:0], 0
	for a := range part.Attrs() {
		if a.Name().Space == "" {
			attrs = append(attrs, a)
			size += len(a.Local()) + len("=") + len(a.Value()) + len(partSeparator)
		}
	}
	slices.SortFunc(attrs, comparePairs)
	var word strings.Builder
	word.Grow(size)
	for i, a := range attrs {
		if i > 0 {
			word.WriteString(partSeparator)
		}
		word.WriteString(a.Local())
		word.WriteByte('=')
		word.WriteString(a.Value())
	}
	return word.String()
}

// comparePairs orders the attributes of an element as joinParts orders them
// when they are written out: the name ends with the sign.
func comparePairs(a, b jdf.Attr) int {
	x, y := a.Local(), b.Local()
	both := min(len(x), len(y))
	if c := strings.Compare(x[:both], y[:both]); c != 0 || len(x) == len(y) {
		return c
	}
	if len(x) < len(y) {
		return cmp.Compare('=', y[both])
	}
	return cmp.Compare(x[both], '=')
}

func joinParts(pairs []string) string {
	slices.Sort(pairs)
	return strings.Join(pairs, partSeparator)
}

// partWords is a part for a sentence.
func partWords(key string) string {
	if key == "" {
		return "the whole"
	}
	return strings.ReplaceAll(key, partSeparator, " ")
}

// partMap is a part taken apart again.
func partMap(key string) map[string]string {
	m := map[string]string{}
	for pair := range strings.SplitSeq(key, partSeparator) {
		if k, v, ok := strings.Cut(pair, "="); ok {
			m[k] = v
		}
	}
	return m
}

// includes reports whether all of b lies within a: a has no key that b lacks.
func includes(a, b map[string]string) bool {
	for k, v := range a {
		if b[k] != v {
			return false
		}
	}
	return true
}

func plural(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return strconv.Itoa(n) + " " + what + "s"
}
