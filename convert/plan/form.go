package plan

import (
	"slices"
	"strings"
	"time"

	"github.com/shopspring/decimal"

	"quoin/validate/plant"
)

// form is one costed way of making one form.
type form struct {
	lay
	sheet *Sheet
	ops   []*Operation
	mats  []*Material
	cost  decimal.Decimal
}

// make works a lay back from the pieces that it has to deliver, operation by
// operation, and costs it. The first form of a part on a press takes the full
// setup and carries the wash-up. It is false when waste leaves nothing over.
func (r *request) make(l lay, need int, first bool) (form, bool) {
	r.costed++
	f := form{lay: l, sheet: r.describe(l)}
	n, ok := need*max(1, l.leaves), true
	var fold, cut, printed, stock *Operation
	var surfaces []*Operation
	var films []*Material
	if l.folder != nil {
		if fold, ok = r.foldOp(l, n); !ok {
			return f, false
		}
		n = fold.In
	}
	if sheets := ceilDiv(n, l.grid.ups()); l.uncut {
		n = sheets
	} else {
		if cut, ok = r.apartOp(l, sheets); !ok {
			return f, false
		}
		n = cut.In
	}
	for _, t := range slices.Backward(l.runs) {
		o, mats, ok := r.surfaceOp(t, l.sheet, n)
		if !ok {
			return f, false
		}
		surfaces, films, n = slices.Insert(surfaces, 0, o), slices.Concat(mats, films), o.In
	}
	f.sheet.Good = n
	var through pressLoss
	if printed, through, ok = r.printOp(l, n, first); !ok {
		return f, false
	}
	f.sheet.Gross, n = printed.In, ceilDiv(printed.In, l.across*l.down)
	if l.across*l.down > 1 {
		if stock, ok = r.stockOp(l, n); !ok {
			return f, false
		}
		n = stock.In
	}
	f.sheet.Bought = n
	for _, o := range slices.Concat([]*Operation{stock, printed}, surfaces, []*Operation{cut, fold}) {
		if o != nil {
			f.ops = append(f.ops, o)
		}
	}
	f.mats = append(r.materials(f, through), films...)
	if l.die != nil {
		f.mats = append(f.mats, r.line(Die, "for "+l.die.ID, 1, "die", l.die.DiePrice, 1))
	}
	f.cost = sum(f.ops, f.mats)
	return f, true
}

func (r *request) foldOp(l lay, out int) (*Operation, bool) {
	w, ok := back(out, l.folder.Spoilage, l.scheme.Folds, r.plant.Compounding)
	speed := plant.Look(l.folder.Speed, decimal.NewFromFloat(l.stock.Grammage))
	run, moves := runTime(w.in-w.setup, speed)
	o := operation(StepFold, "sheets", "pieces", w, out)
	if l.sectional {
		o.OutUnit = "sections"
	}
	o.Makeready = whole(l.folder.Setup + time.Duration(l.scheme.Folds)*l.folder.SetupPerFold)
	o.Run = run
	o.Fold = &FoldStep{Code: l.scheme.Code, Folds: l.scheme.Folds, Speed: int(speed.IntPart())}
	charge(o, &l.folder.Machine, r.plant)
	return o, ok && moves
}

// apartOp takes the printed sheets apart, with a die or on a guillotine.
func (r *request) apartOp(l lay, out int) (*Operation, bool) {
	if l.die != nil {
		return r.dieOp(l, out)
	}
	return r.cutOp(l, out)
}

func (r *request) cutOp(l lay, out int) (*Operation, bool) {
	w, ok := back(out, l.guillotine.Spoilage, 0, r.plant.Compounding)
	o := operation(StepCut, "sheets", "pieces", w, out*l.grid.ups())
	switch {
	case l.scheme != nil && l.scheme.Folds == 0:
		o.OutUnit = "leaves"
	case l.folder != nil || l.sectional:
		o.OutUnit = "sheets"
	}
	r.guillotine(o, l, l.cutting.cuts)
	return o, ok
}

func (r *request) stockOp(l lay, out int) (*Operation, bool) {
	w, ok := back(out, l.guillotine.Spoilage, 0, r.plant.Compounding)
	o := operation(StepStock, "bought sheets", "sheets", w, out*l.across*l.down)
	r.guillotine(o, l, len(l.stockCuts))
	o.Cut.Program = l.stockCuts
	return o, ok
}

