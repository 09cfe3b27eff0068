package schemas

import (
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"
)

// Simple is a simple type, compiled to a checker of values.
type Simple struct {
	name    string
	base    *Simple // what it restricts, or nil
	builtin *builtin
	item    *Simple   // of a list
	members []*Simple // of a union
	space   whiteSpace

	enum     []string   // allowed values, sorted; nil for any
	patterns []*pattern // all must match
	length   countRange // of characters, bytes or items
	least    *float64
	most     *float64
}

// whiteSpace says what is done to a value before it is checked.
type whiteSpace uint8

const (
	preserve whiteSpace = iota
	replace
	collapse
)

// countRange is how long a value may be.
type countRange struct{ min, max int }

// Variety tells how the values of a simple type are made up.
type Variety uint8

// The varieties.
const (
	Atomic Variety = iota
	List           // items separated by white space
	Union          // a value of any of the members
)

// Name is the name of the type; types of XML Schema have the prefix xs.
func (s *Simple) Name() string { return s.name }

// Base is the type that this one restricts, or nil.
func (s *Simple) Base() *Simple { return s.base }

// Variety tells whether the type is atomic, a list or a union.
func (s *Simple) Variety() Variety {
	switch {
	case s.item != nil:
		return List
	case s.members != nil:
		return Union
	}
	return Atomic
}

// Item is the type of the items of a list, or nil.
func (s *Simple) Item() *Simple { return s.item }

// Members lists the types of a union. The caller must not change the slice.
func (s *Simple) Members() []*Simple { return s.members }

// Enum lists the allowed values, sorted, or nil for any. The caller must not
// change the slice.
func (s *Simple) Enum() []string { return s.enum }

// Length is how long a value must be, in characters, bytes (of binary values)
// or items (of lists); a max of Unbounded has no end.
func (s *Simple) Length() (least, most int) { return s.length.min, s.length.max }

// Range is the least and most a number may be; nil for no end.
func (s *Simple) Range() (least, most *float64) { return s.least, s.most }

// Patterns lists the regular expressions that a value must match, all of them.
// Alternatives of one are joined by bars.
func (s *Simple) Patterns() []string {
	var out []string
	for _, p := range s.patterns {
		out = append(out, strings.Join(slices.Concat(p.sources, p.words), "|"))
	}
	return out
}

// Words lists the words that a pattern spells in any mixture of case, in lower
// case and sorted, when the type allows nothing else; else nil. The caller must
// not change the slice.
func (s *Simple) Words() []string {
	if len(s.patterns) == 1 && s.patterns[0].sources == nil {
		return s.patterns[0].words
	}
	return nil
}

// Builtin is the local name of the type of XML Schema that an atomic type rests
// on, such as NMTOKEN or double; "" for lists and unions.
func (s *Simple) Builtin() string {
	if s.builtin == nil {
		return ""
	}
	return s.builtin.name
}

// simpleLocked makes a simple type, or returns it when it was made before.
func (s *Set) simpleLocked(name string) *Simple {
	if t, ok := s.simple[name]; ok {
		return t
	}
	t := s.makeSimple(name)
	if t != nil { // unknown names come from tickets, and must not pile up
		s.simple[name] = t
	}
	return t
}

func (s *Set) makeSimple(name string) *Simple {
	if local, ok := strings.CutPrefix(name, "xs:"); ok {
		return s.makeBuiltin(name, local)
	}
	b, ok := s.simples.find(name)
	if !ok {
		return nil
	}
	how, of, _ := strings.Cut(b.head, " ")
	t := &Simple{name: name, space: collapse, length: countRange{0, Unbounded}}
	switch how {
	case "list":
		t.item = s.simpleLocked(of)
	case "union":
		t.space = preserve // each member does its own
		for member := range strings.FieldsSeq(of) {
			t.members = append(t.members, s.simpleLocked(member))
		}
	default:
		base := s.simpleLocked(of)
		*t = *base
		t.name, t.base = name, base
		t.patterns = slices.Clip(t.patterns)
	}
	t.readFacets(b.body)
	return t
}

func (s *Set) makeBuiltin(name, local string) *Simple {
	t := &Simple{name: name, length: countRange{0, Unbounded}}
	if item, ok := strings.CutSuffix(local, "S"); ok && builtins[item] != nil {
		t.item = s.simpleLocked("xs:" + item)
		t.space = collapse
		t.length.min = 1
		return t
	}
	t.builtin = builtins[local]
	if t.builtin == nil {
		return nil
	}
	t.space = t.builtin.space
	return t
}

