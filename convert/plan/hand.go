package plan

import (
	"slices"
	"time"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/validate"
	"quoin/validate/plant"
)

// task is work that the ticket wants done by hand to all finished pieces.
type task struct {
	process string // of the standard
	at      jdf.Place
}

// intentTasks are the processes behind the wishes of a product that no machine of
// a plan does.
var intentTasks = map[string]string{
	"AssemblingIntent": "Assembling", "EmbossingIntent": "Embossing", "HoleMakingIntent": "HoleMaking",
	"InsertingIntent": "Inserting",
	"NumberingIntent": "Numbering", "TabsIntent": "TabCutting",
}

// packing lists the processes that change nothing of the product. They are
// planned where the plant has people for them, and left to delivery elsewhere.
var packing = map[string]bool{
	"BoxPacking": true, "Bundling": true, "Palletizing": true, "Shrinking": true, "Stacking": true, "Strapping": true,
	"Wrapping": true,
}

// byHand reports whether the plant has a place of hand work for a process.
func (r *request) byHand(process string) bool {
	return slices.ContainsFunc(r.plant.HandWork, func(h *plant.HandWork) bool { return h.Task == process })
}

// wantHand takes a task in, once for each product.
func (r *request) wantHand(process string, at jdf.Place) {
	if !slices.ContainsFunc(r.hand, func(t task) bool { return t.process == process }) {
		r.hand = append(r.hand, task{process: process, at: at})
	}
}

// handed adds the hand work to a way: after all machines, in the order of the
// ticket, each task where it costs least. It is false when a place that the
// ticket names does not do the work.
func (s *search) handed(w way) (way, bool) {
	for _, t := range s.hand {
		best := s.handOp(t)
		if best == nil {
			s.bar("ticket names another place for " + t.process)
			return w, false
		}
		w.ops = append(slices.Clip(w.ops), best)
		w.cost = w.cost.Add(best.Cost)
	}
	return w, true
}

func (s *search) handOp(t task) *Operation {
	var best *Operation
	for _, h := range s.plant.HandWork {
		if h.Task != t.process || !s.fixed.allows(onBench, h.ID) {
			continue
		}
		o := operation(StepHand, "pieces", "pieces", loss{in: s.pieces()}, s.pieces())
		o.Makeready = whole(h.Setup)
		o.Run = whole(time.Duration(int64(h.PerThousand) / 1000 * int64(s.pieces())))
		o.Hand = &HandStep{Task: h.Task, PerThousand: whole(h.PerThousand)}
		charge(o, &h.Machine, s.plant)
		if best == nil || o.Cost.LessThan(best.Cost) {
			best = o
		}
	}
	return best
}

// pieces is all that is delivered, of all products.
func (s *search) pieces() int {
	if len(s.items) == 0 {
		return s.quantity
	}
	n := 0
	for _, it := range s.items {
		n += it.quantity
	}
	return n
}

// finishing reads the operations of the ticket that a plan holds beside
// printing, cutting, folding and binding, and refuses those that nobody in the
// plant does.
func (r *request) finishing() bool {
	for _, op := range r.job.Operations {
		switch {
		case op.Type == "ManualLabor":
			if !r.labor(op) {
				return false
			}
		case (finishing[op.Type] || packing[op.Type]) && r.byHand(op.Type):
			r.wantHand(op.Type, op.TypeAt)
		case packing[op.Type]:
			r.note("the plant has nobody for " + op.Type + "; it is left to delivery")
		case finishing[op.Type] && !(glueWork[op.Type] && r.root.Binding.Type.Value == softCover):
			return r.fail(notPlanned, op.TypeAt, validate.F("work", "operation "+op.Type))
		}
	}
	return true
}

// labor takes in work that the ticket itself has done by hand, under its name.
func (r *request) labor(op *job.Operation) bool {
	name := manualTask(op)
	if name == "" || !r.byHand(name) {
		return r.fail(notPlanned, op.TypeAt, validate.F("work", "operation ManualLabor "+name))
	}
	r.wantHand(name, op.TypeAt)
	return true
}

// manualTask is the LaborType of an operation that is done by hand.
func manualTask(op *job.Operation) string {
	const kind = "ManualLaborParams"
	for _, u := range op.Inputs {
		if u.Kind != kind {
			continue
		}
		if n := u.Node.Child(kind); n.Valid() {
			return n.Get("LaborType")
		}
		if n := resourceByID(op, kind, u.Node.Get("rRef")); n.Valid() {
			return n.Get("LaborType")
		}
		return u.Node.Get("LaborType")
	}
	return ""
}
