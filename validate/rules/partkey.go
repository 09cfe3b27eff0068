package rules

import (
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
	var pairs []string
	for a := range part.Attrs() {
		if a.Name().Space == "" {
			pairs = append(pairs, a.Local()+"="+a.Value())
		}
	}
	return joinParts(pairs)
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
