package plan

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"quoin/validate/plant"
)

// leafScheme is a leaf that is glued as it is.
var leafScheme = plant.FoldScheme{Code: "F2-1", Columns: 1, Rows: 1}

// coverScheme is how a stitcher's cover feeder folds a cover: once at the spine.
var coverScheme = plant.FoldScheme{Code: "F4-1", Columns: 2, Rows: 1, Folds: 1}

// sectionSize is the block of an unfolded section: pages side by side in pairs
// that share a spine, a trim at every face, head and foot, and the stitcher's
// lap at one face. A scheme of one column has its spine between the rows, so
// that its pages lie on their side.
// Every page of a glued section has its grind-off at the spine.
func sectionSize(page plant.Size, columns, rows int, trim, lap, grind plant.Length) plant.Size {
	along := func(n int) plant.Length { return plant.Length(n)*(page.Width+trim+grind) + lap }
	beside := func(n int) plant.Length { return plant.Length(n) * (page.Height + 2*trim) }
	if columns%2 == 0 {
		return plant.Size{Width: along(columns), Height: beside(rows)}
	}
	return plant.Size{Width: beside(columns), Height: along(rows)}
}

// trimOf is the trim of a part at face, head and foot.
func (r *request) trimOf(p *part) plant.Length {
	if p.bleed == 0 {
		return r.plant.Bleed
	}
	return p.bleed
}

// coverPiece is the open cover, with a spine between its leaves.
func (r *request) coverPiece(p *part, spine plant.Length) piece {
	trim := r.trimOf(p)
	size := sectionSize(r.page, 2, 1, trim, 0, 0)
	size.Width += spine
	return piece{part: p, size: size, scheme: &coverScheme, sectional: true, trim: trim, spine: spine}
}

// sectionPieces are the sections that a part can be split into: one for each
// scheme of each folder, or the open cover.
func (r *request) sectionPieces(p *part, lap, grind plant.Length, count tally) []piece {
	if p.cover {
		return []piece{r.coverPiece(p, 0)}
	}
	trim := r.trimOf(p)
	codes := r.fixed.folds
	if p.fold.Given {
		codes = []string{p.fold.Value}
	}
	var all []piece
	for _, f := range r.plant.Folders {
		if !r.fixed.allows(onFolder, f.ID) {
			count.add("ticket names another folder")
			continue
		}
		for i := range f.Catalog {
			s := &f.Catalog[i]
			switch {
			case !sectionFold(s):
				count.add("fold makes no section that can be bound")
			case len(codes) > 0 && !hasCode(codes, s.Code):
				count.add("fold is not the one wanted")
			case s.Pages() > p.pages:
				count.add("section has more pages than the part")
			default:
				size := sectionSize(r.page, s.Columns, s.Rows, trim, lap, grind)
				all = append(all, piece{
					part: p, size: size, folder: f, scheme: s, sectional: true, trim: trim, lap: lap, grind: grind,
				})
			}
		}
	}
	if len(r.plant.Folders) == 0 {
		count.add("plant has no folder")
	}
	return all
}

// choice is the cheapest form of a section of so many pages.
type choice struct {
	pages        int
	first, later form
}

// split is a part made of so many sections on one stock and press.
type split struct {
	part  *part
	stock *plant.Stock
	press *plant.Press
	forms []form // in the order of nesting, outermost first
	cost  decimal.Decimal
}

