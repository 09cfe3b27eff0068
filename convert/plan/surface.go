package plan

import (
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"quoin/validate/plant"
)

// film is what is laid on a part, beside its printing.
type film struct {
	front, back bool
	kind        string // gloss, matt, soft touch; "" leaves it to the laminator
}

func (f film) given() bool { return f.front || f.back }

// run is one trip of the printed sheets through a laminator or a varnishing
// machine; the other of the two is nil.
type run struct {
	laminator *plant.Laminator
	coater    *plant.Coater
	side      Surface
	what      string          // film or coating
	across    plant.Length    // of the sheet on a laminator
	speed     decimal.Decimal // sheets an hour
}

// surfacing is one way of giving a sheet what it wants on its surface.
type surfacing struct {
	coat string // what the press lays beside the ink, "" for nothing
	runs []run  // after printing, in their order
}

// surfacings are the ways of coating and laminating a part on a press sheet. The
// press coats where it can, and so do machines beside it. Film is laid on ink,
// and a coating beside the press over the film.
//
// Common practice, no source: varnish takes on film, and few films on varnish.
func (r *request) surfacings(
	p *part, stock *plant.Stock, press *plant.Press, sheet plant.Size, count tally,
) []surfacing {
	films, ok := r.filmings(p, stock, sheet, count)
	if !ok {
		return nil
	}
	var all []surfacing
	for _, c := range r.coatings(p, stock, press, sheet, count) {
		for _, f := range films {
			all = append(all, surfacing{coat: c.coat, runs: slices.Concat(f, c.runs)})
		}
	}
	return all
}

// filmings are the runs of each laminator that can lay the film; one way
// without runs where no film is wanted.
func (r *request) filmings(p *part, stock *plant.Stock, sheet plant.Size, count tally) ([][]run, bool) {
	if !p.film.given() {
		return [][]run{nil}, true
	}
	var all [][]run
	for _, m := range r.plant.Laminators {
		base, reason := r.laminates(m, p, stock, sheet)
		if reason != "" {
			count.add(reason)
			continue
		}
		all = append(all, onSides(base, p.film.front, p.film.back, m.BothSides))
	}
	return all, len(all) > 0
}

// onSides are the runs that do both sides, or the one that is wanted.
func onSides(base run, front, back, together bool) []run {
	if front && back && together {
		base.side = Both
		return []run{base}
	}
	var all []run
	for _, s := range []struct {
		side Surface
		want bool
	}{{Front, front}, {Back, back}} {
		if s.want {
			base.side = s.side
			all = append(all, base)
		}
	}
	return all
}

// laminates says how a laminator takes a sheet, with the edge across its run
// that gives the most sheets an hour, or why it does not.
func (r *request) laminates(m *plant.Laminator, p *part, stock *plant.Stock, sheet plant.Size) (run, string) {
	kind := p.film.kind
	switch {
	case !r.fixed.allows(onLaminator, m.ID):
		return run{}, "ticket names another laminator"
	case !m.Grammage.Contains(stock.Grammage):
		return run{}, "stock weight outside what the laminator takes"
	case kind != "" && !hasWord(m.Films, kind):
		return run{}, "laminator has no film of that kind"
	}
	if kind == "" && len(m.Films) > 0 {
		kind = m.Films[0]
	}
	best := run{laminator: m, what: kind}
	for _, lies := range bothWays(sheet) {
		if lies.Width > m.MaxWidth+plant.Slack || lies.Width < m.MinWidth-plant.Slack {
			continue
		}
		if speed := m.Speed.SheetsAnHour(lies.Height); speed.GreaterThan(best.speed) {
			best.across, best.speed = lies.Width, speed
		}
	}
	if best.speed.Sign() <= 0 {
		return run{}, "neither side of the sheet suits the laminator"
	}
	return best, ""
}

// coatings are the ways of coating a part: in the press, and on each machine
// beside it that can; one way that does nothing where no coating is wanted.
func (r *request) coatings(p *part, stock *plant.Stock, press *plant.Press, sheet plant.Size, count tally) []surfacing {
	kind := p.coating()
	if kind == "" {
		return []surfacing{{}}
	}
	var all []surfacing
	if word, reason := r.coatsInPress(press, p, kind); reason == "" {
		all = append(all, surfacing{coat: word})
	} else {
		count.add(reason)
	}
	for _, m := range r.plant.Coaters {
		base, reason := r.varnishes(m, p, kind, stock, sheet)
		if reason != "" {
			count.add(reason)
			continue
		}
		all = append(all, surfacing{runs: onSides(base, p.front.coating != "", p.back.coating != "", false)})
	}
	return all
}

