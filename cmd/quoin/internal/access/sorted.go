package access

import "slices"

func sorted(words []string) []string {
	slices.Sort(words)
	return words
}
