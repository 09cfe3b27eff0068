package jdf_test

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/testdata/standard"
)

// judged is an element as encoding/xml reads it.
type judged struct {
	name     xml.Name
	attrs    []xml.Attr
	text     strings.Builder
	children []*judged
}

// judge reads a text with encoding/xml. Any encoding is let pass, for the text
// is UTF-8 already.
func judge(text string) (*judged, error) {
	d := xml.NewDecoder(strings.NewReader(text))
	d.CharsetReader = func(_ string, r io.Reader) (io.Reader, error) { return r, nil }
	open := []*judged{{}}
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, err
		}
		top := open[len(open)-1]
		switch e := token.(type) {
		case xml.StartElement:
			n := &judged{name: e.Name, attrs: e.Attr}
			top.children = append(top.children, n)
			open = append(open, n)
		case xml.EndElement:
			open = open[:len(open)-1]
		case xml.CharData:
			top.text.Write(e)
		}
	}
	if len(open[0].children) != 1 {
		return nil, fmt.Errorf("%d roots", len(open[0].children))
	}
	return open[0].children[0], nil
}

const whiteSpace = " \t\r\n"

// blank makes one of all white space: encoding/xml leaves line ends in values
// as they are, and here no more is asked of it.
func blank(s string) string {
	return strings.NewReplacer("\t", " ", "\n", " ", "\r", " ").Replace(s)
}

func judgedName(name xml.Name) string {
	return blank(jdf.Name{Space: name.Space, Local: name.Local}.String())
}

// differ says where two readings of an element differ, or "".
func differ(n jdf.Node, j *judged) string {
	if blank(n.Name().String()) != judgedName(j.name) {
		return fmt.Sprintf("%s: name %v, judge %v", n.Path(), n.Name(), j.name)
	}
	var attrs []xml.Attr
	for _, a := range j.attrs {
		if a.Name.Space != "xmlns" && (a.Name.Space != "" || a.Name.Local != "xmlns") {
			attrs = append(attrs, a)
		}
	}
	i := 0
	for a := range n.Attrs() {
		if i == len(attrs) {
			return fmt.Sprintf("%s: attribute %v, judge none", n.Path(), a.Name())
		}
		if blank(a.Name().String()) != judgedName(attrs[i].Name) || blank(a.Value()) != blank(attrs[i].Value) {
			return fmt.Sprintf("%s: attribute %v=%q, judge %v", n.Path(), a.Name(), a.Value(), attrs[i])
		}
		i++
	}
	if i != len(attrs) {
		return fmt.Sprintf("%s: %d attributes, judge %v", n.Path(), i, attrs)
	}
	if text := j.text.String(); strings.Trim(text+n.Text(), whiteSpace) != "" && text != n.Text() {
		return fmt.Sprintf("%s: text %q, judge %q", n.Path(), n.Text(), text)
	}
	i = 0
	for c := range n.Children() {
		if i == len(j.children) {
			return fmt.Sprintf("%s: judge has %d children", n.Path(), i)
		}
		if d := differ(c, j.children[i]); d != "" {
			return d
		}
		i++
	}
	if i != len(j.children) {
		return fmt.Sprintf("%s: %d children, judge %d", n.Path(), i, len(j.children))
	}
	return ""
}

// Source: the published samples of the standard; encoding/xml is the judge.
func TestSamplesAgreeWithEncodingXML(t *testing.T) {
	kinds := map[jdf.Kind]int{}
	for _, path := range standard.Samples(t) {
		doc, faults, err := jdf.ReadFile(path, jdf.Limits{})
		require.NoError(t, err)
		require.Empty(t, show(faults), path)
		j, err := judge(doc.Source.Text)
		require.NoError(t, err, path)
		require.Empty(t, differ(doc.Root(), j), path)
		kinds[doc.Kind]++
	}
	// Source: counted in the release by the names of the roots.
	require.Equal(t, map[jdf.Kind]int{jdf.KindJDF: 118, jdf.KindJMF: 30, jdf.KindXJDF: 91, jdf.KindXJMF: 53}, kinds)
}

func TestTextsAgreeWithEncodingXML(t *testing.T) {
	for _, text := range wellFormed {
		j, err := judge(text)
		require.NoError(t, err, text)
		require.Empty(t, differ(clean(t, text).Root(), j), text)
	}
}

// wellFormed holds what tickets seldom use, and hands may still write.
var wellFormed = []string{
	"<a/>",
	"<a></a >\n",
	"<?xml version=\"1.0\"  encoding='UTF-8' standalone = 'yes' ?>\n<!-- x - y --><a/><?p?><!---->",
	"<a b = 'c'\n\td=\"e'f\"  />",
	"<a>x &lt;&#x20AC;&amp;amp; y<b>z</b> &gt; <![CDATA[<&]]]]><![CDATA[>]]>\r\n</a>",
	"<p:a xmlns:p='u' p:b='1' b='2' xmlns:q='u'><q:c q:d='3' xmlns:q='v'/><q:c/></p:a>",
	"<a xmlns='u'><b xmlns=''><c/></b><d xml:space='preserve'> </d></a>",
	"<Größe Höhe='日本'><_.-/><é\u0301/></Größe>",
	"<a b='&#10;&#9; &#13;\n' c='&quot;&apos;'>&quot;]] ></a>",
	"<a>]]&gt; ]>] <?t ?b>c?><!-- <b> & --></a>",
	"<a b='>' c=\"/>\"/>",
	"<a>&#x10FFFF;\uFFFD\u0085\u2028\u007F</a>",
}
