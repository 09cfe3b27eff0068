//go:build libxml2 && cgo

package xsd_test

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"unicode/utf16"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/validate"
	"quoin/validate/xsd"
)

const plain = `<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema" targetNamespace="urn:t" xmlns="urn:t"
  elementFormDefault="qualified">
  <xs:element name="r">
    <xs:complexType>
      <xs:sequence>
        <xs:element name="i" minOccurs="0" maxOccurs="unbounded">
          <xs:complexType>
            <xs:attribute name="n" type="xs:int" use="required"/>
            <xs:attribute name="id" type="xs:ID"/>
          </xs:complexType>
        </xs:element>
        <xs:element name="e" type="xs:boolean" minOccurs="0"/>
      </xs:sequence>
    </xs:complexType>
  </xs:element>
</xs:schema>`

// folder writes files into a fresh folder.
func folder(t *testing.T, files map[string]string) string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range files {
		path := filepath.Join(dir, name)
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
		require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
	}
	return dir
}

func compile(t *testing.T, text string) *xsd.Schema {
	t.Helper()
	schema, err := xsd.Compile(filepath.Join(folder(t, map[string]string{"s.xsd": text}), "s.xsd"))
	require.NoError(t, err)
	return schema
}

// check reads a text and writes its findings as line:column path message.
func check(t *testing.T, schema *xsd.Schema, text string) []string {
	t.Helper()
	doc, faults, err := jdf.Read("t.xml", strings.NewReader(text), jdf.Limits{MaxDepth: 5000})
	require.NoError(t, err)
	require.Empty(t, faults)
	var said []string
	require.NoError(t, schema.Check(doc, func(f validate.Finding) {
		if f.Rule.ID == xsd.LargeRule {
			return
		}
		pos := f.Place.Pos()
		said = append(said, fmt.Sprintf("%d:%d %s %s", pos.Line, pos.Column, f.Place.Path(), f.Message()))
	}))
	return said
}

func TestVersion(t *testing.T) {
	require.True(t, xsd.BuiltIn())
	require.Regexp(t, `^libxml2 2\.\d+\.\d+$`, xsd.Version())
}

// Source: XML Schema Part 1: the verdicts. The places are our own choice.
var placeCases = []struct {
	text string
	want []string
}{
	{`<r xmlns="urn:t"><i n="1"/><e>true</e></r>`, nil},
	{"<?xml version='1.0' encoding='ISO-8859-1'?>\n<r xmlns='urn:t'>\n <i\n  n='\xFC'/></r>",
		[]string{"4:6 /r/i/@n i/@n: 'ü' is not a valid value of the atomic type 'xs:int'"}},
	{`<r xmlns="urn:t"><i n="1"/><i/></r>`, []string{"1:29 /r/i[2] i: the attribute 'n' is required but missing"}},
	{`<r xmlns="urn:t"><i n="1" m="2"/></r>`, []string{"1:27 /r/i/@m i/@m: the attribute 'm' is not allowed"}},
	{`<p:r xmlns:p="urn:t" xmlns:q="urn:q"><p:i n="1" q:m="2"/></p:r>`,
		[]string{"1:49 /r/i/@m i/@q:m: the attribute 'q:m' is not allowed"}},
	{`<r xmlns="urn:t"><e>true</e><i n="1"/></r>`, []string{"1:30 /r/i i: this element is not expected"}},
	{`<r xmlns="urn:t"><x/></r>`, []string{"1:19 /r/x x: this element is not expected; want e, i"}},
	{`<r xmlns="urn:t"><!-- --><e>ja</e></r>`,
		[]string{"1:27 /r/e e: 'ja' is not a valid value of the atomic type 'xs:boolean'"}},
	{`<r xmlns="urn:t"><i n="1" id="a"/><i n="x" id="a"/></r>`, []string{
		"1:41 /r/i[2]/@n i/@n: 'x' is not a valid value of the atomic type 'xs:int'",
		"1:48 /r/i[2]/@id i/@id: 'a' is not a valid value of the atomic type 'xs:ID', or another element has it"}},
	{`<r/>`, []string{"1:2 /r r: no matching global declaration available for the validation root"}},
	{`<r xmlns="urn:t">text</r>`,
		[]string{"1:2 /r r: character content other than whitespace is not allowed " +
			"because the content type is 'element-only'"}},
}

