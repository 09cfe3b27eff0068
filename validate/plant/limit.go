package plant

import (
	"math"
	"strconv"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/validate"
)

// limit is one thing that a machine of type D can not be asked beyond: the key
// of the plant file that states it, and how a piece of work is held against it.
type limit[D device] struct {
	rule *validate.Rule
	key  string
	test func(d D, w *work) *miss // nil when the work is within, or does not say
	knob knob                     // what of the work can be changed to keep it
}

// of says what can be changed to keep the limit.
func (l limit[D]) of(k knob) limit[D] {
	l.knob = k
	return l
}

// device is a machine of any kind.
type device interface{ machine() *Machine }

func (m *Machine) machine() *Machine { return m }

// miss is how a piece of work goes beyond a limit.
type miss struct {
	at    jdf.Place // of the fact in the ticket
	what  string    // such as "sheet"
	value string    // what the ticket asks, such as "760 x 530 mm"
	limit string    // such as "takes at most 750 x 530 mm"
	gap   string    // such as "10 mm in width"; "" when it can not be measured
	over  float64   // size of the gap, to find the least of several

	stands jdf.Place // of the limit, where it is not that of the key

	// What would keep the limit, by the knob that it hangs on.
	size   Size      // a size
	number float64   // the nearest number
	choice []float64 // several numbers
	words  []string  // words to choose from
}

// unitOf is how numbers of a limit are written, and how far a number may be
// over the limit and still count as equal.
type unitOf struct {
	write func(float64) string
	slack float64
}

var (
	grams   = unitOf{func(v float64) string { return decimals(v) + " g/m2" }, 0}
	gauge   = unitOf{func(v float64) string { return Length(math.Round(v)).String() }, 0}
	ground  = unitOf{func(v float64) string { return Length(math.Round(v)).String() }, float64(Slack)}
	perHour = unitOf{func(v float64) string { return decimals(v) + " sheets/h" }, 0}
	pages   = unitOf{func(v float64) string { return decimals(v) + " pages" }, 0}
	cover   = unitOf{func(v float64) string { return decimals(v) + " %" }, 0}
	colors  = unitOf{func(v float64) string {
		if v == 1 {
			return "1 colour"
		}
		return decimals(v) + " colours"
	}, 0}
)

// decimals writes a number with at most three decimals.
func decimals(v float64) string {
	return strconv.FormatFloat(math.Round(v*1000)/1000, 'f', -1, 64)
}

// ask reads one number from a piece of work.
type ask func(w *work) job.Fact[float64]

// most is the limit that a number may not be over. A limit of zero is none.
func most[D device](rule *validate.Rule, key, what string, u unitOf, of ask, bound func(D, *work) float64) limit[D] {
	return limit[D]{rule: rule, key: key, test: func(d D, w *work) *miss {
		f, b := of(w), bound(d, w)
		if !f.Given || b == 0 || f.Value <= b+u.slack {
			return nil
		}
		return &miss{
			at: f.Place, what: w.subject(what), value: u.write(f.Value), limit: "takes at most " + u.write(b),
			gap: u.write(f.Value - b), over: f.Value - b, number: b,
		}
	}}
}

// least is the limit that a number may not be under.
func least[D device](rule *validate.Rule, key, what string, u unitOf, of ask, bound func(D, *work) float64) limit[D] {
	return limit[D]{rule: rule, key: key, test: func(d D, w *work) *miss {
		f, b := of(w), bound(d, w)
		if !f.Given || f.Value >= b-u.slack {
			return nil
		}
		return &miss{
			at: f.Place, what: w.subject(what), value: u.write(f.Value), limit: "takes at least " + u.write(b),
			gap: u.write(b - f.Value), over: b - f.Value, number: b,
		}
	}}
}

// standing tells where a limit stands that is not under a key of the machine itself.
func standing[D device](l limit[D], where func(D, *work) jdf.Place) limit[D] {
	test := l.test
	l.test = func(d D, w *work) *miss {
		m := test(d, w)
		if m != nil {
			m.stands = where(d, w)
		}
		return m
	}
	return l
}

// excess is by how much a size is over another, never below zero.
func excess(s, in Size) Size {
	over := func(a, b Length) Length {
		if a <= b+Slack {
			return 0
		}
		return a - b
	}
	return Size{over(s.Width, in.Width), over(s.Height, in.Height)}
}

func (s Size) none() bool { return s.Width <= 0 && s.Height <= 0 }

// shown writes a size of a ticket. Points are often rounded to two decimals, so
// that the last micrometres mean nothing.
func (s Size) shown() string { return Size{s.Width.shown(), s.Height.shown()}.String() }

func (l Length) shown() Length { return (l + 5) / 10 * 10 }

// inWords writes an excess, as in "10 mm in width and 5 mm in height".
func (s Size) inWords() string {
	switch {
	case s.Height <= 0:
		return s.Width.shown().String() + " in width"
	case s.Width <= 0:
		return s.Height.shown().String() + " in height"
	}
	return s.Width.shown().String() + " in width and " + s.Height.shown().String() + " in height"
}

// lesser is the smaller of two excesses.
func lesser(a, b Size) Size {
	if b.Width+b.Height < a.Width+a.Height {
		return b
	}
	return a
}

// tooLarge is by how much a size is over the greatest, the better way round.
func tooLarge(s, most Size) Size { return lesser(excess(s, most), excess(s, most.Turned())) }

// tooSmall is by how much a size is under the least, the better way round.
func tooSmall(s, least Size) Size { return lesser(excess(least, s), excess(least.Turned(), s)) }

// corrected moves the sides of a size that break a bound to the bound, in the
// way round that the excess over or under it was found in.
func corrected(s, bound, over Size) Size {
	for _, b := range []Size{bound, bound.Turned()} {
		switch {
		case excess(s, b) == over:
			return Size{min(s.Width, b.Width), min(s.Height, b.Height)}
		case excess(b, s) == over:
			return Size{max(s.Width, b.Width), max(s.Height, b.Height)}
		}
	}
	return s
}

// format is a limit on a size of the work. The excess is in terms of that size.
func format[D device](
	rule *validate.Rule, key, what, bounds string,
	of func(*work) job.Fact[Size], bound func(D) Size, beyond func(s, bound Size) Size,
) limit[D] {
	return limit[D]{rule: rule, key: key, test: func(d D, w *work) *miss {
		f := of(w)
		if !f.Given {
			return nil
		}
		b := bound(d)
		over := beyond(f.Value, b)
		if over.none() {
			return nil
		}
		return &miss{
			at: f.Place, what: w.subject(what), value: f.Value.shown(), limit: bounds + " " + b.String(),
			gap: over.inWords(), over: float64(over.Width + over.Height), size: corrected(f.Value, b, over),
		}
	}}
}
