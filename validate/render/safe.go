package render

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/width"
)

// tabStop is how many cells a tab takes in an excerpt, wherever it stands.
const tabStop = 4

// The two invisible characters that the spelling of some scripts needs.
const (
	zeroWidthNonJoiner = '\u200C'
	zeroWidthJoiner    = '\u200D'
)

// hidden reports whether a character would steer the terminal or the order of
// letters instead of being seen: control characters, marks of direction, other
// formats, and separators of lines.
func hidden(r rune) bool {
	switch {
	case r >= ' ' && r < 0x7F, r == zeroWidthNonJoiner, r == zeroWidthJoiner:
		return false
	}
	return unicode.In(r, unicode.Cc, unicode.Cf, unicode.Zl, unicode.Zp) || noncharacter(r)
}

// noncharacter reports whether a code point is none by definition. XML can not
// hold two of them, and nobody can read any.
//
// Source: The Unicode Standard, section 23.7.
func noncharacter(r rune) bool { return r&0xFFFE == 0xFFFE || r >= 0xFDD0 && r <= 0xFDEF }

// safe writes hidden characters as escapes, as in \x1b.
func safe(s string) string {
	if strings.IndexFunc(s, hidden) < 0 {
		return strings.ToValidUTF8(s, "\uFFFD")
	}
	var out strings.Builder
	for _, r := range s {
		if hidden(r) {
			out.WriteString(strings.Trim(strconv.QuoteRuneToASCII(r), "'"))
		} else {
			out.WriteRune(r)
		}
	}
	return out.String()
}

// mostOfMessage is how many characters of a message people are shown; a ticket
// may hold values of any length.
const mostOfMessage = 500

// brief is the safe form of a message, cut where nobody would read on.
func brief(s string) string {
	count := 0
	for i := range s {
		if count++; count > mostOfMessage {
			return safe(s[:i]) + fmt.Sprintf("… (%d characters more)", utf8.RuneCountInString(s[i:]))
		}
	}
	return safe(s)
}

// show replaces hidden characters by a dot each, and tabs by spaces, so that a
// mark in the line below stays in step.
func show(s string) string {
	return strings.Map(func(r rune) rune {
		if hidden(r) {
			return '·'
		}
		return r
	}, strings.ReplaceAll(s, "\t", strings.Repeat(" ", tabStop)))
}

// cells is how many columns of a terminal the shown form of a text takes.
func cells(s string) int {
	n := 0
	for _, r := range s {
		n += runeCells(r)
	}
	return n
}

// runeCells is how many columns of a terminal a character takes once shown.
//
// Source: Unicode Standard Annex #11, East Asian Width, for the wide ones.
// Common practice, no source: marks and the joining parts of Korean syllables
// take none.
func runeCells(r rune) int {
	switch {
	case r == '\t':
		return tabStop
	case r < 0x300:
		return 1
	case hidden(r):
		return 1
	case unicode.In(r, unicode.Mn, unicode.Me), r == zeroWidthJoiner, r == zeroWidthNonJoiner,
		r >= 0x1160 && r <= 0x11FF:
		return 0
	}
	switch width.LookupRune(r).Kind() {
	case width.EastAsianWide, width.EastAsianFullwidth:
		return 2
	}
	return 1
}
