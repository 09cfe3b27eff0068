package cost

import (
	"cmp"
	"fmt"
	"strings"
	"time"

	"github.com/shopspring/decimal"

	"quoin/convert/plan"
)

// OfPlan turns a plan into the order that it fills and the tasks of its devices.
// The parts are named as in the tickets of the plan. File names the plan in
// each Source, and stamp is when it was made.
func OfPlan(p *plan.Plan, file string, stamp time.Time) (Order, []Task) {
	at := Source{File: file, Line: 1, Column: 1}
	order := Order{
		Job: p.JobID, Name: p.Name, Product: string(p.Kind), Ordered: decimal.NewFromInt(int64(p.Quantity)),
		Stamp: stamp, Source: at,
	}
	sheets := map[string]*plan.Sheet{}
	for _, s := range p.Sheets {
		sheets[s.Name] = s
	}
	var all []Task
	for i, op := range p.Operations {
		if op.Device == "" {
			continue // plate output has no machine in the plant file
		}
		all = append(all, Task{
			Job: p.JobID, Part: partOfPlan(i, op), Device: op.Device, CostCentre: op.CostCentre, Process: string(op.Step),
			Makeready: Span(op.Makeready.Duration), Run: Span(op.Run.Duration), WashUp: Span(op.WashUp.Duration),
			In: decimal.NewFromInt(int64(op.In)), Good: decimal.NewFromInt(int64(op.Out)),
			Waste: op.WasteOut(), Setup: setupOut(op), Split: true, Cost: op.Cost,
			Class: classOfPlan(p, sheets[op.Sheet]), Stamp: stamp, Source: at,
		})
	}
	return order, all
}

// setupOut is the share of the waste that the makeready takes, as its device
// counts it.
func setupOut(op *plan.Operation) decimal.Decimal {
	waste := int64(op.SetupWaste + op.RunningWaste)
	if waste == 0 {
		return decimal.Zero
	}
	return op.WasteOut().Mul(decimal.NewFromInt(int64(op.SetupWaste))).DivRound(decimal.NewFromInt(waste), 0)
}

// partOfPlan is the JobPartID of the ticket of an operation.
func partOfPlan(i int, op *plan.Operation) string {
	part := fmt.Sprintf("%02d-%s", i+1, op.Step)
	if op.Sheet != "" {
		part += "-" + op.Sheet
	}
	return part
}

// classOfPlan is the kind of work of one sheet, or, where all come together, of
// the first sheet in the format of the finished piece.
func classOfPlan(p *plan.Plan, s *plan.Sheet) Class {
	c := Class{
		Pages: p.Pages, Quantity: decimal.NewFromInt(int64(p.Quantity)),
		Width: p.Finished.Width, Height: p.Finished.Height,
	}
	if s == nil {
		if len(p.Sheets) > 0 {
			c.stock(p.Sheets[0])
		}
		return c
	}
	c.stock(s)
	c.ColoursFront, c.ColoursBack = len(s.Front), len(s.Back)
	c.Coating = cmp.Or(s.CoatFront, s.CoatBack)
	c.Width, c.Height = s.Size.Width, s.Size.Height
	return c
}

func (c *Class) stock(s *plan.Sheet) {
	c.Grammage = decimal.NewFromFloat(s.Stock.Grammage)
	c.Stock = strings.ToLower(s.Stock.Coating)
}

// Planned is the task as Report compares it: wash-up counts as makeready there.
func (t Task) Planned() Planned {
	return Planned{
		Device: t.Device, Makeready: t.Makeready.plus(t.WashUp), Run: t.Run,
		Good: t.Good, Waste: t.Waste, Cost: t.Cost,
	}
}
