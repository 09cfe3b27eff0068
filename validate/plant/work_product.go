package plant

import (
	"fmt"
	"math"
	"strings"

	"quoin/jdf/job"
)

// label names a product in messages.
func label(p *job.Product) string {
	name := job.First(p.Name, p.Type, p.ID)
	if !name.Given {
		return ""
	}
	return fmt.Sprintf("%q", clip(name.Value))
}

// printingOf is the work of printing a product that has no parts.
func (c *checker) printingOf(p *job.Product) *work {
	w := &work{
		at: p.Node.Place(), name: strings.TrimSpace("printing " + label(p)), of: label(p),
		grammage: p.Media.Weight, caliper: p.Media.Thickness,
		front: p.Front.Colors, back: p.Back.Colors, open: c.openSize(p), coverage: coverageOf(p),
	}
	w.beside = c.laidBeside(w)
	for _, list := range []job.Fact[[]string]{p.Front.Coatings, p.Back.Coatings} {
		for _, word := range list.Value {
			w.coatings = append(w.coatings, job.Of(word, list.Place))
		}
	}
	return w
}

// filmSides is the surfaces of a film: in XJDF a list of sides.
func filmSides(l job.Lamination) job.Fact[string] {
	f := l.Surface
	if strings.Contains(f.Value, "Front") && strings.Contains(f.Value, "Back") {
		f.Value = "Both"
	}
	return f
}

// openSize is the size of a piece as it is printed, with bleed round it: flat
// where the ticket has it, a spread of two pages for what is saddle-stitched.
func (c *checker) openSize(p *job.Product) job.Fact[Size] {
	f := job.First(pairSize(p.Flat), shapeSize(p.Size))
	if !f.Given {
		return f
	}
	if bind := c.bindingOf(p); !p.Flat.Given && bind.Type.Value == "SaddleStitch" && p.Pages.Or(4) >= 4 {
		if spineAcross(bind) {
			f.Value.Height *= 2
		} else {
			f.Value.Width *= 2
		}
	}
	bleed := c.plant.Bleed
	if p.Bleed.Given {
		bleed = FromTicket(p.Bleed.Value)
	}
	f.Value = Size{f.Value.Width + 2*bleed, f.Value.Height + 2*bleed}
	return f
}

// spineAcross reports whether the spine runs along the width.
func spineAcross(b job.Binding) bool { return b.Side.Value == "Top" || b.Side.Value == "Bottom" }

// bindingOf is the binding of a product, or of the product it is a part of.
func (c *checker) bindingOf(p *job.Product) job.Binding {
	if p.Binding.Type.Given {
		return p.Binding
	}
	if whole := c.whole[p]; whole != nil {
		return whole.Binding
	}
	return job.Binding{}
}

// foldingOf is the work of folding a product.
func (c *checker) foldingOf(p *job.Product) *work {
	w := &work{
		at: p.Node.Place(), name: strings.TrimSpace("folding " + label(p)), of: label(p),
		fold: p.Fold, grammage: p.Media.Weight, sheet: pairSize(p.Flat),
	}
	c.fillFolding(w, input{})
	return w
}

// laminatingOf is the work of laying film on a product.
func (c *checker) laminatingOf(p *job.Product) *work {
	return &work{
		at: p.Node.Place(), name: strings.TrimSpace("laminating " + label(p)), of: label(p),
		film: p.Lamination.Texture, filmSides: filmSides(p.Lamination), grammage: p.Media.Weight,
	}
}

// bindingWork is the work of joining a product from its parts: pages and
// thickness of the whole book, or of the block without its cover.
func (c *checker) bindingWork(p *job.Product, block bool) *work {
	w := &work{
		at: p.Binding.Type.Place, name: strings.TrimSpace("binding " + label(p)), of: label(p),
	}
	b := c.bulkOf(p)
	w.pages, w.thickness = b.pages, b.thickness
	w.caliper = p.Media.Thickness
	if len(p.Parts) == 0 {
		w.grammage = p.Media.Weight
	}
	if block {
		w.thickness, w.cover = b.inner, coverOf(p)
	} else {
		w.creep = c.creepOf(p, b)
	}
	w.trim = shapeSize(p.Size)
	for i := 0; !w.trim.Given && i < len(p.Parts); i++ {
		w.trim = shapeSize(p.Parts[i].Size)
	}
	if w.trim.Given && spineAcross(p.Binding) {
		w.trim.Value = w.trim.Value.Turned()
	}
	return w
}

