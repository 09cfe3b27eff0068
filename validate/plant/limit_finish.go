package plant

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/validate"
)

// guillotineLimits are the limits of cutting.
func guillotineLimits() []limit[*Guillotine] {
	return []limit[*Guillotine]{
		format(cutTooWide, "max width", "sheet", "takes at most", sheetOf,
			func(g *Guillotine) Size { return Size{g.MaxWidth, g.MaxDepth} }, tooLarge).of(sheetKnob),
		least(cutTooSmall, "min cut", "block side", ground,
			func(w *work) job.Fact[float64] { return w.piece },
			func(g *Guillotine, _ *work) float64 { return float64(g.MinCut) }).of(pieceKnob),
	}
}

// folderLimits are the limits of folding.
func folderLimits() []limit[*Folder] {
	return []limit[*Folder]{
		{rule: foldUnknown, key: "folds", test: foldMiss, knob: foldKnob},
		format(foldFormat, "max sheet", "open sheet", "takes at most", sheetOf,
			func(f *Folder) Size { return f.MaxSheet }, tooLarge).of(sheetKnob),
		format(foldFormat, "min sheet", "open sheet", "takes at least", sheetOf,
			func(f *Folder) Size { return f.MinSheet }, tooSmall).of(sheetKnob),
		standing(most(tooHeavy, "grammage", "stock", grams, grammageOf,
			func(f *Folder, w *work) float64 { return f.takes(w.fold.Value).grammage.Max }), takesPlace).of(stockKnob),
		standing(least(tooLight, "grammage", "stock", grams, grammageOf,
			func(f *Folder, w *work) float64 { return f.takes(w.fold.Value).grammage.Min }), takesPlace).of(stockKnob),
		{rule: scoreFirst, key: "creaser", test: scoreMiss},
	}
}

// scheme finds the fold of a code; a code that ends in X is any fold of its pages.
func (f *Folder) scheme(code string) (FoldScheme, bool) {
	i := slices.IndexFunc(f.Catalog, func(s FoldScheme) bool {
		return s.Code == code || strings.HasSuffix(code, "-X") && s.Pages() == codePages(code)
	})
	if i < 0 {
		return FoldScheme{}, false
	}
	return f.Catalog[i], true
}

// taken is a range of grammages and where it stands.
type taken struct {
	grammage Range
	at       jdf.Place
}

// takes is what the fold with the code takes, or else the folder. A code that
// ends in X leaves the scheme open, so the folder's own range counts.
func (f *Folder) takes(code string) taken {
	if s, ok := f.scheme(code); ok && !strings.HasSuffix(code, "-X") && s.Grammage != (Range{}) {
		return taken{s.Grammage, s.At("grammage")}
	}
	return taken{f.Grammage, f.At("grammage")}
}

func takesPlace(f *Folder, w *work) jdf.Place { return f.takes(w.fold.Value).at }

func foldMiss(f *Folder, w *work) *miss {
	// F2-1 is the sheet that is not folded; a text that is no code is the structure stage's to report.
	pages := codePages(w.fold.Value)
	if !w.fold.Given || pages <= 2 {
		return nil
	}
	if _, ok := f.scheme(w.fold.Value); ok {
		return nil
	}
	var codes []string
	for _, s := range f.Catalog {
		codes = append(codes, s.Code)
	}
	return &miss{
		at: w.fold.Place, what: w.subject("fold"), value: w.fold.Value,
		limit: "is equipped for " + validate.Choices(codes), words: f.codes(pages),
	}
}

// codes are the folds of so many pages.
func (f *Folder) codes(pages int) []string {
	var all []string
	for _, s := range f.Catalog {
		if s.Pages() == pages {
			all = append(all, s.Code)
		}
	}
	return all
}

// stitcherLimits are the limits of saddle stitching.
func stitcherLimits() []limit[*Stitcher] {
	count := func(w *work) job.Fact[float64] { return w.pages }
	return []limit[*Stitcher]{
		{rule: stitchPages, key: "pages", test: multipleMiss, knob: pagesKnob},
		most(stitchPages, "pages", "book", pages, count,
			func(s *Stitcher, _ *work) float64 { return float64(s.Pages.Max) }).of(pagesKnob),
		least(stitchPages, "pages", "book", pages, count,
			func(s *Stitcher, _ *work) float64 { return float64(s.Pages.Min) }).of(pagesKnob),
		most(stitchThickness, "thickness", "closed book", gauge, thicknessOf,
			func(s *Stitcher, _ *work) float64 { return s.Thickness.Max }).of(bulkKnob),
		least(stitchThickness, "thickness", "closed book", gauge, thicknessOf,
			func(s *Stitcher, _ *work) float64 { return s.Thickness.Min }).of(bulkKnob),
		most(stitchCreep, "max creep", "creep", gauge, func(w *work) job.Fact[float64] { return w.creep },
			func(s *Stitcher, _ *work) float64 { return float64(s.MaxCreep) }),
		format(trimFormat, "max trim", "trimmed book", "takes at most", trimOf,
			func(s *Stitcher) Size { return s.MaxTrim }, excess).of(trimKnob),
		format(trimFormat, "min trim", "trimmed book", "takes at least", trimOf,
			func(s *Stitcher) Size { return s.MinTrim }, under).of(trimKnob),
	}
}

// binderLimits are the limits of perfect binding.
func binderLimits() []limit[*Binder] {
	return []limit[*Binder]{
		most(blockThickness, "thickness", "block", gauge, thicknessOf,
			func(b *Binder, _ *work) float64 { return b.Thickness.Max }).of(bulkKnob),
		least(blockThickness, "thickness", "block", gauge, thicknessOf,
			func(b *Binder, _ *work) float64 { return b.Thickness.Min }).of(bulkKnob),
		most(coverWeight, "cover", "cover", grams, coverGrammage,
			func(b *Binder, _ *work) float64 { return b.Cover.Max }).of(coverKnob),
		least(coverWeight, "cover", "cover", grams, coverGrammage,
			func(b *Binder, _ *work) float64 { return b.Cover.Min }).of(coverKnob),
		format(trimFormat, "max trim", "trimmed book", "takes at most", trimOf,
			func(b *Binder) Size { return b.MaxTrim }, excess).of(trimKnob),
		format(trimFormat, "min trim", "trimmed book", "takes at least", trimOf,
			func(b *Binder) Size { return b.MinTrim }, under).of(trimKnob),
	}
}

func thicknessOf(w *work) job.Fact[float64] { return w.thickness }
func coverGrammage(w *work) job.Fact[float64] {
	return w.cover
}
func trimOf(w *work) job.Fact[Size] { return w.trim }
func under(s, least Size) Size      { return excess(least, s) }

// multipleMiss asks for pages in fours.
func multipleMiss(_ *Stitcher, w *work) *miss {
	rest := math.Mod(w.pages.Value, 4)
	if !w.pages.Given || rest == 0 {
		return nil
	}
	return &miss{
		at: w.pages.Place, what: w.subject("book"), value: pages.write(w.pages.Value),
		limit: fmt.Sprintf("stitches multiples of 4, such as %s or %s",
			decimals(w.pages.Value-rest), decimals(w.pages.Value-rest+4)),
		gap: pages.write(min(rest, 4-rest)), over: min(rest, 4-rest),
		choice: []float64{w.pages.Value - rest, w.pages.Value - rest + 4},
	}
}