// splits finds the cheapest split of a part into each number of sections up to
// most, by the pages that are left; the index is the number of sections.
//
// The forms cost what they cost by themselves but for the first, which takes
// the full setup, so the split of what is left does not depend on what was
// taken before, and the search is exact.
func splits(p *part, choices []choice, most int) [][]form {
	n, largest := p.pages/2, 0
	for _, c := range choices {
		largest = max(largest, c.pages/2)
	}
	if most = min(most, n); n > most*largest {
		return nil
	}
	table := make([][]cell, most+1)
	for k := range table {
		table[k] = make([]cell, n+1)
		for left := range table[k] {
			table[k][left] = cellOf(table, choices, k, left)
		}
	}
	found := make([][]form, most+1)
	for k := 1; k <= most; k++ {
		var best cell
		for i, c := range choices {
			left := n - c.pages/2
			if left < 0 || !table[k-1][left].ok {
				continue
			}
			if cost := c.first.cost.Add(table[k-1][left].cost); !best.ok || cost.LessThan(best.cost) {
				best = cell{ok: true, cost: cost, take: i}
			}
		}
		if best.ok {
			found[k] = traced(table, choices, k, n, best.take)
		}
	}
	return found
}

// cell is the cheapest way of making so many leaves in so many sections.
type cell struct {
	ok   bool
	cost decimal.Decimal
	take int // choice of one of them
}

func cellOf(table [][]cell, choices []choice, k, left int) cell {
	if k == 0 {
		return cell{ok: left == 0}
	}
	var best cell
	for i, c := range choices {
		rest := left - c.pages/2
		if rest < 0 || !table[k-1][rest].ok {
			continue
		}
		if cost := c.later.cost.Add(table[k-1][rest].cost); !best.ok || cost.LessThan(best.cost) {
			best = cell{ok: true, cost: cost, take: i}
		}
	}
	return best
}

// traced follows the table back to the forms, the largest sections outermost.
func traced(table [][]cell, choices []choice, k, left, take int) []form {
	forms := []form{choices[take].first}
	left -= choices[take].pages / 2
	for k--; k > 0; k-- {
		c := choices[table[k][left].take]
		forms = append(forms, c.later)
		left -= c.pages / 2
	}
	slices.SortStableFunc(forms, func(a, b form) int { return cmp.Compare(b.pages(), a.pages()) })
	return forms
}

// pushOut is how far the outermost and the innermost leaf of each section are
// pushed out by what lies outside them: factor times the calipers passed. For
// one stock that is i * caliper for nested sheet i, outermost 0.
//
// Common practice, no source: the usual plain rule; folders and stocks differ,
// which is what the plant's factor is for.
func pushOut(sections []nested, factor decimal.Decimal) (from, to []plant.Length) {
	passed := decimal.Zero
	micrometres := func(v decimal.Decimal) plant.Length { return plant.Length(v.Mul(factor).Round(0).IntPart()) }
	for _, s := range sections {
		c := decimal.NewFromFloat(s.caliper)
		from = append(from, micrometres(passed))
		to = append(to, micrometres(passed.Add(c.Mul(decimal.NewFromInt(int64(s.pages/4-1))))))
		passed = passed.Add(c.Mul(decimal.NewFromInt(int64(s.pages / 4))))
	}
	return from, to
}

// runs numbers the pages of sections that lie behind each other.
func runs(from int, sections []int) []string {
	var all []string
	for _, n := range sections {
		all = append(all, fmt.Sprintf("%d-%d", from, from+n-1))
		from += n
	}
	return all
}

// nested is a section as it lies in a stitched book.
type nested struct {
	pages   int
	caliper float64 // micrometres
}

// pageRanges numbers the pages of sections that are put into each other,
// outermost first: the first half of a section's pages from the front of what
// is left, the other half from its back.
func pageRanges(sections []int) []string {
	total := 0
	for _, n := range sections {
		total += n
	}
	low, high := 1, total
	var all []string
	for _, n := range sections {
		half := n / 2
		front := fmt.Sprintf("%d-%d", low, low+half-1)
		rear := fmt.Sprintf("%d-%d", high-half+1, high)
		low, high = low+half, high-half
		if low > high {
			front, rear = fmt.Sprintf("%d-%d", low-half, high+half), ""
		}
		all = append(all, strings.TrimSuffix(front+", "+rear, ", "))
	}
	return all
}
