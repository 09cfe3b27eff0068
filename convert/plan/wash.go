package plan

import (
	"slices"
	"time"

	"quoin/validate/plant"
)

// darkness orders the process inks from light to dark.
//
// Common practice, no source: sheets are run dark to light, black, cyan,
// magenta and yellow, and units go the other way with the least washing.
var darkness = map[string]int{"Yellow": 1, "Magenta": 2, "Cyan": 3, "Black": 4}

// Darker is how many of the inks that come in can be paired with a lighter one
// that goes out, both process inks: such a unit needs no colour wash-up.
func Darker(out, in []string) int {
	level := func(names []string) []int {
		var all []int
		for _, name := range names {
			if d := darkness[name]; d > 0 {
				all = append(all, d)
			}
		}
		slices.Sort(all)
		return all
	}
	light, pairs := level(out), 0
	for _, d := range level(in) {
		if pairs < len(light) && light[pairs] < d {
			pairs++
		}
	}
	return pairs
}

// wash is the units that are washed, and how many of them take the colour
// wash-up beside.
type wash struct{ plain, color int }

func (w wash) time(p *plant.Press) time.Duration {
	return time.Duration(w.plain)*p.WashUp + time.Duration(w.color)*p.WashUpColor
}

func (w wash) and(o wash) wash { return wash{w.plain + o.plain, w.color + o.color} }

// passInks are the separations of each makeready of a form in their order, cut
// apart as passes takes them.
func passInks(style Style, units int, k ink) [][]string {
	cut := func(colors []string) [][]string { return slices.Collect(slices.Chunk(colors, max(1, units))) }
	switch style {
	case WorkAndTurn, WorkAndTumble:
		return cut(unite(k.front, k.back))
	case Perfecting:
		return nil // each side has its own units, in one pass
	}
	return append(cut(k.front), cut(k.back)...)
}

// washesOf is what is washed between the makereadies of a form, and between its
// last and the first of another form with the same inks. A unit is washed when the
// next ink needs it: inks that a pass does not use stay in theirs.
//
// Between forms of different parts, and between jobs, it is the schedule that
// knows what comes after what.
func washesOf(inks [][]string, units int) (within, again wash) {
	if len(inks) == 0 {
		return within, again
	}
	loaded := inks[0]
	for _, next := range inks[1:] {
		var w wash
		w, loaded = reload(loaded, next, units)
		within = within.and(w)
	}
	again, _ = reload(loaded, inks[0], units)
	return within, again
}

// reload brings the next inks into the units, clean ones first.
func reload(loaded, next []string, units int) (wash, []string) {
	var in, idle []string
	for _, c := range next {
		if !slices.Contains(loaded, c) {
			in = append(in, c)
		}
	}
	for _, c := range loaded {
		if !slices.Contains(next, c) {
			idle = append(idle, c)
		}
	}
	need := min(len(idle), max(0, len(in)-max(0, units-len(loaded))))
	w := wash{plain: need, color: max(0, need-Darker(idle, in))}
	return w, append(slices.Clone(next), idle[need:]...)
}
