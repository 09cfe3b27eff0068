package convert

import (
	"fmt"
	"io"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
)

// bigTicket writes a print run of many sheets, each with its plates.
func bigTicket(size int) string {
	var b strings.Builder
	b.WriteString(`<JDF xmlns="http://www.CIP4.org/JDFSchema_1_1" ID="n1" Type="ConventionalPrinting" ` +
		`Status="Waiting" JobID="SPW-9" JobPartID="P1" Version="1.9"><ResourcePool>` +
		`<Media Class="Consumable" ID="M1" Status="Available" MediaType="Plate" Dimension="2200 1700"/>` +
		`<ConventionalPrintingParams Class="Parameter" ID="P1" Status="Available" WorkStyle="WorkAndBack"/>` +
		`<Component Class="Quantity" ComponentType="Sheet" ID="C1" Status="Unavailable" PartIDKeys="SheetName">`)
	sheets := 0
	for ; b.Len() < size/5; sheets++ {
		fmt.Fprintf(&b, `<Component SheetName="S%d" Dimensions="2000 1400 0" DescriptiveName="sheet %d"/>`, sheets, sheets)
	}
	b.WriteString(`</Component><ExposedMedia Class="Handling" ID="X1" Status="Available" ` +
		`PartIDKeys="SheetName Side Separation"><MediaRef rRef="M1"/>`)
	for s := 0; b.Len() < size; s++ {
		fmt.Fprintf(&b, `<ExposedMedia SheetName="S%d">`, s)
		for _, side := range []string{"Front", "Back"} {
			fmt.Fprintf(&b, `<ExposedMedia Side=%q>`, side)
			for _, sep := range []string{"Cyan", "Magenta", "Yellow", "Black"} {
				fmt.Fprintf(&b, `<ExposedMedia Separation=%q ProductID="plate-%d-%s-%s" Resolution="2400 2400"/>`,
					sep, s, side, sep)
			}
			b.WriteString(`</ExposedMedia>`)
		}
		b.WriteString(`</ExposedMedia>`)
	}
	b.WriteString(`</ExposedMedia></ResourcePool><ResourceLinkPool>` +
		`<ConventionalPrintingParamsLink rRef="P1" Usage="Input"/>` +
		`<ExposedMediaLink rRef="X1" Usage="Input" ProcessUsage="Plate"/>` +
		`<ComponentLink rRef="C1" Usage="Output"><AmountPool>`)
	for s := range min(sheets, 2000) {
		fmt.Fprintf(&b, `<PartAmount Amount="1500"><Part SheetName="S%d"/></PartAmount>`, s)
	}
	b.WriteString(`</AmountPool></ComponentLink></ResourceLinkPool></JDF>`)
	return b.String()
}

func BenchmarkConvert(b *testing.B) {
	text := bigTicket(15 << 20)
	up := read(b, "big.jdf", text)
	r, err := To([]*jdf.Document{up}, jdf.KindXJDF, Options{Clock: noon})
	require.NoError(b, err)
	down := reread(b, r.Outputs)[0]
	for _, c := range []struct {
		name   string
		doc    *jdf.Document
		target jdf.Kind
	}{
		{"JDF to XJDF", up, jdf.KindXJDF}, {"XJDF to JDF", down, jdf.KindJDF}, {"JDF 1.9 to 1.3", up, jdf.KindJDF},
	} {
		b.Run(c.name, func(b *testing.B) {
			b.SetBytes(int64(len(c.doc.Source.Text)))
			b.ReportAllocs()
			opt := Options{Clock: noon}
			if c.target == c.doc.Kind {
				opt.Version = jdf.Version{Major: 1, Minor: 3}
			}
			var r *Result
			for b.Loop() {
				r, err = To([]*jdf.Document{c.doc}, c.target, opt)
				require.NoError(b, err)
				for _, o := range r.Outputs {
					_, err := o.WriteTo(io.Discard)
					require.NoError(b, err)
				}
			}
			runtime.GC()
			var m runtime.MemStats
			runtime.ReadMemStats(&m)
			b.ReportMetric(float64(m.HeapAlloc)/float64(len(c.doc.Source.Text)), "heap/file")
			runtime.KeepAlive(r)
		})
	}
}

// A ticket ten times as large takes about ten times the work, and comes back the
// same.
func TestBigTicketComesBack(t *testing.T) {
	doc := read(t, "big.jdf", bigTicket(300<<10))
	_, _, docs := thereAndBack(t, doc)
	require.Empty(t, structureErrors(docs[0]))
	require.Empty(t, differences(says(t, doc), says(t, docs...)))
}
