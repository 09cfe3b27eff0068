package jdf_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
)

func TestText(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"<a/>", ""},
		{"<a></a>", ""},
		{"<a>x</a>", "x"},
		{"<a> x\n</a>", " x\n"},
		{"<a> \n</a>", ""},
		{"<a> <b>y</b> </a>", ""},
		{"<a>x<b>y</b>z</a>", "xz"},
		{"<a>&lt;&gt;&amp;&quot;&apos;</a>", `<>&"'`},
		{"<a>&#65;&#x42;&#X;</a>", "AB&#X;"},
		{"<a>&#x1D11E;&#228;</a>", "𝄞ä"},
		{"<a>x &amp y</a>", "x &amp y"},
		{"<a>1\r\n2\r3\n4</a>", "1\n2\n3\n4"},
		{"<a>1&#13;2</a>", "1\r2"},
		{"<a><![CDATA[<x> &amp; ]] ]]></a>", "<x> &amp; ]] "},
		{"<a><![CDATA[1\r\n2]]></a>", "1\n2"},
		{"<a><![CDATA[]]></a>", ""},
		{"<a>x<!-- y --><?z w?>v</a>", "xv"},
		{"<a>x<!-- y --> <!-- z -->v</a>", "x v"},
		{"<a>\r\n <![CDATA[x]]>\r\n</a>", "\n x\n"},
		{"<a>Bogen <b/> <b/> 2</a>", "Bogen   2"},
		{"<a>x<b/> </a >", "x "},
		{"<a>&#32;</a>", " "},
	} {
		doc, _ := read(t, c.text)
		require.Equal(t, c.want, doc.Root().Text(), "%q", c.text)
	}
}

func TestContent(t *testing.T) {
	doc := clean(t, "<?p  q r ?><!-- 1 --><a> x <b/>\n<!--2--><![CDATA[3]]><?s?></a><!-- 4 -->")
	var all []string
	for i := 1; i < doc.Len(); i++ {
		n := doc.Node(i)
		require.Equal(t, i, n.Index())
		all = append(all, n.Local()+":"+n.Text())
	}
	require.Equal(t, []string{"p:q r ", ": 1 ", "a: x \n3", ": x ", "b:", ":2", ":3", "s:", ": 4 "}, all)
	var kinds []jdf.NodeKind
	for n := range doc.Root().Content() {
		kinds = append(kinds, n.Kind())
	}
	require.Equal(t, []jdf.NodeKind{
		jdf.KindText, jdf.KindElement, jdf.KindComment, jdf.KindCDATA, jdf.KindInstruction,
	}, kinds)
	for n := range doc.Root().Children() {
		require.Equal(t, "b", n.Local())
		require.Equal(t, 1, n.Depth())
	}
	require.False(t, doc.Root().Parent().Valid())
	require.Zero(t, doc.Root().Depth())
}

// Source: W3C Extensible Markup Language (XML) 1.0, Fifth Edition, 3.3.3.
func TestAttributeValues(t *testing.T) {
	for _, c := range []struct{ written, want string }{
		{`""`, ""}, {`''`, ""}, {`"'"`, "'"}, {`'"'`, `"`}, {`"a>b"`, "a>b"},
		{"'1\n2\t3\r\n4\r5'", "1 2 3 4 5"},
		{"'1&#10;2&#9;3&#xD;4'", "1\n2\t3\r4"},
		{"' a  b '", " a  b "},
		{"'&quot;&apos;&lt;&#228;&amp;amp;'", `"'<ä&amp;`},
	} {
		doc := clean(t, "<a b="+c.written+"/>")
		a := doc.Root().Attr("b")
		require.Equal(t, c.want, a.Value(), c.written)
		require.Equal(t, c.written[1:len(c.written)-1], stretch(a.Place()))
	}
}

func TestAttributes(t *testing.T) {
	doc := clean(t, `<a c="1" xmlns="u" p:c="2" xmlns:p="v" xml:lang="de" b="3"/>`)
	root := doc.Root()
	var all []string
	for a := range root.Attrs() {
		require.Equal(t, doc.Names()[a.NameID()], a.Name())
		all = append(all, a.Name().String()+"="+a.Value())
	}
	require.Equal(t, []string{"c=1", "{v}c=2", "{" + jdf.NamespaceXML + "}lang=de", "b=3"}, all)
	require.Equal(t, "1", root.Get("c"))
	require.Equal(t, "2", root.AttrNS("v", "c").Value())
	require.True(t, root.Has("b"))
	require.False(t, root.Has("lang"))
	require.False(t, root.Has("xmlns"))
	require.Equal(t, jdf.Name{Space: "u", Local: "a"}, root.Name())
	require.Equal(t, doc.Names()[root.NameID()], root.Name())
}

func TestNamespaces(t *testing.T) {
	doc := clean(t, `<a xmlns="u" xmlns:p="v"><p:b xmlns:p="w"><p:c/></p:b><p:d xmlns=""><e/></p:d><p:f/></a>`)
	var all []string
	nodes := map[string]jdf.Node{}
	for n := range doc.Elements() {
		all = append(all, n.Name().String())
		nodes[n.Local()] = n
	}
	require.Equal(t, []string{"{u}a", "{w}b", "{w}c", "{v}d", "e", "{v}f"}, all)

	declared := map[string]string{}
	for prefix, space := range nodes["a"].Namespaces() {
		declared[prefix] = space
	}
	require.Equal(t, map[string]string{"": "u", "p": "v"}, declared)

	for _, c := range []struct {
		at, prefix, want string
		ok               bool
	}{
		{"a", "", "u", true}, {"c", "", "u", true}, {"e", "", "", true},
		{"a", "p", "v", true}, {"c", "p", "w", true}, {"e", "p", "v", true},
		{"c", "q", "", false}, {"c", "xml", jdf.NamespaceXML, true},
		{"c", "xmlns", "http://www.w3.org/2000/xmlns/", true},
	} {
		got, ok := nodes[c.at].Lookup(c.prefix)
		require.Equal(t, c.want, got, c)
		require.Equal(t, c.ok, ok, c)
	}
}

