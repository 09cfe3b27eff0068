package floor

import (
	"fmt"
	"math"
	"strings"
	"time"

	"github.com/shopspring/decimal"

	"quoin/cmd/quoin/internal/rehearsal"
	"quoin/convert/cost"
	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/validate/plant"
)

// worksOf reads off a ticket what a machine is to do: the tasks that name it, or
// all of a ticket that names no machine.
func worksOf(doc *jdf.Document, device string, p *plant.Plant) ([]rehearsal.Work, error) {
	said, _ := cost.Read(doc)
	var own, open []cost.Task
	for _, t := range said.Tasks {
		switch t.Device {
		case device:
			own = append(own, t)
		case "":
			open = append(open, t)
		}
	}
	if len(own) == 0 {
		own = open
	}
	if len(own) == 0 {
		return nil, fmt.Errorf("the ticket has no step with a planned time for %q; send a ticket that names the device "+
			"and gives NodeInfo/@TotalDuration, such as quoin plan --out writes", device)
	}
	j := job.Decode(doc)
	var all []rehearsal.Work
	for _, t := range own {
		all = append(all, workOf(t, j, device, p))
	}
	return all, nil
}

func workOf(t cost.Task, j *job.Job, device string, p *plant.Plant) rehearsal.Work {
	w := rehearsal.Work{
		Job: t.Job, Part: t.Part, Device: device, Centre: t.CostCentre, Kind: kindOf(p, device),
		Makeready: time.Duration(t.Makeready), Run: time.Duration(t.Run), WashUp: time.Duration(t.WashUp),
		In: whole(t.In), Out: whole(t.Good), PerIn: 1, Coating: coating(t.Class.Stock),
		Grammage: t.Class.Grammage.InexactFloat64(),
	}
	if w.In == 0 {
		w.In = w.Out
	}
	if ratio := float64(whole(t.Good.Add(t.Waste))) / float64(max(1, w.In)); ratio > 1 && w.Kind == rehearsal.Guillotine {
		w.PerIn = int(math.Round(ratio))
	}
	// A ticket gives one amount of waste; what of it is the makeready's follows
	// from the plant's running waste.
	waste := whole(t.Waste) / w.PerIn
	w.RunWaste = min(waste, int(math.Ceil(float64(w.Out/w.PerIn)*running(p, device, w.Out))))
	w.SetupWaste = waste - w.RunWaste
	for _, op := range j.Operations {
		if op.PartID.Value != t.Part {
			continue
		}
		if len(op.Front.Value)+len(op.Back.Value) > 0 {
			w.Front, w.Back = op.Front.Value, op.Back.Value
			w.Plates = len(w.Front) + len(w.Back)
		}
		for _, u := range op.Inputs {
			w.Sheet = first(w.Sheet, u.Part.Get("SheetName"))
		}
	}
	w.Paper = w.Kind == rehearsal.Press || w.Kind == rehearsal.Digital
	if w.Kind != rehearsal.Press {
		w.Plates = 0
	}
	return w
}

func first(a, b string) string {
	if a == "" {
		return b
	}
	return a
}

func whole(d decimal.Decimal) int { return int(d.IntPart()) }

// coating is the plant's word for the standard's.
func coating(stock string) string {
	switch {
	case strings.Contains(stock, "gloss"):
		return "gloss"
	case stock == "satin", stock == "silk":
		return "silk"
	case strings.HasPrefix(stock, "matt"):
		return "matt"
	}
	return "none"
}

func kindOf(p *plant.Plant, device string) rehearsal.Kind {
	for _, m := range p.Presses {
		if m.ID == device && m.Kind == plant.Digital {
			return rehearsal.Digital
		}
		if m.ID == device {
			return rehearsal.Press
		}
	}
	for _, m := range p.Guillotines {
		if m.ID == device {
			return rehearsal.Guillotine
		}
	}
	for _, m := range p.Folders {
		if m.ID == device {
			return rehearsal.Folder
		}
	}
	for _, m := range p.Stitchers {
		if m.ID == device {
			return rehearsal.Stitcher
		}
	}
	for _, m := range p.Binders {
		if m.ID == device {
			return rehearsal.Binder
		}
	}
	return rehearsal.Other
}

// running is the running waste of a machine for a quantity, as a share.
func running(p *plant.Plant, device string, out int) float64 {
	quantity := decimal.NewFromInt(int64(out))
	for _, m := range p.Presses {
		if m.ID == device {
			for _, s := range m.Setup.Running {
				if s.UpTo.IsZero() || quantity.LessThanOrEqual(s.UpTo) {
					return s.Value.InexactFloat64() / 100
				}
			}
		}
	}
	const elsewhere = 0.012 // of machines after the press
	return elsewhere
}
