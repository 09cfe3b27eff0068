package flow

import (
	"fmt"
	"maps"
	"slices"

	"github.com/shopspring/decimal"

	"quoin/cmd/quoin/internal/works"
	"quoin/convert/emit"
	"quoin/convert/plan"
)

// Steps are the steps of a plan: an operation each, numbered by its place in the
// plan, with the JobPartID that package emit gives it. Operations without a
// machine, such as plates, are none, for nobody reports them. The operations of a
// sheet follow each other; what takes all sheets waits for the last of each. times
// are those of emit.Options, and may be nil.
func Steps(pl *plan.Plan, times map[int]emit.Span) []works.NewStep {
	var steps []works.NewStep
	last, whole := map[string]int{}, -1 // last step of each sheet, and of all together
	for i, o := range pl.Operations {
		if o.Device == "" {
			continue
		}
		n := works.NewStep{
			Number: i, Part: fmt.Sprintf("%02d-%s", i+1, o.Step), Name: string(o.Step), Process: string(o.Step),
			Device:     o.Device,
			CostCentre: o.CostCentre, Start: times[i].Start, End: times[i].End,
			Makeready: o.Makeready.Duration, Run: o.Run.Duration,
			Target: decimal.NewFromInt(int64(o.Out)), Unit: o.OutUnit,
			Waste: o.WasteOut(),
		}
		before, follows := last[o.Sheet]
		switch {
		case o.Sheet == "":
			n.Needs = slices.Sorted(maps.Values(last))
			if len(n.Needs) == 0 && whole >= 0 {
				n.Needs = []int{whole}
			}
			last, whole = map[string]int{}, i
		case follows:
			n.Needs = []int{before}
		case whole >= 0:
			n.Needs = []int{whole}
		}
		if o.Sheet != "" {
			n.Part += "-" + o.Sheet
			n.Name += " " + o.Sheet
			last[o.Sheet] = i
		}
		steps = append(steps, n)
	}
	return steps
}
