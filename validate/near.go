package validate

import "strings"

// Nearest returns the candidate that a mistyped word most likely means, or ""
// when none is near: at most a third of its letters may differ, and case
// counts for nothing. Equal distances go to the first candidate. A word that
// shortens one candidate alone, as ConvPrinting does ConventionalPrinting, means
// that rather than one that is more than two letters away.
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
	if best == "" || least > 2 {
		if full := shortened(lower, candidates); full != "" {
			return full
		}
	}
	return best
}

// shortened is the one candidate that a word in small letters is a short form
// of: it begins like the word and has all its letters in order. It is "" where
// there is none, or are several.
func shortened(word string, candidates []string) string {
	const begins = 4
	if len(word) < 2*begins {
		return ""
	}
	found := ""
	for _, c := range candidates {
		if len(c) <= len(word) || !strings.EqualFold(c[:begins], word[:begins]) {
			continue
		}
		at := 0
		for i := 0; i < len(c) && at < len(word); i++ {
			if lowerByte(c[i]) == word[at] {
				at++
			}
		}
		if at < len(word) || c == found {
			continue
		}
		if found != "" {
			return ""
		}
		found = c
	}
	return found
}

func lowerByte(b byte) byte {
	if 'A' <= b && b <= 'Z' {
		return b + 'a' - 'A'
	}
	return b
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
