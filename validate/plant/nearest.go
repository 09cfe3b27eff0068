package plant

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"quoin/jdf/job"
)

// knob is what of a piece of work can be changed, so that a machine takes it.
type knob uint8

// The knobs. noKnob is of limits that no change of the work itself keeps.
const (
	noKnob knob = iota
	sheetKnob
	openKnob
	contentKnob
	trimKnob
	stockKnob
	turnedKnob // the stock of a sheet that is turned in the press
	frontKnob
	backKnob
	styleKnob
	coatingKnob
	foldKnob
	filmKnob
	pagesKnob
	bulkKnob
	coverKnob
	pieceKnob
)

// change is one way to turn a knob.
type change struct {
	say  []string
	cost float64 // how far it is from what was asked, as a share of that
	make func(*work)
}

// proposal is changes that were found to let a device do the work.
type proposal struct {
	say    string
	device string
	cost   float64
}

// The bounds of the search: ways to turn one knob, and tries for one device.
const (
	mostWays  = 64
	mostTries = 2000
)

// mostSearches is how many pieces of work of one job a change is searched for,
// so that a ticket of many thousand bad steps takes no longer than it has to.
const mostSearches = 1000

// trial tells what of a piece of work a device misses. The place in the slice
// is of no meaning.
type trial func(w *work) []turn

// turn is a miss of severity error and the knob it hangs on.
type turn struct {
	knob knob
	miss *miss
}

// nearest searches for the least change of a piece of work that lets one of the
// devices do it: of each knob that the device's misses hang on, each way to
// turn it; a change counts when the device then takes all of the work. Fewer
// changes come before more, and then the one nearest to what was asked.
func (c *checker) nearest(w *work, devices []string, try []trial) (proposal, bool) {
	var best proposal
	found := false
	if c.searches++; c.searches > mostSearches {
		return best, false
	}
	for i, id := range devices {
		p, ok := c.nearestFor(w, try[i])
		if ok && (!found || p.cost < best.cost) {
			best, found = p, true
			best.device = id
		}
	}
	return best, found
}

func (c *checker) nearestFor(w *work, try trial) (proposal, bool) {
	s := search{c: c, asked: w, try: try}
	s.step(w, nil, 0, map[knob]bool{})
	return s.best, s.found
}

// search is depth first: each step turns the knob of the first miss left.
type search struct {
	c     *checker
	asked *work
	try   trial
	tries int
	best  proposal
	found bool
}

func (s *search) step(w *work, words []string, cost float64, turned map[knob]bool) {
	if s.tries++; s.tries > mostTries || s.found && cost >= s.best.cost {
		return
	}
	left := s.try(w)
	if len(left) == 0 {
		if len(words) > 0 {
			s.best, s.found = proposal{say: listing(words), cost: cost}, true
		}
		return
	}
	for _, t := range left {
		if t.knob == noKnob || turned[t.knob] {
			return // no change helps, or the one made did not
		}
	}
	first := left[0]
	ways := s.c.ways(s.asked, w, first)
	slices.SortStableFunc(ways, func(a, b change) int { return cmp.Compare(a.cost, b.cost) })
	turned[first.knob] = true
	for _, way := range ways[:min(len(ways), mostWays)] {
		next := *w
		way.make(&next)
		s.step(&next, append(slices.Clip(words), way.say...), cost+1+way.cost, turned)
	}
	delete(turned, first.knob)
}

// ways are the ways to turn the knob of a miss.
func (c *checker) ways(asked, w *work, t turn) []change {
	switch t.knob {
	case sheetKnob:
		return resized(w.sheet.Value, t.miss.size, func(w *work, s Size) { w.sheet.Value = s })
	case openKnob:
		return resized(w.open.Value, t.miss.size, func(w *work, s Size) { w.open.Value = s })
	case contentKnob:
		return resized(w.content.Value, t.miss.size, func(w *work, s Size) { w.content.Value = s })
	case trimKnob:
		return resized(w.trim.Value, t.miss.size, func(w *work, s Size) { w.trim.Value = s })
	case pieceKnob:
		to := t.miss.number
		return []change{{said(Length(to-w.piece.Value).shown().String() + " larger"), share64(w.piece.Value, to),
			func(w *work) { w.piece.Value = to }}}
	case stockKnob:
		return c.stockWays(asked)
	case turnedKnob:
		straight := wordWays(asked.style.Value, []string{"WorkAndBack"}, restyled,
			func(w *work, to string) { w.style.Value = to })
		return append(straight, c.stockWays(asked)...)
	case bulkKnob:
		return append(c.bulkWays(asked), pageWays(asked, 4, t.miss.number*asked.pages.Value/asked.thickness.Value)...)
	case pagesKnob:
		return pageWays(asked, 4, t.miss.number)
	case coverKnob:
		return c.coverWays(asked)
	case frontKnob:
		return colorWays(w.front, t.miss.number, func(w *work, f job.Fact[[]string]) { w.front = f })
	case backKnob:
		return colorWays(w.back, t.miss.number, func(w *work, f job.Fact[[]string]) { w.back = f })
	case styleKnob:
		return wordWays(asked.style.Value, t.miss.words, restyled, func(w *work, to string) { w.style.Value = to })
	case foldKnob:
		return wordWays(asked.fold.Value, t.miss.words, dropped, func(w *work, to string) { w.fold.Value = to })
	case filmKnob:
		return wordWays(asked.film.Value, t.miss.words, dropped, func(w *work, to string) { w.film.Value = to })
	case coatingKnob:
		return []change{{said("without what needs it"), dropped, func(w *work) {
			w.coatings, w.drying = nil, job.Fact[string]{}
		}}}
	}
	return nil
}

