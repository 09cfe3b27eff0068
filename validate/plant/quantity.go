package plant

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/shopspring/decimal"

	"quoin/validate"
)

// fault is what is wrong with a text that should have been a value.
type fault struct {
	rule    *validate.Rule
	problem string
}

func badValue(format string, args ...any) *fault {
	return &fault{wrongValue, fmt.Sprintf(format, args...)}
}
func badUnit(format string, args ...any) *fault {
	return &fault{wrongUnit, fmt.Sprintf(format, args...)}
}
func badSense(format string, args ...any) *fault {
	return &fault{outOfSense, fmt.Sprintf(format, args...)}
}

// unit is a way to write a unit, and what one of it is in the base unit.
type unit struct {
	name   string
	factor decimal.Decimal
}

// dimension is a set of units that measure the same. With bare set, a number
// without unit is taken too.
type dimension struct {
	units []unit
	bare  bool
}

func units(pairs ...any) dimension {
	var d dimension
	for i := 0; i < len(pairs); i += 2 {
		d.units = append(d.units, unit{pairs[i].(string), decimal.RequireFromString(pairs[i+1].(string))})
	}
	return d
}

// counted is a dimension of one unit with factor 1, in several spellings.
func counted(names ...string) dimension {
	var d dimension
	for _, n := range names {
		d.units = append(d.units, unit{n, decimal.NewFromInt(1)})
	}
	return d
}

// optional is the dimension that takes a bare number too.
func (d dimension) optional() dimension { d.bare = true; return d }

func (d dimension) names() string {
	var names []string
	for _, u := range d.units {
		names = append(names, u.name)
	}
	return validate.Choices(names)
}

// apply turns a number and the unit written after it into the base unit.
func (d dimension) apply(n decimal.Decimal, name string) (decimal.Decimal, *fault) {
	name = strings.TrimSpace(name)
	if name == "" && d.bare {
		return n, nil
	}
	if name == "" {
		return n, badUnit("it has no unit")
	}
	i := slices.IndexFunc(d.units, func(u unit) bool { return u.name == name })
	if i < 0 {
		return n, badUnit("the unit %q is not one of %s", clip(name), d.names())
	}
	return n.Mul(d.units[i].factor), nil
}

// read reads a number and its unit.
func (d dimension) read(text string) (decimal.Decimal, *fault) {
	n, rest, bad := readNumber(text)
	if bad != nil {
		return n, bad
	}
	return d.apply(n, rest)
}

// readRange reads two numbers with a dash between and one unit behind.
func (d dimension) readRange(text string) (low, high decimal.Decimal, bad *fault) {
	low, rest, bad := readNumber(text)
	if bad != nil {
		return low, high, bad
	}
	rest, ok := cutSign(rest, "-", "–", "to ")
	if !ok {
		return low, high, badValue("it is not a range")
	}
	high, rest, bad = readNumber(rest)
	if bad != nil {
		return low, high, bad
	}
	if high.LessThan(low) {
		return low, high, badSense("the range ends at %s, below its start at %s", high, low)
	}
	if low, bad = d.apply(low, rest); bad == nil {
		high, bad = d.apply(high, rest)
	}
	return low, high, bad
}

// readPair reads two numbers with a cross between and one unit behind.
func (d dimension) readPair(text string) (x, y decimal.Decimal, bad *fault) {
	x, rest, bad := readNumber(text)
	if bad != nil {
		return x, y, bad
	}
	rest, ok := cutSign(rest, "x", "×", "X")
	if !ok {
		return x, y, badValue("it is not a width and a height")
	}
	y, rest, bad = readNumber(rest)
	if bad != nil {
		return x, y, bad
	}
	if x, bad = d.apply(x, rest); bad == nil {
		y, bad = d.apply(y, rest)
	}
	return x, y, bad
}

// cutSign takes one of several signs from the front of a text.
func cutSign(text string, signs ...string) (rest string, ok bool) {
	text = strings.TrimSpace(text)
	for _, s := range signs {
		if rest, ok := strings.CutPrefix(text, s); ok {
			return rest, true
		}
	}
	return text, false
}

// maxDigits bounds the numbers of a plant file; no price or sheet count comes near.
const maxDigits = 15

// readNumber reads digits, with at most one point among them, from the front of a text.
func readNumber(text string) (n decimal.Decimal, rest string, bad *fault) {
	text = strings.TrimSpace(text)
	end := 0
	for end < len(text) && (text[end] >= '0' && text[end] <= '9' || text[end] == '.') {
		end++
	}
	digits, rest := text[:end], text[end:]
	switch {
	case strings.HasPrefix(text, "-"):
		return n, rest, badSense("a number below zero has no sense here")
	case end == 0:
		return n, rest, badValue("there is no number where one has to stand")
	case strings.HasPrefix(rest, ",") || strings.HasPrefix(rest, "'"):
		return n, rest, badValue("write numbers without separators, and with a point for decimals")
	case len(digits) > maxDigits:
		return n, rest, badValue("a number has at most %d digits", maxDigits)
	case strings.Count(digits, ".") > 1 || digits[0] == '.' || digits[end-1] == '.':
		return n, rest, badValue("%q is not a number", digits)
	}
	n, err := decimal.NewFromString(digits)
	if err != nil {
		return n, rest, badValue("%q is not a number", digits)
	}
	return n, rest, nil
}

// clip shortens what a message quotes.
func clip(s string) string {
	const most = 60
	if utf8.RuneCountInString(s) <= most {
		return s
	}
	return string([]rune(s)[:most]) + "…"
}
