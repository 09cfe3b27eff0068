package plan

import (
	"fmt"
	"strings"

	"quoin/validate/plant"
)

// advice is what a planner looks at before the plan is released.
func advice(pl *Plan, p *plant.Plant) []string {
	var notes []string
	var against []string
	for _, s := range pl.Sheets {
		if s.Fold != "" && againstGrain(pl, s) {
			against = append(against, s.Name)
		}
	}
	if len(against) > 0 {
		notes = append(notes, "the spine, or the first fold, runs against the grain of the paper on "+sheetNames(against)+
			"; see whether to crease, or to buy the stock in the other grain")
	}
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
func againstGrain(pl *Plan, s *Sheet) bool {
	var grainUp bool // along the height of the bought sheet
	b := s.Stock.Size
	switch strings.ToLower(s.Stock.Grain) {
	case "long":
		grainUp = b.Height >= b.Width
	case "short":
		grainUp = b.Height < b.Width
	default:
		return false
	}
	// The press sheet lies as it was cut from the bought one, or turned.
	across, down := b.Width/plant.Length(s.Stock.Across), b.Height/plant.Length(s.Stock.Down)
	if s.Size.Width != across || s.Size.Height != down {
		grainUp = !grainUp
	}
	foldUp := !s.Turned
	if pl.Kind == Stitched && s.FoldGrid[0]%2 == 1 {
		foldUp = !foldUp
	}
	return grainUp != foldUp
}
