package plan

import (
	"slices"

	"quoin/validate/plant"
)

// Style is how the two sides of a sheet are printed. All but Duplex are the
// names that the standard gives work styles.
type Style string

// The work styles.
const (
	Simplex       Style = "Simplex"       // one side
	WorkAndBack   Style = "WorkAndBack"   // a form a side, sheet turned over its side edge
	WorkAndTurn   Style = "WorkAndTurn"   // one form for both sides, gripper edge kept
	WorkAndTumble Style = "WorkAndTumble" // one form for both sides, gripper edge changed
	Perfecting    Style = "Perfecting"    // both sides in one pass
	Duplex        Style = "Duplex"        // both sides in one run of a digital press
)

// stylesFor lists the styles of a kind of press in the order in which they are
// tried; the first of equal cost is kept.
func stylesFor(kind plant.PressKind, oneSided bool) []Style {
	switch {
	case oneSided:
		return []Style{Simplex}
	case kind == plant.Digital:
		return []Style{Duplex}
	}
	return []Style{Perfecting, WorkAndBack, WorkAndTurn, WorkAndTumble}
}

// pass is one trip of the sheets through the press.
type pass struct {
	colors    int
	makeready bool
	coat      bool
	setup     int // setup sheets beside those of the press
}

// printing is what a style needs of a press.
type printing struct {
	style  Style
	plates int
	passes []pass
}

func (p printing) makereadies() int {
	n := 0
	for _, t := range p.passes {
		if t.makeready {
			n++
		}
	}
	return n
}

// unitsUsed is the most colours in a pass, which is what has to be washed.
func (p printing) unitsUsed() int {
	most := 0
	for _, t := range p.passes {
		most = max(most, t.colors)
	}
	return most
}

// ink is what is to be printed: separations and coating of both sides.
type ink struct {
	front, back         []string
	coatFront, coatBack bool
}

func (k ink) oneSided() bool { return len(k.front) == 0 || len(k.back) == 0 }

// printIn is what printing in a style of stylesFor needs, or the reason why the
// press can not. The counts are those of the trade: a form of c colours on u
// units is ceil(c/u) passes; work-and-turn and tumble print one form with the
// colours of both sides twice; perfecting prints both forms at once.
func printIn(p *plant.Press, s Style, k ink, grammage float64) (printing, string) {
	f, b := len(k.front), len(k.back)
	if p.Units <= 0 {
		return printing{}, "press has no printing units"
	}
	w := printing{style: s}
	switch s {
	case Duplex:
		w.passes = []pass{{colors: f + b, makeready: true}}
	case Simplex, WorkAndBack:
		w.plates = f + b
		w.passes = append(formPasses(f, p.Units, k.coatFront), formPasses(b, p.Units, k.coatBack)...)
	case WorkAndTurn, WorkAndTumble:
		both := unite(k.front, k.back)
		w.plates = len(both)
		for _, t := range formPasses(len(both), p.Units, k.coatFront || k.coatBack) {
			again := t
			again.makeready = false
			w.passes = append(w.passes, t, again)
		}
	case Perfecting:
		if reason := perfects(p, k, grammage); reason != "" {
			return printing{}, reason
		}
		w.plates = f + b
		w.passes = []pass{{colors: f + b, makeready: true, coat: k.coatFront || k.coatBack, setup: p.Perfecting.Setup}}
	}
	if p.Kind == plant.Digital {
		w.plates = 0
		if max(f, b) > p.Units {
			return printing{}, "more colours than the digital press has"
		}
	}
	return w, ""
}

// perfects says why a press can not print both sides in one pass, or "". The
// coater stands behind the last unit, so it reaches one side only.
func perfects(p *plant.Press, k ink, grammage float64) string {
	f, b := len(k.front), len(k.back)
	switch {
	case p.Perfecting == nil:
		return "press does not perfect"
	case f > p.Perfecting.Front || b > p.Perfecting.Back || f+b > p.Units:
		return "more colours a side than the press perfects"
	case !p.Perfecting.Grammage.Contains(grammage):
		return "stock weight outside what the press perfects"
	case k.coatFront && k.coatBack:
		return "press can not coat both sides when perfecting"
	}
	return ""
}

// formPasses takes the colours of one form apart into passes of u units; a
// coating is laid in the last.
func formPasses(colors, units int, coat bool) []pass {
	var all []pass
	for ; colors > 0; colors -= units {
		all = append(all, pass{colors: min(colors, units), makeready: true})
	}
	if len(all) > 0 {
		all[len(all)-1].coat = coat
	}
	return all
}

// unite is the separations of both sides, each once, front first.
func unite(front, back []string) []string {
	all := make([]string, 0, len(front)+len(back))
	for _, list := range [][]string{front, back} {
		for _, c := range list {
			if !slices.Contains(all, c) {
				all = append(all, c)
			}
		}
	}
	return all
}
