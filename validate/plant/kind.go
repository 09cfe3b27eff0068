package plant

import (
	"slices"
	"strings"
	"time"

	"github.com/shopspring/decimal"
	"go.yaml.in/yaml/v3"

	"quoin/validate"
	"quoin/validate/yamltext"
)

// kind is a sort of value: what it looks like, and how it is read.
type kind[V any] struct {
	form    string
	outline outline
	read    func(r *reader, n *yaml.Node, path string) (V, bool)
}

// outline is what an editor can know of a sort of value: whether it is a list,
// and what of. The zero outline is one scalar.
type outline struct {
	list    bool
	table   bool     // steps, or one value
	entry   string   // name of the schema of its entries, or of the group that it is
	allowed []string // the words that it can be or hold; nil for all
}

// scalar makes a kind that is read from one text.
func scalar[V any](form string, parse func(r *reader, text string) (V, *fault)) kind[V] {
	return kind[V]{form, outline{}, func(r *reader, n *yaml.Node, path string) (V, bool) {
		n, text, ok := r.text(n, path, form)
		if !ok {
			return *new(V), false
		}
		v, bad := parse(r, text)
		if bad == nil {
			return v, true
		}
		r.report(bad.rule, n, path,
			validate.F("got", clip(text)), validate.F("problem", bad.problem), validate.F("form", form))
		return v, false
	}}
}

// The dimensions that plant files measure in. Base units: micrometre, g/m2,
// second, one.
var (
	lengths = units("mm", "1000", "cm", "10000", "m", "1000000", "um", "1", "µm", "1", "μm", "1", "in", "25400")
	weights = counted("g/m2", "g/m²", "gsm")
	times   = units("s", "1", "min", "60", "h", "3600")
	percent = counted("%")
)

var text = scalar("a text", func(_ *reader, text string) (string, *fault) { return text, nil })

// word is an id: what tickets and messages can carry as a DeviceID.
var word = scalar("a word such as offset-b2", func(_ *reader, text string) (string, *fault) {
	if strings.ContainsAny(text, " \t\r\n") {
		return "", badValue("an id has no spaces")
	}
	return text, nil
})

// oneOf is a word out of a few. V is a string type.
func oneOf[V ~string](allowed ...V) kind[V] {
	k := scalar("one of "+choices(allowed), func(_ *reader, text string) (V, *fault) {
		if slices.Contains(allowed, V(text)) {
			return V(text), nil
		}
		return "", badValue("it is not one of those known")
	})
	k.outline.allowed = plain(allowed)
	return k
}

func choices[V ~string](allowed []V) string { return validate.Choices(plain(allowed)) }

func plain[V ~string](words []V) []string {
	var names []string
	for _, w := range words {
		names = append(names, string(w))
	}
	return names
}

// currency is three capital letters, as ISO 4217 has them.
var currency = scalar("three letters such as EUR", func(_ *reader, text string) (string, *fault) {
	ok := len(text) == 3
	for _, c := range text {
		ok = ok && c >= 'A' && c <= 'Z'
	}
	if !ok {
		return "", badValue("it is not a currency code")
	}
	return text, nil
})

// whole reads a quantity that has to be a whole number of base units.
func whole(n decimal.Decimal, bad *fault, of string) (int64, *fault) {
	if bad == nil && !n.IsInteger() {
		bad = badValue("it is not a whole number%s", of)
	}
	if bad != nil {
		return 0, bad
	}
	return n.IntPart(), nil
}

// maxLength bounds lengths, so that sums of them stay exact.
const maxLength = 100_000_000 // 100 m

func toLength(n decimal.Decimal, bad *fault) (Length, *fault) {
	um, bad := whole(n, bad, " of micrometres")
	if bad == nil && um > maxLength {
		bad = badSense("nothing in a print shop is over 100 m")
	}
	return Length(um), bad
}

var length = scalar("a length such as 3 mm", func(_ *reader, text string) (Length, *fault) {
	return toLength(lengths.read(text))
})

// someLength is a length above zero.
var someLength = scalar("a length such as 3 mm", func(r *reader, text string) (Length, *fault) {
	l, bad := toLength(lengths.read(text))
	if bad == nil && l == 0 {
		bad = badSense("it has to be above zero")
	}
	return l, bad
})

var size = scalar("a size such as 750 x 530 mm", func(_ *reader, text string) (Size, *fault) {
	x, y, bad := lengths.readPair(text)
	if bad != nil {
		return Size{}, bad
	}
	w, bad := toLength(x, nil)
	if bad != nil {
		return Size{}, bad
	}
	h, bad := toLength(y, nil)
	if bad == nil && (w == 0 || h == 0) {
		bad = badSense("both sides have to be above zero")
	}
	return Size{w, h}, bad
})

func span(form string, d dimension) kind[Range] {
	return scalar(form, func(_ *reader, text string) (Range, *fault) {
		low, high, bad := d.readRange(text)
		if bad == nil && high.IsZero() {
			bad = badSense("it has to end above zero")
		}
		return Range{low.InexactFloat64(), high.InexactFloat64()}, bad
	})
}

var (
	grammages = span("a range such as 60 - 350 g/m2", weights)
	calipers  = span("a range such as 0.06 - 0.45 mm", lengths)
)

