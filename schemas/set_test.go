package schemas

import (
	"encoding/xml"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/testdata/standard"
)

// count is what an independent reading of the XSD files counts.
type count struct{ elements, types, simples, annotations int }

func countXSD(t *testing.T, pattern string) count {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(standard.Dir(t), pattern))
	require.NoError(t, err)
	require.NotEmpty(t, files)
	var c count
	for _, name := range files {
		f, err := os.Open(name)
		require.NoError(t, err)
		defer f.Close()
		depth, dec := 0, xml.NewDecoder(f)
		for {
			tok, err := dec.Token()
			if errors.Is(err, io.EOF) {
				break
			}
			require.NoError(t, err)
			switch tok := tok.(type) {
			case xml.StartElement:
				switch tok.Name.Local {
				case "element":
					if depth == 1 {
						c.elements++
					}
				case "complexType":
					c.types++
				case "simpleType":
					c.simples++
				case "annotation":
					c.annotations++
				}
				depth++
			case xml.EndElement:
				depth--
			}
		}
	}
	return c
}

// The tables hold every component of the release.
//
// Source: the published schemas.
func TestTablesAreWhole(t *testing.T) {
	for pattern, s := range map[string]*Set{"jdf/*.xsd": JDF(), "xjdf/*.xsd": XJDF()} {
		c := countXSD(t, pattern)
		require.Len(t, s.elements.list, c.elements, pattern)
		require.Len(t, s.complex.list, c.types, pattern)
		require.Len(t, s.simples.list, c.simples, pattern)
	}
}

// The release of the 2.x generation carries no notes, so that no versions of its
// names are known.
//
// Source: the published schema.
func TestXJDFHasNoVersionFacts(t *testing.T) {
	require.Zero(t, countXSD(t, "xjdf/*.xsd").annotations)
	require.Empty(t, XJDF().facts.list)
}

func TestHeader(t *testing.T) {
	require.Equal(t, "http://www.CIP4.org/JDFSchema_1_1", JDF().Namespace())
	require.Equal(t, "http://www.CIP4.org/JDFSchema_1_7_Types", JDF().TypesNamespace())
	require.Equal(t, "http://www.CIP4.org/JDFSchema_2_0", XJDF().Namespace())
	require.Empty(t, XJDF().TypesNamespace())
	require.Len(t, JDF().Versions(), 10)
	require.Len(t, XJDF().Versions(), 4)
	require.True(t, JDF().Knows(MakeVersion(1, 9)))
	require.False(t, JDF().Knows(MakeVersion(2, 0)))
}

// Every type can be made, has a model and attributes with types, and no name
// stands for two types in one model, which the automaton could not tell apart.
func TestAllTypes(t *testing.T) {
	for _, s := range []*Set{JDF(), XJDF()} {
		for b := range s.complex.all() {
			typ := s.Type(b.name)
			require.NotNil(t, typ, b.name)
			require.Equal(t, b.name, typ.Name())
			for _, a := range typ.Attributes() {
				require.NotNil(t, a.Type, "%s/@%s", b.name, a.Name)
			}
			required := 0
			for _, a := range typ.Attributes() {
				if a.Required {
					required++
				}
			}
			require.Less(t, required, 64, "%s: required attributes are counted in 64 bits", b.name)
			m := typ.Model()
			for i := range m.Names() {
				require.NotNil(t, m.Element(i).Type(), "%s/%s", b.name, m.Names()[i])
			}
			seen := map[string]string{}
			walkElements(s, typ, func(name, of string) {
				if before := seen[name]; before != "" {
					require.Equal(t, before, of, "%s/%s", b.name, name)
				}
				seen[name] = of
			})
		}
		for b := range s.simples.all() {
			require.NotNil(t, s.Simple(b.name), b.name)
		}
		for b := range s.elements.all() {
			require.NotNil(t, s.Element(b.name).Type(), b.name)
		}
		require.Nil(t, s.Type("NoSuchType"))
		require.Nil(t, s.Element("NoSuchElement"))
		require.Nil(t, s.Simple("xs:noSuchType"))
	}
}

// walkElements lists the element declarations in the content of a type.
func walkElements(s *Set, t *Type, visit func(name, typ string)) {
	var walk func(body string)
	walk = func(body string) {
		for l := range lines(body) {
			words := strings.Fields(l)
			switch words[0] {
			case "elem":
				visit(words[1], words[2])
			case "ref":
				visit(words[1], s.Element(words[1]).typeName)
			case "group":
				b, _ := s.groups.find(words[1])
				walk(b.body)
			}
		}
	}
	for ; t != nil; t = t.base {
		walk(t.own)
		if t.restricts {
			break
		}
	}
}

