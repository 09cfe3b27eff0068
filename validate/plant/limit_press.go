package plant

import (
	"fmt"
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"quoin/jdf/job"
)

func sheetOf(w *work) job.Fact[Size]       { return w.sheet }
func grammageOf(w *work) job.Fact[float64] { return w.grammage }
func caliperOf(w *work) job.Fact[float64]  { return w.caliper }

// pressLimits are the limits of printing, in the order in which they are reported.
func pressLimits() []limit[*Press] {
	return []limit[*Press]{
		format(sheetTooLarge, "max sheet", "sheet", "takes at most", sheetOf,
			func(p *Press) Size { return p.MaxSheet }, tooLarge).of(sheetKnob),
		format(sheetTooSmall, "min sheet", "sheet", "takes at least", sheetOf,
			func(p *Press) Size { return p.MinSheet }, tooSmall).of(sheetKnob),
		format(sizeTooLarge, "max sheet", "open size with bleed", "prints at most",
			func(w *work) job.Fact[Size] { return w.open },
			func(p *Press) Size { return p.printable(p.MaxSheet, false) }, tooLarge).of(openKnob),
		{rule: printArea, key: "gripper", test: printAreaMiss, knob: contentKnob},
		most(tooHeavy, "grammage", "stock", grams, grammageOf,
			func(p *Press, _ *work) float64 { return p.Grammage.Max }).of(stockKnob),
		least(tooLight, "grammage", "stock", grams, grammageOf,
			func(p *Press, _ *work) float64 { return p.Grammage.Min }).of(stockKnob),
		most(tooHeavy, "perfecting / grammage", "stock that is turned", grams, turned,
			func(p *Press, _ *work) float64 { return p.turning().Grammage.Max }).of(turnedKnob),
		least(tooLight, "perfecting / grammage", "stock that is turned", grams, turned,
			func(p *Press, _ *work) float64 { return p.turning().Grammage.Min }).of(turnedKnob),
		most(tooThick, "caliper", "stock", gauge, caliperOf,
			func(p *Press, _ *work) float64 { return p.Caliper.Max }).of(stockKnob),
		least(tooThin, "caliper", "stock", gauge, caliperOf,
			func(p *Press, _ *work) float64 { return p.Caliper.Min }).of(stockKnob),
		most(tooManyColors, "units", "front", colors, frontColors, unitsOf(Digital)).of(frontKnob),
		most(tooManyColors, "units", "back", colors, backColors, unitsOf(Digital)).of(backKnob),
		most(morePasses, "units", "front", colors, frontColors, unitsOf(Offset)),
		most(morePasses, "units", "back", colors, backColors, unitsOf(Offset)),
		{rule: noPerfecting, key: "perfecting", test: noPerfectingMiss, knob: styleKnob},
		{rule: perfectingColors, key: "perfecting", test: perfectingMiss, knob: styleKnob},
		{rule: noCoater, key: "coatings", knob: coatingKnob,
			test: func(p *Press, w *work) *miss { return coaterMiss(p.Coatings, w) }},
		{rule: noDryer, key: "dryers", knob: coatingKnob,
			test: func(p *Press, w *work) *miss { return dryerMiss(p.Coatings, p.Dryers, w) }},
		most(inkLimit, "ink limit", "ink coverage", cover, func(w *work) job.Fact[float64] { return w.coverage },
			func(p *Press, _ *work) float64 { return p.InkLimit.InexactFloat64() }),
		most(tooFast, "speed", "speed", perHour, func(w *work) job.Fact[float64] { return w.speed }, topSpeed),
	}
}

// printable is the area of a sheet between the margins. A sheet that is turned
// end to end is gripped at both ends.
func (p *Press) printable(sheet Size, bothEnds bool) Size {
	tail := p.Tail
	if bothEnds {
		tail = max(tail, p.Gripper)
	}
	return Size{sheet.Width - 2*p.Side, sheet.Height - p.Gripper - tail - p.ColorBar}
}

// turning is the perfecting of the press, without limits where it has none.
func (p *Press) turning() Perfecting {
	if p.Perfecting == nil {
		return Perfecting{}
	}
	return *p.Perfecting
}

// turned is the grammage of a sheet that is turned in the press.
func turned(w *work) job.Fact[float64] {
	if w.style.Value != "Perfecting" {
		return job.Fact[float64]{}
	}
	return w.grammage
}

func numberOf(list job.Fact[[]string]) job.Fact[float64] {
	return job.Fact[float64]{Value: float64(len(list.Value)), Place: list.Place, Given: list.Given}
}

// frontColors is how many colours a straight run prints on the front.
func frontColors(w *work) job.Fact[float64] {
	if w.style.Value == "Perfecting" {
		return job.Fact[float64]{}
	}
	return numberOf(w.front)
}

func backColors(w *work) job.Fact[float64] {
	if w.style.Value == "Perfecting" {
		return job.Fact[float64]{}
	}
	return numberOf(w.back)
}

// unitsOf is the number of units of presses of a kind; others have no such limit.
func unitsOf(kind PressKind) func(*Press, *work) float64 {
	return func(p *Press, _ *work) float64 {
		if p.Kind != kind {
			return 0
		}
		return float64(p.Units)
	}
}

// topSpeed is the speed for the grammage, or the highest when none is known.
func topSpeed(p *Press, w *work) float64 {
	if w.grammage.Given {
		return Look(p.Speed, decimal.NewFromFloat(w.grammage.Value)).InexactFloat64()
	}
	top := decimal.Zero
	for _, s := range p.Speed {
		top = decimal.Max(top, s.Value)
	}
	return top.InexactFloat64()
}

