package structure_test

import (
	"fmt"
	"strings"

	"quoin/jdf"
	"quoin/validate"
	"quoin/validate/structure"
)

func Example() {
	const ticket = `<XJDF xmlns="http://www.CIP4.org/JDFSchema_2_0" JobID="SPW-4711" Types="Folding">
  <ResourceSet Name="FoldingParams" Usage="Input">
    <Resource><FoldingParams FoldCatalog="8-7"/></Resource>
  </ResourceSet>
</XJDF>`
	doc, _, err := jdf.Read("fold.xjdf", strings.NewReader(ticket), jdf.Limits{})
	if err != nil {
		panic(err)
	}
	structure.Check(doc, structure.Options{}, func(f validate.Finding) {
		pos := f.Place.Pos()
		fmt.Printf("%s:%d:%d: %s %s: %s\n", f.Place.File(), pos.Line, pos.Column, f.Severity, f.Rule.ID, f.Message())
	})
	// Output:
	// fold.xjdf:3:43: error schema/pattern: FoldingParams/@FoldCatalog is "8-7"; want a fold of the catalogue such as F8-7
}
