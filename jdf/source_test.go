package jdf_test

import (
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
)

func TestPositions(t *testing.T) {
	for _, c := range []struct {
		name, text   string
		line, column int // of the first "<x"
		shown        string
	}{
		{"start", "<x/>", 1, 1, "<x/>"},
		{"mark", "\xEF\xBB\xBF<x/>", 1, 1, "<x/>"},
		{"umlauts", "<a>äöü<x/></a>", 1, 7, "<a>äöü<x/></a>"},
		{"CJK", "<a b='日本語'><x/></a>", 1, 12, "<a b='日本語'><x/></a>"},
		{"outside the basic plane", "<a>𝄞<x/></a>", 1, 5, "<a>𝄞<x/></a>"},
		{"combining", "<a>e\u0301<x/></a>", 1, 6, "<a>e\u0301<x/></a>"},
		{"tabs", "<a>\n\t\t<x/></a>", 2, 3, "\t\t<x/></a>"},
		{"LF", "<a>\n\n<x/></a>", 3, 1, "<x/></a>"},
		{"CRLF", "<a>\r\n\r\n <x/>\r\n</a>", 3, 2, " <x/>"},
		{"CR", "<a>\r\r <x/>\r</a>", 3, 2, " <x/>"},
		{"all line ends", "<a>\n\r\n\r\r\n\n<x/></a>", 6, 1, "<x/></a>"},
		{"in a value", "<a b='1\n2'\n><x/></a>", 3, 2, "><x/></a>"},
		{"UTF-16", utf16Bytes("<a>äöü\r\n日本<x/></a>", true, true), 2, 3, "日本<x/></a>"},
		{"one long line", "<a>" + strings.Repeat("ü", 100_000) + "<x/></a>", 1, 100_004, ""},
		{"past a block", "<a>" + strings.Repeat("ü日a", 3000) + "<x/></a>", 1, 9004, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			doc := clean(t, c.text)
			for n := range doc.Elements() {
				if n.Local() != "x" {
					continue
				}
				pos := n.Place().Pos()
				require.Equal(t, [2]int{c.line, c.column}, [2]int{pos.Line, pos.Column})
				require.Equal(t, "<x", doc.Source.Text[pos.Offset:pos.Offset+2])
				require.Equal(t, pos.Column+4, n.Place().EndPos().Column)
				require.Equal(t, pos.Column+1, n.NamePlace().Pos().Column)
				require.Equal(t, pos.Column+2, n.NamePlace().EndPos().Column)
				if c.shown != "" {
					require.Equal(t, c.shown, doc.Source.Line(c.line))
				}
				return
			}
			t.Fatal("no element x")
		})
	}
}

// The index answers as counting from the start of the text does.
func TestPosAgreesWithCounting(t *testing.T) {
	text := strings.Repeat("ä日\r\n\tx\r", 700) + strings.Repeat("𝄞", 3000) + "\n"
	src := jdf.NewSource("x", text)
	line, column := 1, 1
	for i, r := range text {
		if pos := src.Pos(i); pos != (jdf.Pos{Offset: i, Line: line, Column: column}) {
			t.Fatalf("offset %d: got %+v, want %d:%d", i, pos, line, column)
		}
		column++
		if r == '\n' || r == '\r' && text[i+1] != '\n' {
			line, column = line+1, 1
		}
	}
	end := src.Pos(len(text) + 10)
	require.Equal(t, jdf.Pos{Offset: len(text), Line: line, Column: column}, end)
	require.Equal(t, jdf.Pos{Offset: 0, Line: 1, Column: 1}, src.Pos(-5))
	require.Empty(t, src.Line(0))
	require.Empty(t, src.Line(line))
	require.Empty(t, src.Line(line+1))
	require.Equal(t, "ä日", src.Line(1))
	require.True(t, utf8.ValidString(src.Line(line-1)))
}

func TestPlace(t *testing.T) {
	doc := clean(t, "<a xmlns='http://www.CIP4.org/JDFSchema_2_0'>\n"+
		" <m w = \"1 2\" p:l='' xmlns:p='u'/><m w='x'>t<!-- c --></m>\n</a>")
	first := doc.Root().Child("m")
	require.Equal(t, `<m w = "1 2" p:l='' xmlns:p='u'/>`, stretch(first.Place()))
	require.Equal(t, "m", stretch(first.NamePlace()))
	w := first.Attr("w")
	require.Equal(t, "1 2", stretch(w.Place()))
	require.Equal(t, "w", stretch(w.NamePlace()))
	require.Equal(t, "/a/m[1]/@w", w.Place().Path())
	require.Equal(t, first, w.Place().Node())
	require.Equal(t, first, w.Owner())
	empty := first.AttrNS("u", "l")
	require.Equal(t, "", stretch(empty.Place()))
	require.Equal(t, 20, empty.Place().Pos().Column)
	require.Equal(t, "p:l", stretch(empty.NamePlace()))
	require.Equal(t, "/a/m[1]/@l", empty.NamePlace().Path())

	second := first.NextContent()
	require.Equal(t, "<m w='x'>", stretch(second.Place()), "the start tag alone")
	require.Equal(t, "/a/m[2]", second.Place().Path())
	require.True(t, strings.HasSuffix(doc.Source.Text[:second.End()], "</m>"))
	text := second.FirstContent()
	require.Equal(t, "t", stretch(text.Place()))
	comment := text.NextContent()
	require.Equal(t, "<!-- c -->", stretch(comment.Place()))
	require.Equal(t, "/a/m[2]", comment.Place().Path())
	require.Equal(t, comment.Place().End, comment.End())

	require.Negative(t, first.Place().Compare(second.Place()))
	require.Positive(t, w.Place().Compare(first.Place()))
	require.Zero(t, w.Place().Compare(w.Place()))
	require.Negative(t, jdf.Place{}.Compare(first.Place()))
}

func stretch(p jdf.Place) string { return p.Source.Text[p.Start:p.End] }

func TestPlaceOutsideTickets(t *testing.T) {
	require.False(t, jdf.Place{}.Known())
	require.Zero(t, jdf.Place{}.Pos())
	require.Zero(t, jdf.Place{}.EndPos())
	require.Empty(t, jdf.Place{}.File()+jdf.Place{}.Path())

	p := jdf.PlaceAt(jdf.NewSource("plant.yaml", "a:\n  b: 1\n"), 5, 6, "presses[1].b")
	require.True(t, p.Known())
	require.False(t, p.Node().Valid())
	require.Equal(t, "presses[1].b", p.Path())
	require.Equal(t, jdf.Pos{Offset: 5, Line: 2, Column: 3}, p.Pos())
}
