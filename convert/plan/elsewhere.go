package plan

import (
	"slices"
	"time"

	"github.com/shopspring/decimal"

	"quoin/jdf/job"
	"quoin/validate/plant"
)

// Elsewhere is an operation on the other machines of the plant that can do the
// same, in the order of the plant file, with their times and costs. The amounts are
// left as they were planned, so that what comes before stays as it is. Presses are
// not among them: plates and layout are made for one.
func Elsewhere(pl *Plan, o *Operation, p *plant.Plant) []*Operation {
	w := elsewhere{plan: pl, op: o, plant: p}
	for _, s := range pl.Sheets {
		if s.Name == o.Sheet {
			w.sheet = s
		}
	}
	switch {
	case w.sheet == nil && o.Sheet != "":
	case o.Cut != nil:
		each(&w, p.Guillotines, w.cut)
	case o.Fold != nil:
		each(&w, p.Folders, w.fold)
	case o.Laminate != nil:
		each(&w, p.Laminators, w.laminate)
	case o.Varnish != nil:
		each(&w, p.Coaters, w.varnish)
	case o.Die != nil:
		each(&w, p.DieCutters, w.die)
	case o.Stitch != nil:
		each(&w, p.Stitchers, w.stitch)
	case o.Bind != nil:
		each(&w, p.Binders, w.bind)
	case o.Hand != nil:
		each(&w, p.HandWork, w.hand)
	}
	return w.found
}

type elsewhere struct {
	plan  *Plan
	op    *Operation
	sheet *Sheet // nil for what takes all
	plant *plant.Plant
	found []*Operation
}

// each tries the machines of a kind. A trial fills the operation in and gives the
// machine, or nil when that can not do it.
func each[M any](w *elsewhere, machines []M, try func(M, *Operation) *plant.Machine) {
	for _, m := range machines {
		next := *w.op
		next.WashUp = Time{}
		if machine := try(m, &next); machine != nil && machine.ID != w.op.Device {
			charge(&next, machine, w.plant)
			w.found = append(w.found, &next)
		}
	}
}

// timed sets the times of a run of n things at a speed; false when it comes to no end.
func timed(o *Operation, setup time.Duration, n int, speed decimal.Decimal) bool {
	run, moves := runTime(n, speed)
	o.Makeready, o.Run = whole(setup), run
	return moves
}

// good is what an operation runs at its speed.
func (w *elsewhere) good() int { return w.op.In - w.op.SetupWaste }

func (w *elsewhere) cut(m *plant.Guillotine, o *Operation) *plant.Machine {
	c, s := *o.Cut, w.sheet
	c.PerLift = perLift(m.Lift, s.Stock.Caliper)
	from := plant.Size(s.Size)
	if o.Step == StepStock {
		from = plant.Size(s.Stock.Size)
	} else if min(s.Piece.Width, s.Piece.Height)+plant.Slack < m.MinCut {
		return nil
	}
	// Whatever lies under the knife, either side of it may lie along the gauge.
	if c.PerLift == 0 || max(from.Width, from.Height) > min(m.MaxWidth, m.MaxDepth)+plant.Slack {
		return nil
	}
	lift := m.Load + time.Duration(c.Cuts)*m.Cut
	c.Lifts, c.LiftTime = ceilDiv(o.In, c.PerLift), whole(lift)
	o.Cut, o.Makeready, o.Run = &c, whole(m.Setup), whole(time.Duration(c.Lifts)*lift)
	return &m.Machine
}

func (w *elsewhere) fold(m *plant.Folder, o *Operation) *plant.Machine {
	i := slices.IndexFunc(m.Catalog, func(s plant.FoldScheme) bool {
		return s.Code == o.Fold.Code && s.Columns == w.sheet.FoldGrid[0] && s.Rows == w.sheet.FoldGrid[1]
	})
	size := plant.Size(w.sheet.Piece)
	if w.sheet.Uncut {
		size = plant.Size(w.sheet.Size)
	}
	if i < 0 || foldReason(m, &m.Catalog[i], size, w.sheet.Stock.Grammage) != "" {
		return nil
	}
	speed := plant.Look(m.Speed, decimal.NewFromFloat(w.sheet.Stock.Grammage))
	if !timed(o, m.Setup+time.Duration(o.Fold.Folds)*m.SetupPerFold, w.good(), speed) {
		return nil
	}
	step := *o.Fold
	step.Speed = int(speed.IntPart())
	o.Fold = &step
	return &m.Machine
}

