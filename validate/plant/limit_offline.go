package plant

import (
	"fmt"
	"strings"

	"quoin/jdf/job"
	"quoin/validate"
)

// dieCutterLimits are the limits of die cutting.
func dieCutterLimits() []limit[*DieCutter] {
	return append(
		sheetLimits(func(d *DieCutter) (Size, Size, Range) { return d.MinSheet, d.MaxSheet, d.Grammage }),
		most(tooThick, "caliper", "stock", gauge, caliperOf,
			func(d *DieCutter, _ *work) float64 { return d.Caliper.Max }).of(stockKnob),
		least(tooThin, "caliper", "stock", gauge, caliperOf,
			func(d *DieCutter, _ *work) float64 { return d.Caliper.Min }).of(stockKnob),
	)
}

// sheetLimits are those of all machines that take sheets: format and grammage.
func sheetLimits[D device](of func(D) (least, most Size, grammage Range)) []limit[D] {
	return []limit[D]{
		format(sheetTooLarge, "max sheet", "sheet", "takes at most", sheetOf,
			func(d D) Size { _, most, _ := of(d); return most }, tooLarge).of(sheetKnob),
		format(sheetTooSmall, "min sheet", "sheet", "takes at least", sheetOf,
			func(d D) Size { least, _, _ := of(d); return least }, tooSmall).of(sheetKnob),
		most(tooHeavy, "grammage", "stock", grams, grammageOf,
			func(d D, _ *work) float64 { _, _, g := of(d); return g.Max }).of(stockKnob),
		least(tooLight, "grammage", "stock", grams, grammageOf,
			func(d D, _ *work) float64 { _, _, g := of(d); return g.Min }).of(stockKnob),
	}
}

// laminatorLimits are the limits of laying film.
func laminatorLimits() []limit[*Laminator] {
	return []limit[*Laminator]{
		{rule: filmWidth, key: "max width", test: filmWidthMiss, knob: sheetKnob},
		most(tooHeavy, "grammage", "stock", grams, grammageOf,
			func(l *Laminator, _ *work) float64 { return l.Grammage.Max }).of(stockKnob),
		least(tooLight, "grammage", "stock", grams, grammageOf,
			func(l *Laminator, _ *work) float64 { return l.Grammage.Min }).of(stockKnob),
		{rule: noFilm, key: "films", test: filmMiss, knob: filmKnob},
		{rule: twoFilmRuns, key: "both sides", test: filmSidesMiss},
	}
}

// filmWidthMiss holds either side of the sheet against the width of the film.
func filmWidthMiss(l *Laminator, w *work) *miss {
	if !w.sheet.Given {
		return nil
	}
	s := w.sheet.Value
	fits := func(across Length) bool { return across <= l.MaxWidth+Slack && across >= l.MinWidth-Slack }
	if fits(s.Width) || fits(s.Height) {
		return nil
	}
	narrow := min(s.Width, s.Height)
	goal, gap := l.MaxWidth, narrow-l.MaxWidth
	if narrow < l.MinWidth {
		// The narrow side is too narrow, and the long one too wide or too narrow too.
		goal, gap = l.MinWidth, l.MinWidth-narrow
	}
	fixed := s
	if s.Width <= s.Height {
		fixed.Width = goal
	} else {
		fixed.Height = goal
	}
	return &miss{
		at: w.sheet.Place, what: w.subject("sheet"), value: s.shown(),
		limit: fmt.Sprintf("takes %s to %s across", l.MinWidth, l.MaxWidth),
		gap:   gap.shown().String(), over: float64(gap), size: fixed,
	}
}

func filmMiss(l *Laminator, w *work) *miss {
	kind := FilmKind(w.film.Value)
	if !w.film.Given || kind == "" {
		return nil
	}
	for _, have := range l.Films {
		if have == kind {
			return nil
		}
	}
	return &miss{
		at: w.film.Place, what: w.subject("film"), value: w.film.Value,
		limit: "lays " + strings.Join(l.Films, " and ") + " only", words: l.Films,
	}
}

// FilmKind is the film of a texture, in the words of the plant file, or "" for
// one that names no kind of film.
func FilmKind(texture string) string {
	t := strings.ToLower(texture)
	switch {
	case strings.Contains(t, "soft") || strings.Contains(t, "velvet"):
		return "soft touch"
	case strings.Contains(t, "gloss"):
		return "gloss"
	case strings.Contains(t, "matt"):
		return "matt"
	}
	return ""
}

func filmSidesMiss(l *Laminator, w *work) *miss {
	if !w.filmSides.Given || w.filmSides.Value != "Both" || l.BothSides {
		return nil
	}
	return &miss{
		at: w.filmSides.Place, what: w.subject("film"), value: "on both sides", limit: "lays one side in a run",
	}
}

