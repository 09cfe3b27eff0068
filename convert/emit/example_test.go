package emit_test

import (
	"fmt"
	"log"
	"time"

	"quoin/convert/emit"
	"quoin/convert/plan"
	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/validate/plant"
)

// Write the tickets of a leaflet.
func ExampleTickets() {
	works, _, err := plant.LoadFile("../../testdata/plant/saltmarsh.yaml")
	if err != nil {
		log.Fatal(err)
	}
	doc, _, err := jdf.ReadFile("../plan/testdata/leaflet.xjdf", jdf.Limits{})
	if err != nil {
		log.Fatal(err)
	}
	j := job.Decode(doc)
	pl, _ := plan.Make(j, works, plan.Options{})
	clock := func() time.Time { return time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC) }
	for _, t := range emit.Tickets(pl, j, emit.Options{Clock: clock}) {
		fmt.Println(t.Name, t.Doc.Root().SelectAttrValue("Types", ""))
	}
	// Output:
	// SM-1041-01-plates-S1.xjdf ImageSetting
	// SM-1041-02-print-S1.xjdf ConventionalPrinting
	// SM-1041-03-cut-S1.xjdf Cutting
}