func (t *Simple) readFacets(body string) {
	var patterns, words, enum []string
	for line := range lines(body) {
		facet, value, _ := strings.Cut(line, " ")
		count, _ := strconv.Atoi(value)
		switch facet {
		case "enum":
			enum = append(enum, value)
		case "pattern":
			patterns = append(patterns, value)
		case "anycase":
			words = append(words, value)
		case "length":
			t.length = countRange{count, count}
		case "minLength":
			t.length.min = count
		case "maxLength":
			t.length.max = count
		case "minInclusive", "maxInclusive":
			n, _ := strconv.ParseFloat(value, 64)
			if facet == "minInclusive" {
				t.least = &n
			} else {
				t.most = &n
			}
		case "whiteSpace":
			t.space = map[string]whiteSpace{"replace": replace, "collapse": collapse}[value]
		}
	}
	if enum != nil {
		slices.Sort(enum)
		t.enum = enum
	}
	if patterns != nil || words != nil {
		t.patterns = append(t.patterns, newPattern(patterns, words))
	}
}

// FaultKind says in which way a value is wrong.
type FaultKind uint8

// The kinds of Fault. The zero kind says that the value is right.
const (
	FaultType    FaultKind = iota + 1 // not of the type at all
	FaultEnum                         // not one of the allowed values
	FaultPattern                      // does not match the pattern
	FaultLength                       // too long or too short, or a list of the wrong length
	FaultRange                        // a number outside its limits
)

// Fault is what is wrong with a value. The zero Fault says that nothing is.
type Fault struct {
	Kind  FaultKind
	Type  *Simple // that is broken; of the item, when an item of a list is wrong
	Value string  // that is wrong, white space normalised
	Count int     // FaultLength: how long it is
}

// Check tells what is wrong with a value, as an XML Schema processor would see
// it. A right value costs no memory, unless its white space has to be collapsed.
func (s *Simple) Check(value string) Fault {
	if s.members != nil {
		return s.checkUnion(value)
	}
	value = s.space.apply(value)
	count := 0
	switch {
	case s.item != nil:
		for rest := value; ; count++ {
			var item string
			if item, rest = nextItem(rest); item == "" {
				break
			}
			if f := s.item.Check(item); f.Kind != 0 {
				return f
			}
		}
	case s.builtin.check != nil && !s.builtin.check(value):
		return Fault{Kind: FaultType, Type: s, Value: value}
	}
	return s.checkFacets(value, count)
}

func (s *Simple) checkFacets(value string, items int) Fault {
	if s.length.min > 0 || s.length.max != Unbounded {
		n := items
		if s.item == nil {
			n = s.builtin.measure(value, s.length)
		}
		if n < s.length.min || s.length.max != Unbounded && n > s.length.max {
			return Fault{Kind: FaultLength, Type: s, Value: value, Count: n}
		}
	}
	if s.enum != nil {
		if _, ok := slices.BinarySearch(s.enum, value); !ok {
			return Fault{Kind: FaultEnum, Type: s, Value: value}
		}
	}
	for _, p := range s.patterns {
		if !p.match(value) {
			return Fault{Kind: FaultPattern, Type: s, Value: value}
		}
	}
	if s.least != nil || s.most != nil {
		n, err := strconv.ParseFloat(value, 64)
		if err != nil || n != n || s.least != nil && n < *s.least || s.most != nil && n > *s.most {
			return Fault{Kind: FaultRange, Type: s, Value: value}
		}
	}
	return Fault{}
}

// checkUnion takes the value if a member does. The fault is that of the whole
// union, but for a list, whose wrong item says more.
func (s *Simple) checkUnion(value string) Fault {
	worst := Fault{Kind: FaultType, Type: s, Value: collapse.apply(value)}
	for _, m := range s.members {
		f := m.Check(value)
		if f.Kind == 0 {
			return s.checkFacets(value, 0)
		}
		if m.Variety() == List && f.Kind != FaultLength {
			worst = f
		}
	}
	return worst
}

// measure is the length that the length facets speak of. Most values are
// plainly within their limits, whatever their characters are.
func (b *builtin) measure(value string, want countRange) int {
	if b.name == "hexBinary" {
		return len(value) / 2
	}
	if len(value) <= want.max && len(value) >= want.min*utf8.UTFMax {
		return len(value)
	}
	return utf8.RuneCountInString(value)
}

// Normal is a value as the type sees it: with its white space normalised.
func (s *Simple) Normal(value string) string {
	if s.members != nil {
		return collapse.apply(value)
	}
	return s.space.apply(value)
}
