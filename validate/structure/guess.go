package structure

import (
	"strings"
	"unicode"

	"quoin/validate"
)

// guesses keeps what was found out for the words of findings, so that the same
// mistake made sixty thousand times is thought about once. Other mistakes in
// such numbers get no near names any more.
type guesses struct {
	known map[guess]string
	spent int // candidates compared so far
}

// guess is a question: a word, and the type or relation that it is asked about.
type guess struct {
	about any
	word  string
}

// maxCandidates bounds the comparisons for one document; it is some hundred
// misspelt names against the whole dictionary.
const maxCandidates = 500_000

// The relations that are asked about beside types.
type relation uint8

const (
	anyElement relation = iota
	anyAttribute
	parentsOf
	carriersOf
	membersOf
	typesUnder
)

// near is the candidate that a word most likely means, or "".
func (g *guesses) near(about any, word string, candidates func() []string) string {
	return g.ask(about, word, func() string {
		if g.spent >= maxCandidates {
			return ""
		}
		if !strings.ContainsFunc(word, unicode.IsLetter) {
			return sameDigits(word, candidates())
		}
		list := candidates()
		g.spent += len(list)
		return validate.Nearest(word, list)
	})
}

// sameDigits is the candidate that differs from a number by its punctuation
// alone, as 1,5 from 1.5: another number is nothing that was meant.
func sameDigits(word string, candidates []string) string {
	for _, c := range candidates {
		if onlyDigits(c) == onlyDigits(word) {
			return c
		}
	}
	return ""
}

func onlyDigits(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsDigit(r) {
			return r
		}
		return -1
	}, s)
}

// choices lists names for a message.
func (g *guesses) choices(about relation, word string, list func(string) []string) string {
	return g.ask(about, word, func() string { return validate.Choices(list(word)) })
}

func (g *guesses) ask(about any, word string, answer func() string) string {
	k := guess{about, word}
	if a, ok := g.known[k]; ok {
		return a
	}
	if g.known == nil {
		g.known = map[guess]string{}
	}
	a := answer()
	if len(g.known) < maxCandidates/100 {
		g.known[k] = a
	}
	return a
}

// partKey is a part of a resource, and the first name that a limit asks it for.
type partKey struct {
	node int
	name string
}
