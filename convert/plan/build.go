package plan

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/shopspring/decimal"

	"quoin/validate/plant"
)

// plan writes the best way out, with those that came next.
func (s *search) plan(ranked []way, alternatives int) *Plan {
	best := ranked[0]
	pl := &Plan{
		JobID: s.job.ID.Value, Name: s.job.Name.Or(label(s.root)), Plant: s.plant.Name,
		Currency: s.plant.Currency, Places: s.plant.Places,
		Kind: s.kind, Quantity: s.quantity, Finished: Format(s.page), Pages: s.pages(),
		Materials: best.mats,
		Tried:     s.costed, Rejected: s.rejections(), Alternatives: []Alternative{},
	}
	for _, f := range best.forms {
		pl.Sheets = append(pl.Sheets, f.finished(s.plant))
	}
	number(pl, best)
	pl.Spine = best.spine
	if len(s.items) > 1 {
		s.products(pl, best)
	}
	pl.Deliveries = s.deliveries(pl)
	pl.Totals = totals(pl)
	for _, w := range ranked[1:min(len(ranked), alternatives+1)] {
		pl.Alternatives = append(pl.Alternatives, Alternative{
			Title: w.title, Cost: w.cost, More: w.cost.Sub(best.cost), Why: whyLost(w, best),
		})
	}
	pl.Notes = append(slices.Clone(s.notes), advice(pl, s.plant)...)
	return pl
}

func (s *search) pages() int {
	n := 0
	for _, p := range s.parts {
		n += p.pages
	}
	return max(n, s.root.Pages.Value)
}

// finished is the sheet of a form with the places of its pieces; its cutting gets
// its program, and its printing the presets of the ink zones. All are written out for the best way alone.
func (f form) finished(p *plant.Plant) *Sheet {
	f.sheet.Positions = f.grid.boxes(f.lay.sheet, f.printing.style)
	if f.leaves > 0 || f.part.numbered && !f.grid.shared() {
		f.sheet.Stack = f.sheets()
	}
	for _, o := range f.ops {
		if o.Step == StepPrint {
			step := *o.Print
			step.ZoneWidth, step.Zones = f.inkZones(p)
			o.Print = &step
		}
		if o.Step == StepCut {
			step := *o.Cut
			step.Program = f.cutting.program()
			o.Cut = &step
		}
	}
	return f.sheet
}

// number puts the operations into the order of work, step by step, plate output
// first.
func number(pl *Plan, best way) {
	for _, sh := range pl.Sheets {
		if sh.Plates > 0 {
			pl.Operations = append(pl.Operations, &Operation{
				Step: StepPlates, Sheet: sh.Name, InUnit: "plates", OutUnit: "plates", In: sh.Plates, Out: sh.Plates,
			})
		}
	}
	for _, step := range order {
		for _, o := range best.ops {
			if o.Step == step {
				pl.Operations = append(pl.Operations, o)
			}
		}
	}
}

// named gives a form its sheet name, in all its lines.
func named(f form, n int) form {
	f.sheet.Name = "S" + strconv.Itoa(n)
	for _, o := range f.ops {
		o.Sheet = f.sheet.Name
	}
	for _, m := range f.mats {
		m.Sheet = f.sheet.Name
	}
	return f
}

// heading is what lines are compared by when a way has lost.
type heading struct {
	name string
	cost decimal.Decimal
}

func headings(w way) []heading {
	all := []heading{{name: "paper"}, {name: "plates"}, {name: "ink"}, {name: "press time"}, {name: "cutting"},
		{name: "folding"}, {name: "binding"}, {name: "surface finishing"}, {name: "die cutting"}, {name: "hand work"}}
	add := func(i int, v decimal.Decimal) { all[i].cost = all[i].cost.Add(v) }
	for _, m := range w.mats {
		switch m.Kind {
		case Paper:
			add(0, m.Cost)
		case Plates:
			add(1, m.Cost)
		case Wire, Glue:
			add(6, m.Cost)
		case Film:
			add(7, m.Cost)
		case Die:
			add(8, m.Cost)
		default:
			add(2, m.Cost)
		}
	}
	for _, o := range w.ops {
		switch o.Step {
		case StepPrint:
			add(3, o.Cost)
		case StepFold:
			add(5, o.Cost)
		case StepStitch, StepBind:
			add(6, o.Cost)
		case StepVarnish, StepLaminate:
			add(7, o.Cost)
		case StepDieCut:
			add(8, o.Cost)
		case StepHand:
			add(9, o.Cost)
		default:
			add(4, o.Cost)
		}
	}
	return all
}

// whyLost names the headings that made a way dearer, and what it saved.
func whyLost(w, best way) string {
	mine, theirs := headings(w), headings(best)
	var more, less []heading
	for i := range mine {
		switch d := mine[i].cost.Sub(theirs[i].cost); d.Sign() {
		case 1:
			more = append(more, heading{mine[i].name, d})
		case -1:
			less = append(less, heading{mine[i].name, d.Neg()})
		}
	}
	if len(more) == 0 {
		return "costs the same; the other was tried first"
	}
	text := phrase(more, w.places) + " more"
	if len(less) > 0 {
		text += ", though " + phrase(less, w.places) + " less"
	}
	return text
}

func phrase(list []heading, places int32) string {
	slices.SortStableFunc(list, func(a, b heading) int { return b.cost.Cmp(a.cost) })
	var parts []string
	for _, h := range list[:min(3, len(list))] {
		parts = append(parts, fmt.Sprintf("%s %s", h.name, h.cost.StringFixed(places)))
	}
	return strings.Join(parts, ", ")
}
