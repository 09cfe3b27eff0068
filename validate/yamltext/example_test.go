package yamltext_test

import (
	"fmt"

	"quoin/jdf"
	"quoin/validate/yamltext"
)

func Example() {
	file := yamltext.New(jdf.NewSource("press.yaml", "name: 'Press 1'\n"), "the press file")
	root, fault := file.Parse()
	if fault != nil {
		fmt.Println(fault.Place.Pos().Line, fault.Problem)
		return
	}
	name := root.Content[1]
	fmt.Println(file.Place(name, "name").Pos().Column, name.Value)
	fmt.Println(file.PlaceIn(name, "name", 6, 7).Pos().Column, name.Value[6:])

	_, fault = yamltext.New(jdf.NewSource("press.yaml", "name: [Press\nspeed: 1\n"), "the press file").Parse()
	fmt.Println(fault.Place.Pos().Line, fault.Kind == yamltext.Syntax)
	// Output:
	// 8 Press 1
	// 14 1
	// 1 true
}
