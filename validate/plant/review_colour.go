package plant

import (
	"slices"

	"quoin/validate"
)

// colour looks for aims that fit no stock or press of the plant, and for stocks
// without aims.
func (r *review) colour() {
	c := r.plant.Colour
	if c == nil {
		return
	}
	for _, z := range c.Zones {
		if !slices.ContainsFunc(r.plant.Presses, func(p *Press) bool { return p.ID == z.Press }) {
			r.add(zonesNowhere, c.At("ink zones"), validate.F("id", z.Press))
		}
	}
	told := map[string]bool{}
	for _, s := range r.plant.Stocks {
		if c.On(s.Coating) == nil && !told[s.Coating] {
			told[s.Coating] = true
			r.add(noAims, s.At("coating"), validate.F("id", s.ID), validate.F("coating", s.Coating))
		}
	}
	if c.MidtoneSpread > 0 && c.Midtones == (Range{}) {
		r.add(noMidtones, c.At("midtone spread"))
	}
}

var (
	zonesNowhere = reviewRule("ink-zones-of-no-press",
		"ink zones are stated for {id|q}, which is no press of the plant",
		"write the id of the press, or take the entry out",
		"What is measured on a press is put into zones by the width that is stated for it.")
	noAims = reviewRule("no-colour-aims",
		"stock {id|q}: no colour aims are stated for the coating {coating|q}",
		"add the coating to the aims that hold for it, or add aims",
		"What is measured on such a stock is not judged.")
	noMidtones = reviewRule("no-midtones",
		"a midtone spread is stated, and not which tints are midtones",
		"add a line such as \"midtones: 40 - 50 %\"",
		"The spread is the distance between the increases of the three colours at one tint.")
)

func colourReviewRules() []*validate.Rule {
	return []*validate.Rule{zonesNowhere, noAims, noMidtones}
}
