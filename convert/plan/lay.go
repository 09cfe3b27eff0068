package plan

import "quoin/validate/plant"

// tally counts what was not possible, by reason.
type tally map[string]int

func (t tally) add(reason string) { t[reason]++ }

// lay is a possible way of making one form, not costed yet.
type lay struct {
	piece
	stock        *plant.Stock
	across, down int        // press sheets in a bought sheet
	sheet        plant.Size // press sheet, across the cylinder x along the run
	press        *plant.Press
	printing     printing
	grid         grid
	uncut        bool
	surfacing
	die        *plant.DieCutter  // that cuts the pieces out; nil when a guillotine does
	guillotine *plant.Guillotine // nil when nothing is cut on it
	stockCuts  []Cut             // of a lift of bought sheets
	cutting    cutting           // of a lift of printed sheets
}

// cutDowns are the ways in which a bought sheet is cut for the press: whole,
// halved in either direction, quartered.
var cutDowns = [][2]int{{1, 1}, {2, 1}, {1, 2}, {2, 2}}

// lays finds every way of printing a piece on a stock and a press.
func (r *request) lays(p piece, stock *plant.Stock, press *plant.Press, count tally) []lay {
	if p.leaves > 0 && press.Kind != plant.Digital {
		count.add("press can not print all leaves in one run")
		return nil
	}
	var all []lay
	for _, base := range r.bases(p, stock, press, count) {
		all = r.layPieces(all, base, count)
	}
	return all
}

// bases are the ways of printing on a stock and a press, without pieces: how the
// bought sheet is cut down, how the press sheet lies, and the work style.
func (r *request) bases(p piece, stock *plant.Stock, press *plant.Press, count tally) []lay {
	if reason := r.pressTakes(press, stock, p.part); reason != "" {
		count.add(reason)
		return nil
	}
	inPress := r.prints(p.part, true, press, stock.Grammage, count)
	plain := r.prints(p.part, false, press, stock.Grammage, tally{})
	var all []lay
	for _, cut := range cutDowns {
		size := plant.Size{
			Width: stock.Size.Width / plant.Length(cut[0]), Height: stock.Size.Height / plant.Length(cut[1]),
		}
		if reason := r.fixed.sheetReason(size); reason != "" {
			count.add(reason)
			continue
		}
		for _, sheet := range bothWays(size) {
			if reason := sheetFits(press, sheet); reason != "" {
				count.add(reason)
				continue
			}
			base := lay{piece: p, stock: stock, across: cut[0], down: cut[1], sheet: sheet, press: press}
			for _, base.surfacing = range r.surfacings(p.part, stock, press, sheet, count) {
				prints := plain
				if base.coat != "" {
					prints = inPress
				}
				for _, base.printing = range prints {
					all = append(all, r.cutters(base, count)...)
				}
			}
		}
	}
	return all
}

// prints are the styles in which the press can print the part, and coat it too.
func (r *request) prints(p *part, coats bool, press *plant.Press, grammage float64, count tally) []printing {
	k := p.ink(coats)
	var all []printing
	for _, s := range stylesFor(press.Kind, k.oneSided()) {
		if reason := r.fixed.styleReason(s, k.oneSided()); reason != "" {
			count.add(reason)
			continue
		}
		w, reason := printIn(press, s, k, grammage)
		if reason != "" {
			count.add(reason)
			continue
		}
		all = append(all, w)
	}
	return all
}

// bothWays is a size as it stands and turned; a square only once.
func bothWays(s plant.Size) []plant.Size {
	if s.Width == s.Height {
		return []plant.Size{s}
	}
	return []plant.Size{s, s.Turned()}
}

// pressTakes says why a press can not print a stock, or "".
func (r *request) pressTakes(p *plant.Press, s *plant.Stock, want *part) string {
	if reason := r.fixed.pressReason(p); reason != "" {
		return reason
	}
	switch {
	case !p.Grammage.Contains(s.Grammage):
		return "stock weight outside what the press prints"
	case !p.Caliper.Contains(s.Caliper):
		return "stock thickness outside what the press prints"
	case tooMuchInk(p, want):
		return "more ink on a side than the press lays dry"
	case pressSpeed(p, Simplex, s).Sign() <= 0:
		return "plant states no speed for the stock weight"
	}
	return ""
}

func sheetFits(p *plant.Press, s plant.Size) string {
	switch {
	case !s.Fits(p.MaxSheet):
		return "sheet larger than the press takes"
	case !p.MinSheet.Fits(s):
		return "sheet smaller than the press takes"
	}
	return ""
}

// layPieces lays the piece upright and turned, and both mixed where that holds
// more, and finds who cuts it.
func (r *request) layPieces(all []lay, l lay, count tally) []lay {
	m := l.marginsOf()
	plain := 0
	for i, as := range bothWays(l.size) {
		l.grid = layOut(l.sheet, as, l.bleed, l.gutter, m, l.printing.style)
		l.grid.turned, l.grid.item = i == 1, l.item
		if l.grid.ups() == 0 {
			if layOut(l.sheet, as, l.bleed, l.gutter, m, WorkAndBack).ups() > 0 {
				count.add("piece does not lie on both halves of the sheet")
			} else {
				count.add("piece larger than the printable area")
			}
			continue
		}
		l.uncut = l.sectional && l.folder != nil && l.grid.ups() == 1 &&
			foldReason(l.folder, l.scheme, l.sheet, l.stock.Grammage) == ""
		if !l.uncut && l.folder != nil {
			if reason := foldReason(l.folder, l.scheme, as, l.stock.Grammage); reason != "" {
				count.add(reason)
				continue
			}
		}
		all = r.layCuts(all, l, count)
		plain = max(plain, l.grid.ups())
	}
	if l.sectional || plain == 0 {
		return all
	}
	for _, g := range mixed(l.sheet, l.size, l.bleed, l.gutter, m, l.printing.style) {
		g.item, g.more[0].item = l.item, l.item
		if l.grid = g; g.ups() > plain {
			all = r.layCuts(all, l, count)
		}
	}
	return all
}

// layCuts adds the lay for every guillotine that can cut it; the bought sheets
// are cut down where the printed ones are cut.
func (r *request) layCuts(all []lay, l lay, count tally) []lay {
	if reason := l.part.fixReason(l); reason != "" {
		count.add(reason)
		return all
	}
	if (l.uncut || l.die != nil) && l.across*l.down == 1 {
		return append(all, l)
	}
	for _, g := range r.plant.Guillotines {
		if reason := r.cutOn(&l, g); reason != "" {
			count.add(reason)
			continue
		}
		all = append(all, l)
	}
	if len(r.plant.Guillotines) == 0 {
		count.add("plant has no guillotine")
	}
	return all
}

func (r *request) cutOn(l *lay, g *plant.Guillotine) (reason string) {
	if !r.fixed.allows(onGuillotine, g.ID) {
		return "ticket names another guillotine"
	}
	if perLift(g.Lift, l.stock.Caliper) == 0 {
		return "guillotine has no lift for the stock"
	}
	l.guillotine = g
	if l.across*l.down > 1 {
		if l.stockCuts, reason = halving(g, l.stock.Size, l.across, l.down); reason != "" {
			return reason
		}
	}
	if !l.uncut && l.die == nil {
		l.cutting, reason = bestCutting(g, l.sheet, l.grid, l.printing.style)
	}
	return reason
}

// marginsOf is what press, style and die cutter leave without pieces.
func (l *lay) marginsOf() margins {
	m := marginsFor(l.press, l.printing.style)
	if l.die != nil {
		m.lead = max(m.lead, l.die.Gripper)
	}
	return m
}
