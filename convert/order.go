package convert

import (
	"slices"
	"strings"

	"quoin/schemas"
)

// first lists the children that stand before all others, in the few types whose
// content does not follow the alphabet.
//
// Source: the published XJDF schema; a test compares it with the dictionary.
var first = map[string]bool{
	"LooseBinding/HolePattern": true, "FoldingParams/FileSpec": true, "XJMF/Header": true,
	"QualityControlParams/BindingQualityParams": true, "QualityControlResult/BindingQualityMeasurement": true,
}

// order sorts children as the content model asks. A model that takes them in
// any order keeps theirs, and so does content that is in order already.
func (f *fitter) order(e *elem, m *schemas.Model) {
	if len(e.kids) < 2 || m.Free() || f.accepts(e.kids, m) {
		return
	}
	slices.SortStableFunc(e.kids, func(a, b *elem) int {
		return strings.Compare(f.rank(e, a, m), f.rank(e, b, m))
	})
}

// rank is what a child is sorted by: the name of the head of its substitution
// group; foreign elements are last.
func (f *fitter) rank(parent, e *elem, m *schemas.Model) string {
	if e.space != "" {
		return "~"
	}
	if first[parent.local+"/"+e.local] {
		return ""
	}
	s, _ := m.Child(e.local)
	if s < 0 || s >= len(m.Names()) {
		return e.local
	}
	return m.Names()[s]
}

func (f *fitter) symbol(e *elem, m *schemas.Model) int {
	if e.space != "" {
		return m.Foreign()
	}
	s, _ := m.Child(e.local)
	return s
}

func (f *fitter) accepts(kids []*elem, m *schemas.Model) bool {
	var s schemas.State
	for _, e := range kids {
		next, ok := m.Next(s, f.symbol(e, m))
		if !ok {
			return false
		}
		s = next
	}
	return m.Accepts(s)
}

// walk steps through the children and takes out those that do not follow. It
// says what is missing at the end.
func (f *fitter) walk(e *elem, m *schemas.Model, leaf bool) (why string) {
	var kept []*elem
	var state schemas.State
	count := make([]int, m.Symbols())
	for _, c := range e.kids {
		s := f.symbol(c, m)
		next, ok := m.Next(state, s)
		if !ok || s >= 0 && full(m, s, count, c) {
			f.remove(c, f.say(e.local, " takes no more of ", c.local))
			continue
		}
		state = next
		count[s]++
		kept = append(kept, c)
	}
	e.kids = kept
	if !m.Accepts(state) {
		return f.say(e.local, " can not stand without what it must hold")
	}
	if leaf {
		return ""
	}
	for _, l := range m.Limits() {
		if f.divided(e) && partsHold(e, l.Names) {
			continue
		}
		have := 0
		for _, s := range l.Symbols {
			have += count[s]
		}
		if have < l.Min && l.Attr == "" && m.Asked(l, f.version) && !tolerated[e.local+"/"+l.Names[0]] {
			return f.say(e.local, " can not stand without ", l.Names[0])
		}
	}
	return ""
}

// partsHold reports whether a resource has partitions, and each holds one of the
// children.
func partsHold(e *elem, names []string) bool {
	found := false
	for _, c := range e.kids {
		if c.local != e.local || c.space != "" || c.has("ID") {
			continue
		}
		found = true
		holds := c.child("Identical") != nil || partsHold(c, names)
		for _, name := range names {
			holds = holds || c.child(name) != nil
		}
		if !holds {
			return false
		}
	}
	return found
}

// tolerated are required children that published samples leave out.
//
// Source: the published samples jmf/statusSignal.jmf and jmf/abortQueueEntryResponse.jmf.
var tolerated = map[string]bool{"Signal/StatusQuParams": true, "Response/Queue": true}

// full reports whether the notes allow no further child of a symbol.
func full(m *schemas.Model, s int, count []int, c *elem) bool {
	for _, l := range m.Limits() {
		if l.Max == schemas.Unbounded || !slices.Contains(l.Symbols, s) || l.Attr != "" && c.get(l.Attr) != l.Value {
			continue
		}
		have := 0
		for _, other := range l.Symbols {
			have += count[other]
		}
		if have >= l.Max {
			return true
		}
	}
	return false
}
