package plan

import (
	"cmp"
	"fmt"
	"slices"

	"quoin/jdf/job"
	"quoin/validate/plant"
)

// origin is a piece of a printed sheet that a product was read off.
type origin struct {
	sheet printed
	piece standing
}

// sheetFix is how a ticket prints a sheet of a part. What it does not say is
// zero and leaves the choice free.
type sheetFix struct {
	size    plant.Size
	style   Style
	devices []string
	ups     int
	code    string
}

// readFixes takes in how the ticket prints the sheets of a part, and into which
// sections it splits a book.
func (r *request) readFixes(p *part) {
	r.signed(p)
	for _, o := range r.origins[p.product] {
		f := sheetFix{style: Style(o.sheet.style.Value), code: o.piece.code.Value}
		if m := o.sheet.paper; m != nil && m.Size.Given && m.Size.Value.X > 0 && m.Size.Value.Y > 0 {
			f.size = plant.Size{Width: snap(m.Size.Value.X), Height: snap(m.Size.Value.Y)}
		}
		for _, d := range o.sheet.press.Devices {
			if d.ID.Given {
				f.devices = append(f.devices, d.ID.Value)
			}
		}
		switch {
		case len(o.sheet.pieces) > 1:
			r.note("the ticket puts several pieces on one sheet; where each stands was worked out anew from their quantities")
		case o.piece.box.Given:
			f.ups = o.piece.positions
		}
		p.fixes = append(p.fixes, f)
		p.sections = append(p.sections, o.piece.pages())
		p.sheets = append(p.sheets, o.sheet.name)
	}
}

// signed takes in the sections that the ticket has for a part of a product, where
// its bindery signatures name the part. Those that do not make up its pages are
// left aside.
func (r *request) signed(p *part) {
	var fixes []sheetFix
	var sections []int
	pages := 0
	for _, s := range r.job.Signatures {
		n := foldPages(s.Catalog.Value)
		if n == 0 || !p.product.ID.Given || s.Part.Get("ProductPart") != p.product.ID.Value {
			continue
		}
		fixes, sections, pages = append(fixes, sheetFix{code: s.Catalog.Value}), append(sections, n), pages+n
	}
	switch {
	case r.kind == Flat || len(sections) == 0:
	case pages != p.product.Pages.Or(pages):
		r.note(fmt.Sprintf("the sections of the ticket make %d pages of %s, not %d; it was split anew", pages,
			label(p.product), p.product.Pages.Value))
	default:
		p.fixes, p.sections = fixes, sections
	}
}

// fixReason says why a lay is none of those that the ticket has, or "".
func (p *part) fixReason(l lay) string {
	if len(p.fixes) == 0 {
		return ""
	}
	for _, f := range p.fixes {
		if f.takes(l) {
			return ""
		}
	}
	return "ticket prints the sheet in another way"
}

func (f sheetFix) takes(l lay) bool {
	folded := l.scheme != nil && l.scheme.Folds > 0
	switch {
	case f.size != (plant.Size{}) && !near(l.sheet, f.size) && !near(l.sheet, f.size.Turned()):
	case f.style != "" && l.printing.style != f.style && l.printing.style != Duplex && len(l.part.back.colors) > 0:
	case len(f.devices) > 0 && !slices.Contains(f.devices, l.press.ID):
	case f.ups > 0 && f.ups != l.grid.ups():
	case folded && f.code != "" && !hasCode([]string{f.code}, l.scheme.Code):
	default:
		return true
	}
	return false
}

// fixedSplit makes a part of just the sections that the ticket has, each in its
// cheapest way. The full setup goes to the section for which it costs the least
// over that of a later one. It is nil where one of them can not be made.
func (s *search) fixedSplit(p *part, choices []choice) []form {
	var forms []form
	first := -1
	var found []choice
	for _, pages := range p.sections {
		i := slices.IndexFunc(choices, func(c choice) bool { return c.pages == pages })
		if i < 0 {
			s.bar(fmt.Sprintf("ticket has a section of %d pages of %s that can not be made", pages, label(p.product)))
			return nil
		}
		c := choices[i]
		if first < 0 || c.first.cost.Sub(c.later.cost).LessThan(found[first].first.cost.Sub(found[first].later.cost)) {
			first = len(found)
		}
		found = append(found, c)
	}
	for i, c := range found {
		if i == first {
			forms = append(forms, c.first)
		} else {
			forms = append(forms, c.later)
		}
	}
	slices.SortStableFunc(forms, func(a, b form) int { return cmp.Compare(b.pages(), a.pages()) })
	return forms
}

// speaksOf reports whether an operation is for a part: of a ticket that describes
// products every one is, of one that does not those that take its sheets.
func (p *part) speaksOf(op *job.Operation) bool {
	if len(p.sheets) == 0 {
		return true
	}
	return slices.ContainsFunc(p.sheets, func(name string) bool { return takesSheet(op, name) })
}
