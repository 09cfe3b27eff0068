package yamltext

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"go.yaml.in/yaml/v3"

	"quoin/jdf"
)

// open parses a text that has no fault.
func open(t *testing.T, text string) (*Text, *yaml.Node) {
	t.Helper()
	file := New(jdf.NewSource("a.yaml", text), "the file")
	root, fault := file.Parse()
	require.Nil(t, fault)
	return file, root
}

func pos(p jdf.Place) string { return fmt.Sprintf("%d:%d", p.Pos().Line, p.Pos().Column) }

// value finds what stands under a key of a mapping.
func value(t *testing.T, root *yaml.Node, key string) *yaml.Node {
	t.Helper()
	for i := 0; i+1 < len(root.Content); i += 2 {
		if root.Content[i].Value == key {
			return root.Content[i+1]
		}
	}
	require.Fail(t, "no key "+key)
	return nil
}

func TestLines(t *testing.T) {
	// From memory: YAML 1.1, section 5.4, has these five line breaks and the pair CR LF.
	for text, want := range map[string][]int{
		"":                       {0},
		"a":                      {0},
		"a\nb":                   {0, 2},
		"a\r\nb":                 {0, 3},
		"a\rb":                   {0, 2},
		"a\n\rb":                 {0, 2, 3},
		"a\u0085b\u2028c\u2029d": {0, 3, 7, 11},
	} {
		file := New(jdf.NewSource("a.yaml", text), "the file")
		require.Equal(t, want, file.lines, "%q", text)
		require.Equal(t, len(want)+1, file.MaxLine(), "%q", text)
	}
}

func TestOffset(t *testing.T) {
	file := New(jdf.NewSource("a.yaml", "äb\nc\r\n漢d"), "the file")
	for _, c := range []struct{ line, column, want int }{
		{1, 1, 0}, {1, 2, 2}, {1, 3, 3}, {1, 99, 4}, {1, 0, 0}, {2, 1, 4}, {3, 1, 7}, {3, 2, 10}, {3, 3, 11},
		{4, 1, 11}, {0, 1, 11},
	} {
		for range 2 { // the second time from what was kept
			require.Equal(t, c.want, file.offset(c.line, c.column), "%d:%d", c.line, c.column)
		}
	}
}

func TestPlace(t *testing.T) {
	for _, c := range []struct{ name, written, want, from string }{
		{"plain", "v: offset press # big", "offset press", "1:4"},
		{"umlauts", "v: Grün # big", "Grün", "1:4"},
		{"single quotes", "v: 'offset' # big", "offset", "1:5"},
		{"double quotes", "v: \"漢字\" # big", "漢字", "1:5"},
		{"doubled quote", "v: 'it''s' # big", "it''s", "1:5"},
		{"guarded quotes", `v: "a \"b\" c" # big`, `a \"b\" c`, "1:5"},
		{"other escapes", `v: "a\tb" # big`, `"a\tb" # big`, "1:4"},
		{"tag", "v: !!str 70 # big", "!!str 70 # big", "1:4"},
		{"empty quotes", "v: '' # big", "", "1:5"},
		{"two lines", "v: offset\n  press # big", "offset\n  press", "1:4"},
		{"literal", "v: |\n  one\n  two\nw: x", "one\n  two\n", "2:3"},
		{"empty literal", "v: |\nw: x", "|", "1:4"},
		{"no value", "v: # big\nw: x", "", "1:3"},
		{"list", "v: [a, b]\nw: x", "[a, b]", "1:4"},
		{"list on lines", "v:\n  - a\n  - b", "- a", "2:3"},
		{"alias", "v: *a # big", "*a # big", "2:4"},
	} {
		text := c.written
		if c.name == "alias" {
			text = "a: &a 1\n" + text
		}
		file, root := open(t, text)
		place := file.Place(value(t, root, "v"), "the value")
		require.Equal(t, c.want, text[place.Start:place.End], c.name)
		require.Equal(t, c.from, pos(place), c.name)
		require.Equal(t, "the value", place.Path(), c.name)
	}
}

func TestPlaceIn(t *testing.T) {
	for _, c := range []struct{ name, written, part, want, from string }{
		{"plain", "v: one two three", "two", "two", "1:8"},
		{"doubled quotes", "v: 'one ''two'' three'", "two", "two", "1:11"},
		{"guarded quotes", `v: "one \"two\" three"`, "two", "two", "1:11"},
		{"folded", "v: >\n  one\n  two\n  three", "two", "two", "3:3"},
		{"plain on lines", "v: one\n\n  two\n  three", "two", "two", "3:3"},
		{"wide letters", "v: 漢字 two", "two", "two", "1:7"},
		{"nothing", "v: one two", "", "", "1:4"},
		{"escapes", `v: "one\ttwo"`, "two", `"one\ttwo"`, "1:4"},
	} {
		file, root := open(t, c.written)
		n := value(t, root, "v")
		start := strings.Index(n.Value, c.part)
		require.GreaterOrEqual(t, start, 0, c.name)
		place := file.PlaceIn(n, "the value", start, start+len(c.part))
		require.Equal(t, c.want, c.written[place.Start:place.End], c.name)
		require.Equal(t, c.from, pos(place), c.name)
	}
}

// A stretch that the value does not have is the whole of it.
func TestPlaceInNone(t *testing.T) {
	file, root := open(t, "v: [one]\nw: two")
	for _, stretch := range [][2]int{{-1, 2}, {2, 1}, {0, 4}, {9, 9}} {
		n := value(t, root, "w")
		require.Equal(t, file.Place(n, "w"), file.PlaceIn(n, "w", stretch[0], stretch[1]))
	}
	list := value(t, root, "v")
	require.Equal(t, file.Place(list, "v"), file.PlaceIn(list, "v", 0, 0))
}