// guillotine times a run: setup, and for each lift loading and its cuts.
func (r *request) guillotine(o *Operation, l lay, cuts int) {
	g := l.guillotine
	per := perLift(g.Lift, l.stock.Caliper)
	lift := g.Load + time.Duration(cuts)*g.Cut
	o.Cut = &CutStep{PerLift: per, Lifts: ceilDiv(o.In, per), Cuts: cuts, LiftTime: whole(lift)}
	o.Makeready = whole(g.Setup)
	o.Run = whole(time.Duration(o.Cut.Lifts) * lift)
	charge(o, &g.Machine, r.plant)
}

func operation(step Step, inUnit, outUnit string, w loss, out int) *Operation {
	return &Operation{
		Step: step, InUnit: inUnit, OutUnit: outUnit,
		In: w.in, Out: out, SetupWaste: w.setup, RunningWaste: w.running,
	}
}

func (r *request) printOp(l lay, out int, first bool) (*Operation, pressLoss, bool) {
	p, w := l.press, l.printing
	t, ok := backPasses(out, p, w, l.stock, first, r.plant.Compounding)
	speed := pressSpeed(p, w.style, l.stock)
	run, moves := runTime(t.good, speed)
	o := operation(StepPrint, "sheets", "sheets", t.loss, out)
	o.Run = run
	o.Print = &PrintStep{
		Digital: p.Kind == plant.Digital, Style: w.style, Makereadies: w.makereadies(), Passes: len(w.passes),
		Impressions: t.through, Dryers: slices.Clone(p.Dryers), Speed: int(speed.IntPart()),
	}
	ready, path := pressMakeready(p, w, l.stock, first)
	o.Makeready, o.Print.Path = whole(ready), path
	if p.Kind == plant.Digital && !first {
		o.Print.Makereadies = 0
	}
	o.WashUp = whole(washTime(l, first))
	charge(o, &p.Machine, r.plant)
	return o, t, ok && moves
}

// washTime is the washing that a form brings: between its own passes, before it
// where another form of its part has left other inks, and, for the first of a
// part, of all units when the part is done.
func washTime(l lay, first bool) time.Duration {
	p, w := l.press, l.printing
	if p.Kind == plant.Digital {
		if first {
			return time.Duration(w.unitsUsed()) * p.WashUp
		}
		return 0
	}
	within, again := washesOf(passInks(w.style, p.Units, l.part.ink(false)), p.Units)
	if first {
		return within.time(p) + time.Duration(w.unitsUsed())*p.WashUp
	}
	return within.and(again).time(p)
}

func hasWord(words []string, word string) bool {
	return slices.ContainsFunc(words, func(w string) bool { return strings.EqualFold(w, word) })
}

// describe is the sheet without its amounts.
func (r *request) describe(l lay) *Sheet {
	s := &Sheet{
		Part: l.part.name, Size: Format(l.sheet), Press: l.press.ID,
		Style: l.printing.style, Front: l.part.front.colors, Back: l.part.back.colors, Plates: l.printing.plates,
		Columns: l.grid.columns, Rows: l.grid.rows, Piece: Format(l.grid.piece), Turned: l.grid.turned,
		Bleed: l.bleed, Gutter: l.gutter, Uncut: l.uncut, DieCut: l.die != nil,
		PiecePages: 2, FoldGrid: [2]int{1, 1}, Leaves: l.leaves,
		Margins: Margins{
			Lead: l.grid.margins.lead, Trail: l.grid.margins.trail, Side: l.grid.margins.side, ColorBar: l.press.ColorBar,
		},
		Trim: l.trim, Lap: l.lap, GrindOff: l.grind, Spine: l.spine,
		Stock: StockUse{
			ID: l.stock.ID, Name: l.stock.Name, Size: Format(l.stock.Size), Grammage: l.stock.Grammage,
			Caliper: l.stock.Caliper, Coating: l.stock.Coating, Grain: l.stock.Grain, Across: l.across, Down: l.down,
		},
	}
	if l.part.front.coating != "" {
		s.CoatFront = l.coat
	}
	if l.part.back.coating != "" {
		s.CoatBack = l.coat
	}
	if len(l.grid.more) > 0 {
		for _, f := range l.grid.fields() {
			s.Fields = append(s.Fields, Field{f.columns, f.rows, Format(f.piece), f.turned, f.item})
		}
	}
	if l.scheme != nil && l.scheme.Folds > 0 {
		s.Fold, s.FoldGrid, s.PiecePages = l.scheme.Code, [2]int{l.scheme.Columns, l.scheme.Rows}, l.scheme.Pages()
	}
	return s
}
