package plant_test

import (
	"fmt"
	"log"
	"strings"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/validate"
	"quoin/validate/plant"
)

func Example() {
	p, mistakes, err := plant.LoadFile("../../testdata/plant/saltmarsh.yaml")
	if err != nil || len(mistakes) > 0 {
		log.Fatal(err, mistakes)
	}
	ticket := `<XJDF xmlns="http://www.CIP4.org/JDFSchema_2_0" JobID="J1" Types="Folding">
<ResourceSet Name="FoldingParams" Usage="Input">
<Resource><FoldingParams FoldCatalog="F32-2"/></Resource>
</ResourceSet>
</XJDF>`
	doc, _, err := jdf.Read("job.xjdf", strings.NewReader(ticket), jdf.Limits{})
	if err != nil {
		log.Fatal(err)
	}
	plant.Check(job.Decode(doc), p, func(f validate.Finding) {
		at := f.Place.Pos()
		fmt.Printf("%s:%d:%d: %s %s: %s\n", f.Place.File(), at.Line, at.Column, f.Severity, f.Rule.ID, f.Message())
	})
	// Output:
	// job.xjdf:3:39: error plant/fold-unknown: fold is F32-2: folder-1 is equipped for F16-6, F4-1, F6-2, F8-2, F8-7
}
