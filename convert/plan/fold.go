package plan

import (
	"math/bits"
	"slices"
	"strings"

	"quoin/validate"
	"quoin/validate/plant"
)

// piece is what is laid on a press sheet, once or many times.
type piece struct {
	part          *part
	size          plant.Size // block that is cut out
	bleed, gutter plant.Length
	folder        *plant.Folder // nil when it is not folded
	scheme        *plant.FoldScheme
	sectional     bool // a section with its trims inside: it may go to the folder uncut
	leaves        int  // of a copy, when one run prints them all to be cut and stacked; else 0

	item int // of several products

	trim, lap, grind, spine plant.Length // of a section, see Sheet
}

// pages is the pages of a copy that the piece brings.
func (p piece) pages() int { return p.scheme.Pages() * max(1, p.leaves) }

// panelSlack is how far the panels of a fold may be from the finished format:
// the panels that fold in are made shorter.
const panelSlack = 5 * plant.Millimetre

// flatPieces are the open pieces of flat work: one as it is, or one for each
// fold that a folder of the plant can make of it. None says that no folder can.
func (r *request) flatPieces(p *part, count tally) []piece {
	base := piece{part: p, size: p.flat, bleed: p.bleed, gutter: p.gutter}
	codes := r.fixed.folds
	if p.fold.Given && p.fold.Value != "F2-1" {
		codes = []string{p.fold.Value}
	}
	open := p.flat.Width > 0
	if len(codes) == 0 && p.pages <= 2 && (!open || near(p.flat, r.page) || near(p.flat, r.page.Turned())) {
		if !open {
			base.size = r.page
		}
		return []piece{base}
	}
	var all []piece
	for _, f := range r.plant.Folders {
		if !r.fixed.allows(onFolder, f.ID) {
			count.add("ticket names another folder")
			continue
		}
		for i := range f.Catalog {
			s := &f.Catalog[i]
			if !r.foldAnswers(s, p, codes) {
				count.add("fold is not the one wanted")
				continue
			}
			next := base
			next.folder, next.scheme = f, s
			if !open {
				next.size = cells(r.page, s)
			}
			all = append(all, next)
		}
	}
	if len(r.plant.Folders) == 0 {
		count.add("plant has no folder")
	}
	return all
}

// cells is the open size of so many finished formats side by side.
func cells(page plant.Size, s *plant.FoldScheme) plant.Size {
	return plant.Size{Width: page.Width * plant.Length(s.Columns), Height: page.Height * plant.Length(s.Rows)}
}

func (r *request) foldAnswers(s *plant.FoldScheme, p *part, codes []string) bool {
	if len(codes) > 0 {
		return hasCode(codes, s.Code)
	}
	if p.pages > 2 && s.Pages() != p.pages {
		return false
	}
	if p.flat.Width == 0 {
		return true
	}
	open := cells(r.page, s)
	return within(open, p.flat, panelSlack) || within(open, p.flat.Turned(), panelSlack)
}

func within(a, b plant.Size, slack plant.Length) bool {
	dw, dh := a.Width-b.Width, a.Height-b.Height
	return max(dw, -dw) <= slack && max(dh, -dh) <= slack
}

// hasCode looks for the code of a scheme. A code that ends in X states pages
// and leaves the scheme open.
func hasCode(codes []string, code string) bool {
	pages, _, _ := strings.Cut(code, "-")
	return slices.Contains(codes, code) || slices.Contains(codes, pages+"-X")
}

// foldReason says why a folder can not fold a sheet, or "".
func foldReason(f *plant.Folder, s *plant.FoldScheme, sheet plant.Size, grammage float64) string {
	scheme := s.Grammage
	if scheme == (plant.Range{}) {
		scheme = f.Grammage
	}
	switch {
	case !f.Grammage.Contains(grammage) || !scheme.Contains(grammage):
		return "stock weight outside what the folder folds"
	case !between(sheet, f.MinSheet, f.MaxSheet) && !between(sheet.Turned(), f.MinSheet, f.MaxSheet):
		return "sheet outside the formats of the folder"
	}
	return ""
}

// between reports whether a size is within two others, with slack.
func between(s, least, most plant.Size) bool { return least.Fits(s) && s.Fits(most) }

// sectionFold reports whether a scheme makes a section that can be stitched:
// each fold halves the sheet, so that the spine lies in the last one. Letter,
// gate and accordion folds do not.
func sectionFold(s *plant.FoldScheme) bool {
	if s.Columns <= 0 || s.Rows <= 0 || s.Columns*s.Rows < 2 {
		return false
	}
	c, r := uint(s.Columns), uint(s.Rows)
	halving := bits.OnesCount(c) == 1 && bits.OnesCount(r) == 1
	return halving && s.Folds == bits.Len(c)-1+bits.Len(r)-1
}

// openSize reads the size before folding; a zero size says that the ticket has none.
func (r *request) openSize() (plant.Size, bool) {
	f := r.root.Flat
	if !f.Given {
		return plant.Size{}, true
	}
	s := plant.Size{Width: snap(f.Value.X), Height: snap(f.Value.Y)}
	if min(s.Width, s.Height) < leastSide {
		return s, r.fail(sizeMissing, f.Place, validate.F("product", label(r.root)))
	}
	return s, true
}
