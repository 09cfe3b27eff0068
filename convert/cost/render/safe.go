package render

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/shopspring/decimal"
	"golang.org/x/text/width"

	"quoin/convert/cost"
)

const (
	// mostOfName is how many characters of a name out of a ticket are shown.
	mostOfName = 200
	// mostListed is how many names a sentence lists.
	mostListed = 8
)

var (
	one     = decimal.NewFromInt(1)
	hundred = decimal.NewFromInt(100)
)

// hidden reports whether a character would steer a terminal or the order of letters
// instead of being seen.
func hidden(r rune) bool {
	return r < ' ' || r >= 0x7F && r < 0xA0 || r&0xFFFE == 0xFFFE ||
		unicode.In(r, unicode.Cf, unicode.Zl, unicode.Zp) || r >= 0xFDD0 && r <= 0xFDEF
}

// safe writes hidden characters as escapes, as in \x1b, and cuts what is too long.
func safe(s string) string {
	s = strings.ToValidUTF8(s, "\uFFFD")
	if utf8.RuneCountInString(s) > mostOfName {
		runes := []rune(s)
		s = fmt.Sprintf("%s… (%d characters more)", string(runes[:mostOfName]), len(runes)-mostOfName)
	}
	if strings.IndexFunc(s, hidden) < 0 {
		return s
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

// cells is how many columns of a terminal a text takes.
//
// Source: Unicode Standard Annex #11, East Asian Width, for the wide ones.
func cells(s string) int {
	n := 0
	for _, r := range s {
		n += runeCells(r)
	}
	return n
}

func runeCells(r rune) int {
	switch {
	case r < 0x300:
		return 1
	case unicode.In(r, unicode.Mn, unicode.Me):
		return 0
	}
	if k := width.LookupRune(r).Kind(); k == width.EastAsianWide || k == width.EastAsianFullwidth {
		return 2
	}
	return 1
}

// clip cuts a text to at most n columns.
func clip(s string, n int) string {
	if cells(s) <= n {
		return s
	}
	used := 0
	for i, r := range s {
		if used += runeCells(r); used > n-1 {
			return s[:i] + "…"
		}
	}
	return s
}

// grouped puts commas between the thousands of a number in plain digits.
func grouped(number string) string {
	sign := ""
	if strings.HasPrefix(number, "-") {
		sign, number = "-", number[1:]
	}
	whole, rest, _ := strings.Cut(number, ".")
	for i := len(whole) - 3; i > 0; i -= 3 {
		whole = whole[:i] + "," + whole[i:]
	}
	if rest != "" {
		whole += "." + rest
	}
	return sign + whole
}

// money writes an amount as in 12,345.60.
func money(d decimal.Decimal, places int32) string { return grouped(d.StringFixed(places)) }

// difference writes an amount with its sign, as in +12.00.
func difference(d decimal.Decimal, places int32) string {
	if d.IsPositive() {
		return "+" + money(d, places)
	}
	return money(d, places)
}

// amount writes a quantity for people, with three decimals at most.
func amount(d decimal.Decimal) string { return grouped(d.Round(3).String()) }

// hours writes a length of time as in 1,127:05:30, to the second, so that what is
// shown adds up.
func hours(s cost.Span) string {
	text := s.Clock()
	return grouped(text[:len(text)-6]) + text[len(text)-6:]
}

// share is part of whole in percent with one decimal, "" where there is no whole.
func share(part, of decimal.Decimal) string {
	if !of.IsPositive() {
		return ""
	}
	return part.Mul(hundred).DivRound(of, 1).StringFixed(1) + " %"
}

func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return grouped(strconv.Itoa(n)) + " " + many
}

// list quotes the first names.
func list(names []string) string {
	var out []string
	for _, name := range names[:min(mostListed, len(names))] {
		out = append(out, strconv.Quote(clip(safe(name), 60)))
	}
	text := strings.Join(out, ", ")
	if more := len(names) - mostListed; more > 0 {
		text += fmt.Sprintf(" and %d more", more)
	}
	return text
}
