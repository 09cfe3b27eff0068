package jdf_test

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
)

type limitCase struct {
	name string
	lim  jdf.Limits
	text string
	want string // the last fault, or "" for none
	says string // its Got, a slash and its Want
}

// Common practice, no source: the figures are our own.
var limitCases = []limitCase{
	{"size reached", jdf.Limits{MaxBytes: 4}, "<a/>", "", ""},
	{"size passed", jdf.Limits{MaxBytes: 4}, "<a />", "too-large 1:1-1:1", "/4"},
	{"depth reached", jdf.Limits{MaxDepth: 2}, "<a><b/></a>", "", ""},
	{"depth passed", jdf.Limits{MaxDepth: 2}, "<a><b>\n<c/></b></a>", "too-deep 2:2-2:3", "/2"},
	{"depth by default", jdf.Limits{}, nested(256), "", ""},
	{"depth past default", jdf.Limits{}, nested(257), "too-deep 1:770-1:771", "/256"},
	{"names reached", jdf.Limits{MaxNames: 3}, "<a b='' c=''><b/></a>", "", ""},
	{"names passed", jdf.Limits{MaxNames: 3}, "<a b='' c=''><d/></a>", "too-many 1:15-1:15", "distinct names/3"},
	{"names by namespace", jdf.Limits{MaxNames: 4}, "<a><b xmlns='u'/><b xmlns='v'/><b xmlns='w'/></a>",
		"too-many 1:33-1:33", "distinct names/4"},
	{"attributes", jdf.Limits{MaxNames: 1 << 20}, "<a" + manyAttrs(65536) + "/>",
		"too-many 1:1-1:898629", "attributes/65535"},
	{"faults", jdf.Limits{}, "<a>" + strings.Repeat("&", 1000) + "</a>", "reference 1:1003-1:1004", "&/&amp;"},
	{"faults passed", jdf.Limits{}, "<a>" + strings.Repeat("&", 5000) + "</a>", "too-many 1:1004-1:1004", "faults/1000"},
}

func nested(depth int) string {
	return strings.Repeat("<a>", depth) + strings.Repeat("</a>", depth)
}

func manyAttrs(n int) string {
	var out strings.Builder
	for i := range n {
		fmt.Fprintf(&out, " a%d='%d'", i, i%10000)
	}
	return out.String()
}

func TestLimits(t *testing.T) {
	for _, c := range limitCases {
		t.Run(c.name, func(t *testing.T) {
			doc, faults, err := jdf.Read("test.jdf", strings.NewReader(c.text), c.lim)
			require.NoError(t, err)
			if c.want == "" {
				require.Empty(t, show(faults))
				return
			}
			require.NotEmpty(t, faults)
			last := faults[len(faults)-1]
			require.Equal(t, c.want, show(faults)[len(faults)-1])
			require.Equal(t, c.says, last.Got+"/"+last.Want)
			walk(doc)
		})
	}
}

// Hostile texts of a megabyte take no more than moments: nothing in the reader
// or in the questions to a Document takes the square of the size.
func TestHostileTextsAreLinear(t *testing.T) {
	var prefixes, prefixed strings.Builder
	for i := range 30_000 {
		fmt.Fprintf(&prefixes, " xmlns:p%d='u'", i)
		fmt.Fprintf(&prefixed, "<p%d:a/>", i)
	}
	for name, text := range map[string]string{
		"ampersands":     "<a>" + strings.Repeat("&", 1<<20) + "</a>",
		"long reference": "<a>&#" + strings.Repeat("0", 1<<20) + "65;</a>",
		"open values":    "<a " + strings.Repeat("b='", 1<<18),
		"open comments":  "<a>" + strings.Repeat("<!--", 1<<18),
		"brackets":       "<a>" + strings.Repeat("]", 1<<20) + "</a>",
		"siblings":       "<a>" + strings.Repeat("<b/>", 1<<18) + "</a>",
		"pieces":         "<a>" + strings.Repeat("x<!-- -->", 1<<17) + "</a>",
		"prefixes":       "<a" + prefixes.String() + ">" + prefixed.String() + "</a>",
		"declaration":    "<?xml" + strings.Repeat(" ", 1<<20) + "version='1.0'?><a/>",
		"one name":       "<" + strings.Repeat("a", 1<<20) + "/>",
		"one attribute":  "<a b='" + strings.Repeat("&amp;", 1<<18) + "'/>",
	} {
		t.Run(name, func(t *testing.T) {
			doc, _ := read(t, text)
			for n := range doc.Elements() {
				_ = len(n.Path()) + len(n.Get("b"))
			}
			_ = doc.Root().Text()
		})
	}
}

func TestReadErrors(t *testing.T) {
	broken := errors.New("broken pipe")
	in := io.MultiReader(strings.NewReader("<a/>"), iotest.ErrReader(broken))
	doc, faults, err := jdf.Read("in.jdf", in, jdf.Limits{})
	require.ErrorIs(t, err, broken)
	require.ErrorContains(t, err, `read ticket "in.jdf": `)
	require.Nil(t, doc)
	require.Empty(t, faults)

	_, _, err = jdf.ReadFile(filepath.Join(t.TempDir(), "none.jdf"), jdf.Limits{})
	require.ErrorIs(t, err, os.ErrNotExist)
	_, _, err = jdf.ReadFile(t.TempDir(), jdf.Limits{})
	require.ErrorContains(t, err, "is a folder")
}

func TestReadFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.jdf")
	require.NoError(t, os.WriteFile(path, []byte("<a>\n <b/></a>"), 0o600))
	doc, faults, err := jdf.ReadFile(path, jdf.Limits{})
	require.NoError(t, err)
	require.Empty(t, faults)
	require.Equal(t, path, doc.Source.Name)
	require.Equal(t, "b", doc.Root().FirstContent().Local())

	_, faults, err = jdf.ReadFile(path, jdf.Limits{MaxBytes: 5})
	require.NoError(t, err)
	require.Equal(t, []string{"too-large 1:1-1:1"}, show(faults))
}

// A reader that promises more than the limit is not given the memory for it.
func TestReadPromises(t *testing.T) {
	for _, promise := range []int{-1, 0, 1 << 60} {
		_, faults, err := jdf.Read("x", promising{strings.NewReader("<a/>"), promise}, jdf.Limits{MaxBytes: 100})
		require.NoError(t, err)
		require.Empty(t, faults)
	}
}

type promising struct {
	io.Reader
	length int
}

func (p promising) Len() int { return p.length }
