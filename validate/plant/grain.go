package plant

import (
	"fmt"

	"quoin/jdf/job"
	"quoin/validate"
)

var (
	scoreFirst = limitRule("score-first", validate.Warning,
		"{what} is {value}, which wants a crease first: {limits}",
		"add a Creasing step, or take a lighter stock{instead}",
		"A heavy sheet breaks in the fold, against the grain sooner than with it. From which grammage on is the "+
			"plant's own experience: published advice goes from 118 to 170 g/m2.")
	againstGrain = limitRule("fold-against-grain", validate.Warning,
		"{what} runs across the grain of the sheet, which lies along its {value}",
		"lay the piece the other way on the sheet, or take a stock with the grain along the other edge",
		"A fold with the grain lies flat; across it the fibres break and the fold gapes. Published by binderies.")
)

// fillFolding adds how the fold lies to the grain, and from which grammage the
// plant creases it before.
func (c *checker) fillFolding(w *work, in input) {
	for _, op := range c.job.Operations {
		w.creased = w.creased || op.Type == "Creasing" || op.Type == "ShapeCutting"
	}
	if grain, along := c.grainOf(w, in); grain.Given {
		w.across = "across the grain"
		if along {
			w.across = "along the grain"
		} else {
			c.emit(againstGrain.At(grain.Place,
				validate.F("what", "fold "+w.fold.Value), validate.F("value", edge(grain, in.size))))
		}
	}
	// Where the grain is not known, only the grammage that no fold takes is certain.
	key := "score from / along grain"
	w.crease = c.plant.Score.Along
	if w.across == "across the grain" {
		key, w.crease = "score from / across grain", c.plant.Score.Across
	}
	w.score = c.plant.mark.At(key)
}

// grainOf is the grain of a sheet that is folded, and whether the folds run
// along it. It is given only when all folds of the scheme run one way, and for
// a whole sheet: a part of it may have been turned after it was cut.
func (c *checker) grainOf(w *work, in input) (grain job.Fact[string], along bool) {
	if !in.stock.Grain.Given || !in.size.Given || !w.fold.Given || in.part {
		return grain, false
	}
	for _, f := range c.plant.Folders {
		s, ok := f.scheme(w.fold.Value)
		if !ok || s.Columns > 1 && s.Rows > 1 || s.Folds == 0 || !grainRuns(in).Given {
			continue
		}
		// Columns part the width, so that their folds run up the height.
		return in.stock.Grain, grainRuns(in).Value == (s.Columns > 1)
	}
	return grain, false
}

// grainRuns tells whether the grain of a sheet runs up its height, not given
// when the ticket does not fix it.
func grainRuns(in input) job.Fact[bool] {
	tall := in.size.Value.Height > in.size.Value.Width
	at := in.stock.Grain.Place
	switch in.stock.Grain.Value {
	case "YDirection":
		return job.Of(true, at)
	case "XDirection":
		return job.Of(false, at)
	case "LongEdge":
		return job.Of(tall, at)
	case "ShortEdge":
		return job.Of(!tall, at)
	}
	return job.Fact[bool]{}
}

// edge names the edge that the grain lies along.
func edge(grain job.Fact[string], size job.Fact[Size]) string {
	up := grainRuns(input{size: size, stock: job.Stock{Grain: grain}}).Value
	if up {
		return "height of " + size.Value.Height.shown().String()
	}
	return "width of " + size.Value.Width.shown().String()
}

// scoreMiss asks for a crease before the fold of a heavy sheet.
func scoreMiss(f *Folder, w *work) *miss {
	if !w.grammage.Given || w.crease == 0 || w.creased || f.Creaser || w.grammage.Value < w.crease {
		return nil
	}
	if pages := codePages(w.fold.Value); w.fold.Given && pages <= 2 {
		return nil
	}
	value := grams.write(w.grammage.Value)
	if w.across != "" {
		value += " folded " + w.across
	}
	return &miss{
		at: w.grammage.Place, what: w.subject("stock"), value: value,
		limit:  fmt.Sprintf("has no creaser, and the plant creases from %s on", grams.write(w.crease)),
		stands: w.score,
	}
}