var pageRange = scalar("a range such as 8 - 128 pages", func(_ *reader, text string) (IntRange, *fault) {
	low, high, bad := counted("pages").readRange(text)
	from, bad := whole(low, bad, "")
	to, bad := whole(high, bad, "")
	if bad == nil && to == 0 {
		bad = badSense("it has to end above zero")
	}
	return IntRange{int(from), int(to)}, bad
})

// number reads one quantity above zero as a float.
func number(form string, d dimension) kind[float64] {
	return scalar(form, func(_ *reader, text string) (float64, *fault) {
		n, bad := positive(d.read(text))
		return n.InexactFloat64(), bad
	})
}

func positive(n decimal.Decimal, bad *fault) (decimal.Decimal, *fault) {
	if bad == nil && n.IsZero() {
		bad = badSense("it has to be above zero")
	}
	return n, bad
}

// amount is an exact quantity in its base unit, zero allowed.
func amount(form string, d dimension) kind[decimal.Decimal] {
	return scalar(form, func(_ *reader, text string) (decimal.Decimal, *fault) { return d.read(text) })
}

// count is a whole number from least up.
func count(form string, least int, names ...string) kind[int] {
	return scalar(form, func(_ *reader, text string) (int, *fault) {
		n, bad := counted(names...).optional().read(text)
		i, bad := whole(n, bad, "")
		switch {
		case bad == nil && i < int64(least):
			bad = badSense("it has to be at least %d", least)
		case bad == nil && i > maxCount:
			bad = badSense("it can be at most %d", maxCount)
		}
		return int(i), bad
	})
}

// maxCount bounds counts, so that products of them stay in range.
const maxCount = 10_000_000

// maxTime bounds times, in seconds: 1000 hours.
const maxTime = 3_600_000

var duration = scalar("a time such as 12 min", func(_ *reader, text string) (time.Duration, *fault) {
	return toTime(times.read(text))
})

func toTime(n decimal.Decimal, bad *fault) (time.Duration, *fault) {
	if bad == nil && n.GreaterThan(decimal.NewFromInt(maxTime)) {
		bad = badSense("no step takes over 1000 h")
	}
	if bad != nil {
		return 0, bad
	}
	return time.Duration(n.Mul(decimal.NewFromInt(int64(time.Second))).IntPart()), nil
}

// timePer reads a time above zero with one of several endings behind.
func timePer(text string, per ...string) (time.Duration, *fault) {
	for _, p := range per {
		if rest, ok := strings.CutSuffix(text, p); ok {
			return toTime(positive(times.read(strings.TrimSpace(rest))))
		}
	}
	return 0, badUnit("it does not say %q behind the time", per[0])
}

// share is a percentage up to a limit.
func share(most int64) kind[decimal.Decimal] {
	return scalar("a percentage such as 2.5 %", func(_ *reader, text string) (decimal.Decimal, *fault) {
		n, bad := percent.read(text)
		if bad == nil && n.GreaterThan(decimal.NewFromInt(most)) {
			bad = badSense("it can be at most %d %%", most)
		}
		return n, bad
	})
}

// money is an amount in the currency of the plant, for one of what per names:
// "/h", "per 1000 sheets". The currency may be left out.
func money(form string, per ...string) kind[decimal.Decimal] {
	return scalar(form, func(r *reader, text string) (decimal.Decimal, *fault) {
		n, rest, bad := readNumber(text)
		if bad != nil {
			return n, bad
		}
		rest = strings.TrimSpace(rest)
		if code := strings.TrimRight(rest[:min(3, len(rest))], " /"); len(code) == 3 && code == strings.ToUpper(code) {
			if r.plant.Currency != "" && code != r.plant.Currency {
				return n, badUnit("it is in %s, and the plant counts in %s", code, r.plant.Currency)
			}
			rest = strings.TrimSpace(rest[3:])
		}
		rest = strings.Join(strings.Fields(rest), " ")
		if !slices.Contains(per, rest) {
			return n, badUnit("it does not say %q behind the amount", per[0])
		}
		return n, nil
	})
}

// yes is a yes or no.
var yes = mapped(oneOf("yes", "no", "true", "false"), func(word string) bool { return word == "yes" || word == "true" })

// words is a list of words out of a few.
func words(allowed ...string) kind[[]string] {
	return listOf("a list such as ["+strings.Join(allowed[:min(2, len(allowed))], ", ")+"]", oneOf(allowed...))
}

// listOf is a list of single values.
func listOf[V any](form string, one kind[V]) kind[[]V] {
	holds := outline{list: true, allowed: one.outline.allowed}
	return kind[[]V]{form, holds, func(r *reader, n *yaml.Node, path string) ([]V, bool) {
		n, ok := r.enter(n, path)
		if !ok {
			return nil, false
		}
		if n.Kind != yaml.SequenceNode {
			r.report(wrongType, n, path, validate.F("got", yamltext.Describe(n)), validate.F("want", form))
			return nil, false
		}
		var all []V
		for _, item := range n.Content {
			if v, ok := one.read(r, item, path); ok {
				all = append(all, v)
			}
		}
		return all, true
	}}
}
