package structure

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/validate"
)

// largeJDF writes a ticket of about so many bytes, with the mixture of a plate
// and press ticket: partitioned plates, links with parts, audits.
func largeJDF(size int) string {
	var b strings.Builder
	b.WriteString(`<JDF xmlns="http://www.CIP4.org/JDFSchema_1_1" ID="J0" Type="Product" Status="Waiting" ` +
		`Version="1.5" JobID="SPW-1">` + "\n<ResourcePool>\n")
	links := &strings.Builder{}
	for i := 0; b.Len()+links.Len() < size; i++ {
		fmt.Fprintf(&b, `<Media ID="M%d" Class="Consumable" Status="Available" MediaType="Paper" Weight="135" `+
			`Dimension="2041.4 2891.3" Brand="Marsh Silk" Thickness="110" FrontCoatings="Glossy"/>`+"\n", i)
		fmt.Fprintf(&b, `<ExposedMedia ID="P%d" Class="Handling" Status="Unavailable" `+
			`PartIDKeys="SheetName Side Separation" Brand="Plate" DescriptiveName="plates of sheet %d">`+
			`<MediaRef rRef="M%d"/>`+"\n", i, i, i)
		for _, side := range []string{"Front", "Back"} {
			fmt.Fprintf(&b, `<ExposedMedia SheetName="S%d"><ExposedMedia Side="%s">`, i, side)
			for _, sep := range []string{"Cyan", "Magenta", "Yellow", "Black"} {
				fmt.Fprintf(&b, `<ExposedMedia Separation="%s" Status="Available" ProductID="p%d"/>`+"\n", sep, i)
			}
			b.WriteString("</ExposedMedia></ExposedMedia>\n")
		}
		b.WriteString("</ExposedMedia>\n")
		fmt.Fprintf(&b, `<Component ID="C%d" Class="Quantity" Status="Unavailable" ComponentType="Sheet" `+
			`Dimensions="2000 2800 0.3" Amount="%d"><Comment Name="Description">sheet %d, mind the grain</Comment>`+
			"</Component>\n", i, 1000+i, i)
		fmt.Fprintf(links, `<ComponentLink rRef="C%d" Usage="Output" Amount="%d"><AmountPool><PartAmount Amount="900">`+
			`<Part SheetName="S%d" Condition="Good"/></PartAmount></AmountPool></ComponentLink>`+"\n", i, i, i)
	}
	b.WriteString("</ResourcePool>\n<ResourceLinkPool>\n" + links.String() + "</ResourceLinkPool>\n</JDF>\n")
	return b.String()
}

// largeXJDF writes a ticket of about so many bytes.
func largeXJDF(size int) string {
	var b strings.Builder
	b.WriteString(`<XJDF xmlns="http://www.CIP4.org/JDFSchema_2_0" JobID="SPW-1" Types="ConventionalPrinting" ` +
		`Version="2.1">` + "\n")
	b.WriteString(`<ResourceSet Name="ExposedMedia" Usage="Input">` + "\n")
	for i := 0; b.Len() < size; i++ {
		for _, side := range []string{"Front", "Back"} {
			for _, sep := range []string{"Cyan", "Magenta", "Yellow", "Black"} {
				fmt.Fprintf(&b, `<Resource ID="P%d%s%s" Status="Available" DescriptiveName="plate %d"><AmountPool>`+
					`<PartAmount Amount="1"/></AmountPool><Part SheetName="S%d" Side="%s" Separation="%s"/>`+
					`<ExposedMedia MediaRef="M1" PlateType="Exposed"/></Resource>`+"\n", i, side, sep, i, i, side, sep)
			}
		}
	}
	b.WriteString("</ResourceSet>\n</XJDF>\n")
	return b.String()
}

const largeSize = 15 << 20

func benchmark(b *testing.B, text string) {
	doc, faults, err := jdf.Read("large", strings.NewReader(text), jdf.Limits{})
	require.NoError(b, err)
	require.Empty(b, faults)
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		Check(doc, Options{}, func(f validate.Finding) {
			b.Fatalf("%s: %s at %s", f.Rule.ID, f.Message(), f.Place.Path())
		})
	}
}

func BenchmarkCheckJDF(b *testing.B)  { benchmark(b, largeJDF(largeSize)) }
func BenchmarkCheckXJDF(b *testing.B) { benchmark(b, largeXJDF(largeSize)) }

// smallJDF is a ticket of the size that most are.
func BenchmarkCheckSmall(b *testing.B) { benchmark(b, largeJDF(2000)) }

// A good ticket costs no memory by its size, only by the types that it uses.
func TestCheckAllocatesNothingPerAttribute(t *testing.T) {
	if raceDetector {
		t.Skip("the race detector allocates for itself")
	}
	allocs := func(size int) float64 {
		doc, _, err := jdf.Read("large", strings.NewReader(largeJDF(size)), jdf.Limits{})
		require.NoError(t, err)
		return testing.AllocsPerRun(3, func() {
			Check(doc, Options{}, func(f validate.Finding) { t.Error(f.Rule.ID, f.Message()) })
		})
	}
	small, large := allocs(10_000), allocs(1_000_000)
	require.LessOrEqual(t, large, small+100, "allocations for 10 kB and for 1 MB")
}
