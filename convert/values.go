package convert

import (
	"math"
	"strconv"
	"strings"
	"unicode"

	"quoin/jdf/value"
	"quoin/schemas"
)

// word looks a word up in a list of values; up is from the 1.x generation.
func (t *table) word(list, word string, up bool) (string, bool) {
	for _, p := range t.values[list] {
		from, to, against := p.left, p.right, byte('<')
		if !up {
			from, to, against = p.right, p.left, '>'
		}
		if p.op != against && from == word {
			return to, true
		}
	}
	return "", false
}

// mapped puts a value through a list of values, word by word.
func (t *table) mapped(list, v string, up bool) (out string, dropped bool) {
	var words []string
	for _, w := range strings.Fields(v) {
		to, ok := t.word(list, w, up)
		switch {
		case !ok:
			words = append(words, w)
		case to == "-":
			dropped = true
		default:
			words = append(words, to)
		}
	}
	return strings.Join(words, " "), dropped
}

// fitValue makes a value one of a type, if that can be done without changing
// what it says, or by narrowing it in a way that the reason tells.
func (c *conv) fitValue(v string, t *schemas.Simple) (out, why string, ok bool) {
	if t == nil {
		return v, "", true
	}
	if c.good(v, t) {
		return v, "", true
	}
	for _, try := range []func(string, *schemas.Simple) (string, string){
		c.asToken, asWhole, asOneWord, asTrimmed, asURL,
	} {
		if out, why := try(v, t); why != "" && c.good(out, t) {
			return out, why, true
		}
	}
	return "", "", false
}

func (c *conv) good(v string, t *schemas.Simple) bool { return t.Check(v).Kind == 0 }

// asToken writes text as a token: what a token may not hold becomes "_". Two
// texts that would become one token are numbered.
func (c *conv) asToken(v string, t *schemas.Simple) (string, string) {
	base := t
	if t.Variety() == schemas.List {
		base = t.Item()
	}
	if base == nil || base.Variety() == schemas.Union {
		return "", ""
	}
	switch base.Builtin() {
	case "NMTOKEN", "ID", "IDREF", "NCName":
	default:
		return "", ""
	}
	if base.Enum() != nil {
		return "", ""
	}
	return c.token(v, base.Builtin() != "NMTOKEN"), "a token may not hold every character"
}

func (c *conv) token(v string, name bool) string {
	if t, ok := c.tokens[v]; ok {
		return t
	}
	t := plainToken(v)
	if name && (t == "" || !unicode.IsLetter([]rune(t)[0]) && t[0] != '_') {
		t = "_" + t
	}
	base := t
	for n := 2; c.taken[t] != "" && c.taken[t] != v; n++ {
		t = base + "_" + strconv.Itoa(n)
	}
	c.tokens[v], c.taken[t] = t, v
	return t
}

// plainToken makes an NMTOKEN of any text.
func plainToken(v string) string {
	v = strings.TrimSpace(v)
	if value.IsNMTOKEN(v) {
		return v
	}
	t := strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) || strings.ContainsRune("-._:", r) {
			return r
		}
		return '_'
	}, v)
	if !value.IsNMTOKEN(t) {
		return "_"
	}
	return t
}

// asWhole writes a number for a type that takes whole ones.
func asWhole(v string, t *schemas.Simple) (string, string) {
	switch t.Builtin() {
	case "int", "integer", "long", "short", "nonNegativeInteger", "positiveInteger":
	default:
		return "", ""
	}
	f, err := strconv.ParseFloat(strings.TrimSpace(v), 64)
	if err != nil || math.IsInf(f, 0) || math.IsNaN(f) || math.Abs(f) > math.MaxInt32 {
		return "", ""
	}
	whole := math.Round(f)
	if whole == f {
		return strconv.FormatInt(int64(whole), 10), "a whole number is written without point"
	}
	return strconv.FormatInt(int64(whole), 10), "only whole numbers are allowed; rounded"
}

const rangeWhy = "the generations write ranges differently"

// oneRange writes a list of ranges of the 1.x generation as the one range that
// the 2.x generation takes: "0 ~ 3" as "0 3". Two numbers there are two pages
// here, but a range there.
func oneRange(v string) (out, why string, ok bool) {
	f := strings.Fields(strings.ReplaceAll(v, "~", " ~ "))
	switch {
	case len(f) == 1:
		return f[0] + " " + f[0], rangeWhy, true
	case len(f) == 3 && f[1] == "~":
		return f[0] + " " + f[2], rangeWhy, true
	}
	return "", "", false
}

// manyRange writes one range of the 2.x generation as the 1.x generation does.
func (c *conv) manyRange(owner, name, v string) (string, string) {
	e := c.from.Element(owner)
	if e == nil {
		return v, ""
	}
	a := e.Type().Attribute(name)
	f := strings.Fields(v)
	if a == nil || a.Type.Name() != "IntegerRange" || len(f) != 2 {
		return v, ""
	}
	if f[0] == f[1] {
		return f[0], rangeWhy
	}
	return f[0] + " ~ " + f[1], rangeWhy
}

// asOneWord takes the first word of a list for a type that takes one.
func asOneWord(v string, t *schemas.Simple) (string, string) {
	f := strings.Fields(v)
	if t.Variety() == schemas.List || len(f) < 2 {
		return "", ""
	}
	return f[0], "only one value is allowed; the first is kept"
}

func asTrimmed(v string, _ *schemas.Simple) (string, string) {
	return strings.Join(strings.Fields(v), " "), "white space is not allowed around it"
}

// asURL mends the one thing that old tickets do to URLs: blanks in them.
func asURL(v string, _ *schemas.Simple) (string, string) {
	if !strings.Contains(v, " ") || !strings.Contains(v, ":") {
		return "", ""
	}
	return strings.ReplaceAll(v, " ", "%20"), "a blank in a URL is written %20"
}
