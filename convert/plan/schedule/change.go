package schedule

import (
	"slices"

	"quoin/convert/plan"
	"quoin/validate/plant"
)

// ink is what stands in the units of a press after a form: how many units have
// each separation.
type ink struct {
	names []string // rising, each once
	units []int
	total int
}

// inkOf is the ink of a sheet. Perfecting has a unit for each colour of each
// side; other styles print one side at a time, and what is on both sides keeps
// its unit.
func inkOf(s *plan.Sheet, units int) ink {
	count := map[string]int{}
	for _, c := range s.Front {
		count[c] = max(count[c], 1)
	}
	for _, c := range s.Back {
		if s.Style == plan.Perfecting {
			count[c]++
		} else {
			count[c] = 1
		}
	}
	var k ink
	for name := range count {
		k.names = append(k.names, name)
	}
	slices.Sort(k.names)
	for _, name := range k.names {
		k.units = append(k.units, count[name])
		k.total += count[name]
	}
	// A form with more colours than units goes through the press again.
	k.total = min(k.total, units)
	return k
}

func (k ink) of(name string) int {
	if i, have := slices.BinarySearch(k.names, name); have {
		return k.units[i]
	}
	return 0
}

// less is the units of one ink that another does not have, one name for each.
func (k ink) less(other ink) []string {
	var all []string
	for i, name := range k.names {
		for range k.units[i] - other.of(name) {
			all = append(all, name)
		}
	}
	return all
}

// washes is how many units are washed between two forms, and how many of them
// take the colour wash-up beside. Washed is what the next form does not use.
// Units that stand clean are inked first. A washed unit takes the colour
// wash-up unless both inks are process inks and the next one is darker.
func washes(from, to ink, units int) (plain, color int) {
	out, in := from.less(to), to.less(from)
	plain = min(len(out), units)
	clean := max(0, units-from.total)
	color = min(plain, max(0, len(in)-clean-plan.Darker(out, in)))
	return plain, color
}

// changer works out what lies between two operations of a press: the figures of
// the plant file applied to what the two have in common.
type changer struct {
	press *plant.Press
	inks  []ink // classes
	wash  [][]int64
	last  []int64 // to clean units
}

// class is the number of an ink, the same for the same ink.
func (c *changer) class(k ink) int {
	for i, have := range c.inks {
		if slices.Equal(have.names, k.names) && slices.Equal(have.units, k.units) {
			return i
		}
	}
	c.inks = append(c.inks, k)
	return len(c.inks) - 1
}

// tabulate works out the washing between all classes, in seconds.
func (c *changer) tabulate() {
	time := func(a, b ink) int64 {
		plain, color := washes(a, b, c.press.Units)
		return int64(plain)*seconds(c.press.WashUp) + int64(color)*seconds(c.press.WashUpColor)
	}
	c.wash = make([][]int64, len(c.inks))
	c.last = make([]int64, len(c.inks))
	for i, a := range c.inks {
		c.last[i] = time(a, ink{})
		c.wash[i] = make([]int64, len(c.inks))
		for k, b := range c.inks {
			c.wash[i][k] = time(a, b)
		}
	}
}
