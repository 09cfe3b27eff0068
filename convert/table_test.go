package convert

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/schemas"
)

// standsFor are the left and right names of sections that are no elements, with
// elements or types that they stand for.
var standsFor = map[string][]string{
	"1 Resource":     {"Media", "RunList", "Component", "LayoutIntent", "Device"},
	"1 AuditElement": {"Created", "ProcessRun", "PhaseTime"},
	"1 MessageHead":  {"Signal", "Response", "Query", "Command"},
	"1 Message":      {"Signal", "Response", "Query", "Command", "Registration"},
	"1 QueueCommand": {"Command"},
	"1 ResourceLink": {"MediaLink"},
	"2 Message":      {"QueryStatus", "ResponseKnownDevices"},
}

// typesByName finds the types that elements of each name may have, in any place.
func typesByName(set *schemas.Set) map[string][]*schemas.Type {
	all := map[string][]*schemas.Type{}
	seen := map[string]bool{}
	var visit func(name string, t *schemas.Type)
	visit = func(name string, t *schemas.Type) {
		key := name + "\n" + t.Name()
		if seen[key] {
			return
		}
		seen[key] = true
		all[name] = append(all[name], t)
		for _, child := range t.Model().Names() {
			if _, e := t.Model().Child(child); e != nil && !e.Abstract() {
				visit(child, e.Type())
			}
		}
	}
	for _, name := range set.Names() {
		if e := set.Element(name); e != nil && !e.Abstract() {
			visit(name, e.Type())
		}
	}
	for _, base := range []string{"Query", "Command", "Signal", "Response", "Registration", "JDFAbstractNode"} {
		for _, name := range set.DerivedTypes(base) {
			visit(base, set.Type(name))
		}
	}
	return all
}

// resolves reports whether a path leads somewhere from one of the types.
func resolves(p path, from []*schemas.Type) bool {
	types := from
	for i, s := range p.steps {
		var next []*schemas.Type
		for _, t := range types {
			for _, name := range []string{s.name, s.name + "Ref"} {
				if _, e := t.Model().Child(name); e != nil {
					next = append(next, e.Type())
				}
			}
		}
		if len(next) == 0 {
			return false
		}
		if s.key != "" && i < len(p.steps) && !hasAttribute(next, s.key) {
			return false
		}
		types = next
	}
	return p.attr == "" || hasAttribute(types, p.attr)
}

func hasAttribute(types []*schemas.Type, name string) bool {
	for _, t := range types {
		if t.Attribute(name) != nil {
			return true
		}
	}
	return false
}

// Every name on the left of the table is one of the 1.x generation, every name
// on the right one of the 2.x generation, in the place that the row says.
//
// Source: the dictionary, which is read out of the published schemas.
func TestTableAgainstDictionary(t *testing.T) {
	table := theTable()
	by := map[string]map[string][]*schemas.Type{"1": typesByName(schemas.JDF()), "2": typesByName(schemas.XJDF())}
	typesOf := func(side, name string) []*schemas.Type {
		var all []*schemas.Type
		for _, n := range append([]string{name}, standsFor[side+" "+name]...) {
			all = append(all, by[side][n]...)
		}
		return all
	}
	// A reference element has no type of its own to look into.
	for _, s := range table.sections {
		left, right := typesOf("1", s.left), typesOf("2", s.right)
		require.NotEmpty(t, left, "line %d: there is no %s in the 1.x generation", s.line, s.left)
		if s.right != "-" {
			require.NotEmpty(t, right, "line %d: there is no %s in the 2.x generation", s.line, s.right)
		}
		for _, r := range s.rows {
			if !r.left.none {
				require.True(t, resolves(r.left, left), "line %d: the 1.x generation has no %s/%s", r.line, s.left, r.left)
			}
			from := right
			switch r.right.up {
			case 1:
				from = typesOf("2", "Resource")
			case 2:
				from = typesOf("2", "ResourceSet")
			}
			if s.right == "Resource" && r.right.up == 1 {
				from = typesOf("2", "ResourceSet")
			}
			if !r.right.none {
				require.True(t, resolves(r.right, from), "line %d: the 2.x generation has no %s/%s", r.line, s.right, r.right)
			}
			if r.left.none || r.right.none {
				require.NotEmpty(t, r.note, "line %d: a name without counterpart needs a reason", r.line)
			}
			if r.values != "" {
				require.NotEmpty(t, table.values[r.values], "line %d: there is no list %q", r.line, r.values)
			}
		}
	}
	require.Greater(t, len(table.sections), 100)
}

// A required value can only be given to an attribute that the generation has.
func TestNeedsAgainstDictionary(t *testing.T) {
	sets := []*schemas.Set{schemas.JDF(), schemas.XJDF()}
	for i, needs := range theTable().needs {
		types := typesByName(sets[i])
		for at := range needs {
			element, name, _ := strings.Cut(at, "/@")
			if element == "*" {
				require.True(t, sets[i].HasAttribute(name), at)
				continue
			}
			from := types[element]
			for _, n := range standsFor[string(rune('1'+i))+" "+element] {
				from = append(from, types[n]...)
			}
			require.True(t, hasAttribute(from, name), "%d.x has no %s", i+1, at)
		}
	}
	for _, m := range theTable().moves {
		require.True(t, schemas.JDF().HasAttribute(m.old), m.old)
		require.True(t, schemas.JDF().HasAttribute(m.new), m.new)
	}
}

// Words of the lists are words of the standard, each in its generation.
//
// Source: the dictionary, which is read out of the published schemas.
func TestWordsAgainstDictionary(t *testing.T) {
	sources := map[string][2]string{
		"resource status": {"eResourceStatus_", "/Resource/@Status"},
		"node status":     {"eNodeStatus_", "NodeStatus"},
		"media type":      {"eMediaType_", "MediaType"},
		"device status":   {"eDeviceStatus_", "DeviceStatus"},
		"end status":      {"eEndStatusOfNode_", "/ProcessRun/@EndStatus"},
	}
	for list, names := range sources {
		left, right := schemas.JDF().Simple(names[0]), schemas.XJDF().Simple(names[1])
		require.NotNil(t, left, list)
		require.NotNil(t, right, list)
		for _, p := range theTable().values[list] {
			require.Zero(t, left.Check(p.left).Kind, "%s: %s", list, p.left)
			if p.right != "-" {
				require.Zero(t, right.Check(p.right).Kind, "%s: %s", list, p.right)
			}
		}
	}
}

func TestMappingPageIsFresh(t *testing.T) { golden(t, "MAPPING.md", Mapping()) }

func TestTableMistakes(t *testing.T) {
	for text, want := range map[string]string{
		"@A = @B":                    `read conversion table line 1: a row outside a section`,
		"[Media Media]":              `read conversion table line 1: "[Media Media]" is no section; want [Element = Element]`,
		"[A = A]\n@B @C":             `read conversion table line 2: "@B @C" has no operator; want =, > or < between blanks`,
		"!3 A/@B x":                  `read conversion table line 1: "3 A/@B x" is no need; want !1 Element/@Attr value`,
		"~A/@B > @C":                 `read conversion table line 1: "A/@B > @C" is no move; want ~Element/@Old = @New`,
		"# fine\n\n[A = B]\n@C = @D": "",
	} {
		_, err := parseTable(text)
		if want == "" {
			require.NoError(t, err)
			continue
		}
		require.EqualError(t, err, want)
	}
}
