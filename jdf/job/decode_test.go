package job_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/jdf/job"
)

func decode(t testing.TB, ticket string) *job.Job {
	t.Helper()
	doc, faults, err := jdf.Read("t", strings.NewReader(ticket), jdf.Limits{})
	require.NoError(t, err)
	require.Empty(t, faults)
	return job.Decode(doc)
}

const jdfHead = `<JDF xmlns="http://www.CIP4.org/JDFSchema_1_1" ID="n" JobID="J" JobPartID="P" Status="Waiting" Version="1.6" `

// A position counts all Types, Product among them, though it is no process.
func TestStepsCountProduct(t *testing.T) {
	j := decode(t, `<XJDF xmlns="http://www.CIP4.org/JDFSchema_2_0" JobID="J" Types="Product Cutting Folding">
		<ResourceSet Name="Device" Usage="Input" CombinedProcessIndex="2"><Resource><Device DeviceID="folder"/></Resource></ResourceSet>
		<ResourceSet Name="Device" Usage="Input" CombinedProcessIndex="0"><Resource><Device DeviceID="desk"/></Resource></ResourceSet>
	</XJDF>`)
	require.Len(t, j.Operations, 2)
	require.Empty(t, j.Operations[0].Devices)
	require.Len(t, j.Operations[1].Devices, 1)
	require.Equal(t, "folder", j.Operations[1].Devices[0].ID.Value)
}

// A link means the leaves that its Part names, and those that leave its keys open.
func TestLinkMeansItsPart(t *testing.T) {
	const pool = `<ResourcePool><Media Class="Consumable" ID="m" Status="Available" MediaType="Paper" PartIDKeys="SheetName Side">
		<Media SheetName="S1" Weight="90"><Media Side="Front" Thickness="100"/><Media Side="Back"/></Media>
		<Media SheetName="S2" Weight="120"/><Media Weight="150"/></Media></ResourcePool>`
	for part, want := range map[string]string{
		``:                                   "90 90 120 150",
		`<Part SheetName="S1"/>`:             "90 90 150",
		`<Part SheetName="S1" Side="Back"/>`: "90 150",
		`<Part Side="Front"/>`:               "90 120 150",
		`<Part SheetName="S9"/>`:             "150",
		`<Part Run="R1"/>`:                   "90 90 120 150",
	} {
		j := decode(t, jdfHead+`Type="ConventionalPrinting">`+pool+
			`<ResourceLinkPool><MediaLink Usage="Input" rRef="m">`+part+`</MediaLink></ResourceLinkPool></JDF>`)
		var weights []string
		for _, u := range j.Operations[0].Inputs {
			weights = append(weights, fmt.Sprint(u.Media.Weight.Value))
			require.Equal(t, "Paper", u.Media.Type.Value, "inherited from the resource")
		}
		require.Equal(t, want, strings.Join(weights, " "), part)
	}
}

func TestUnreadableValuesAreFaults(t *testing.T) {
	for _, amount := range []string{"2,500", "INF", "NaN", "1e300", "1e-300", "", "12 pieces"} {
		j := decode(t, `<XJDF xmlns="http://www.CIP4.org/JDFSchema_2_0" JobID="J" Types="Product"><ProductList>
			<Product Amount="`+amount+`"/></ProductList></XJDF>`)
		require.Len(t, j.Faults, 1, amount)
		require.False(t, j.Products[0].Amount.Good.Given)
		require.Equal(t, "Product/@Amount", j.Faults[0].Name)
		require.Equal(t, amount, j.Faults[0].Got)
		require.NotEmpty(t, j.Faults[0].Want)
	}
}

// Products that hold each other in a ring have no end to walk to.
func TestProductsInARing(t *testing.T) {
	const product = `<Product ID="%s"><Intent Name="BindingIntent"><BindingIntent BindingType="SaddleStitch" ChildRefs="%s"/></Intent></Product>`
	j := decode(t, `<XJDF xmlns="http://www.CIP4.org/JDFSchema_2_0" JobID="J" Types="Product"><ProductList>`+
		fmt.Sprintf(product, "a", "b a")+fmt.Sprintf(product, "b", "c")+fmt.Sprintf(product, "c", "a")+`</ProductList></XJDF>`)
	var depth func(p *job.Product) int
	depth = func(p *job.Product) int {
		most := 0
		for _, part := range p.Parts {
			most = max(most, depth(part))
		}
		return most + 1
	}
	for _, p := range j.Products {
		require.LessOrEqual(t, depth(p), 3)
	}
}

// Many links into a resource of many parts must not cost the product of both.
func BenchmarkDecodePartitions(b *testing.B) {
	for _, n := range []int{200, 2000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			var parts, links strings.Builder
			for i := range n {
				fmt.Fprintf(&parts, `<Component SheetName="S%d" Dimensions="10 10 0"/>`, i)
				fmt.Fprintf(&links, `<ComponentLink Usage="Input" rRef="c"><Part SheetName="S%d"/></ComponentLink>`, i)
			}
			doc, _, err := jdf.Read("t", strings.NewReader(jdfHead+`Type="Gathering"><ResourcePool>`+
				`<Component Class="Quantity" ID="c" Status="Available" PartIDKeys="SheetName">`+parts.String()+
				`</Component></ResourcePool><ResourceLinkPool>`+links.String()+`</ResourceLinkPool></JDF>`), jdf.Limits{})
			require.NoError(b, err)
			for b.Loop() {
				job.Decode(doc)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*n), "ns/link")
		})
	}
}

// Of a resource of many leaves little more is kept than a use of each.
func BenchmarkDecodeLeaves(b *testing.B) {
	const n = 20000
	var leaves, plates strings.Builder
	for i := range n {
		fmt.Fprintf(&leaves, `<ExposedMedia SheetName="S%d" Status="Available"/>`, i)
		fmt.Fprintf(&plates, `<Resource><Part SheetName="S%d" Side="Front"/><ExposedMedia/></Resource>`, i)
	}
	for name, text := range map[string]string{
		"JDF": jdfHead + `Type="ConventionalPrinting"><ResourcePool><ExposedMedia Class="Handling" ID="x" ` +
			`PartIDKeys="SheetName" Status="Available">` + leaves.String() + `</ExposedMedia></ResourcePool>` +
			`<ResourceLinkPool><ExposedMediaLink Usage="Input" rRef="x"/></ResourceLinkPool></JDF>`,
		"XJDF": `<XJDF xmlns="http://www.CIP4.org/JDFSchema_2_0" JobID="J" Types="ConventionalPrinting">` +
			`<ResourceSet Name="ExposedMedia" Usage="Input">` + plates.String() + `</ResourceSet></XJDF>`,
	} {
		b.Run(name, func(b *testing.B) {
			doc, _, err := jdf.Read("t", strings.NewReader(text), jdf.Limits{})
			require.NoError(b, err)
			require.Len(b, job.Decode(doc).Operations[0].Inputs, n)
			b.ReportAllocs()
			for b.Loop() {
				job.Decode(doc)
			}
		})
	}
}