func TestPlaces(t *testing.T) {
	tree, stream := compile(t, plain), compile(t, plain)
	stream.Stream()
	for _, c := range placeCases {
		require.Equal(t, c.want, check(t, tree, c.text), c.text)
		if !strings.Contains(c.text, `id="a"/><i n="x" id="a"`) {
			require.Equal(t, c.want, check(t, stream, c.text), c.text)
		}
	}
}

// What a stream does not see is told.
func TestStreamTellsWhatItLeavesOut(t *testing.T) {
	schema := compile(t, plain)
	schema.Stream()
	text := "<r xmlns='urn:t'><i n='1' id='a'/><i n='1' id='a'/></r>"
	doc, _, err := jdf.Read("t.xml", strings.NewReader(text), jdf.Limits{})
	require.NoError(t, err)
	var said []string
	require.NoError(t, schema.Check(doc, func(f validate.Finding) { said = append(said, f.Rule.ID+" "+f.Message()) }))
	require.Equal(t, []string{"schema/xsd-large document has 55 bytes; " +
		"from 0 on the XSD engine does not see an ID that is given twice"}, said)
}

// libxml2 keeps lines in 16 bits; places do not hang on them.
func TestManyLines(t *testing.T) {
	schema, stream := compile(t, plain), compile(t, plain)
	stream.Stream()
	text := "<r xmlns='urn:t'>\n" + strings.Repeat("<i n='1'/>\n", 100_000) + "<i n='x'/>\n<i\n m='1'/>\n</r>"
	require.Equal(t, []string{
		"100002:7 /r/i[100001]/@n i/@n: 'x' is not a valid value of the atomic type 'xs:int'",
		"100003:2 /r/i[100002] i: the attribute 'n' is required but missing",
		"100004:2 /r/i[100002]/@m i/@m: the attribute 'm' is not allowed",
	}, sorted(check(t, schema, text)))
	require.Equal(t, check(t, schema, text), check(t, stream, text))
}

func sorted(said []string) []string { return slices.Sorted(slices.Values(said)) }

// What is kept of many errors is bounded.
func TestManyErrors(t *testing.T) {
	schema := compile(t, plain)
	said := check(t, schema, "<r xmlns='urn:t'>"+strings.Repeat("<i n='x'/>\n", 60_000)+"</r>")
	require.Len(t, said, 60_000)

	said = check(t, schema, "<r xmlns='urn:t'>"+strings.Repeat("<i n='x'/>", 100_005)+"</r>")
	require.Len(t, said, 100_001)
	require.Equal(t, "1:2 /r 5 more findings of the XSD engine are not listed; want at most 100000", said[100_000])
}

func TestDeepDocument(t *testing.T) {
	schema := compile(t, plain)
	text := "<r xmlns='urn:t'>" + strings.Repeat("<x>", 4000) + strings.Repeat("</x>", 4000) + "</r>"
	said := check(t, schema, text)
	require.Equal(t, []string{"1:19 /r/x x: this element is not expected; want e, i"}, said)
	schema.Stream()
	require.Equal(t, said, check(t, schema, text))
}

func TestEncodings(t *testing.T) {
	// The schema says windows-1252 of its own text, and is UTF-8 by the time the engine has it.
	schema := compile(t, "<?xml version='1.0' encoding='windows-1252'?>\n"+schemaStart+">"+
		"<xs:element name='Gr\xF6\xDFe'><xs:simpleType><xs:restriction base='xs:string'>"+
		"<xs:enumeration value='5 \x80'/></xs:restriction></xs:simpleType></xs:element></xs:schema>")
	require.Empty(t, check(t, schema, "<Größe>5 €</Größe>"))
	units := utf16.Encode([]rune("\uFEFF<?xml version='1.0' encoding='UTF-16'?><Größe>6 €</Größe>"))
	var raw strings.Builder
	for _, u := range units {
		raw.Write([]byte{byte(u), byte(u >> 8)})
	}
	const say = "1:41 /Größe Größe: the value '6 €' is not an element of the set {5 €}"
	require.Equal(t, []string{say}, check(t, schema, raw.String()))
}

