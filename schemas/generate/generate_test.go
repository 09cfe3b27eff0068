package main

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/testdata/standard"
)

func args(t *testing.T, more ...string) []string {
	dir := standard.Dir(t)
	return append([]string{"-jdf", filepath.Join(dir, "jdf"), "-xjdf", filepath.Join(dir, "xjdf")}, more...)
}

// The tables in the repository are what the published release gives.
//
// Source: the published schemas.
func TestTablesAreCurrent(t *testing.T) {
	var out, errs bytes.Buffer
	require.Equal(t, exitClean, run(args(t, "-out", "..", "-check"), &out, &errs), "%s", &out)
	require.Empty(t, out.String())
}

func TestCheckTellsDifference(t *testing.T) {
	dir := t.TempDir()
	var out, errs bytes.Buffer
	require.Equal(t, exitFailed, run(args(t, "-out", dir, "-check"), &out, &errs), "no table there")
	require.Contains(t, errs.String(), "jdf.tab")
	require.Equal(t, exitClean, run(args(t, "-out", dir), &out, &errs))
	require.Equal(t, exitClean, run(args(t, "-out", dir, "-check"), &out, &errs))
	path := filepath.Join(dir, "xjdf.tab")
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(path, bytes.Replace(data, []byte("@Weight"), []byte("@Wieght"), 1), 0o644))
	out.Reset()
	require.Equal(t, exitDiffers, run(args(t, "-out", dir, "-check"), &out, &errs))
	require.Equal(t, path+" is out of date\n", out.String())
	left, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Len(t, left, 2, "no temporary files are left")
}

func TestUsage(t *testing.T) {
	var out, errs bytes.Buffer
	require.Equal(t, exitUsage, run(nil, &out, &errs))
	require.Contains(t, errs.String(), "-jdf")
	require.Equal(t, exitUsage, run([]string{"-nonsense"}, &out, &errs))
	errs.Reset()
	require.Equal(t, exitFailed, run([]string{"-jdf", t.TempDir(), "-xjdf", "x"}, &out, &errs))
	require.Contains(t, errs.String(), "no .xsd file")
}

var update = flag.Bool("update", false, "rewrite the golden files")

// The blemishes of the published notes are mended, or dropped, and each is told.
//
// Source: the published JDF schema.
func TestBlemishesAreTold(t *testing.T) {
	var out, errs bytes.Buffer
	require.Equal(t, exitClean, run(args(t, "-out", t.TempDir()), &out, &errs))
	const path = "testdata/notes.txt"
	if *update {
		require.Empty(t, os.Getenv("CI"), "golden files are not rewritten in CI")
		require.NoError(t, os.WriteFile(path, errs.Bytes(), 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, string(want), errs.String(), "run with -update when the change is meant")
	require.NotContains(t, errs.String(), "xjdf.tab", "the other release has no notes")
	for _, known := range []string{
		"element is spelt version", "attribute maxOccvurs", "unbouded", "read ResourcesLinkPool", "read SizeIntentIntentLink",
		"read VariableIntentIntentLink", "carries cardinalities; read as", "attribute Version; read as First",
	} {
		require.Contains(t, errs.String(), known)
	}
}

const tinyHead = `<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema" targetNamespace="urn:t" xmlns="urn:t">` +
	`<xs:simpleType name="JDFJMFVersion"><xs:restriction base="xs:string">` +
	`<xs:enumeration value="1.0"/></xs:restriction></xs:simpleType>`

// tiny compiles a schema of a few lines.
func tiny(t *testing.T, body string) (text string, notes []string, err error) {
	t.Helper()
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "t.xsd"), []byte(tinyHead+body+"</xs:schema>"), 0o644))
	data, notes, err := releases[0].compile(dir)
	return string(data), notes, err
}