// printAreaMiss holds what is printed against the area between the margins, in
// either way that the sheet can be run.
func printAreaMiss(p *Press, w *work) *miss {
	if !w.content.Given || !w.sheet.Given {
		return nil
	}
	bothEnds := w.style.Value == "Perfecting" || w.style.Value == "WorkAndTumble"
	sheet, content := w.sheet.Value, w.content.Value
	var best *miss
	for _, way := range []struct{ sheet, content Size }{
		{sheet, content}, {sheet.Turned(), content.Turned()},
	} {
		if !excess(way.sheet, p.MaxSheet).none() || !excess(p.MinSheet, way.sheet).none() {
			continue
		}
		area := p.printable(way.sheet, bothEnds)
		over := excess(way.content, area)
		if over.none() {
			return nil
		}
		if way.sheet != sheet {
			area, over = area.Turned(), over.Turned()
		}
		if size := float64(over.Width + over.Height); best == nil || size < best.over {
			best = &miss{
				at: w.content.Place, what: w.subject("printed area"), value: content.shown(),
				limit: "prints " + area.shown() + " of a sheet of " + sheet.shown(),
				gap:   over.inWords(), over: size,
				size: Size{min(content.Width, area.Width), min(content.Height, area.Height)},
			}
		}
	}
	return best
}

func noPerfectingMiss(p *Press, w *work) *miss {
	if w.style.Value != "Perfecting" || p.Kind != Offset || p.Perfecting != nil {
		return nil
	}
	return &miss{
		at: w.style.Place, what: w.subject("work style"), value: w.style.Value, limit: "can not perfect",
		words: []string{"WorkAndBack"},
	}
}

// perfectingMiss holds the colours of both sides against the units before and
// behind the turning. Either side of the sheet may be printed first.
func perfectingMiss(p *Press, w *work) *miss {
	f, b := len(w.front.Value), len(w.back.Value)
	if w.style.Value != "Perfecting" || p.Perfecting == nil || !w.front.Given && !w.back.Given {
		return nil
	}
	first, second := p.Perfecting.Front, p.Perfecting.Back
	over := func(front, back int) int { return max(front-first, 0) + max(back-second, 0) }
	gap := min(over(f, b), over(b, f))
	if gap == 0 {
		return nil
	}
	return &miss{
		at: job.First(w.front, w.back).Place, what: w.subject("run"), value: fmt.Sprintf("%d over %d colours", f, b),
		limit: fmt.Sprintf("perfects at most %d over %d", first, second),
		gap:   colors.write(float64(gap)), over: float64(gap), words: []string{"WorkAndBack"},
	}
}

// coaterMiss asks for a coater of the kind; kind "" is one that any coater lays.
// What a machine beside the press lays is not asked of the press.
func coaterMiss(lays []string, w *work) *miss {
	for _, c := range w.coatings {
		kind, known := coatingKind(c.Value)
		switch {
		case !known || laid(kind, lays) || laid(kind, w.beside):
			continue
		case len(lays) == 0:
			return &miss{at: c.Place, what: w.subject("coating"), value: c.Value, limit: "has no coater"}
		}
		return &miss{
			at: c.Place, what: w.subject("coating"), value: c.Value,
			limit: "lays " + strings.Join(lays, " and ") + " only",
		}
	}
	return nil
}

func laid(kind string, lays []string) bool {
	return slices.Contains(lays, kind) || kind == "" && len(lays) > 0
}

// coatingKind is the kind of coater that a coating of a ticket takes, in the
// words of the plant file, or "" when any will do. Words that are no coating of
// a press, such as the tokens of a film or an extension, are not known.
func coatingKind(word string) (kind string, known bool) {
	w := strings.ToLower(word)
	switch {
	case w == "" || w == "none":
		return "", false
	case strings.Contains(w, "uv"):
		return "UV", true
	case strings.Contains(w, "aqueous") || strings.Contains(w, "dispersion"):
		return "aqueous", true
	case strings.Contains(w, "gloss"), strings.Contains(w, "matte"), strings.Contains(w, "satin"),
		strings.Contains(w, "silk"), strings.Contains(w, "varnish"), strings.Contains(w, "protective"),
		w == "coated", w == "full", w == "spot":
		return "", true
	}
	return "", false
}

// dryerMiss asks for the drying that the ticket names, and for UV lamps over a
// UV coating.
func dryerMiss(lays, dryers []string, w *work) *miss {
	has := func(dryer string) bool { return slices.Contains(dryers, dryer) }
	lacks := "has no dryer"
	if len(dryers) > 0 {
		lacks = "dries with " + strings.Join(dryers, " and ") + " only"
	}
	switch dry := w.drying.Value; dry {
	case "IR", "UV":
		if !has(dry) {
			return &miss{at: w.drying.Place, what: w.subject("drying"), value: dry, limit: lacks}
		}
	case "Heatset":
		if !has("hot air") {
			return &miss{at: w.drying.Place, what: w.subject("drying"), value: dry, limit: lacks}
		}
	case "On":
		if len(dryers) == 0 {
			return &miss{at: w.drying.Place, what: w.subject("drying"), value: dry, limit: lacks}
		}
	}
	for _, c := range w.coatings {
		// A press without coater for it is told so; that it has no lamps either is no news.
		// What a machine beside the press cures is not asked of it.
		if kind, _ := coatingKind(c.Value); kind == "UV" && laid(kind, lays) && !laid(kind, w.beside) && !has("UV") {
			return &miss{at: c.Place, what: w.subject("coating"), value: c.Value, limit: lacks}
		}
	}
	return nil
}
