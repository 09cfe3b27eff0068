package schemas

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Values of the types of XML Schema, right and wrong.
//
// Source: XML Schema Part 2: Datatypes, second edition, sections 3.2 and 3.3,
// with the examples given there; RFC 3986 for anyURI.
var builtinValues = []struct {
	typ   string
	right []string
	wrong []string
}{
	{"boolean", []string{"true", "false", "1", "0", " true "}, []string{"", "True", "yes", "2"}},
	{"float", []string{"-1E4", "1267.43233E12", "12.78e-2", "12", "-0", "0", "INF", "-INF", "NaN", ".5",
		"5.", "+1"},
		[]string{"", "1,5", "+INF", "inf", "e5", "1e", "1e1.5", ".", "0x10", "1_000"}},
	{"double", []string{"12.78e-2", "1E+3"}, []string{"12 13", "--1"}},
	{"integer", []string{"-1", "0", "12678967543233", "+100000", "007"}, []string{"", "1.0", "+", "1e3"}},
	{"int", []string{"2147483647", "-2147483648", "+0000000000001"}, []string{"2147483648", "-2147483649", ""}},
	{"long", []string{"9223372036854775807", "-9223372036854775808"}, []string{"9223372036854775808",
		"-9223372036854775809"}},
	{"duration", []string{"P1Y2M3DT10H30M", "-P120D", "P1347Y", "P1347M", "P1Y2MT2H", "P0Y1347M", "P0Y1347M0D",
		"-P1347M", "PT1.5S"},
		[]string{"", "P-1347M", "P1Y2MT", "P", "PT", "P1S", "PT1D", "P1.5D", "1D", "P1D2M", "PT.5", "PT1.S"}},
	{"dateTime", []string{"2002-10-10T12:00:00-05:00", "2002-10-10T17:00:00Z", "2002-10-10T12:00:00",
		"2000-03-04T24:00:00",
		"2004-02-29T00:00:00.125+14:00", "-0044-03-15T00:00:00", "12000-01-01T00:00:00"},
		[]string{"", "2002-10-10", "2002-10-10T12:00", "2002-13-10T12:00:00", "2003-02-29T00:00:00",
			"2002-10-10T24:00:01",
			"2002-10-10T12:00:60", "2002-10-10T12:00:00+14:01", "02002-10-10T12:00:00", "0000-01-01T00:00:00",
			"2002-10-10t12:00:00", "2002-10-10T12:00:00.", "2002-1-10T12:00:00"}},
	{"date", []string{"2002-10-10", "2002-10-10+13:00", "2002-10-10Z"},
		[]string{"2002-04-31", "10.10.2002", "2002-10-10T00:00:00"}},
	{"time", []string{"13:20:00-05:00", "24:00:00", "00:00:00.5Z"}, []string{"1:20:00", "24:00:01", "13:60:00"}},
	{"gYearMonth", []string{"1999-05", "1999-05Z"}, []string{"1999-13", "1999-5", "99-05"}},
	{"hexBinary", []string{"", "0FB7", "0fb7"}, []string{"0FB", "0G"}},
	{"anyURI", []string{"", "http://www.example.org/a%20b?x=1#y", "file:///jobs/cover.pdf", "cover page.pdf",
		"../a/b", "#top", "über.pdf",
		"http://[::1]:8080/x", "cid:part1@example.org", "//host/share", "http://[v1.a:b]/"},
		[]string{"%zz", "a%2", "a#b#c", ":x", "1a:b", "http://h:port/", "a[b]", "http://h/[x]",
			"http://[", "http://[::1", "http://[x]", "http://h[::1]", "http://[::1]x"}},
	{"language", []string{"en", "en-GB", "de-1996", "i-klingon", "x-private"},
		[]string{"", "en_GB", "englishlanguage", "e1", "en-", "1e"}},
	{"NMTOKEN", []string{"a", "1a", "-x", "a:b.c", "Größe", " a "}, []string{"", "a b", "a/b", "a,b"}},
	{"NMTOKENS", []string{"a", "a b", " a  b "}, []string{"", "a, b"}},
	{"ID", []string{"a1", "_1", "Ä"}, []string{"", "1a", "a:b", "-a", "a b"}},
	{"IDREFS", []string{"a b"}, []string{"", "a 1"}},
	{"QName", []string{"a", "a:b"}, []string{"", ":a", "a:", "a:b:c", "1a"}},
	{"NCName", []string{"a"}, []string{"a:b"}},
	{"string", []string{"", " \n", "anything"}, nil},
	{"token", []string{" a  b "}, nil},
	{"normalizedString", []string{"a\tb"}, nil},
	{"anySimpleType", []string{"", "x"}, nil},
}