func TestPrint(t *testing.T) {
	text, notes, err := tiny(t, `
	<xs:element name="A"><xs:complexType mixed="true"><xs:sequence minOccurs="2" maxOccurs="3">
		<xs:choice maxOccurs="unbounded"><xs:element name="B" type="T" minOccurs="0"/>
		<xs:any namespace="##other" processContents="lax"/></xs:choice>
		<xs:element ref="A" minOccurs="2" maxOccurs="5"/><xs:group ref="G" maxOccurs="unbounded"/></xs:sequence>
		<xs:attribute name="z" use="required" fixed="q &quot;q&quot;">
		<xs:simpleType><xs:list itemType="xs:int"/></xs:simpleType></xs:attribute>
		<xs:attribute name="a" type="xs:string" default="x y"/>
		<xs:anyAttribute namespace="##other" processContents="lax"/></xs:complexType></xs:element>
	<xs:group name="G"><xs:choice><xs:element name="C" type="xs:int"/></xs:choice></xs:group>
	<xs:complexType name="T"><xs:annotation><xs:appinfo><Version Path="B" First="1.2"/></xs:appinfo></xs:annotation>
		<xs:complexContent><xs:extension base="U"><xs:attribute name="B" type="xs:string"/></xs:extension>
		</xs:complexContent></xs:complexType>
	<xs:complexType name="U" abstract="true"/>
	<xs:simpleType name="S"><xs:union memberTypes="xs:int"><xs:simpleType><xs:restriction base="xs:string">
		<xs:pattern value="\~((R|r)(E|e))"/><xs:pattern value="((R|r)(E|e))"/><xs:maxLength value="3"/>
		</xs:restriction></xs:simpleType></xs:union></xs:simpleType>`)
	require.NoError(t, err)
	require.Equal(t, []string{`T: "B" read as @B`}, notes)
	require.Equal(t, `%element A /A
%group G
	choice
		elem C xs:int
%schema JDF
	namespace urn:t
	versions 1.0
%simple /A/@z list xs:int
%simple JDFJMFVersion restricts xs:string
	enum 1.0
%simple S union xs:int S/1
%simple S/1 restricts xs:string
	pattern ~((R|r)(E|e))
	anycase re
	maxLength 3
%type /A mixed
	seq 2..3
		choice +
			elem B T ?
			any ##other lax
		ref A 2..5
		group G +
	@a xs:string default="x y"
	@z /A/@z required fixed="q \"q\""
	@* ##other lax
%type T extends U
	@B xs:string
	version @B 1.2-
%type U abstract
`, text)
}

// What the tables can not hold is refused with a word on where it stands.
func TestRefused(t *testing.T) {
	complexType := func(body string) string { return `<xs:complexType name="T">` + body + `</xs:complexType>` }
	simpleType := func(base, facet string) string {
		return `<xs:simpleType name="S"><xs:restriction base="` + base + `">` + facet + `</xs:restriction></xs:simpleType>`
	}
	for body, want := range map[string]string{
		`<xs:element name="A" type="T"/>`:                                                   "type T",
		`<xs:element name="A" type="xs:int" nillable="true"/>`:                              "nillable",
		`<xs:notation name="n"/>`:                                                           "xs:notation",
		complexType(`<xs:sequence><xs:element ref="X"/></xs:sequence>`):                     "element X",
		complexType(`<xs:sequence><xs:element name="x" type="X"/></xs:sequence>`):           "type X",
		complexType(`<xs:sequence><xs:group ref="G"/></xs:sequence>`):                       "group G",
		complexType(`<xs:sequence><xs:any namespace="##any"/></xs:sequence>`):               "wildcard",
		complexType(`<xs:sequence minOccurs="x"/>`):                                         "minOccurs",
		complexType(`<xs:sequence maxOccurs="x"/>`):                                         "maxOccurs",
		complexType(`<xs:sequence><xs:key/></xs:sequence>`):                                 "xs:key",
		complexType(`<xs:anyAttribute namespace="##any"/>`):                                 "wildcard",
		complexType(`<xs:attribute ref="xml:lang"/>`):                                       "global attributes",
		complexType(`<xs:attribute name="a" type="S"/>`):                                    "simple type S",
		complexType(`<xs:attributeGroup ref="G"/>`):                                         "attribute group G",
		complexType(`<xs:complexContent><xs:extension base="U"/></xs:complexContent>`):      "base U",
		complexType(`<xs:simpleContent><xs:restriction base="xs:int"/></xs:simpleContent>`): "simple content",
		simpleType("xs:decimal", `<xs:totalDigits value="3"/>`):                             "totalDigits",
		simpleType("xs:string", `<xs:pattern value="\p{L}"/>`):                              "pattern",
		simpleType("Other", ``):                                                             "simple type Other",
	} {
		_, _, err := tiny(t, body)
		require.ErrorContains(t, err, want, body)
	}
	_, err := parseXSD([]byte("<x/>"))
	require.Error(t, err)
	_, err = parseXSD([]byte("<x>"))
	require.Error(t, err)
}

func TestAnyCaseWord(t *testing.T) {
	word, ok := anyCaseWord("((R|r)(E|e)(D|d))")
	require.True(t, ok)
	require.Equal(t, "red", word)
	for _, other := range []string{"red", "((R|r)(E|e)", "((R|x))", "((R|R))", "(R|r)", ""} {
		_, ok := anyCaseWord(other)
		require.False(t, ok, other)
	}
}

func TestMergeFacts(t *testing.T) {
	merged := mergeFacts([]fact{
		{path: "Lot", first: "1.3", last: "1.4"}, {path: "Lot", last: "1.5"}, {path: "Lot", first: "1.2"},
		{limit: true, path: "Part", min: "1", max: "1"}, {limit: true, path: "Part", min: "0", max: "2"},
		{limit: true, path: "Any", min: "1", max: "1"}, {limit: true, path: "Any", min: "1"},
	})
	require.Equal(t, []fact{
		{path: "Lot", first: "1.2", last: "1.5"},
		{limit: true, path: "Part", min: "0", max: "2"},
		{limit: true, path: "Any", min: "1"},
	}, merged)
}
