package yamltext

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"go.yaml.in/yaml/v3"

	"quoin/jdf"
)

func TestFault(t *testing.T) {
	for _, c := range []struct {
		name, text string
		kind       Kind
		from, show string
	}{
		{"empty", "", Empty, "1:1", ""},
		{"comment", "# nothing yet\n", Empty, "1:1", "# nothing yet"},
		{"latin 1", "a: 1\nb: Gr\xfcn\n", Encoding, "2:6", "\xfcn"},
		{"replacement character", "a: \ufffd\nb: \xff", Encoding, "2:4", "\xff"},
		{"two documents", "a: 1\n---\nb: 2\n", Second, "2:1", "---"},
		{"fault in the second", "a: 1\n---\nb: [\n", Syntax, "4:1", ""},
		{"open list", "a: 1\nb: [1, 2\nc: 3\n", Syntax, "2:1", "b: [1, 2"},
		{"tab", "a:\n\tb: 1\n", Syntax, "2:2", "b: 1"},
		{"indent", "a:\n  b: 1\n c: 2\nd: 3\n", Syntax, "3:2", "c: 2"},
		{"anchor", "a: 1\nb: *none\nc: 3\n", Syntax, "2:1", "b: *none"},
		{"behind a long value", "a: 'one\n  two\n  three'\nb: }\nc: 1\n", Syntax, "4:1", "b: }"},
		{"only line", "  }", Syntax, "1:3", "}"},
	} {
		root, fault := New(jdf.NewSource("a.yaml", c.text), "the file").Parse()
		require.Nil(t, root, c.name)
		require.NotNil(t, fault, c.name)
		require.Equal(t, c.kind, fault.Kind, "%s: %s", c.name, fault.Problem)
		require.Equal(t, c.from, pos(fault.Place), c.name)
		require.Equal(t, c.show, c.text[fault.Place.Start:fault.Place.End], c.name)
		require.Equal(t, "the file", fault.Place.Path(), c.name)
		require.NotEmpty(t, fault.Problem, c.name)
		require.NotContains(t, fault.Problem, "yaml: ", c.name)
		require.NotRegexp(t, `^line \d`, fault.Problem, c.name)
	}
}

func TestNullRoot(t *testing.T) {
	_, root := open(t, "~\n")
	require.Equal(t, "!!null", root.ShortTag())
}

// A mistake in the middle of many lines is found with few tries.
func TestMistakeInLong(t *testing.T) {
	var b strings.Builder
	for i := range 5000 {
		if i == 1234 {
			b.WriteString("broken: [\n")
		}
		fmt.Fprintf(&b, "key%d: %d\n", i, i)
	}
	_, fault := New(jdf.NewSource("a.yaml", b.String()), "the file").Parse()
	require.NotNil(t, fault)
	require.Equal(t, "1235:1", pos(fault.Place))
}

// FuzzText takes any text: no panic, and every place lies within it.
func FuzzText(f *testing.F) {
	for _, text := range []string{
		"", "---", "a: 1", "a: 'it''s'\nb: \"x\\\"y\\n\"", "a: |\n  b\n\n  c\n",
		"- &x {a: [1, 2]}\n- *x", "a: >-\r\n  b\r\n  c",
		"a: Gr\xfcn", "---\na\n---\nb", "a: [", "\tb", "a\u0085b: \u2028 c", "? a\n: b",
		"!!binary x", "\ufeffa: b", "'a\n\n  b'",
	} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if len(text) > 2000 {
			t.Skip("long texts with aliases take long")
		}
		file := New(jdf.NewSource("a.yaml", text), "the file")
		within := func(p jdf.Place) {
			require.True(t, 0 <= p.Start && p.Start <= p.End && p.End <= len(text),
				"%d to %d of %q", p.Start, p.End, text)
		}
		root, fault := file.Parse()
		if fault != nil {
			require.Nil(t, root)
			within(fault.Place)
			return
		}
		var walk func(*yaml.Node)
		walk = func(n *yaml.Node) {
			require.LessOrEqual(t, n.Line, file.MaxLine())
			within(file.Place(n, ""))
			within(file.PlaceIn(n, "", len(n.Value)/3, len(n.Value)/2))
			for _, c := range n.Content {
				walk(c)
			}
		}
		walk(root)
	})
}
