package plant

import (
	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/jdf/value"
)

// work is one step that is asked of one machine: what the ticket says of it,
// each fact with its place. What the ticket does not say is not given, and no
// limit on it is broken.
type work struct {
	at   jdf.Place // of the step
	name string    // such as "ConventionalPrinting"
	of   string    // product that it is for, quoted, or ""

	sheet     job.Fact[Size]    // that goes in
	open      job.Fact[Size]    // of one piece with bleed, where no sheet is known yet
	content   job.Fact[Size]    // what is printed of the sheet
	grammage  job.Fact[float64] // g/m2
	caliper   job.Fact[float64] // micrometres
	front     job.Fact[[]string]
	back      job.Fact[[]string]
	style     job.Fact[string] // work style
	drying    job.Fact[string]
	speed     job.Fact[float64] // sheets an hour
	coatings  []job.Fact[string]
	piece     job.Fact[float64] // shortest side of a cut block, micrometres
	fold      job.Fact[string]
	pages     job.Fact[float64]
	thickness job.Fact[float64] // of the closed book or the block, micrometres
	trim      job.Fact[Size]    // width x spine
	cover     job.Fact[float64] // grammage of the cover of a book
	creep     job.Fact[float64] // of the innermost sheet, micrometres
	coverage  job.Fact[float64] // of ink, percent, the heavier side
	film      job.Fact[string]  // texture
	filmSides job.Fact[string]  // Front, Back or Both

	method  string    // of varnishing, "" when left open
	beside  []string  // kinds of coating that need not be laid in the press
	crease  float64   // g/m2 from which the fold is creased before; 0 for none
	creased bool      // the job has a step that does
	across  string    // how the fold lies to the grain, in words; "" when not known
	score   jdf.Place // of the key that states crease
}

// subject names a thing of the work in a message.
func (w *work) subject(what string) string {
	if w.of == "" {
		return what
	}
	return what + " of " + w.of
}

// says reports whether the ticket tells anything that a limit could be held against.
func (w *work) says() bool {
	return w.sheet.Given || w.open.Given || w.content.Given || w.grammage.Given || w.caliper.Given ||
		w.front.Given || w.back.Given || w.style.Given || w.drying.Given || w.speed.Given ||
		len(w.coatings) > 0 || w.piece.Given || w.fold.Given || w.pages.Given || w.thickness.Given || w.trim.Given ||
		w.cover.Given || w.film.Given || w.filmSides.Given
}

// sizeFact turns width and height of a ticket into a Size. A side of zero says
// that it is not known, as the length of a web is not.
func sizeFact(x, y float64, at jdf.Place, given bool) job.Fact[Size] {
	s := Size{FromTicket(value.Length(x)), FromTicket(value.Length(y))}
	if !given || s.Width <= 0 || s.Height <= 0 {
		return job.Fact[Size]{}
	}
	return job.Of(s, at)
}

func boxSize(f job.Fact[value.Rectangle]) job.Fact[Size] {
	return sizeFact(f.Value.Width(), f.Value.Height(), f.Place, f.Given)
}

func pairSize(f job.Fact[value.XYPair]) job.Fact[Size] {
	return sizeFact(f.Value.X, f.Value.Y, f.Place, f.Given)
}

func shapeSize(f job.Fact[value.Shape]) job.Fact[Size] {
	return sizeFact(f.Value.X, f.Value.Y, f.Place, f.Given)
}

// input is a sheet that goes into a step.
type input struct {
	sheetName string
	size      job.Fact[Size]
	stock     job.Stock
	part      bool // cut from the sheet that the stock describes, perhaps turned
}

// inputs are the different sheets that go into an operation. A press takes
// paper, later steps take components; each takes the other where its own is
// not told.
func inputs(op *job.Operation) []input {
	var papers, parts []input
	for _, u := range op.Inputs {
		if m := u.Media; m != nil && printable(m.Type) {
			papers = append(papers, input{sheetName: u.Part.Get("SheetName"), size: pairSize(m.Size), stock: m.Stock})
		}
		c := u.Component
		if c == nil {
			continue
		}
		in := input{sheetName: u.Part.Get("SheetName"), size: shapeSize(c.Size)}
		if c.Media != nil {
			in.stock = c.Media.Stock
			whole := pairSize(c.Media.Size)
			in.part = in.size.Given && whole.Given && differ(in.size.Value, whole.Value)
			in.size = job.First(in.size, whole)
		}
		parts = append(parts, in)
	}
	if isPrinting(op.Type) && len(papers) > 0 || len(parts) == 0 {
		return papers
	}
	return parts
}

// differ reports whether two sizes differ by more than Slack.
func differ(a, b Size) bool { return !excess(a, b).none() || !excess(b, a).none() }

func isPrinting(process string) bool {
	return process == "ConventionalPrinting" || process == "DigitalPrinting"
}

// printable reports whether a MediaType is a sheet that is printed, rather
// than a plate, a film or a foil.
func printable(mediaType job.Fact[string]) bool {
	switch mediaType.Or("Paper") {
	case "Paper", "Board", "CorrugatedBoard", "SelfAdhesive", "Synthetic", "Transparency", "Vinyl":
		return true
	}
	return false
}