// bulk is how many pages a product has and how thick it is closed, with and
// without cover, in micrometres.
type bulk struct{ pages, thickness, inner job.Fact[float64] }

// bulkOf adds up the parts of a product. A sum is given only when all its parts
// are known. Each product is worked out once, however often it is a part.
func (c *checker) bulkOf(p *job.Product) bulk {
	if b, ok := c.bulks[p]; ok {
		return b
	}
	c.bulks[p] = bulk{} // what a product that holds itself would find
	b := c.ownBulk(p)
	if len(p.Parts) > 0 {
		b = c.sumOf(p.Parts)
		if !b.pages.Given {
			b.pages = number64(p.Pages)
		}
	}
	c.bulks[p] = b
	return b
}

func (c *checker) sumOf(parts []*job.Product) bulk {
	sum := bulk{}
	known := bulk{pages: job.Fact[float64]{Given: true}, thickness: job.Fact[float64]{Given: true},
		inner: job.Fact[float64]{Given: true}}
	for _, part := range parts {
		b := c.bulkOf(part)
		add(&sum.pages, &known.pages, b.pages)
		add(&sum.thickness, &known.thickness, b.thickness)
		if !isCover(part) {
			add(&sum.inner, &known.inner, b.inner)
		}
	}
	sum.pages.Given = sum.pages.Given && known.pages.Given
	sum.thickness.Given = sum.thickness.Given && known.thickness.Given
	sum.inner.Given = sum.inner.Given && known.inner.Given
	return sum
}

// add adds a fact to a sum, which stands at the place of its greatest part.
func add(sum, known *job.Fact[float64], f job.Fact[float64]) {
	if !f.Given {
		known.Given = false
		return
	}
	if !sum.Given || f.Value > known.Value {
		sum.Place, known.Value = f.Place, f.Value
	}
	sum.Value, sum.Given = sum.Value+f.Value, true
}

func isCover(p *job.Product) bool { return strings.Contains(p.Type.Value, "Cover") }

func number64(f job.Fact[int]) job.Fact[float64] {
	return job.Fact[float64]{Value: float64(f.Value), Place: f.Place, Given: f.Given}
}

// ownBulk is of a product without parts: pages / 2 leaves of its stock.
func (c *checker) ownBulk(p *job.Product) bulk {
	b := bulk{pages: number64(p.Pages)}
	if caliper, ok := c.plant.caliper(p.Media.Stock); ok && p.Pages.Given {
		b.thickness = job.Of(math.Ceil(float64(p.Pages.Value)/2)*caliper, p.Pages.Place)
	}
	b.inner = b.thickness
	return b
}

// caliper is the thickness of a stock in micrometres: as the ticket has it,
// else of a stock of the plant of that grammage. Of several, those with the
// coating asked for come first, and then the thinnest, so that a book that is
// found too thick is too thick for certain.
func (p *Plant) caliper(s job.Stock) (float64, bool) {
	if s.Thickness.Given {
		return s.Thickness.Value, s.Thickness.Value > 0
	}
	least, found, coated := 0.0, false, false
	for _, have := range p.Stocks {
		if !s.Weight.Given || math.Abs(have.Grammage-s.Weight.Value) > 0.5 {
			continue
		}
		match := s.FrontCoating.Given && sameCoating(s.FrontCoating.Value, have.Coating)
		if !found || match && !coated || match == coated && have.Caliper < least {
			least, found, coated = have.Caliper, true, match
		}
	}
	return least, found
}

// sameCoating compares a coating of the standard with one of a plant file.
func sameCoating(word, coating string) bool {
	switch word {
	case "None":
		return coating == "none"
	case "Gloss", "HighGloss":
		return coating == "gloss"
	case "Satin", "Semigloss":
		return coating == "silk"
	case "Matte":
		return coating == "matt" || coating == "silk"
	case "Coated":
		return coating != "none"
	}
	return false
}
