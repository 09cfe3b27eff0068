//go:build libxml2 && cgo

package xsd_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/validate"
	"quoin/validate/xsd"
)

const schemaStart = `<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema"`

func TestFolders(t *testing.T) {
	element := func(space, name, body string) string {
		return schemaStart + ` targetNamespace="` + space + `">` + body +
			`<xs:element name="` + name + `" type="xs:int"/></xs:schema>`
	}
	for _, c := range []struct {
		name  string
		files map[string]string
		valid []string // the first of the elements known
	}{
		{"one", map[string]string{"a.xsd": element("urn:a", "a", "")}, []string{"urn:a a"}},
		{"one that includes the others", map[string]string{
			"a.xsd":     element("urn:a", "a", ""),
			"b.XSD":     element("urn:a", "b", `<xs:include schemaLocation="a.xsd"/><xs:include schemaLocation="./c%20d.xsd"/>`),
			"c d.xsd":   element("urn:a", "c", `<xs:include schemaLocation="a.xsd"/>`),
			"notes.txt": "no schema",
		}, []string{"urn:a a", "urn:a b", "urn:a c"}},
		{"in other folders", map[string]string{
			"a.xsd":          element("urn:a", "a", `<xs:import namespace="urn:b" schemaLocation="sub/b.xsd"/>`),
			"sub/b.xsd":      element("urn:b", "b", `<xs:include schemaLocation="../sub/deep/c.xsd"/>`),
			"sub/deep/c.xsd": element("urn:b", "c", ""),
		}, []string{"urn:a a", "urn:b b", "urn:b c"}},
		{"each of its own", map[string]string{
			"a.xsd": element("urn:a", "a", ""), "b.xsd": element("urn:b", "b", ""), "c.xsd": element("urn:b", "c", ""),
			"d.xsd": schemaStart + `><xs:element name="d" type="xs:int"/></xs:schema>`,
			"e.xsd": element("urn:&amp;", "e", ""),
		}, []string{"urn:a a", "urn:b b", "urn:b c", " d", "urn:& e"}},
		{"a ring", map[string]string{
			"a.xsd": element("urn:a", "a", `<xs:include schemaLocation="b.xsd"/>`),
			"b.xsd": element("urn:a", "b", `<xs:include schemaLocation="a.xsd"/>`),
			"c.xsd": element("urn:c", "c", ""),
		}, []string{"urn:a a", "urn:a b", "urn:c c"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			schema, err := xsd.Compile(folder(t, c.files))
			require.NoError(t, err)
			for _, v := range c.valid {
				space, name, _ := strings.Cut(v, " ")
				space = strings.ReplaceAll(space, "&", "&amp;")
				require.Empty(t, check(t, schema, "<"+name+" xmlns='"+space+"'>1</"+name+">"), v)
				require.Len(t, check(t, schema, "<"+name+" xmlns='"+space+"'>x</"+name+">"), 1, v)
			}
			require.Len(t, check(t, schema, "<z xmlns='urn:a'>1</z>"), 1)
		})
	}
}

func TestSchemaErrors(t *testing.T) {
	for _, c := range []struct {
		name, text string
		want       string
	}{
		{"not XML", schemaStart + ">\n<xs:element></xs:schema>", "s.xsd:2:13: not well-formed XML: mismatched-tag"},
		{"no schema", "<a/>", `s.xsd:1:2: root element is "a"; want schema of http://www.w3.org/2001/XMLSchema`},
		{"no such type", schemaStart + ">\n\n<xs:element name='a' type='b'/></xs:schema>",
			"s.xsd:3: element decl. 'a', attribute 'type': The QName value 'b' does not resolve"},
		{"no such file", schemaStart + ">\n<xs:include schemaLocation='b.xsd'/></xs:schema>",
			"s.xsd:2:29: include of \"b.xsd\": "},
		{"document type", "<!DOCTYPE a><a/>", "s.xsd:1:1: not well-formed XML: dtd"},
		{"bad pattern", schemaStart + ">\n<xs:simpleType name='a'><xs:restriction base='xs:string'>" +
			"<xs:pattern value='('/></xs:restriction></xs:simpleType></xs:schema>", "s.xsd:2: "},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := filepath.Join(folder(t, map[string]string{"s.xsd": c.text}), "s.xsd")
			schema, err := xsd.Compile(path)
			require.Nil(t, schema)
			require.ErrorContains(t, err, c.want)
			require.NotContains(t, err.Error(), "urn:quoin")
		})
	}
	_, err := xsd.Compile(filepath.Join(t.TempDir(), "none.xsd"))
	require.ErrorIs(t, err, os.ErrNotExist)
	_, err = xsd.Compile(t.TempDir())
	require.ErrorContains(t, err, "no .xsd file in the folder")
}

