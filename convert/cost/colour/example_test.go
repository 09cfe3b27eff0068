package colour_test

import (
	"fmt"
	"strings"

	"quoin/convert/cost/colour"
	"quoin/jdf"
	"quoin/validate/plant"
)

// A sheet is measured, and held against the aims of the demo plant.
func Example() {
	const ticket = `<XJDF xmlns="http://www.CIP4.org/JDFSchema_2_0" JobID="J7" JobPartID="print">
  <ResourceSet Name="QualityControlResult"><Resource><QualityControlResult Sample="500 500" SourceDeviceID="offset-b2">
    <ColorMeasurement><ColorControlStrip>
      <Patch PatchUsage="Color" Lab="49.5 -33 -52"><SeparationTint Name="Cyan" Tint="1"/></Patch>
    </ColorControlStrip></ColorMeasurement>
  </QualityControlResult></Resource></ResourceSet></XJDF>`
	doc, _, err := jdf.Read("returned.xjdf", strings.NewReader(ticket), jdf.Limits{})
	if err != nil {
		fmt.Println(err)
		return
	}
	works, _, err := plant.LoadFile("../../../testdata/plant/saltmarsh.yaml")
	if err != nil {
		fmt.Println(err)
		return
	}
	measured, _ := colour.Read(doc)
	runs, findings := colour.Judge(measured, works.Colour, func(job, part string) string { return "gloss" })
	point := runs[0].Series[0].Points[0]
	fmt.Printf("dE*ab %.1f, dE00 %.1f: %s\n", *point.DE76, *point.DE00, point.Verdict)
	fmt.Println(findings[0].Rule.ID, findings[0].Rule.Mends)
	// Output:
	// dE*ab 7.1, dE00 5.7: out
	// audit/colour-out operator
}