func TestBrokenDocument(t *testing.T) {
	schema, stream := compile(t, plain), compile(t, plain)
	stream.Stream()
	for text, want := range map[string]string{
		"":                     "no root element",
		"<r xmlns='urn:t'><i>": "not well-formed XML: ",
	} {
		doc, faults, err := jdf.Read("t.xml", strings.NewReader(text), jdf.Limits{})
		require.NoError(t, err)
		require.NotEmpty(t, faults)
		for _, s := range []*xsd.Schema{schema, stream} {
			err = s.Check(doc, func(validate.Finding) { t.Fatal("finding") })
			require.ErrorContains(t, err, `check "t.xml" against the schema: `+want)
		}
	}
}

// Nothing that a schema or a document names is fetched from the network.
func TestNetworkIsNeverAsked(t *testing.T) {
	asked := 0
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		asked++
		_, _ = w.Write([]byte(plain))
	}))
	defer server.Close()
	open := `<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema" targetNamespace="urn:u">`

	_, err := xsd.Compile(folder(t, map[string]string{
		"s.xsd": open + "\n<xs:include schemaLocation='" + server.URL + "/s.xsd'/></xs:schema>"}))
	require.ErrorContains(t, err, "s.xsd:2:29: include of \""+server.URL+"/s.xsd\" is not followed")

	schema, err := xsd.Compile(folder(t, map[string]string{
		"s.xsd": open + "<xs:import namespace='urn:t' schemaLocation='" + server.URL + "/s.xsd'/>" +
			"<xs:element name='r'><xs:complexType><xs:sequence><xs:any namespace='urn:t' processContents='lax'/>" +
			"</xs:sequence></xs:complexType></xs:element></xs:schema>"}))
	require.NoError(t, err)
	require.Len(t, schema.Notices(), 1)
	require.Contains(t, schema.Notices()[0].Message(), `import of "urn:t" from "http://127.0.0.1`)
	require.Empty(t, check(t, schema, `<r xmlns="urn:u" xmlns:xsi="`+jdf.NamespaceXSI+`" xsi:schemaLocation="urn:t `+
		server.URL+`/s.xsd urn:u `+server.URL+`/u.xsd"><i xmlns="urn:t"/></r>`))
	require.Zero(t, asked)
}

// A document may not make the engine read a file either.
func TestDocumentOpensNoFile(t *testing.T) {
	dir := folder(t, map[string]string{"s.xsd": plain, "u.xsd": strings.ReplaceAll(plain, "urn:t", "urn:u")})
	schema, err := xsd.Compile(filepath.Join(dir, "s.xsd"))
	require.NoError(t, err)
	require.Equal(t, []string{"1:2 /r r: no matching global declaration available for the validation root"},
		check(t, schema, `<r xmlns="urn:u" xmlns:xsi="`+jdf.NamespaceXSI+`" xsi:schemaLocation="urn:u file://`+
			filepath.ToSlash(filepath.Join(dir, "u.xsd"))+`"/>`))
}

func TestManyAtOnce(t *testing.T) {
	schema := compile(t, plain)
	text := "<r xmlns='urn:t'>" + strings.Repeat("<i n='x'/><i n='1'/>\n", 200) + "</r>"
	want := check(t, schema, text)
	require.Len(t, want, 200)
	var wait sync.WaitGroup
	said := make([][]string, 16)
	for i := range said {
		wait.Go(func() {
			said[i] = check(t, schema, text)
			_, err := xsd.Compile("none.xsd")
			if err == nil {
				said[i] = nil
			}
		})
	}
	wait.Wait()
	for _, s := range said {
		require.Equal(t, want, s)
	}
}
