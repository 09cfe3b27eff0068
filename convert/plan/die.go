package plan

import (
	"github.com/shopspring/decimal"

	"quoin/validate/plant"
)

// dieReason says why a die cutter can not cut the pieces out of a printed sheet,
// or "". The sheet comes to it by the gripper edge that it was printed by, so
// that print and cut have one guide. On a turned or tumbled form half of the
// pieces would lie face down under the die.
//
// Common practice, no source: gripper and lay of press and platen are the same.
func (r *request) dieReason(m *plant.DieCutter, l lay) string {
	switch {
	case !r.fixed.allows(onDieCutter, m.ID):
		return "ticket names another die cutter"
	case !m.Grammage.Contains(l.stock.Grammage):
		return "stock weight outside what the die cutter takes"
	case !m.Caliper.Contains(l.stock.Caliper):
		return "stock thickness outside what the die cutter takes"
	case !between(l.sheet, m.MinSheet, m.MaxSheet):
		return "sheet outside the formats of the die cutter, gripper edge first"
	case l.printing.style == WorkAndTurn || l.printing.style == WorkAndTumble:
		return "a turned form has half of its pieces face down under the die"
	case plant.Look(m.Speed, decimal.NewFromFloat(l.stock.Grammage)).Sign() <= 0:
		return "plant states no speed of the die cutter for the stock weight"
	}
	return ""
}

// cutters are the lay for each die cutter that can cut it where a die is
// wanted, with the grip that it needs; else the lay as it is.
func (r *request) cutters(l lay, count tally) []lay {
	if !l.part.die {
		return []lay{l}
	}
	var all []lay
	for _, m := range r.plant.DieCutters {
		if reason := r.dieReason(m, l); reason != "" {
			count.add(reason)
			continue
		}
		l.die = m
		all = append(all, l)
	}
	return all
}

// dieOp works a run of the die cutter back from the sheets that it has to cut.
func (r *request) dieOp(l lay, out int) (*Operation, bool) {
	w, ok := back(out, l.die.Spoilage, 1, r.plant.Compounding)
	o := operation(StepDieCut, "sheets", "pieces", w, out*l.grid.ups())
	speed := plant.Look(l.die.Speed, decimal.NewFromFloat(l.stock.Grammage))
	run, moves := runTime(w.in-w.setup, speed)
	o.Run, o.Makeready = run, whole(l.die.Setup)
	o.Die = &DieStep{Ups: l.grid.ups(), Gripper: l.die.Gripper, Speed: int(speed.IntPart())}
	charge(o, &l.die.Machine, r.plant)
	return o, ok && moves
}
