package plan_test

import (
	"fmt"
	"log"

	"quoin/convert/plan"
	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/validate/plant"
)

// Plan the leaflet of the demo plant.
func ExampleMake() {
	works, _, err := plant.LoadFile("../../testdata/plant/saltmarsh.yaml")
	if err != nil {
		log.Fatal(err)
	}
	doc, _, err := jdf.ReadFile("testdata/leaflet.xjdf", jdf.Limits{})
	if err != nil {
		log.Fatal(err)
	}
	pl, findings := plan.Make(job.Decode(doc), works, plan.Options{})
	for _, f := range findings {
		fmt.Println(f.Rule.ID, f.Message())
	}
	s := pl.Sheets[0]
	fmt.Printf("%d sheets of %s, %d-up, %s on %s\n", s.Gross, s.Size, s.Ups(), s.Style, s.Press)
	fmt.Println(pl.Totals.Cost, pl.Currency)
	// Output:
	// 1753 sheets of 700 x 500 mm, 8-up, WorkAndTurn on offset-b2
	// 240.74 EUR
}
