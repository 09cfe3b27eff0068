package plant

import (
	"fmt"

	"quoin/jdf/job"
	"quoin/jdf/value"
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

// OpensUp reports whether the fold that the reader opens at runs up the height of
// the unfolded piece, as the spine of a section does. Columns part the width, so
// that their folds run up the height. Where folds cross, the last of them is the
// one that is opened: pages in pairs of columns have their spine between these,
// others between the rows.
func (f *FoldScheme) OpensUp() bool {
	if f.Rows <= 1 || f.Columns <= 1 {
		return f.Columns > 1
	}
	return f.Columns%2 == 0
}

// AlongGrain is the one judgement of fold and grain, for plans and for tickets:
// whether the fold that the reader opens at runs along the grain, where the grain
// runs up the height of a sheet or not, and the piece lies upright on it or on its
// side.
func (f *FoldScheme) AlongGrain(grainUp, turned bool) bool { return grainUp == (f.OpensUp() != turned) }

// grainOf is the grain of a sheet that is folded, and whether the fold that the
// reader opens at runs along it. It is given only for a whole sheet: how a part of
// it lay before it was cut is not told.
func (c *checker) grainOf(w *work, in input) (grain job.Fact[string], along bool) {
	if !in.stock.Grain.Given || !in.size.Given || !w.fold.Given || in.part {
		return grain, false
	}
	for _, f := range c.plant.Folders {
		s, ok := f.scheme(w.fold.Value)
		if !ok || s.Folds == 0 || !grainRuns(in).Given {
			continue
		}
		return in.stock.Grain, s.AlongGrain(grainRuns(in).Value, c.onItsSide(in))
	}
	return grain, false
}

// onItsSide reports whether the piece that is folded lies on its side on the sheet,
// as its position says, or else the size of the only signature of the ticket.
func (c *checker) onItsSide(in input) bool {
	for _, l := range c.layoutsOf(in) {
		for _, p := range l.Positions {
			switch p.Node.Get("Orientation") {
			case "Rotate90", "Rotate270", "Flip90", "Flip270":
				return true
			}
		}
	}
	if len(c.job.Signatures) != 1 || !c.job.Signatures[0].Node.Valid() {
		return false
	}
	size, err := value.ParseXYPair(c.job.Signatures[0].Node.Get("BinderySignatureSize"))
	sheet := in.size.Value
	if err != nil || size.X == size.Y || sheet.Width == sheet.Height {
		return false
	}
	return (size.X > size.Y) != (sheet.Width > sheet.Height)
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
