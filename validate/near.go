package validate

import "strings"

// Nearest returns the candidate that a mistyped word most likely means, or ""
// when none is near: at most a third of its letters may differ, and case
// counts for nothing. Equal distances go to the first candidate.
func Nearest(word string, candidates []string) string {
	best, least := "", len(word)/3+1
	lower := strings.ToLower(word)
	for _, c := range candidates {
		if gap := len(c) - len(word); gap >= least || -gap >= least {
			continue
		}
		if d := distance(lower, strings.ToLower(c), least); d < least {
			best, least = c, d
		}
	}
	return best
}

// Suggest is what to do about a mistyped word, as in "write Media", or "".
func Suggest(word string, candidates []string) string {
	if near := Nearest(word, candidates); near != "" {
		return "write " + near
	}
	return ""
}

// distance is the number of letters to insert, drop, change or swap with their
// neighbour between two words, counted in bytes; limit is returned for more.
func distance(a, b string, limit int) int {
	prev2, prev, row := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range prev {
		prev[j] = j
	}
	for i := 1; i <= len(a); i++ {
		row[0] = i
		least := i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			row[j] = min(prev[j]+1, row[j-1]+1, prev[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], prev2[j-2]+1)
			}
			least = min(least, row[j])
		}
		if least >= limit {
			return limit
		}
		prev2, prev, row = prev, row, prev2
	}
	return min(prev[len(b)], limit)
}