// dropped is the cost of leaving a wish out or putting another in its place: as
// much as a change of a dimension by half. Another work style makes the same
// piece, and so is little.
const (
	dropped  = 0.5
	restyled = 0.1
)

// resized says by how much the sides of a size change.
func resized(from, to Size, set func(*work, Size)) []change {
	var words []string
	say := func(by Length, less, more string) {
		switch {
		case by < 0:
			words = append(words, (-by).shown().String()+" "+less)
		case by > 0:
			words = append(words, by.shown().String()+" "+more)
		}
	}
	say(to.Width-from.Width, "narrower", "wider")
	say(to.Height-from.Height, "less high", "higher")
	if len(words) == 0 {
		return nil
	}
	cost := share64(float64(from.Width), float64(to.Width)) + share64(float64(from.Height), float64(to.Height))
	return []change{{words, cost, func(w *work) { set(w, to) }}}
}

func said(words string) []string { return []string{words} }

// listing joins words, as in "a, b and c".
func listing(words []string) string {
	last := len(words) - 1
	if last <= 0 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:last], ", ") + " and " + words[last]
}

// share64 is the difference of two numbers as a share of the first.
func share64(from, to float64) float64 {
	if from == 0 {
		return 1
	}
	return math.Abs(to-from) / from
}

// stockKinds are the stocks of the plant, one for each pair of grammage and
// caliper, by grammage.
func (c *checker) stockKinds() []*Stock {
	kinds := slices.Clone(c.plant.Stocks)
	order := func(a, b *Stock) int {
		return cmp.Or(cmp.Compare(a.Grammage, b.Grammage), cmp.Compare(a.Caliper, b.Caliper))
	}
	slices.SortStableFunc(kinds, order)
	return slices.CompactFunc(kinds, func(a, b *Stock) bool { return order(a, b) == 0 })
}

// stockWays are the stocks that the plant has in place of the one asked for.
func (c *checker) stockWays(asked *work) []change {
	var all []change
	for _, s := range c.stockKinds() {
		from, to, unit := asked.grammage.Value, s.Grammage, grams
		if !asked.grammage.Given {
			from, to, unit = asked.caliper.Value, s.Caliper, gauge
		}
		if from == to && asked.grammage.Given {
			continue // the stock is the one asked for
		}
		all = append(all, change{said(instead(to, from, unit)), share64(from, to), func(w *work) {
			if w.grammage.Given {
				w.grammage.Value = s.Grammage
			}
			if w.caliper.Given {
				w.caliper.Value = s.Caliper
			}
		}})
	}
	return all
}

// instead writes a number in place of another, as in "300 instead of 350 g/m2".
func instead(to, from float64, u unitOf) string {
	number, _, _ := strings.Cut(u.write(to), " ")
	return number + " instead of " + u.write(from)
}

// coverWays are the stocks that the plant has for the cover of a book.
func (c *checker) coverWays(asked *work) []change {
	var all []change
	for _, s := range c.stockKinds() {
		all = append(all, change{
			said(instead(s.Grammage, asked.cover.Value, grams)), share64(asked.cover.Value, s.Grammage),
			func(w *work) { w.cover.Value = s.Grammage },
		})
	}
	return all
}

// bulkWays are the stocks that make a book of one stock thinner or thicker.
func (c *checker) bulkWays(asked *work) []change {
	if !asked.pages.Given || !asked.grammage.Given && !asked.caliper.Given {
		return nil
	}
	leaves := math.Ceil(asked.pages.Value / 2)
	var all []change
	for _, s := range c.stockKinds() {
		say, cost := instead(s.Grammage, asked.grammage.Value, grams), share64(asked.grammage.Value, s.Grammage)
		if !asked.grammage.Given {
			say, cost = instead(s.Caliper, asked.caliper.Value, gauge), share64(asked.caliper.Value, s.Caliper)
		}
		all = append(all, change{said(say), cost, func(w *work) {
			w.thickness.Value *= leaves * s.Caliper / asked.thickness.Value
		}})
	}
	return all
}

// pageWays are the numbers of pages next to the one asked for and next to the
// bound, in whole steps, with the thickness that goes with them. Of two as near,
// more pages come first: blank ones can be added, full ones not left out.
func pageWays(asked *work, step, bound float64) []change {
	if !asked.pages.Given {
		return nil
	}
	from := asked.pages.Value
	var all []change
	for _, near := range []float64{from, bound} {
		for _, to := range []float64{math.Ceil(near/step) * step, math.Floor(near/step) * step} {
			if to <= 0 || to == from {
				continue
			}
			all = append(all, change{said(instead(to, from, pages)), share64(from, to), func(w *work) {
				w.pages.Value = to
				w.thickness.Value *= math.Ceil(to/2) / math.Ceil(from/2)
			}})
		}
	}
	return all
}

func colorWays(list job.Fact[[]string], most float64, set func(*work, job.Fact[[]string])) []change {
	keep := int(most)
	if keep >= len(list.Value) {
		return nil
	}
	less := list
	less.Value = list.Value[:keep]
	return []change{{
		said(colors.write(float64(len(list.Value)-keep)) + " less"), share64(float64(len(list.Value)), most),
		func(w *work) { set(w, less) },
	}}
}

func wordWays(from string, to []string, cost float64, set func(*work, string)) []change {
	var all []change
	for _, word := range to {
		if word != from {
			all = append(all, change{said(fmt.Sprintf("%s instead of %s", word, clip(from))), cost,
				func(w *work) { set(w, word) }})
		}
	}
	return all
}