func TestPath(t *testing.T) {
	doc := clean(t, `<a><b/><c/><b><c/><c>x</c></b><b/><p:b xmlns:p="u"/></a>`)
	var all []string
	for i := 1; i < doc.Len(); i++ {
		all = append(all, doc.Node(i).Path())
	}
	require.Equal(t, []string{"/a", "/a/b[1]", "/a/c", "/a/b[2]", "/a/b[2]/c[1]", "/a/b[2]/c[2]", "/a/b[2]/c[2]",
		"/a/b[3]", "/a/b"}, all)
}

func TestQuestions(t *testing.T) {
	doc := clean(t, `<JDF xmlns="`+jdf.NamespaceJDF+`"><x:M xmlns:x="u"/><P><M ID="1"/><N/><M ID="2"/></P></JDF>`)
	require.Equal(t, jdf.KindJDF, doc.Kind)
	root := doc.Root()
	require.True(t, root.Is("JMF", "JDF"))
	require.False(t, root.Is("JMF"))
	require.False(t, root.FirstContent().Is("M"), "an element of another namespace")
	require.False(t, root.Child("M").Valid())
	require.Equal(t, "1", root.Find("P", "M").Get("ID"))
	require.False(t, root.Find("P", "X", "M").Valid())
	var ids []string
	for m := range root.Child("P").ChildrenNamed("M") {
		ids = append(ids, m.Get("ID"))
	}
	require.Equal(t, []string{"1", "2"}, ids)
	count := 0
	for range doc.Elements() {
		if count++; count == 2 {
			break
		}
	}
	require.Equal(t, 2, count)
}

// A chain of questions about what is not there needs no checks between.
func TestNothing(t *testing.T) {
	doc, _ := read(t, "")
	for _, n := range []jdf.Node{{}, doc.Root(), doc.Node(0), doc.Node(-1), doc.Node(99), doc.Root().Child("x")} {
		require.False(t, n.Valid())
		require.Zero(t, n.Kind())
		require.Equal(t, -1, n.NameID())
		require.False(t, n.Parent().FirstContent().NextContent().Valid())
		require.Empty(t, n.Text()+n.Path()+n.Local()+n.Space()+n.Get("x")+n.Attr("x").Local())
		require.False(t, n.Has("x") || n.Is("x") || n.Place().Known() || n.NamePlace().Known())
		require.Equal(t, -1, n.Attr("x").NameID())
		require.False(t, n.Attr("x").Place().Known() || n.Attr("x").NamePlace().Known())
		require.Zero(t, n.End()+n.Depth())
		for range n.Content() {
			t.Fatal("content")
		}
		for range n.Namespaces() {
			t.Fatal("namespaces")
		}
	}
}

func TestKinds(t *testing.T) {
	for _, c := range []struct {
		root, space, version string
		kind                 jdf.Kind
		want                 jdf.Version
	}{
		{"JDF", jdf.NamespaceJDF, "1.3", jdf.KindJDF, jdf.Version{Major: 1, Minor: 3}},
		{"JMF", jdf.NamespaceJDF, "1.7", jdf.KindJMF, jdf.Version{Major: 1, Minor: 7}},
		{"XJDF", jdf.NamespaceXJDF, "2.1", jdf.KindXJDF, jdf.Version{Major: 2, Minor: 1}},
		{"XJMF", jdf.NamespaceXJDF, "", jdf.KindXJMF, jdf.Version{}},
		{"XJDF", jdf.NamespaceJDF, "2.1", jdf.KindUnknown, jdf.Version{Major: 2, Minor: 1}},
		{"JDF", "", "1", jdf.KindUnknown, jdf.Version{}},
		{"jdf", jdf.NamespaceJDF, "x.y", jdf.KindUnknown, jdf.Version{}},
	} {
		doc := clean(t, "<p:"+c.root+" xmlns:p='u' Version='"+c.version+"'/>")
		require.Equal(t, jdf.KindUnknown, doc.Kind)
		doc = clean(t, "<"+c.root+" xmlns='"+c.space+"' Version='"+c.version+"'/>")
		require.Equal(t, c.kind, doc.Kind, c)
		require.Equal(t, c.want, doc.Version, c)
		require.Equal(t, c.kind.Message(), strings.HasSuffix(c.kind.String(), "MF"))
	}
}

func TestVersions(t *testing.T) {
	for _, bad := range []string{"", "1", "1.", ".1", "1.x", "1.2.3", "-1.2", "1.300", "+1.2", "1.02"} {
		_, err := jdf.ParseVersion(bad)
		require.ErrorContains(t, err, "is not a version", bad)
	}
	v, err := jdf.ParseVersion(" 1.4 ")
	require.NoError(t, err)
	require.Equal(t, "1.4", v.String())
	require.Empty(t, jdf.Version{}.String())
	require.Negative(t, v.Compare(jdf.LastJDF))
	require.Zero(t, v.Compare(v))
	require.True(t, jdf.KindJDF.Known(v))
	require.False(t, jdf.KindXJDF.Known(v))
	require.False(t, jdf.KindUnknown.Known(v))
	require.True(t, jdf.KindJMF.First() && jdf.KindXJMF.Second())
}