func TestBuiltins(t *testing.T) {
	tested := map[string]bool{}
	for _, c := range builtinValues {
		s := JDF().Simple("xs:" + c.typ)
		require.NotNil(t, s, c.typ)
		tested[c.typ] = true
		for _, v := range c.right {
			require.Zero(t, s.Check(v).Kind, "%s: %q is right", c.typ, v)
		}
		for _, v := range c.wrong {
			require.NotZero(t, s.Check(v).Kind, "%s: %q is wrong", c.typ, v)
		}
	}
	for name := range builtins {
		require.True(t, tested[name] || name == "IDREF", "%s is not tested", name)
	}
}

// Values of types of the standard.
//
// Source: the published schemas, by their facets.
var standardValues = []struct {
	set   func() *Set
	typ   string
	value string
	want  FaultKind
}{
	{JDF, "boolean", "true", 0},
	{JDF, "boolean", "1", FaultPattern},
	{JDF, "double", "12.5", 0},
	{JDF, "double", "NaN", FaultPattern},
	{JDF, "dateTime", "INF", 0},
	{JDF, "dateTime", "soon", FaultType},
	{JDF, "DateTimeRange", "2025-03-31T00:00:00Z ~ INF", 0},
	{JDF, "DateTimeRange", "2025-03-31T00:00:00Z", FaultLength},
	{JDF, "Integer", "-INF", 0},
	{JDF, "Integer", "1.5", FaultType},
	{JDF, "IntegerRangeList", "0 ~ 3 5 7~-1", 0},
	{JDF, "IntegerRangeList", "0 ~", FaultPattern},
	{JDF, "IntegerRangeList", "٣", 0}, // \d of XML Schema takes the digits of all scripts
	{JDF, "IntegerRange", "INF", 0},
	{JDF, "XYPair", "1 2", 0},
	{JDF, "XYPair", "1 2 3", FaultLength},
	{JDF, "XYPair", "1 x", FaultType},
	{JDF, "CMYKColor", "0 0 0 1.5", FaultRange},
	{JDF, "CMYKColor", "0 0 0 1", 0},
	{JDF, "Integer0To100", "101", FaultRange},
	{JDF, "NMTOKENS", "", 0},
	{JDF, "NMTOKENS", "a b", 0},
	{JDF, "NMTOKENS", "a ;", FaultType},
	{JDF, "NMTOKEN", strings.Repeat("x", 64), FaultLength},
	{JDF, "NMTOKEN", strings.Repeat("ö", 63), 0},
	{JDF, "URL", "", FaultLength},
	{JDF, "hexBinary", "", FaultLength},
	{JDF, "hexBinary", "0A0B", 0},
	{JDF, "hexBinary", "0A", FaultLength},
	{JDF, "PDFPath", "0 0 m 10 0 l h", 0},
	{JDF, "PDFPath", "0 0 10 l", FaultPattern},
	{JDF, "NamedColor", "DarkRed", 0},
	{JDF, "NamedColor", "Darkred", FaultPattern},
	{JDF, "WorkStyle", "WorkAndTurn", 0},
	{JDF, "WorkStyle", " WorkAndTurn ", 0},
	{JDF, "WorkStyle", "WorkTurn", FaultEnum},
	{JDF, "OrientationList", "Flip0 Rotate91", FaultEnum},
	{JDF, "ePresentationDirection1_", "xYz", 0},
	{JDF, "ePresentationDirection1_", "xyx", FaultPattern},
	{JDF, "LabColor", " 1  2 3 ", 0},
	{XJDF, "NamedColor", "yElLoW", 0},
	{XJDF, "NamedColor", "yelow", FaultPattern},
	{XJDF, "FoldCatalog", "F16-X", 0},
	{XJDF, "FoldCatalog", "F16-", FaultPattern},
	{XJDF, "rectangle", "0 0 1", FaultLength},
	{XJDF, "Percentage", "NaN", FaultRange},
	{XJDF, "Percentage", "100.5", FaultRange},
	{XJDF, "IntegerList", "", 0},
	{XJDF, "Version", "2.4", FaultEnum},
}