// works are the pieces of work of an operation: one for each sheet that goes in.
func (c *checker) works(op *job.Operation) []*work {
	base := work{at: op.TypeAt, name: op.Type, front: op.Front, back: op.Back}
	if p := op.Printing; p != nil {
		base.style, base.drying = p.WorkStyle, p.Drying
		base.speed = job.Fact[float64]{
			Value: p.Speed.Value.InexactFloat64(), Place: p.Speed.Place, Given: p.Speed.Given,
		}
	}
	if v := op.Varnish; v != nil && v.Method.Value != "Independent" {
		word := job.Of("varnish", v.Node.Place())
		base.coatings = append(base.coatings, word)
		base.method = v.Method.Value
	} else if v != nil {
		base.method = v.Method.Value
	}
	if op.Folding != nil {
		base.fold = op.Folding.Catalog
	}
	if op.Cutting != nil {
		base.piece = shortest(op.Cutting.Blocks)
	}
	sheets := inputs(op)
	if len(sheets) == 0 {
		sheets = []input{{}}
	}
	var all []*work
	for _, in := range sheets {
		w := base
		w.sheet, w.grammage, w.caliper = in.size, in.stock.Weight, in.stock.Thickness
		if c.only != nil {
			w.grammage = job.First(w.grammage, c.only.Media.Weight)
			w.caliper = job.First(w.caliper, c.only.Media.Thickness)
		}
		switch {
		case isPrinting(op.Type):
			c.fillPrinting(&w, in)
		case op.Type == "Folding":
			c.fillFolding(&w, in)
		case op.Type == "Laminating" && len(c.job.Products) == 1:
			film := c.job.Products[0].Lamination
			w.film, w.filmSides = film.Texture, filmSides(film)
		}
		all = append(all, &w)
	}
	return all
}

// fillPrinting adds what is told outside the operation: what is printed of the
// sheet, and the coverage where the job has but one product.
func (c *checker) fillPrinting(w *work, in input) {
	layouts := c.layoutsOf(in)
	w.content = c.contentOf(in, layouts)
	for _, l := range layouts {
		w.style = job.First(w.style, l.WorkStyle)
	}
	if len(c.job.Products) == 1 {
		w.coverage = coverageOf(c.job.Products[0])
	}
}

// coverageOf is the ink of the heavier side.
func coverageOf(p *job.Product) job.Fact[float64] {
	var most job.Fact[float64]
	for _, s := range []job.Surface{p.Front, p.Back} {
		if v := s.Coverage.Value.InexactFloat64(); s.Coverage.Given && (!most.Given || v > most.Value) {
			most = job.Of(v, s.Coverage.Place)
		}
	}
	return most
}

// shortest is the shortest side of some blocks.
func shortest(blocks []job.CutBlock) job.Fact[float64] {
	var least job.Fact[float64]
	for _, b := range blocks {
		s := boxSize(b.Box)
		if side := float64(min(s.Value.Width, s.Value.Height)); s.Given && (!least.Given || side < least.Value) {
			least = job.Of(side, s.Place)
		}
	}
	return least
}

// layoutsOf are the layouts of a sheet, none when the layouts are of several
// sheets and the ticket does not say which is which.
func (c *checker) layoutsOf(in input) []*job.Layout {
	if in.sheetName == "" && len(c.layouts) == 1 {
		for _, all := range c.layouts {
			return all
		}
	}
	if own := c.layouts[in.sheetName]; in.sheetName != "" && len(own) > 0 {
		return own
	}
	if in.sheetName != "" {
		return c.layouts[""] // of all sheets
	}
	return nil
}

// contentOf is the size of what is printed on a sheet: of the positions on its
// layouts, else of the contents box, else of the blocks that are cut from it.
func (c *checker) contentOf(in input, layouts []*job.Layout) job.Fact[Size] {
	var most job.Fact[Size]
	for _, l := range layouts {
		f := layoutContent(l, in.size)
		if f.Given && (!most.Given || f.Value.Width+f.Value.Height > most.Value.Width+most.Value.Height) {
			most = f
		}
	}
	if len(c.layouts) > 0 {
		return most
	}
	return c.blockContent(in)
}

func layoutContent(l *job.Layout, sheet job.Fact[Size]) job.Fact[Size] {
	var boxes []job.Fact[value.Rectangle]
	for _, p := range l.Positions {
		boxes = append(boxes, p.Box)
	}
	if f := around(boxes); f.Given {
		return f
	}
	// The contents box of many tickets is the whole sheet or plate, and then
	// tells nothing of what is printed.
	f := boxSize(l.Surface)
	if f.Given && sheet.Given && f.Value != sheet.Value && f.Value.Fits(sheet.Value) {
		return f
	}
	return job.Fact[Size]{}
}

// around is the size of the rectangle round some boxes, at the first of them.
func around(boxes []job.Fact[value.Rectangle]) job.Fact[Size] {
	var all job.Fact[value.Rectangle]
	for _, b := range boxes {
		switch {
		case !b.Given:
		case !all.Given:
			all = b
		default:
			r := &all.Value
			r.LLX, r.LLY = min(r.LLX, b.Value.LLX), min(r.LLY, b.Value.LLY)
			r.URX, r.URY = max(r.URX, b.Value.URX), max(r.URY, b.Value.URY)
		}
	}
	return boxSize(all)
}

// blockContent takes the blocks that the sheet is cut into for what is printed,
// when they are trimmed off all four edges. Blocks up to an edge of the sheet
// are parts of it, margins and all.
func (c *checker) blockContent(in input) job.Fact[Size] {
	if !in.size.Given || len(c.groups) > 1 {
		return job.Fact[Size]{}
	}
	for f, g := range c.groups {
		if f.block != "" || f.sheet != "" && in.sheetName != "" && f.sheet != in.sheetName {
			continue // its boxes are counted in a block, or in another sheet
		}
		var boxes []job.Fact[value.Rectangle]
		for _, b := range g {
			boxes = append(boxes, b.Box)
		}
		f := around(boxes)
		s := in.size.Value
		if f.Given && f.Value.Width < s.Width-Slack && f.Value.Height < s.Height-Slack {
			return f
		}
	}
	return job.Fact[Size]{}
}
