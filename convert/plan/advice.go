package plan

import (
	"fmt"
	"slices"
	"strings"

	"quoin/validate/plant"
)

// advice is what a planner looks at before the plan is released.
func advice(pl *Plan, p *plant.Plant) []string {
	var notes []string
	var against []string
	for _, s := range pl.Sheets {
		if (s.Fold != "" || s.Section > 0) && againstGrain(s) {
			against = append(against, s.Name)
		}
	}
	if len(against) > 0 {
		notes = append(notes, "the spine, or the first fold, runs against the grain of the paper on "+sheetNames(against)+
			"; see whether to crease, or to buy the stock in the other grain")
	}
	notes = append(notes, creases(pl, p)...)
	notes = append(notes, orders(pl, p)...)
	for _, press := range p.Presses {
		var wet []string
		for _, s := range pl.Sheets {
			if s.Press == press.ID && press.DryingTime > 0 {
				wet = append(wet, s.Name)
			}
		}
		if len(wet) > 0 {
			notes = append(notes, fmt.Sprintf("allow %s for drying after %s on %s",
				Time{press.DryingTime}.words(), sheetNames(wet), press.ID))
		}
	}
	for _, m := range p.Coaters {
		var wet []string
		for _, o := range pl.Operations {
			if o.Varnish != nil && o.Device == m.ID && m.DryingTime > 0 {
				wet = append(wet, o.Sheet)
			}
		}
		if len(wet) > 0 {
			notes = append(notes, fmt.Sprintf("allow %s for drying after %s on %s",
				Time{m.DryingTime}.words(), sheetNames(slices.Compact(wet)), m.ID))
		}
	}
	return notes
}

// creases names the folded sheets whose paper the plant wants creased first.
func creases(pl *Plan, p *plant.Plant) []string {
	var inFolder, before []string
	for _, s := range pl.Sheets {
		limit := p.Score.Along
		if againstGrain(s) {
			limit = p.Score.Across
		}
		if s.Fold == "" || limit == 0 || s.Stock.Grammage < limit {
			continue
		}
		if i := slices.IndexFunc(p.Folders, func(f *plant.Folder) bool { return f.Creaser && folds(pl, s, f.ID) }); i >= 0 {
			inFolder = append(inFolder, s.Name)
		} else {
			before = append(before, s.Name)
		}
	}
	var notes []string
	if len(inFolder) > 0 {
		notes = append(notes, "crease in the folder before the fold: "+sheetNames(inFolder))
	}
	if len(before) > 0 {
		notes = append(notes, "the plant has paper of this weight creased before it is folded, which this plan does not "+
			"hold: "+sheetNames(before))
	}
	return notes
}

func folds(pl *Plan, s *Sheet, folder string) bool {
	return slices.ContainsFunc(pl.Operations, func(o *Operation) bool {
		return o.Step == StepFold && o.Sheet == s.Name && o.Device == folder
	})
}

// orders names the stocks of which more has to be ordered than the job takes.
func orders(pl *Plan, p *plant.Plant) []string {
	var notes []string
	for _, stock := range p.Stocks {
		need := 0
		for _, s := range pl.Sheets {
			if s.Stock.ID == stock.ID {
				need += s.Bought
			}
		}
		order := max(need, stock.MinimumOrder)
		if stock.Pack > 0 {
			order = ceilDiv(order, stock.Pack) * stock.Pack
		}
		if need > 0 && order > need {
			notes = append(notes, fmt.Sprintf("order %s sheets of %s, by its packs and least order; the %s that this job does "+
				"not need are not charged to it", count(order), stock.ID, count(order-need)))
		}
	}
	return notes
}

func sheetNames(names []string) string {
	if len(names) == 1 {
		return "sheet " + names[0]
	}
	return "sheets " + strings.Join(names, ", ")
}

// againstGrain reports whether the fold that the reader opens at, along the
// height of the page, lies across the grain. Unknown grain is not reported.
func againstGrain(s *Sheet) bool {
	up, known := grainUp(s)
	scheme := plant.FoldScheme{Columns: s.FoldGrid[0], Rows: s.FoldGrid[1]}
	if s.FoldGrid == [2]int{1, 1} {
		scheme.Columns = 2 // a leaf is glued along its height
	}
	if !known {
		return false
	}
	// Of pieces that lie both ways, some lie against it.
	return slices.ContainsFunc(s.Positions, func(b Box) bool { return !scheme.AlongGrain(up, b.Turned) })
}

// grainUp reports whether the grain of a press sheet runs along its height, and
// whether that is known.
func grainUp(s *Sheet) (up, known bool) {
	b := s.Stock.Size
	switch strings.ToLower(s.Stock.Grain) {
	case "long":
		up = b.Height >= b.Width
	case "short":
		up = b.Height < b.Width
	default:
		return false, false
	}
	// The press sheet lies as it was cut from the bought one, or turned.
	across, down := b.Width/plant.Length(s.Stock.Across), b.Height/plant.Length(s.Stock.Down)
	if s.Size.Width != across || s.Size.Height != down {
		up = !up
	}
	return up, true
}