func TestType(t *testing.T) {
	s := JDF()
	cutting := s.Type("Cutting")
	require.True(t, cutting.DerivesFrom(s.Type("JDFProcessNode")))
	require.False(t, cutting.DerivesFrom(s.Type("Folding")))
	require.True(t, s.Type("JDFAbstractNode").Abstract())
	require.True(t, cutting.Attribute("ID").Required)
	require.Nil(t, cutting.Attribute("Weight"))
	require.True(t, cutting.Foreign())
	require.False(t, s.Type("QueryStatus").Foreign(), "a restriction has only its own wildcard")
	class := s.Type("Media_r").Attribute("Class")
	require.True(t, class.Required && class.Fixed)
	require.Equal(t, "Consumable", class.Value)
	require.True(t, s.Type("MetaDataMap_Expr_lr").Mixed())
	require.Equal(t, "telem", s.Type("telem").Name())
	require.NotNil(t, s.Type("telem").Text())
	require.True(t, XJDF().Type("/XJMF").Anonymous())
	require.NotNil(t, XJDF().Type("textElement").Text(), "a simple type that elements are declared with")
}

func TestFacts(t *testing.T) {
	s := JDF()
	address := s.Type("Address_re")
	require.Equal(t, Span{First: MakeVersion(1, 6)}, address.Attribute("CivicNumber").Span,
		"notes at the element reach all its types")
	require.Equal(t, Span{Last: MakeVersion(1, 2)}, s.Type("StatusPool_").Span())
	_, node := s.Type("Cutting").Model().Child("NodeInfo")
	require.Equal(t, Span{Last: MakeVersion(1, 2)}, node.Span(),
		"notes of the base speak of what the derived type declares")
	var limits []Limit
	for _, l := range s.Type("ExposedMedia_rp").Model().Limits() {
		if l.Min > 0 {
			limits = append(limits, l)
		}
	}
	require.Len(t, limits, 1, "a minimum on an element and its reference is one")
	require.Equal(t, []string{"Media", "MediaRef"}, limits[0].Names)
	require.Contains(t, s.Type("Cutting").Links(),
		Link{Name: "CuttingParamsLink", Usage: "input", Min: 1, Max: 1})
	require.Contains(t, s.Type("Cutting").Links(),
		Link{Name: "NodeInfoLink", Usage: "input", Min: 0, Max: 1}, "generic links")
	require.Contains(t, s.Type("CasingIn").Links(),
		Link{Name: "ComponentLink", Usage: "input", ProcessUsage: "Case", Min: 1, Max: 1})
}

func TestVersion(t *testing.T) {
	v, ok := ParseVersion("1.3")
	require.True(t, ok)
	require.Equal(t, "1.3", v.String())
	require.Empty(t, Version(0).String())
	for _, bad := range []string{"", "1", "1.x", "x.1", "1.300", "-1.2"} {
		_, ok := ParseVersion(bad)
		require.False(t, ok, bad)
	}
	s := parseSpan("1.2-1.4")
	require.True(t, s.Before(MakeVersion(1, 1)))
	require.False(t, s.Before(MakeVersion(1, 2)))
	require.True(t, s.After(MakeVersion(1, 5)))
	require.False(t, s.After(MakeVersion(1, 4)))
	require.False(t, s.After(0))
	require.True(t, parseSpan("-").Open())
}

func TestUsage(t *testing.T) {
	require.True(t, JDF().Has("StrippingParams"))
	require.False(t, XJDF().Has("StrippingParams"))
	require.True(t, XJDF().Has("ResourceSet"))
	require.True(t, JDF().HasAttribute("PartIDKeys"))
	require.False(t, XJDF().HasAttribute("PartIDKeys"))
	require.Equal(t, []string{"Resource"}, XJDF().Parents("FoldingParams"))
	require.Contains(t, JDF().Parents("Media"), "ResourcePool")
	require.Contains(t, JDF().Parents("AuditPool"), "JDF", "through a group")
	require.Contains(t, XJDF().Carriers("FoldCatalog"), "FoldingParams")
	require.Contains(t, JDF().Carriers("JobPartID"), "JDF")
	require.Contains(t, JDF().Members("Resource"), "Media")
	require.NotContains(t, XJDF().Members("Message"), "Query", "abstract itself")
	require.Contains(t, XJDF().Members("Message"), "QueryStatus")
	require.Contains(t, JDF().DerivedTypes("JDFProcessNode"), "Cutting")
	require.NotContains(t, JDF().DerivedTypes("JDFProcessNode"), "JDFAbstractNode")
	require.IsIncreasing(t, JDF().Names())
	require.IsIncreasing(t, XJDF().AttributeNames())
}

// A set may be asked from many sides at once, and always gives the same type.
func TestConcurrentUse(t *testing.T) {
	s := load(jdfTable)
	var group sync.WaitGroup
	types := make([]*Type, 8)
	for i := range types {
		group.Go(func() {
			for b := range s.elements.all() {
				typ := s.Element(b.name).Type()
				typ.Model().Child("Comment")
				if b.name == "Media" {
					types[i] = typ
				}
			}
			s.Parents("Media")
			s.Simple("NamedColor").Check("Red")
		})
	}
	group.Wait()
	for _, typ := range types {
		require.Same(t, types[0], typ)
	}
}

func BenchmarkLoadJDF(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		load(jdfTable)
	}
}

func BenchmarkLoadXJDF(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		load(xjdfTable)
	}
}

// What a small ticket asks for, from a cold start.
func BenchmarkFirstTypes(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		s := load(jdfTable)
		for _, name := range []string{"Cutting", "Media_r", "Component_r", "ResourceLink", "ResourcePool_", "AuditPool_"} {
			s.Type(name).Model()
		}
	}
}
