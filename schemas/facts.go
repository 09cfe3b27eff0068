package schemas

import (
	"slices"
	"strconv"
	"strings"
)

// The facts beside a type come from the notes of the published schema: in
// which versions an attribute, child or link may be used, and how often a child
// or link may stand, which the content models leave open.

// versionFact is a span of versions for @attribute, child or "." for the type.
type versionFact struct {
	path string
	span Span
}

func findVersion(list []versionFact, path string) (Span, bool) {
	i, ok := slices.BinarySearchFunc(list, path, func(f versionFact, path string) int {
		return strings.Compare(f.path, path)
	})
	if !ok {
		return Span{}, false
	}
	return list[i].span, true
}

// limitFact is a cardinality as written in the table.
type limitFact struct {
	names       []string // any of these counts
	attr, value string   // only children with the attribute of that value count
	min, max    int
}

// Link is what a process says of a kind of link in its ResourceLinkPool.
type Link struct {
	Name         string // such as ComponentLink, or * for links of any kind
	Usage        string // input, output, or any
	ProcessUsage string // or ""
	Min, Max     int    // how many; Max Unbounded has no end. A link without limit has 0 and Unbounded.
	Span         Span
}

// Unbounded is the Max of what may stand any number of times.
const Unbounded = -1

// readFact reads a line such as
//
//	version @IsWaste -1.3
//	limit ContactRef|Contact 1..1
//	link input ComponentLink[Cover] 0..1
//	linkversion any CutBlockLink -1.0
func (t *Type) readFact(line string) {
	kind, rest, _ := strings.Cut(line, " ")
	switch kind {
	case "version":
		path, span, _ := strings.Cut(rest, " ")
		t.versions = append(t.versions, versionFact{path, parseSpan(span)})
	case "limit":
		names, count, _ := strings.Cut(rest, " ")
		f := limitFact{}
		f.min, f.max = parseCount(count)
		if f.min == 0 && f.max == Unbounded {
			return
		}
		if name, cond, ok := strings.Cut(names, "[@"); ok {
			cond, others, _ := strings.Cut(cond, "]")
			f.attr, f.value, _ = strings.Cut(cond, "=")
			names = name + others
		}
		f.names = strings.Split(names, "|")
		t.limits = append(t.limits, f)
	case "link", "linkversion":
		t.readLink(kind, rest)
	}
}

func (t *Type) readLink(kind, rest string) {
	usage, rest, _ := strings.Cut(rest, " ")
	name, end, _ := strings.Cut(rest, " ")
	name, wants, ok := strings.Cut(name, "[")
	if ok {
		wants = strings.TrimSuffix(wants, "]")
	}
	l := Link{Name: name, Usage: usage, ProcessUsage: wants, Max: Unbounded}
	i := slices.IndexFunc(t.links, func(o Link) bool {
		return o.Name == l.Name && o.Usage == l.Usage && o.ProcessUsage == l.ProcessUsage
	})
	if i < 0 {
		i = len(t.links)
		t.links = append(t.links, l)
	}
	if kind == "link" {
		t.links[i].Min, t.links[i].Max = parseCount(end)
	} else {
		t.links[i].Span = parseSpan(end)
	}
}

// parseCount reads "0..1"; an absent end is Unbounded.
func parseCount(s string) (least, most int) {
	a, b, _ := strings.Cut(s, "..")
	least, _ = strconv.Atoi(a)
	most = Unbounded
	if b != "" {
		most, _ = strconv.Atoi(b)
	}
	return least, most
}

func (t *Type) sortFacts() {
	slices.SortStableFunc(t.versions, func(a, b versionFact) int { return strings.Compare(a.path, b.path) })
	merged := t.versions[:0]
	for _, f := range t.versions {
		if n := len(merged); n > 0 && merged[n-1].path == f.path {
			merged[n-1].span = f.span.wider(merged[n-1].span)
			continue
		}
		merged = append(merged, f)
	}
	t.versions = merged
}

// wider is the span of two notes on one thing: the earliest first version that
// is known, and the latest last one.
func (s Span) wider(o Span) Span {
	if s.First == 0 || o.First != 0 && o.First < s.First {
		s.First = o.First
	}
	if o.Last > s.Last {
		s.Last = o.Last
	}
	return s
}

// childSpan is the versions in which a child may stand in the type; notes of
// the type itself go before those of its base.
func (t *Type) childSpan(name string) Span {
	for ; t != nil; t = t.base {
		if span, ok := findVersion(t.versions, name); ok {
			return span
		}
	}
	return Span{}
}

// Links lists what the notes of a process say of its links, the type's own
// ones and those of generic links. The caller must not change the slice.
func (t *Type) Links() []Link { return t.links }

// LinkSpan is the span that a note gives to a link with a name such as
// ComponentLink, its Usage and its ProcessUsage, when that leaves out a version;
// ok is false when no note does. A note on links of any kind means those that no
// note names.
func (t *Type) LinkSpan(v Version, name, usage, role string) (span Span, ok bool) {
	rest, named := Link{}, false
	for _, l := range t.links {
		out := l.Span.Before(v) || l.Span.After(v)
		switch {
		case l.Usage != "any" && !strings.EqualFold(l.Usage, usage) || l.Name != name && l.Name != "*":
		case l.Name == name:
			named = true
			if out && (l.ProcessUsage == "" || l.ProcessUsage == role) {
				return l.Span, true
			}
		case out:
			rest, ok = l, true
		}
	}
	return rest.Span, ok && !named
}

// Asked reports whether a limit holds in a version: it must have something of
// what the limit counts. Version 0 asks for what all versions have.
func (m *Model) Asked(l Limit, v Version) bool {
	return slices.ContainsFunc(l.Symbols, func(symbol int) bool {
		span := m.Element(symbol).Span()
		return span.Open() || v != 0 && !span.Before(v) && !span.After(v)
	})
}

// Limit is a cardinality that the notes give and the content model leaves open.
type Limit struct {
	Names       []string // child names that count together, such as Media and MediaRef
	Symbols     []int    // of those names in the Model
	Attr, Value string   // only children with this value of the attribute count; "" for all
	Min, Max    int      // Max Unbounded has no end
}

// makeLimits joins the limits of the type and of its bases; a note of the type
// itself goes before one of its base.
func (t *Type) makeLimits(m *Model) []Limit {
	var out []Limit
	seen := map[string]bool{}
	for ; t != nil; t = t.base {
		for _, f := range t.limits {
			key := f.names[0] + "=" + f.value
			if seen[key] {
				continue
			}
			seen[key] = true
			l := Limit{Names: f.names, Attr: f.attr, Value: f.value, Min: f.min, Max: f.max}
			for _, n := range f.names {
				if i, ok := m.index(n); ok {
					l.Symbols = append(l.Symbols, i)
				}
			}
			if len(l.Symbols) > 0 {
				out = append(out, l)
			}
		}
	}
	return out
}
