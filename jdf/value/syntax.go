package value

import (
	"fmt"
	"unicode/utf8"
)

// maxQuoted is how many bytes of a bad value an error repeats; a ticket may hold a list of many thousands.
const maxQuoted = 80

// SyntaxError says that a text is not a value of the wanted type.
type SyntaxError struct {
	Type  string // what was wanted, such as "duration"
	Value string // the text as it was found, without the white space around it
	Want  string // the form that would do, such as "a form such as PT1H30M"
}

// Error gives one line such as: "P1W" is not a duration; want a form such as PT1H30M.
func (e *SyntaxError) Error() string {
	return fmt.Sprintf("%q is not %s %s; want %s", shorten(e.Value), article(e.Type), e.Type, e.Want)
}

func article(noun string) string {
	if noun == "" {
		return "a"
	}
	switch noun[0] {
	case 'a', 'e', 'i', 'o', 'u', 'I', 'N', 'X':
		return "an"
	}
	return "a"
}

// shorten cuts at a rune so that the quoted text stays readable.
func shorten(s string) string {
	if len(s) <= maxQuoted {
		return s
	}
	end := maxQuoted
	for end > maxQuoted-utf8.UTFMax && !utf8.RuneStart(s[end]) {
		end--
	}
	return s[:end] + "…"
}
