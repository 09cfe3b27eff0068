package jdf_test

import (
	"fmt"
	"strings"

	"quoin/jdf"
)

func ExampleRead() {
	ticket := `<XJDF xmlns="http://www.CIP4.org/JDFSchema_2_0" JobID="4711" Version="2.1">
  <ProductList>
    <Product Amount="500" DescriptiveName="Müller & Söhne"/>
  </ProductList>
</XJDF>`
	doc, faults, err := jdf.Read("job.xjdf", strings.NewReader(ticket), jdf.Limits{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, f := range faults {
		pos := f.Place.Pos()
		fmt.Printf("%s:%d:%d: %s: got %s, want %s\n", f.Place.File(), pos.Line, pos.Column, f.Code, f.Got, f.Want)
	}
	amount := doc.Root().Find("ProductList", "Product").Attr("Amount")
	fmt.Println(doc.Kind, doc.Version, amount.Place().Path(), amount.Value())
	// Output:
	// job.xjdf:3:51: reference: got &, want &amp;
	// XJDF 2.1 /XJDF/ProductList/Product/@Amount 500
}
