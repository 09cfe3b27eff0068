package rules_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/validate"
	"quoin/validate/rules"
)

// largeJDF is a ticket of n folding nodes, each with a component of its own,
// plates for n sheets, and n phases.
func largeJDF(n int) string {
	var pool, nodes, plates, blocks, phases strings.Builder
	for i := range n {
		fmt.Fprintf(&pool, `<Component ID="c%d" Class="Quantity" Status="Unavailable" Dimensions="595 842 0"/>`+
			`<FoldingParams ID="f%d" Class="Parameter" FoldCatalog="F8-7"/>`, i, i)
		fmt.Fprintf(&nodes, `<JDF ID="n%d" Type="Folding" JobPartID="p.%d" Status="Waiting"><ResourceLinkPool>`+
			`<ComponentLink rRef="c%d" Usage="Input" Amount="10"/><FoldingParamsLink rRef="f%d" Usage="Input"/>`+
			`%s</ResourceLinkPool></JDF>`, i, i, i, i, plateLink(i))
		fmt.Fprintf(&plates, `<ExposedMedia SheetName="S%d"><Identical><Part SheetName="S0"/></Identical></ExposedMedia>`, i)
		fmt.Fprintf(&blocks, `<CutBlock BlockName="B%d" Box="%d 0 %d 1"/>`, i, i, i+2)
		fmt.Fprintf(&phases, `<PhaseTime TimeStamp="2026-03-02T08:00:00Z" Status="InProgress" `+
			`Start="2026-03-02T08:00:00Z" End="2026-03-02T09:00:00Z"><Part SheetName="S%d"/></PhaseTime>`, i)
	}
	return whole(`<JDF ID="n" Type="Product" JobID="4711" JobPartID="p" Status="Waiting" Version="1.5"><ResourcePool>` +
		pool.String() +
		`<ExposedMedia ID="x" Class="Handling" PartUsage="Explicit" PartIDKeys="SheetName">` + plates.String() +
		`</ExposedMedia><CuttingParams ID="k" Class="Parameter">` + blocks.String() + `</CuttingParams></ResourcePool>` +
		`<ResourceLinkPool><CuttingParamsLink rRef="k" Usage="Input"/></ResourceLinkPool><AuditPool>` + phases.String() +
		`</AuditPool>` + nodes.String() + `</JDF>`)
}

// plateLink lets some nodes link a plate: decoding the neutral Job looks at all
// leaves for each link, and would hide the time of the stage.
func plateLink(i int) string {
	if i%500 != 0 {
		return ""
	}
	return fmt.Sprintf(`<ExposedMediaLink rRef="x" Usage="Input"><Part SheetName="S%d"/></ExposedMediaLink>`, i)
}

// largeXJDF is a ticket of one set with n resources, n sets of plates, n
// products and n positions.
func largeXJDF(n int) string {
	var infos, plates, products, positions strings.Builder
	for i := range n {
		fmt.Fprintf(&infos, `<Resource><Part SheetName="S%d"/><NodeInfo Start="2026-03-02T08:00:00Z"/></Resource>`, i)
		fmt.Fprintf(&plates, `<ResourceSet Name="ExposedMedia" Usage="Input" ProcessUsage="U%d"><Resource>`+
			`<Part SheetName="S%d" Side="Back" Separation="Black"/><ExposedMedia MediaRef="m%d"/></Resource></ResourceSet>`,
			i, i, i)
		fmt.Fprintf(&products, `<Product ID="p%d"><Intent Name="BindingIntent"><BindingIntent BindingType="SoftCover" `+
			`ChildRefs="p%d"/></Intent></Product>`, i, i+1)
		fmt.Fprintf(&positions, `<Position RelativeBox="0 0 1 1" BinderySignatureID="B%d"/>`, i)
	}
	return whole(`<XJDF JobID="4711" Types="ConventionalPrinting"><ProductList>` + products.String() + `</ProductList>` +
		`<ResourceSet Name="NodeInfo" Usage="Input">` + infos.String() + `</ResourceSet>` + plates.String() +
		`<ResourceSet Name="Layout" Usage="Input"><Resource><Layout WorkStyle="WorkAndTurn">` + positions.String() +
		`</Layout></Resource></ResourceSet></XJDF>`)
}

func subject(t testing.TB, text string) *validate.Subject {
	t.Helper()
	doc, faults, err := jdf.Read("large", strings.NewReader(text), jdf.Limits{})
	require.NoError(t, err)
	require.Empty(t, faults)
	return &validate.Subject{Doc: doc, Job: job.Decode(doc)}
}

// TestLargeTickets doubles tickets of many siblings and looks that the time of
// the stage stays in proportion; the square would take four times as long.
func TestLargeTickets(t *testing.T) {
	if testing.Short() {
		t.Skip("takes seconds")
	}
	for name, large := range map[string]func(int) string{"JDF": largeJDF, "XJDF": largeXJDF} {
		var took [2]time.Duration
		for i, n := range []int{1500, 6000} {
			s := subject(t, large(n))
			took[i] = time.Hour
			for range 3 {
				start := time.Now()
				require.NoError(t, rules.Stage().Check(s, func(validate.Finding) {}))
				took[i] = min(took[i], time.Since(start))
			}
		}
		t.Logf("%s: %v, four times as much %v", name, took[0], took[1])
		require.Less(t, took[1], 10*took[0]+100*time.Millisecond, name)
	}
}

func BenchmarkStage(b *testing.B) {
	for name, text := range map[string]string{"JDF": largeJDF(20000), "XJDF": largeXJDF(20000)} {
		b.Run(name, func(b *testing.B) {
			s := subject(b, text)
			stage := rules.Stage()
			b.SetBytes(int64(len(text)))
			b.ReportAllocs()
			for b.Loop() {
				require.NoError(b, stage.Check(s, func(validate.Finding) {}))
			}
		})
	}
}

// BenchmarkSmall is decoding and checking tickets of a few nodes or sets one
// after the other, as a service does.
func BenchmarkSmall(b *testing.B) {
	for name, text := range map[string]string{"JDF": largeJDF(3), "XJDF": largeXJDF(3)} {
		b.Run(name, func(b *testing.B) {
			s := subject(b, text)
			stage := rules.Stage()
			b.ReportAllocs()
			for b.Loop() {
				one := &validate.Subject{Doc: s.Doc, Job: job.Decode(s.Doc)}
				require.NoError(b, stage.Check(one, func(validate.Finding) {}))
			}
		})
	}
}
