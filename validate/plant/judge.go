package plant

import (
	"fmt"
	"slices"
	"strings"

	"quoin/jdf"
	"quoin/validate"
)

// verdict is what one device says to a piece of work.
type verdict struct {
	device *Machine
	misses []*miss // by position in the table of limits; nil when within
	able   bool    // no limit of severity error is missed
}

// judge holds a piece of work against devices of a kind. When the ticket names
// some, each is judged alone. Otherwise it is enough that one can: none is an
// error that names what all lack, just one is a note.
func judge[D device](c *checker, w *work, kind string, named []string, devices []D, limits []limit[D]) {
	rules := make([]*validate.Rule, len(limits))
	keys := make([]string, len(limits))
	for i, l := range limits {
		rules[i], keys[i] = l.rule, l.key
	}
	verdicts := make([]verdict, len(devices))
	var able, unable []verdict
	for i, d := range devices {
		v := verdict{d.machine(), make([]*miss, len(limits)), true}
		for k, l := range limits {
			if v.misses[k] = l.test(d, w); v.misses[k] != nil && l.rule.Severity == validate.Error {
				v.able = false
			}
		}
		verdicts[i] = v
		if v.able {
			able = append(able, v)
		} else {
			unable = append(unable, v)
		}
	}
	t := court{c, w, kind, rules, keys, func() string { return closest(c, w, devices, limits) }}
	switch {
	case len(named) > 0:
		for _, v := range verdicts {
			if slices.Contains(named, v.device.ID) {
				t.alone(v, able)
			}
		}
	case len(able) == 0:
		t.none(verdicts)
	default:
		t.common(able, "", validate.Warning, validate.Note)
		if len(able) == 1 && len(unable) > 0 {
			t.only(able[0], unable)
		}
	}
}

// court reports verdicts on one piece of work.
type court struct {
	*checker
	w     *work
	kind  string
	rules []*validate.Rule
	keys  []string
	near  func() string // the nearest change that lets a device do the work, as advice; "" when there is none
}

// closest says which change lets one of the devices do the work.
func closest[D device](c *checker, w *work, devices []D, limits []limit[D]) string {
	ids := make([]string, len(devices))
	tries := make([]trial, len(devices))
	for i, d := range devices {
		ids[i] = d.machine().ID
		tries[i] = func(w *work) (left []turn) {
			for _, l := range limits {
				if l.rule.Severity != validate.Error {
					continue
				}
				if m := l.test(d, w); m != nil {
					left = append(left, turn{l.knob, m})
				}
			}
			return left
		}
	}
	p, found := c.nearest(w, ids, tries)
	if !found {
		return ""
	}
	return "; " + p.say + " fits " + p.device
}

// alone reports all that the one named device misses.
func (t court) alone(v verdict, able []verdict) {
	instead := ""
	if !v.able && len(able) > 0 {
		instead = ", or name " + listed(able) + " instead"
	} else if !v.able {
		instead = t.near()
	}
	for k, m := range v.misses {
		if m != nil {
			t.emit(t.finding(k, []verdict{v}, instead))
		}
	}
}

// none reports that no device can: under each limit that all of them miss, or,
// when each is held back by another, in one finding for all.
func (t court) none(all []verdict) {
	near := t.near()
	if len(all) > 0 && t.common(all, near, validate.Error) {
		return
	}
	reasons := "it has none"
	if len(all) > 0 {
		reasons = t.reasons(all)
	}
	place, f := t.w.at, []validate.Fact{
		validate.F("kind", t.kind), validate.F("plant", t.plant.Name), validate.F("what", t.w.name),
		validate.F("limits", reasons), validate.F("instead", near),
	}
	t.emit(t.relate(noDevice.At(place, f...), all))
}

// common reports limits of some severities that all verdicts miss.
func (t court) common(all []verdict, instead string, of ...validate.Severity) bool {
	found := false
	for k, rule := range t.rules {
		missed := !slices.ContainsFunc(all, func(v verdict) bool { return v.misses[k] == nil })
		if missed && slices.Contains(of, rule.Severity) {
			t.emit(t.finding(k, all, instead))
			found = true
		}
	}
	return found
}

// only notes that one device alone can.
func (t court) only(v verdict, unable []verdict) {
	t.emit(t.relate(onlyDevice.At(t.w.at, validate.F("device", v.device.ID), validate.F("what", t.w.name),
		validate.F("limits", t.reasons(unable))), unable))
}

// finding is of one limit that all the verdicts miss.
func (t court) finding(k int, all []verdict, instead string) validate.Finding {
	nearest := all[0].misses[k]
	var limits, bounds []string
	for _, v := range all {
		m := v.misses[k]
		limits = append(limits, v.device.ID+" "+m.bound())
		bounds = append(bounds, m.limit)
		if m.over < nearest.over {
			nearest = m
		}
	}
	f := t.rules[k].At(nearest.at,
		validate.F("what", nearest.what), validate.F("value", nearest.value),
		validate.F("limits", few(limits)), validate.F("gap", nearest.gap),
		validate.F("device", listed(all)), validate.F("limit", few(bounds)), validate.F("instead", instead))
	for _, v := range all[:min(len(all), mostListed)] {
		f = f.With(t.limitPlace(v, k), "the limit of "+v.device.ID)
	}
	return f
}

// limitPlace is where the limit stands in the plant file.
func (t court) limitPlace(v verdict, k int) jdf.Place {
	if p := v.misses[k].stands; p.Known() {
		return p
	}
	return v.device.At(t.keys[k])
}

// first is the first limit of severity error that a device misses.
func (t court) first(v verdict) int {
	for k, m := range v.misses {
		if m != nil && t.rules[k].Severity == validate.Error {
			return k
		}
	}
	return -1
}

// reasons says of each device what holds it back.
func (t court) reasons(all []verdict) string {
	var each []string
	for _, v := range all {
		k := t.first(v)
		m := v.misses[k]
		each = append(each, fmt.Sprintf("%s %s, and the %s is %s", v.device.ID, m.bound(), m.what, m.value))
	}
	return few(each)
}

func (t court) relate(f validate.Finding, all []verdict) validate.Finding {
	for _, v := range all[:min(len(all), mostListed)] {
		k := t.first(v)
		f = f.With(t.limitPlace(v, k), "the limit of "+v.device.ID).With(v.misses[k].at, "what the ticket asks")
	}
	return f
}

// bound is the limit with the gap, as in "takes at most 350 g/m2 (100 g/m2 less)".
func (m *miss) bound() string {
	if m.gap == "" {
		return m.limit
	}
	return m.limit + " (off by " + m.gap + ")"
}

// mostListed is how many devices a message names.
const mostListed = 8

// few joins what is said of devices, eight at most.
func few(list []string) string {
	if more := len(list) - mostListed; more > 0 {
		return strings.Join(list[:mostListed], "; ") + fmt.Sprintf(" and %d more", more)
	}
	return strings.Join(list, "; ")
}

func listed(all []verdict) string {
	var ids []string
	for _, v := range all {
		ids = append(ids, v.device.ID)
	}
	return validate.Choices(ids)
}
