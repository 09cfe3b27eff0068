package jdf_test

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
)

// read reads a text that is held in memory.
func read(t testing.TB, text string) (*jdf.Document, []jdf.Fault) {
	t.Helper()
	doc, faults, err := jdf.Read("test.jdf", strings.NewReader(text), jdf.Limits{})
	require.NoError(t, err)
	return doc, faults
}

// clean reads a text that must have no faults.
func clean(t testing.TB, text string) *jdf.Document {
	t.Helper()
	doc, faults := read(t, text)
	require.Empty(t, show(faults), "%.200q", text)
	return doc
}

// show writes faults as code, place from and to, and, where it is known, the
// place of the other end.
func show(faults []jdf.Fault) []string {
	var lines []string
	for _, f := range faults {
		from, to := f.Place.Pos(), f.Place.EndPos()
		line := fmt.Sprintf("%s %d:%d-%d:%d", f.Code, from.Line, from.Column, to.Line, to.Column)
		if f.Related.Known() {
			line += fmt.Sprintf(" related %d:%d", f.Related.Pos().Line, f.Related.Pos().Column)
		}
		lines = append(lines, line)
	}
	return lines
}

type faultCase struct {
	name, text string
	want       []string // as show writes them
	got        string   // Got of the first fault, where it is worth pinning
}