// varnisher is what lays a coating: a press with a coater, or a machine beside it.
type varnisher struct {
	*Machine
	least, most      Size
	grammage         Range
	coatings, dryers []string
}

// varnishers are the machines that can lay a coating by a method of the
// standard; "" leaves it open.
func (p *Plant) varnishers(method string) []varnisher {
	var all []varnisher
	for _, m := range p.pressesOf(Offset) {
		all = append(all, varnisher{&m.Machine, m.MinSheet, m.MaxSheet, m.Grammage, m.Coatings, m.Dryers})
	}
	if method != "" && method != "Independent" {
		return all // by plate or blanket of a press
	}
	for _, m := range p.Coaters {
		all = append(all, m.varnisher())
	}
	return all
}

func (m *Coater) varnisher() varnisher {
	return varnisher{&m.Machine, m.MinSheet, m.MaxSheet, m.Grammage, m.Coatings, m.Dryers}
}

// varnishLimits are those of a coating that is a step of its own.
func varnishLimits() []limit[varnisher] {
	return append([]limit[varnisher]{
		{rule: noCoater, key: "coatings", knob: coatingKnob,
			test: func(v varnisher, w *work) *miss { return coaterMiss(v.coatings, w) }},
		{rule: noDryer, key: "dryers", knob: coatingKnob,
			test: func(v varnisher, w *work) *miss { return dryerMiss(v.coatings, v.dryers, w) }},
	}, sheetLimits(func(v varnisher) (Size, Size, Range) { return v.least, v.most, v.grammage })...)
}

// laidBeside are the kinds of coating that a machine beside the presses lays on
// the stock of a piece of work.
func (c *checker) laidBeside(w *work) []string {
	var kinds []string
	for _, m := range c.plant.Coaters {
		if w.grammage.Given && !m.Grammage.Contains(w.grammage.Value) {
			continue
		}
		kinds = append(kinds, m.Coatings...)
	}
	return kinds
}

// coverOf is the grammage of the cover of a book, where it is a part of its own.
func coverOf(p *job.Product) job.Fact[float64] {
	for _, part := range p.Parts {
		if isCover(part) {
			return part.Media.Weight
		}
	}
	return job.Fact[float64]{}
}

// creepOf is how far the innermost sheet of a stitched book is pushed out: the
// sheets inside the outermost, times the factor of the plant.
//
// Source: trade formula, (pages / 4 - 1) x caliper x factor; for a book of several
// stocks, half of the closed book less its outermost sheet. Common practice, no source.
func (c *checker) creepOf(p *job.Product, b bulk) job.Fact[float64] {
	outer := p
	if len(p.Parts) > 0 {
		outer = p.Parts[0]
		for _, part := range p.Parts {
			if isCover(part) {
				outer = part
			}
		}
	}
	caliper, known := c.plant.caliper(outer.Media.Stock)
	if !known || !b.thickness.Given {
		return job.Fact[float64]{}
	}
	creep := max(b.thickness.Value/2-caliper, 0) * c.plant.CreepFactor.InexactFloat64()
	return job.Of(creep, b.thickness.Place)
}

// Rules of the steps beside printing and binding.
var (
	filmWidth = limitRule("film-width", validate.Error,
		"{what} is {value}, and neither side suits the film: {limits}",
		"change the sheet by {gap}{instead}",
		"A sheet runs through the rollers of a laminator with one side across the film."+commonPractice)
	noFilm = limitRule("no-film", validate.Error,
		"{what} is {value}: {limits}",
		"ask for another film{instead}",
		"A laminator is set up for some kinds of film."+commonPractice)
	twoFilmRuns = limitRule("two-film-runs", validate.Note,
		"{what} is {value}: {limits}",
		"plan a second run, with its own setup{instead}",
		"A laminator for one side lays the second film in a further run."+commonPractice)
	stitchCreep = limitRule("stitch-creep", validate.Warning,
		"{what} is {value}, so that the outer margins of the inner pages grow too narrow: {limits}",
		"save {gap} with fewer pages or a thinner stock, or have it glued{instead}",
		"Each sheet of a stitched book is pushed out by the sheets inside it, and the trimmer cuts all at one line."+
			commonPractice)
	coverWeight = limitRule("cover-weight", validate.Error,
		"{what} is {value}: {limits}",
		"change the cover by {gap}{instead}",
		"The cover feeder of a binder scores and lays covers of some weights."+commonPractice)
	inkLimit = limitRule("ink-limit", validate.Warning,
		"{what} is {value}, more than dries: {limits}",
		"take {gap} out in the separation, or coat the sheet{instead}",
		"Coverage counts all colours of a side together, up to 100 % for each. Over the limit, ink sets off "+
			"on the sheet above in the pile."+commonPractice)
)
