package schedule

import (
	"cmp"
	"slices"
	"time"

	"quoin/convert/plan"
	"quoin/validate/plant"
)

// mostMoves is how many changes of machine are tried. It changes how good a
// schedule is found, never what one costs.
const mostMoves = 400

// elsewhere moves operations to other machines that can do them, one after the
// other, where a schedule that the priority rules make gets better by it: those
// first that wait longest for their machine. It gives works with the changed plans,
// and the planned machine of each operation that moved.
func elsewhere(works []Work, p *plant.Plant, now time.Time, from *timing) ([]Work, map[*plan.Operation]string) {
	m := &mover{works: slices.Clone(works), plant: p, now: now, moved: map[*plan.Operation]string{}}
	m.value = m.quick()
	for _, x := range waiting(from) {
		if m.tried >= mostMoves {
			break
		}
		k := from.tasks[x]
		m.try(k.job, k.op)
	}
	return m.works, m.moved
}

// waiting are the tasks of a schedule that wait for their machine, longest first.
func waiting(t *timing) []int {
	wait := make([]int64, len(t.tasks))
	var all []int
	for x := range t.tasks {
		if wait[x] = t.start[x] - t.sheets(x); wait[x] > 0 {
			all = append(all, x)
		}
	}
	slices.SortStableFunc(all, func(a, b int) int { return cmp.Compare(wait[b], wait[a]) })
	return all
}

type mover struct {
	works []Work
	plant *plant.Plant
	now   time.Time
	value objective
	tried int
	moved map[*plan.Operation]string
}

// quick is the best of what the priority rules make of the plans.
func (m *mover) quick() objective {
	b := newProblem(m.works, m.plant, m.now, true)
	var best objective
	for i, r := range priorities {
		if v := b.build(r).value; i == 0 || v.compare(best) < 0 {
			best = v
		}
	}
	return best
}

// try puts an operation on each other machine, and leaves it where that is best.
func (m *mover) try(number int, op *plan.Operation) {
	planned, home := m.works[number].Plan, op.Device
	for _, other := range plan.Elsewhere(planned, op, m.plant) {
		next := *planned
		next.Operations = slices.Clone(planned.Operations)
		next.Operations[slices.Index(planned.Operations, op)] = other
		m.works[number].Plan = &next
		m.tried++
		v := m.quick()
		if v.compare(m.value) >= 0 {
			m.works[number].Plan = planned
			continue
		}
		delete(m.moved, op)
		m.value, m.moved[other] = v, home
		planned, op = &next, other
	}
}