// Source: W3C Extensible Markup Language (XML) 1.0, Fifth Edition, and
// Namespaces in XML 1.0, Third Edition: what is well-formed. The places are
// our own choice.
var faultCases = []faultCase{
	{"nothing", "", []string{"no-root 1:1-1:1"}, ""},
	{"white space", " \n\t", []string{"no-root 2:2-2:2"}, ""},
	{"comment only", "<!-- x -->\n", []string{"no-root 2:1-2:1"}, ""},
	{"not XML", "Job 4711\n", []string{"not-xml 1:1-1:9"}, "plain text"},
	{"text before", "Job 4711\n<a/>", []string{"outside-root 1:1-2:1"}, "Job 4711"},
	{"page of a server", "\n<!doctype HTML>\n<html></html>", []string{"not-xml 2:1-2:16"}, "an HTML page"},
	{"page without type", "<HTML><br></HTML>", []string{"not-xml 1:1-1:18"}, "an HTML page"},
	{"other document type", "<!DOCTYPE JDF>\n<JDF/>", []string{"dtd 1:1-1:10"}, ""},
	{"JSON", "{\"JobID\": \"<1>\"}", []string{"not-xml 1:1-1:17"}, "JSON"},
	{"PDF", "%PDF-1.7\n%\xe2\xe3\n<< >>", []string{"not-xml 1:1-1:9"}, "a PDF"},
	{"quotes of a text processor", "<a b=“c”/>", []string{"syntax 1:6-1:7"}, "“"},
	{"text after", "<a/>\n x", []string{"outside-root 2:2-2:3"}, "x"},
	{"CDATA after", "<a/><![CDATA[x]]>", []string{"outside-root 1:5-1:14"}, "<![CDATA["},
	{"reference before", "&#32;<a/>", []string{"outside-root 1:1-1:6"}, "&#32;"},
	{"second root", "<a/>\n<b/>", []string{"second-root 2:2-2:3"}, "b"},
	{"end without start", "</a>", []string{"mismatched-tag 1:1-1:4"}, "</a>"},
	{"end after root", "<a/></a>", []string{"mismatched-tag 1:5-1:8"}, "</a>"},
	{"wrong end", "<a>\n <b></c></b></a>", []string{"mismatched-tag 2:5-2:8 related 2:3"}, "</c>"},
	{"end in other case", "<a></A>", []string{"mismatched-tag 1:4-1:7 related 1:2"}, "</A>"},
	{"end with attribute", "<a></a x='1'>", []string{"syntax 1:8-1:9"}, "x"},
	{"open at the end", "<a>\n<b>x", []string{"truncated 2:5-2:5 related 2:2"}, ""},
	{"open tag at the end", "<a>\n<b c='d'", []string{"truncated 2:1-2:9"}, ""},
	{"open value", "<a b='c>", []string{"truncated 1:6-1:9"}, "the value of b"},
	{"open name", "<a b", []string{"truncated 1:1-1:5"}, ""},
	{"open after equals", "<a b=", []string{"truncated 1:1-1:6"}, ""},
	{"open slash", "<a/", []string{"truncated 1:1-1:4"}, ""},
	{"open markup", "<a><", []string{"truncated 1:4-1:5"}, ""},
	{"open end tag", "<a></a", []string{"truncated 1:4-1:7"}, ""},
	{"open comment", "<a><!-- x", []string{"truncated 1:4-1:10"}, "a comment"},
	{"begun comment", "<a><!-", []string{"truncated 1:4-1:7"}, ""},
	{"begun CDATA", "<a><![CDA", []string{"truncated 1:4-1:10"}, ""},
	{"open CDATA", "<a><![CDATA[x]]", []string{"truncated 1:4-1:16"}, "a CDATA section"},
	{"open instruction", "<a><?x ", []string{"truncated 1:4-1:8"}, "a processing instruction"},
	{"open declaration", "<?xml version='1.0'", []string{"truncated 1:1-1:20"}, "the XML declaration"},

	{"document type", "<!-- x -->\n<!DOCTYPE a><a/>", []string{"dtd 2:1-2:10"}, ""},
	{"document type with subset", "<!DOCTYPE a [<!ENTITY x 'y'>]><a>&x;</a>", []string{"dtd 1:1-1:10"}, ""},
	{"small document type", "<!doctype a><a/>", []string{"syntax 1:1-1:3"}, "<!"},

	{"entity", "<a>&nbsp;</a>", []string{"entity 1:4-1:10"}, "&nbsp;"},
	{"entity in value", "<a b='x&uuml;y'/>", []string{"entity 1:8-1:14"}, "&uuml;"},
	{"bare ampersand", "<a>Müller & Söhne</a>", []string{"reference 1:11-1:12"}, "&"},
	{"ampersand in value", "<a b='R&D'/>", []string{"reference 1:8-1:9"}, "&"},
	{"two ampersands", "<a>&&amp;</a>", []string{"reference 1:4-1:5"}, "&"},
	{"empty reference", "<a>&;</a>", []string{"reference 1:4-1:5"}, "&"},
	{"no digits", "<a>&#;</a>", []string{"reference 1:4-1:7"}, "&#;"},
	{"capital X", "<a>&#X41;</a>", []string{"reference 1:4-1:10"}, "&#X41;"},
	{"sign in number", "<a>&#+65;</a>", []string{"reference 1:4-1:10"}, "&#+65;"},
	{"reference name", "<a>&1x;</a>", []string{"reference 1:4-1:8"}, "&1x;"},

	{"control", "<a>x\x01</a>", []string{"character 1:5-1:6"}, "U+0001"},
	{"null byte", "<a b='\x00'/>", []string{"character 1:7-1:8"}, "U+0000"},
	{"not a character", "<a>ä\uFFFE</a>", []string{"character 1:5-1:6"}, "U+FFFE"},
	{"reference to control", "<a>&#2;</a>", []string{"character 1:4-1:8"}, "&#2;"},
	{"reference to surrogate", "<a>&#xD800;</a>", []string{"character 1:4-1:12"}, "&#xD800;"},
	{"reference too far", "<a>&#x110000;</a>", []string{"character 1:4-1:14"}, "&#x110000;"},

	{"no version", "<?xml encoding='UTF-8'?><a/>", []string{"declaration 1:1-1:25"}, ""},
	{"version 2", "<?xml version='2.0'?><a/>", []string{"declaration 1:1-1:22"}, ""},
	{"version 1.1", "<?xml version='1.1'?><a/>", []string{"declaration 1:16-1:19"}, "XML version 1.1"},
	{"order", "<?xml version='1.0' standalone='yes' encoding='UTF-8'?><a/>", []string{"declaration 1:1-1:56"}, ""},
	{"empty declaration", "<?xml?><a/>", []string{"declaration 1:1-1:8"}, "<?xml?>"},
	{"not at the start", "\n<?xml version='1.0'?><a/>", []string{"declaration 2:1-2:22"}, "<?xml"},
	{"capital declaration", "<?XML version='1.0'?><a/>", []string{"declaration 1:1-1:22"}, "<?XML"},

	{"element name", "<a>\n<1b/></a>", []string{"name 2:2-2:4"}, "1b"},
	{"attribute name", "<a b,c='1'/>", []string{"name 1:4-1:7"}, "b,c"},
	{"two colons", "<a b:c:d='1'/>", []string{"name 1:4-1:9"}, "b:c:d"},
	{"empty prefix", "<:a/>", []string{"name 1:2-1:4"}, ":a"},
	{"empty local", "<a xmlns:='u'/>", []string{"name 1:4-1:10"}, "xmlns:"},
	{"target", "<a><?1 x?></a>", []string{"name 1:6-1:7"}, "1"},
	{"no target", "<a><? x?></a>", []string{"name 1:6-1:6"}, ""},
	{"target with colon", "<a><?b:c x?></a>", []string{"name 1:6-1:9"}, "b:c"},

	{"bare less", "<a>1 < 2</a>", []string{"syntax 1:6-1:7"}, "<"},
	{"less in value", "<a b='1<2<3'/>", []string{"syntax 1:8-1:9"}, "<"},
	{"end of CDATA in text", "<a>x]]>y</a>", []string{"syntax 1:5-1:8"}, "]]>"},
	{"dashes", "<a><!-- b -- c --></a>", []string{"syntax 1:11-1:13"}, "--"},
	{"dash at the end", "<a><!-- b---></a>", []string{"syntax 1:10-1:14"}, "--->"},
	{"no value", "<a b c='1'/>", []string{"syntax 1:4-1:5"}, "b"},
	{"no quotes", "<a b=1/>", []string{"syntax 1:4-1:5"}, "b"},
	{"no name", "<a ='1'/>", []string{"syntax 1:4-1:5"}, "="},
	{"no space", "<a b='1'c='2'/>", []string{"syntax 1:9-1:10"}, "no white space"},
	{"missing quote", "<a b='1 c='2'/>", []string{"syntax 1:12-1:13"}, "2"},
	{"slash inside", "<a / b='1'>", []string{"syntax 1:4-1:5"}, "/"},

	{"duplicate", "<a b='1'\n c='2' b='3'/>", []string{"duplicate-attribute 2:8-2:9 related 1:4"}, "b"},
	{"duplicate by namespace", "<a xmlns:p='u' xmlns:q='u' p:x='1' q:x='2'/>",
		[]string{"duplicate-attribute 1:36-1:39 related 1:28"}, "x"},
	{"duplicate declaration", "<a xmlns:p='u' xmlns:p='v'/>", []string{"duplicate-attribute 1:16-1:23 related 1:4"}, "p"},
	{"three times", "<a b='1' b='2' b='3'/>",
		[]string{"duplicate-attribute 1:10-1:11 related 1:4", "duplicate-attribute 1:16-1:17 related 1:4"}, "b"},

	{"element prefix", "<a>\n <p:b/></a>", []string{"unbound-prefix 2:3-2:4"}, "p"},
	{"attribute prefix", "<a p:b='1'/>", []string{"unbound-prefix 1:4-1:5"}, "p"},
	{"prefix once", "<a><p:b p:c='1'/><p:d/><q:e/></a>",
		[]string{"unbound-prefix 1:5-1:6", "unbound-prefix 1:25-1:26"}, "p"},
	{"prefix out of scope", "<a><b xmlns:p='u'><p:c/></b><p:c/></a>", []string{"unbound-prefix 1:30-1:31"}, "p"},

	{"prefix xml", "<a xmlns:xml='u'/>", []string{"namespace 1:15-1:16"}, "the prefix xml"},
	{"prefix xmlns", "<a xmlns:xmlns='u'/>", []string{"namespace 1:17-1:18"}, "the prefix xmlns"},
	{"namespace of xml", "<a xmlns:p='http://www.w3.org/XML/1998/namespace'/>",
		[]string{"namespace 1:13-1:49"}, "a reserved namespace"},
	{"namespace of xmlns", "<a xmlns='http://www.w3.org/2000/xmlns/'/>",
		[]string{"namespace 1:11-1:40"}, "a reserved namespace"},
	{"empty namespace", "<a xmlns:p=''><p:b/></a>", []string{"namespace 1:13-1:13"}, "an empty namespace for a prefix"},
	{"element of xmlns", "<xmlns:a/>", []string{"namespace 1:2-1:7"}, "an element with the prefix xmlns"},

	{"several", "<a b='&x;'>&<p:c d='1' d='2'/>\x02</a>", []string{
		"character 1:31-1:32", "entity 1:7-1:10", "reference 1:12-1:13", "unbound-prefix 1:14-1:15",
		"duplicate-attribute 1:24-1:25 related 1:18"}, "U+0002"},
}