func (w *elsewhere) laminate(m *plant.Laminator, o *Operation) *plant.Machine {
	r := &request{plant: w.plant}
	p := &part{film: film{front: true, kind: o.Laminate.Film}}
	stock := &plant.Stock{Grammage: w.sheet.Stock.Grammage}
	t, reason := r.laminates(m, p, stock, plant.Size(w.sheet.Size))
	if reason != "" || o.Laminate.Side == Both && !m.BothSides || !timed(o, m.Setup, w.good(), t.speed) {
		return nil
	}
	step := *o.Laminate
	step.Across, step.Speed = t.across, int(t.speed.IntPart())
	o.Laminate = &step
	return &m.Machine
}

func (w *elsewhere) varnish(m *plant.Coater, o *Operation) *plant.Machine {
	r := &request{plant: w.plant}
	stock := &plant.Stock{Grammage: w.sheet.Stock.Grammage}
	t, reason := r.varnishes(m, &part{}, o.Varnish.Coating, stock, plant.Size(w.sheet.Size))
	if reason != "" || t.what != o.Varnish.Coating || !timed(o, m.Setup, w.good(), t.speed) {
		return nil
	}
	step := *o.Varnish
	step.Dryers, step.Drying, step.Speed = slices.Clone(m.Dryers), whole(m.DryingTime), int(t.speed.IntPart())
	o.Varnish = &step
	return &m.Machine
}

func (w *elsewhere) die(m *plant.DieCutter, o *Operation) *plant.Machine {
	r := &request{plant: w.plant}
	s := w.sheet
	l := lay{
		stock: &plant.Stock{Grammage: s.Stock.Grammage, Caliper: s.Stock.Caliper}, sheet: plant.Size(s.Size),
		printing: printing{style: s.Style},
	}
	speed := plant.Look(m.Speed, decimal.NewFromFloat(s.Stock.Grammage))
	if m.Gripper > s.Margins.Lead || r.dieReason(m, l) != "" || !timed(o, m.Setup, w.good(), speed) {
		return nil
	}
	step := *o.Die
	step.Gripper, step.Speed = m.Gripper, int(speed.IntPart())
	o.Die = &step
	return &m.Machine
}

func (w *elsewhere) stitch(m *plant.Stitcher, o *Operation) *plant.Machine {
	s := &search{request: &request{plant: w.plant, page: plant.Size(w.plan.Finished),
		parts: []*part{{pages: w.plan.Pages}}, root: &job.Product{}}}
	step := *o.Stitch
	step.Speed = m.Speed
	creep := plant.Length(0)
	for _, sheet := range w.plan.Sheets {
		creep = max(creep, sheet.CreepTo)
	}
	switch {
	case s.stitcherTakes(m) != "" || m.Pockets < step.Sections || !m.Thickness.Contains(float64(step.Thickness)),
		m.MaxCreep > 0 && creep > m.MaxCreep,
		slices.ContainsFunc(w.plan.Sheets, func(sheet *Sheet) bool { return sheet.Lap > 0 && sheet.Lap < m.Lap }),
		!timed(o, m.Setup+time.Duration(step.Sections)*m.SetupPerPocket, w.good(), decimal.NewFromInt(int64(m.Speed))):
		return nil
	}
	o.Stitch = &step
	return &m.Machine
}

func (w *elsewhere) bind(m *plant.Binder, o *Operation) *plant.Machine {
	step := *o.Bind
	step.Speed = m.Speed
	cover := w.plan.Sheets[0].Stock.Grammage
	switch {
	case !between(plant.Size(w.plan.Finished), m.MinTrim, m.MaxTrim), m.Speed <= 0, m.Stations < step.Sections,
		gluable(m, step.Block, &plant.Stock{Grammage: cover}) != "",
		!timed(o, m.Setup+time.Duration(step.Sections)*m.SetupPerStation, w.good(), decimal.NewFromInt(int64(m.Speed))):
		return nil
	}
	o.Bind = &step
	return &m.Machine
}

func (w *elsewhere) hand(m *plant.HandWork, o *Operation) *plant.Machine {
	if m.Task != o.Hand.Task {
		return nil
	}
	o.Makeready, o.Run = whole(m.Setup), whole(time.Duration(int64(m.PerThousand)/1000*int64(o.In)))
	o.Hand = &HandStep{Task: m.Task, PerThousand: whole(m.PerThousand)}
	return &m.Machine
}
