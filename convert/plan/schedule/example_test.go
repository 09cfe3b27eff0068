package schedule_test

import (
	"context"
	"fmt"
	"log"
	"time"

	"quoin/convert/plan"
	"quoin/convert/plan/schedule"
	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/validate/plant"
)

// Plan a leaflet and lay it on the machines of the demo plant.
func ExampleMake() {
	works, _, err := plant.LoadFile("../../../testdata/plant/saltmarsh.yaml")
	if err != nil {
		log.Fatal(err)
	}
	doc, _, err := jdf.ReadFile("../testdata/leaflet.xjdf", jdf.Limits{})
	if err != nil {
		log.Fatal(err)
	}
	j := job.Decode(doc)
	pl, _ := plan.Make(j, works, plan.Options{})
	s, findings, err := schedule.Make(context.Background(), []schedule.Work{schedule.WorkOf(pl, j)}, works,
		schedule.Options{Now: time.Date(2026, 11, 23, 7, 0, 0, 0, time.UTC)})
	if err != nil {
		log.Fatal(err)
	}
	for _, o := range s.Jobs[0].Operations {
		fmt.Println(o.Step, o.Sheet, "on", o.Machine)
	}
	fmt.Println("late:", len(findings), "shortest proven:", s.Totals.Makespan.Gap == 0)
	// Output:
	// print S1 on offset-b2
	// cut S1 on guillotine-1
	// late: 0 shortest proven: true
}
