package plan

import (
	"cmp"
	"fmt"
	"math/bits"
	"slices"
	"strings"
)

// mostGrouped is the number of products up to which every way of sharing them
// among forms is tried. More are grouped step by step.
const mostGrouped = 6

// group is some of the products, a bit for each.
type group uint64

func (g group) members() []int {
	var all []int
	for ; g != 0; g &= g - 1 {
		all = append(all, bits.TrailingZeros64(uint64(g)))
	}
	return all
}

// mostProducts bounds the products that are grouped, by the bits of a group.
const mostProducts = 63

// partly offers the best way that gangs some of the products and not all of them.
// What each group costs does not depend on the others, so that up to mostGrouped
// products are shared out in the best of all ways.
func (s *search) partly(all []int) {
	if len(all) > mostProducts {
		s.note("with so many products, forms for some of them were not looked for")
		return
	}
	t := &grouping{search: s, known: map[group]*way{}}
	whole := group(1)<<len(all) - 1
	var best []group
	if len(all) <= mostGrouped {
		best = t.share(whole, map[group][]group{})
	} else {
		best = t.merge(whole)
	}
	if len(best) < 2 || len(best) == len(all) {
		return // all together or all apart, which are offered already
	}
	slices.SortFunc(best, func(a, b group) int { return cmp.Compare(a.members()[0], b.members()[0]) })
	var ways []*way
	var names []string
	for _, g := range best {
		ways = append(ways, t.way(g))
		names = append(names, s.nameOf(g))
	}
	w := gathered(ways)
	w.key, w.title = "partly", "partly together: "+strings.Join(names, "; ")
	s.offer(w)
}

func (s *search) nameOf(g group) string {
	var names []string
	for _, i := range g.members() {
		names = append(names, label(s.items[i].root))
	}
	return strings.Join(names, " + ")
}

// grouping shares products out among forms.
type grouping struct {
	*search
	known map[group]*way // best way of a group, nil for none
}

// way is the cheapest way of making a group: of one product by itself, of several
// on one form.
func (t *grouping) way(g group) *way {
	if w, have := t.known[g]; have {
		return w
	}
	members := g.members()
	var best *way
	if len(members) == 1 {
		best = t.own[members[0]]
	} else if t.gangable(members) == "" {
		t.gangs(members, func(w way) {
			if best == nil || w.cost.LessThan(best.cost) {
				best = &w
			}
		})
	}
	t.known[g] = best
	return best
}

// share is the cheapest way of sharing a group out, nil for none: the form of its
// first product takes every set of the others in turn.
func (t *grouping) share(g group, done map[group][]group) []group {
	if g == 0 {
		return []group{}
	}
	if have, ok := done[g]; ok {
		return have
	}
	first := g & -g
	rest := g &^ first
	var best []group
	for others := rest; ; others = (others - 1) & rest {
		with := first | others
		if t.way(with) != nil {
			if left := t.share(g&^with, done); left != nil {
				if all := append([]group{with}, left...); best == nil || t.cheaper(all, best) {
					best = all
				}
			}
		}
		if others == 0 {
			break
		}
	}
	done[g] = best
	return best
}

func (t *grouping) cheaper(a, b []group) bool {
	return gathered(t.ways(a)).cost.LessThan(gathered(t.ways(b)).cost)
}

func (t *grouping) ways(groups []group) []*way {
	var all []*way
	for _, g := range groups {
		all = append(all, t.way(g))
	}
	return all
}

// merge begins with each product by itself and puts those two groups together that
// save the most, as long as any do. That need not be the best of all ways.
func (t *grouping) merge(g group) []group {
	t.note(fmt.Sprintf("over %d products are put together two by two, as long as that saves", mostGrouped))
	var groups []group
	for _, i := range g.members() {
		if t.way(1<<i) == nil {
			return nil
		}
		groups = append(groups, 1<<i)
	}
	for {
		var best []group
		for i := range groups {
			for k := i + 1; k < len(groups); k++ {
				next := slices.Clone(groups)
				next[i] |= next[k]
				next = slices.Delete(next, k, k+1)
				if t.way(next[i]) != nil && t.cheaper(next, either(best, groups)) {
					best = next
				}
			}
		}
		if best == nil {
			return groups
		}
		groups = best
	}
}

// either is the first of two lists that is not empty.
func either(a, b []group) []group {
	if len(a) > 0 {
		return a
	}
	return b
}
