package plan

import "slices"

// washes is the seconds of washing between the passes on two units: 3 minutes a
// unit, and 1 more unless a process ink goes after a lighter one. plates tells a
// form for each side from one for both.
func (n naive) washes(plates int64, perfect bool) int64 {
	if perfect {
		return 0
	}
	var order []string
	for _, side := range [][]string{n.front, n.back} {
		for _, c := range side {
			if plates == int64(len(n.front)+len(n.back)) || !slices.Contains(order, c) {
				order = append(order, c)
			}
		}
	}
	// Passes of two units, the back form beginning anew.
	var passes [][]string
	split := len(n.front)
	if plates != int64(len(n.front)+len(n.back)) {
		split = len(order)
	}
	for _, side := range [][]string{order[:split], order[split:]} {
		for ; len(side) > 2; side = side[2:] {
			passes = append(passes, side[:2])
		}
		if len(side) > 0 {
			passes = append(passes, side)
		}
	}
	return loading(passes)
}

// loading counts unit by unit what each pass of a run on two units washes.
func loading(passes [][]string) int64 {
	level := map[string]int{"Yellow": 1, "Magenta": 2, "Cyan": 3, "Black": 4}
	seconds := int64(0)
	units := slices.Clone(passes[0])
	for _, next := range passes[1:] {
		var come, stay, idle []string
		for _, c := range next {
			if slices.Contains(units, c) {
				stay = append(stay, c)
			} else {
				come = append(come, c)
			}
		}
		for _, c := range units {
			if !slices.Contains(next, c) {
				idle = append(idle, c)
			}
		}
		free := 2 - len(units)
		washed := max(0, len(come)-free)
		plain := 0
		used := make([]bool, len(idle))
		slices.SortFunc(come, func(a, b string) int { return level[a] - level[b] })
		for _, c := range come {
			// The lightest idle unit takes the ink that comes, if that is darker.
			best := -1
			for i, o := range idle {
				if !used[i] && level[o] > 0 && level[o] < level[c] && (best < 0 || level[o] < level[idle[best]]) {
					best = i
				}
			}
			if best >= 0 {
				used[best] = true
				plain++
			}
		}
		seconds += int64(washed)*180 + int64(max(0, washed-plain))*60
		units = append(append(slices.Clone(stay), come...), idle[min(washed, len(idle)):]...)
	}
	return seconds
}