// Source: XML Schema Part 2, appendix F: what a backslash may stand before.
func TestMendedPatterns(t *testing.T) {
	for pattern, c := range map[string]struct{ good, bad, mended string }{
		`a\~b`:       {"a~b", `a\~b`, `\~`},
		`a\\~`:       {`a\~`, `a~`, ""},
		`\d\.\-\\\\`: {`5.-\\`, `5.-\`, ""},
		`[\:\/]+`:    {"/:", `\`, `\: \/`},
		`\p{L}\&lt;`: {"ä<", "1<", `\&`},
	} {
		schema := compile(t, schemaStart+"><xs:element name='a'><xs:simpleType><xs:restriction base='xs:string'>"+
			"<xs:pattern value='"+pattern+"'/></xs:restriction></xs:simpleType></xs:element></xs:schema>")
		escape := strings.NewReplacer("&", "&amp;", "<", "&lt;")
		require.Empty(t, check(t, schema, "<a>"+escape.Replace(c.good)+"</a>"), pattern)
		require.NotEmpty(t, check(t, schema, "<a>"+escape.Replace(c.bad)+"</a>"), pattern)
		var mended []string
		for _, n := range schema.Notices() {
			mended = append(mended, n.Place.Source.Text[n.Place.Start:n.Place.End])
		}
		require.Equal(t, c.mended, strings.Join(mended, " "), pattern)
	}
}

// The namespace of XML is known though schemas import it from the network.
func TestNamespaceOfXML(t *testing.T) {
	schema := compile(t, schemaStart+"><xs:import namespace='"+jdf.NamespaceXML+"'"+
		" schemaLocation='http://www.w3.org/2001/xml.xsd'/>"+
		"<xs:element name='a'><xs:complexType><xs:attributeGroup ref='xml:specialAttrs'/>"+
		"</xs:complexType></xs:element></xs:schema>")
	require.Empty(t, schema.Notices())
	require.Empty(t, check(t, schema, "<a xml:lang='de' xml:space='preserve' xml:id='x'/>"))
	const say = "1:15 /a/@space a/@xml:space: the value 'x' is not an element of the set {default, preserve}"
	require.Equal(t, []string{say}, check(t, schema, "<a xml:space='x'/>")[:1])
}

func TestMerge(t *testing.T) {
	schema := compile(t, plain)
	doc, _, err := jdf.Read("t.xml", strings.NewReader("<r xmlns='urn:t'><i n='x'/><i n='y'/><i/></r>"), jdf.Limits{})
	require.NoError(t, err)
	var ours []validate.Finding
	require.NoError(t, schema.Check(doc, func(f validate.Finding) { ours = append(ours, f) }))
	require.Len(t, ours, 3)

	native := &validate.Rule{ID: "schema/value", Say: "native"}
	elsewhere := &validate.Rule{ID: "ref/missing", Say: "elsewhere"}
	second := doc.Root().FirstContent().NextContent()
	others := []validate.Finding{native.At(doc.Root().FirstContent().Attr("n").Place()), elsewhere.At(second.Place())}
	merged := xsd.Merge(others, ours)
	require.Equal(t, append(others[:2:2], ours[1], ours[2]), merged)
	require.Equal(t, ours, xsd.Merge(nil, ours))
	require.Empty(t, xsd.Merge(nil, nil))
}