func (r *request) coatsInPress(m *plant.Press, p *part, kind string) (word, reason string) {
	word, lays := laid(m.Coatings, kind)
	switch {
	case r.fixed.beside:
		return "", "ticket has the coating laid beside the press"
	case !lays:
		return "", "press can not lay the coating"
	case !r.fixed.allows(onCoater, m.ID):
		return "", "ticket names another machine for the coating"
	case p.front.coating != "" && len(p.front.colors) == 0, p.back.coating != "" && len(p.back.colors) == 0:
		return "", "press can not coat a side that it does not print"
	}
	return word, ""
}

// varnishes says how a machine beside the presses coats a sheet, or why it does not.
func (r *request) varnishes(m *plant.Coater, p *part, kind string, stock *plant.Stock, sheet plant.Size) (run, string) {
	word, lays := laid(m.Coatings, kind)
	speed := plant.Look(m.Speed, decimal.NewFromFloat(stock.Grammage))
	switch {
	case r.fixed.inPress:
		return run{}, "ticket has the coating laid in the press"
	case !lays:
		return run{}, "varnishing machine can not lay the coating"
	case !r.fixed.allows(onCoater, m.ID):
		return run{}, "ticket names another machine for the coating"
	case word == string(plant.UVCoating) && !hasWord(m.Dryers, "UV"):
		return run{}, "varnishing machine has no lamps for UV"
	case !m.Grammage.Contains(stock.Grammage):
		return run{}, "stock weight outside what the varnishing machine takes"
	case !between(sheet, m.MinSheet, m.MaxSheet) && !between(sheet.Turned(), m.MinSheet, m.MaxSheet):
		return run{}, "sheet outside the formats of the varnishing machine"
	case speed.Sign() <= 0:
		return run{}, "plant states no speed of the varnishing machine for the stock weight"
	}
	return run{coater: m, what: word, speed: speed}, ""
}

// anyCoating is a coating that the ticket leaves to the plant.
const anyCoating = string(plant.VarnishCoating)

// laid is the coating out of a list that answers the one wanted: itself, or the
// first of all where the ticket does not say which varnish.
func laid(coatings []string, kind string) (string, bool) {
	i := slices.IndexFunc(coatings, func(c string) bool { return strings.EqualFold(c, kind) })
	switch {
	case i >= 0:
		return coatings[i], true
	case kind == anyCoating && len(coatings) > 0:
		return coatings[0], true
	}
	return "", false
}

// surfaceOp works one run over the surface back from the sheets that it has to
// deliver.
func (r *request) surfaceOp(t run, sheet plant.Size, out int) (*Operation, []*Material, bool) {
	if t.coater != nil {
		return r.varnishOp(t, sheet, out)
	}
	w, ok := back(out, t.laminator.Spoilage, t.side.Surfaces(), r.plant.Compounding)
	o := operation(StepLaminate, "sheets", "sheets", w, out)
	moves := false
	o.Run, moves = runTime(w.in-w.setup, t.speed)
	o.Makeready = whole(t.laminator.Setup)
	o.Laminate = &LaminateStep{Film: t.what, Side: t.side, Across: t.across, Speed: int(t.speed.IntPart())}
	charge(o, &t.laminator.Machine, r.plant)
	m2 := area(sheet).Mul(decimal.NewFromInt(int64(w.in * t.side.Surfaces())))
	film := &Material{
		Kind: Film, Name: t.what, Quantity: m2.Round(1), Unit: "m2", Price: t.laminator.FilmPrice, PriceFor: 1,
		Cost: money(m2.Mul(t.laminator.FilmPrice), r.plant),
	}
	return o, []*Material{film}, ok && moves
}

func (r *request) varnishOp(t run, sheet plant.Size, out int) (*Operation, []*Material, bool) {
	m := t.coater
	w, ok := back(out, m.Spoilage, t.side.Surfaces(), r.plant.Compounding)
	o := operation(StepVarnish, "sheets", "sheets", w, out)
	moves := false
	o.Run, moves = runTime(w.in-w.setup, t.speed)
	o.Makeready = whole(m.Setup)
	o.Varnish = &VarnishStep{
		Coating: t.what, Side: t.side, Dryers: slices.Clone(m.Dryers), Drying: whole(m.DryingTime),
		Speed: int(t.speed.IntPart()),
	}
	charge(o, &m.Machine, r.plant)
	price, _ := r.plant.PriceOfCoating(m, t.what)
	kg := area(sheet).Mul(m.CoatingFilm).Mul(decimal.NewFromInt(int64(w.in))).Shift(-3)
	return o, []*Material{r.weighed(Coating, t.what, kg, price)}, ok && moves
}

// beside names the machines that finish the surface, for the title of a way.
func (l lay) besideWords() string {
	text := ""
	for _, t := range l.runs {
		switch {
		case t.laminator != nil:
			text += ", laminated on " + t.laminator.ID
		default:
			text += ", coated on " + t.coater.ID
		}
		if t.side == Back {
			text += " (back)"
		}
	}
	return text
}
