package cost

import (
	"cmp"
	"slices"
	"time"

	"github.com/shopspring/decimal"

	"quoin/convert/plan"
)

// Supply is material that a plan reckons with.
type Supply struct {
	Job  string `json:"job"`
	Part string `json:"part"` // of the Task that uses it; "" for the whole job
	// Kind is paper, plates, ink, coating, clicks, wire or glue, in the words of plans.
	Kind     string          `json:"kind"`
	Name     string          `json:"name"` // of the stock or the ink
	Quantity decimal.Decimal `json:"quantity"`
	Unit     string          `json:"unit"`
	Kilos    decimal.Decimal `json:"kilos"`          // weight of paper and ink, 0 where unknown
	Cost     decimal.Decimal `json:"cost"`           // of the whole quantity
	Stamp    time.Time       `json:"stamp,omitzero"` // when the plan was made
	Source   Source          `json:"source"`
}

// Key is the hash of all that is said, without the place: 32 hexadecimal digits.
func (s *Supply) Key() string {
	h := newHash("supply")
	h.text(s.Job, s.Part, s.Kind, s.Name, s.Quantity.String(), s.Unit, s.Kilos.String(), s.Cost.String())
	h.time(s.Stamp)
	return h.sum()
}

// SuppliesOfPlan lists the materials of a plan. What a sheet needs belongs to the
// task that prints it, the rest to the whole job. File and stamp are as in OfPlan.
func SuppliesOfPlan(p *plan.Plan, file string, stamp time.Time) []Supply {
	prints := map[string]string{}
	for i, op := range p.Operations {
		if op.Step == plan.StepPrint {
			prints[op.Sheet] = partOfPlan(i, op)
		}
	}
	var all []Supply
	for _, m := range p.Materials {
		all = append(all, Supply{
			Job: p.JobID, Part: prints[m.Sheet], Kind: string(m.Kind), Name: m.Name, Quantity: m.Quantity, Unit: m.Unit,
			Kilos: m.Kilos, Cost: m.Cost, Stamp: stamp, Source: Source{File: file, Line: 1, Column: 1},
		})
	}
	return all
}

// MergeSupplies keeps those of the latest plan of each job, in a fixed order.
func MergeSupplies(all []Supply) []Supply {
	latest := map[string]time.Time{}
	for _, s := range all {
		if s.Stamp.After(latest[s.Job]) {
			latest[s.Job] = s.Stamp
		}
	}
	kept := slices.DeleteFunc(slices.Clone(all), func(s Supply) bool { return !s.Stamp.Equal(latest[s.Job]) })
	slices.SortFunc(kept, func(a, b Supply) int {
		return cmp.Or(cmp.Compare(a.Job, b.Job), cmp.Compare(a.Part, b.Part), cmp.Compare(a.Kind, b.Kind),
			cmp.Compare(a.Name, b.Name), cmp.Compare(a.Key(), b.Key()))
	})
	return slices.CompactFunc(kept, func(a, b Supply) bool { return a.Key() == b.Key() })
}