func TestSimpleTypes(t *testing.T) {
	for _, c := range standardValues {
		s := c.set().Simple(c.typ)
		require.NotNil(t, s, c.typ)
		require.Equal(t, c.want, s.Check(c.value).Kind, "%s: %q", c.typ, c.value)
	}
}

func TestFaultSaysWhat(t *testing.T) {
	f := JDF().Simple("OrientationList").Check("Flip0  Rotate91 x")
	require.Equal(t, "Rotate91", f.Value)
	require.Equal(t, "Orientation", f.Type.Name())
	f = JDF().Simple("XYPair").Check(" 1 2  3")
	require.Equal(t, 3, f.Count)
	require.Equal(t, "1 2 3", f.Value)
}

func TestSimpleIsDescribed(t *testing.T) {
	s := JDF().Simple("XYPair")
	require.Equal(t, List, s.Variety())
	require.Equal(t, "double", s.Item().Builtin())
	require.Equal(t, "DoubleList", s.Base().Name())
	least, most := s.Length()
	require.Equal(t, []int{2, 2}, []int{least, most})
	require.Equal(t, Union, JDF().Simple("dateTime").Variety())
	require.Len(t, JDF().Simple("dateTime").Members(), 2)
	require.IsIncreasing(t, JDF().Simple("WorkStyle").Enum())
	require.Equal(t, []string{"F[0-9]+-([0-9]+|X)"}, XJDF().Simple("FoldCatalog").Patterns())
	require.Contains(t, XJDF().Simple("NamedColor").Words(), "aliceblue")
	require.Nil(t, XJDF().Simple("FoldCatalog").Words())
	low, high := XJDF().Simple("Percentage").Range()
	require.Equal(t, []float64{0, 100}, []float64{*low, *high})
	require.Equal(t, "a b", JDF().Simple("dateTime").Normal(" a  b"))
}

func TestPattern(t *testing.T) {
	for _, c := range []struct{ pattern, right, wrong string }{
		{`a{3}`, "aaa", "aa"},
		{`[^N].*`, "x\tü", "N"},
		{`[a-c\-]+`, "a-c", "d"},
		{`[+\-]?\d+(\.\d+)?`, "-1.5", "1."},
		{`\S\s\D`, "a b", "a 1"},
		{`(ab|c)*`, "abcab", "ac"},
		{`a\.b`, "a.b", "axb"},
		{`.`, "ü", "\n"},
	} {
		p := newPattern([]string{c.pattern}, nil)
		require.True(t, p.match(c.right), "%s: %q", c.pattern, c.right)
		require.False(t, p.match(c.wrong), "%s: %q", c.pattern, c.wrong)
	}
	for _, bad := range []string{"(a", "a)", "[a", "*", `\p{L}`, "a{x}", "a{2", "ü", `a\`, "]"} {
		require.Error(t, CheckPattern(bad), bad)
	}
}

func FuzzSimple(f *testing.F) {
	for _, c := range builtinValues {
		for _, v := range append(c.right, c.wrong...) {
			f.Add(v)
		}
	}
	var types []*Simple
	for _, s := range []*Set{JDF(), XJDF()} {
		for b := range s.simples.all() {
			types = append(types, s.Simple(b.name))
		}
	}
	f.Fuzz(func(t *testing.T, v string) {
		for _, s := range types {
			first := s.Check(v)
			require.Equal(t, first, s.Check(v))
			if first.Kind == 0 && s.Variety() == Atomic {
				require.Zero(t, s.Check(s.Normal(v)).Kind, "%s: %q as normalised", s.Name(), v)
			}
		}
	})
}

func BenchmarkCheckValue(b *testing.B) {
	s := JDF().Simple("eResourceStatus_")
	b.ReportAllocs()
	for b.Loop() {
		s.Check("Available")
	}
}
