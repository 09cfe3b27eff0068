package plant

import (
	"slices"

	"quoin/jdf/job"
	"quoin/validate"
)

// named are the ids of the machines that an operation is for, none when the
// ticket leaves it open. It is false when the ticket names only machines that
// the plant lacks or that do other work, which is reported.
func (c *checker) named(op *job.Operation, s *step) (ids []string, ok bool) {
	var others, unknown []job.Fact[string]
	for _, d := range op.Devices {
		switch kind, known := c.kinds[d.ID.Value]; {
		case !d.ID.Given:
		case !known:
			unknown = append(unknown, d.ID)
		case s.does(kind):
			ids = append(ids, d.ID.Value)
		default:
			others = append(others, d.ID)
		}
	}
	if len(ids) > 0 || len(others)+len(unknown) == 0 {
		return ids, true
	}
	// A device that is named for several steps together may be meant for
	// another of them; then this step is left open.
	foreign := false
	for _, sibling := range c.perNode[op.Node.Index()] {
		t := kindOf(sibling.Type)
		foreign = foreign || t == nil
		for _, d := range others {
			if t != nil && t.does(c.kinds[d.Value]) {
				return nil, true
			}
		}
	}
	if foreign && len(others) == 0 {
		return nil, true
	}
	for _, d := range others {
		c.emit(wrongDevice.At(d.Place, validate.F("value", d.Value), validate.F("kind", c.kinds[d.Value]),
			validate.F("what", op.Type), validate.F("want", article(s.kind)),
			validate.F("choices", orNone(c.ofKind(s)))))
	}
	for _, d := range unknown {
		c.emit(unknownDevice.At(d.Place, validate.F("value", d.Value), validate.F("plant", c.plant.Name),
			validate.F("choices", orNone(c.ofKind(s))), nearFact(d.Value, c.ofKind(s))))
	}
	return nil, false
}

// byHand reports whether an operation is hand work in this plant: the ticket
// names such a place for it, or no machine does it.
func (c *checker) byHand(op *job.Operation, s *step) bool {
	if !c.plant.handWork(op.Type) {
		return false
	}
	for _, d := range op.Devices {
		if c.kinds[d.ID.Value] == handWork {
			return true
		}
	}
	return len(c.ofKind(s)) == 0
}

// handWork reports whether a process or a binding is done by hand.
func (p *Plant) handWork(task string) bool {
	return slices.ContainsFunc(p.HandWork, func(h *HandWork) bool { return h.Task == task })
}

func article(kind string) string {
	if kind == offsetPress {
		return "an " + kind
	}
	return "a " + kind
}

// ofKind are the ids of the machines that do a step, sorted.
func (c *checker) ofKind(s *step) []string {
	var ids []string
	for id, k := range c.kinds {
		if s.does(k) {
			ids = append(ids, id)
		}
	}
	slices.Sort(ids)
	return ids
}

func orNone(ids []string) string {
	if len(ids) == 0 {
		return "a machine that the plant has"
	}
	return validate.Choices(ids)
}
