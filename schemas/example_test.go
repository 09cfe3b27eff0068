package schemas_test

import (
	"fmt"

	"quoin/schemas"
)

func Example() {
	media := schemas.XJDF().Element("Media").Type()
	weight := media.Attribute("Weight")
	fmt.Println(weight.Type.Check("90 g").Kind == schemas.FaultType)

	resource := schemas.XJDF().Element("Resource").Type().Model()
	symbol, child := resource.Child("Media")
	_, ok := resource.Next(0, symbol)
	fmt.Println(child.Name(), "may stand first:", ok)

	fmt.Println(schemas.JDF().Type("Cutting").Model().Bound(0).Max == schemas.Unbounded)
	// Output:
	// true
	// Media may stand first: true
	// true
}