func TestFaults(t *testing.T) {
	for _, c := range faultCases {
		t.Run(c.name, func(t *testing.T) {
			doc, faults := read(t, c.text)
			require.Equal(t, c.want, show(faults))
			require.Equal(t, "test.jdf", faults[0].Place.File())
			require.Same(t, doc.Source, faults[0].Place.Source)
			if c.got != "" {
				require.Equal(t, c.got, faults[0].Got)
			}
			require.NotPanics(t, func() { walk(doc) })
		})
	}
}

// walk asks everything of every node.
func walk(doc *jdf.Document) (asked int) {
	for i := range doc.Len() {
		n := doc.Node(i)
		asked += len(n.Text()) + len(n.Path()) + n.Depth() + len(n.Name().String()) + n.Place().Pos().Column +
			n.NamePlace().EndPos().Column + n.End() + len(n.Place().Path()) + n.NameID()
		for a := range n.Attrs() {
			asked += len(a.Value()) + a.Place().Pos().Column + a.NamePlace().EndPos().Column + len(a.Place().Path())
		}
		for prefix := range n.Namespaces() {
			space, _ := n.Lookup(prefix)
			asked += len(space)
		}
	}
	return asked
}

// Every code that fault.go declares has a case, here or in the tests of
// encodings and limits.
func TestFaultCodesCovered(t *testing.T) {
	file, err := parser.ParseFile(token.NewFileSet(), "fault.go", nil, 0)
	require.NoError(t, err)
	declared := map[string]bool{}
	ast.Inspect(file, func(n ast.Node) bool {
		if spec, ok := n.(*ast.ValueSpec); ok {
			code, err := strconv.Unquote(spec.Values[0].(*ast.BasicLit).Value)
			require.NoError(t, err)
			declared[code] = true
		}
		return true
	})
	require.Greater(t, len(declared), 15)
	seen := map[string]bool{}
	for _, c := range faultCases {
		for _, w := range c.want {
			code, _, _ := strings.Cut(w, " ")
			seen[code] = true
		}
	}
	for _, c := range encodingCases {
		for _, w := range c.want {
			code, _, _ := strings.Cut(w, " ")
			seen[code] = true
		}
	}
	for _, c := range limitCases {
		if code, _, ok := strings.Cut(c.want, " "); ok {
			seen[code] = true
		}
	}
	require.Equal(t, declared, seen)
}
