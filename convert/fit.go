package convert

import (
	"slices"
	"strings"

	"quoin/jdf"
	"quoin/schemas"
)

// fitter holds what was built against the dictionary, and takes out what would
// not be valid. What it takes out is a loss of its sources.
type fitter struct {
	*conv
	ids  map[string]bool // that elements have
	refs []string        // values that refer to them
	gone map[string]bool // ids that are referred to and are not there
}

// fit makes an element valid as one of a type; it returns false when nothing of
// it can stand. Foreign elements that may not stand in it are handed outwards.
func (f *fitter) fit(e *elem, t *schemas.Type, leaf bool) (out []*elem, why string) {
	declared := t
	t = f.actual(e, t)
	if f.outside(t.Span()) && e.local == "JDF" && e.get("Type") != "ProcessGroup" {
		f.asGroup(e)
		return f.fit(e, declared, leaf)
	}
	if f.outside(t.Span()) {
		return nil, f.say(e.local, f.spanSays(t.Span()))
	}
	f.fitAttributes(e, t)
	f.fitLinks(e, t)
	hoisted := f.fitKids(e, t, leaf)
	f.needed(e)
	f.order(e, t.Model())
	if why := f.walk(e, t.Model(), leaf); why != "" {
		return hoisted, why
	}
	if why := f.missing(e, t, leaf); why != "" {
		return hoisted, why
	}
	sortAttributes(e)
	if t.Text() != nil && t.Text().Check(e.text).Kind != 0 {
		return hoisted, f.say("the text is not allowed in ", e.local)
	}
	return hoisted, ""
}

// actual is the type that the Type of a node or message implies.
func (f *fitter) actual(e *elem, t *schemas.Type) *schemas.Type {
	if f.to != schemas.JDF() {
		return t
	}
	name := ""
	switch {
	case t.Name() == "JDFProcessNode":
		name = e.get("Type")
	case t.Base() != nil && t.Base().Name() == "Message":
		name = e.local + e.get("Type")
	}
	if sub := f.to.Type(name); name != "" && sub != nil && !sub.Abstract() && !sub.Anonymous() {
		for b := sub; b != nil; b = b.Base() {
			if b.Name() == "JDFAbstractNode" || b.Name() == t.Name() {
				return sub
			}
		}
	}
	return t
}

// asGroup makes a node whose process the version does not know a group that
// names it.
func (f *fitter) asGroup(e *elem) {
	const why = "the version does not know the process; a group names it"
	e.set("Types", firstOf(e.get("Types"), e.get("Type")))
	e.set("Type", "ProcessGroup")
	e.attrs = slices.DeleteFunc(e.attrs, func(a attr) bool {
		if a.name == "Type" && a.slot != none {
			f.led.change(a.slot, why)
		}
		if a.space() == jdf.NamespaceXSI {
			f.led.drop(a.slot, why)
		}
		return a.space() == jdf.NamespaceXSI
	})
}

func (c *conv) outside(s schemas.Span) bool {
	return c.version != 0 && !s.Open() && (s.Before(c.version) || s.After(c.version))
}

func (f *fitter) spanSays(s schemas.Span) string {
	if s.Before(f.version) {
		return " came with version " + s.First.String()
	}
	return " ended with version " + s.Last.String()
}

// remove takes an element out, with all that is in it.
func (f *fitter) remove(e *elem, why string) {
	for _, at := range e.slots {
		f.led.drop(at, why)
	}
	for _, a := range e.attrs {
		f.led.drop(a.slot, why)
	}
	for _, c := range e.kids {
		f.remove(c, why)
	}
}

func (f *fitter) fitAttributes(e *elem, t *schemas.Type) {
	e.attrs = slices.DeleteFunc(e.attrs, func(a attr) bool {
		why := f.wrong(e, &a, t)
		if why != "" {
			f.led.drop(a.slot, why)
		}
		return why != ""
	})
}

func sortAttributes(e *elem) {
	slices.SortStableFunc(e.attrs, func(a, b attr) int {
		return strings.Compare(a.name, b.name) // private names begin with a brace, and come last
	})
}

// wrong says why an attribute may not stand, or "".
func (f *fitter) wrong(e *elem, a *attr, t *schemas.Type) string {
	if space := a.space(); space != "" {
		if looksAlike(space) {
			return "its namespace only looks like the standard's"
		}
		if t.Foreign() || a.name == nameIn(jdf.NamespaceXSI, "type") {
			return ""
		}
		return f.say("private attributes are not allowed on ", e.local)
	}
	known := t.Attribute(a.name)
	switch {
	case known == nil:
		return f.say(e.local, " has no ", a.name)
	case f.outside(known.Span) && !(a.name == "ID" && known.Required):
		return f.say(e.local, "/@", a.name, f.spanSays(known.Span))
	case !f.good(a.value, known.Type), known.Fixed && known.Type.Normal(a.value) != known.Value:
		return f.say("its value is not allowed in ", e.local, "/@", a.name)
	case known.Type.Builtin() == "ID":
		if f.ids[a.value] {
			return "another element has the ID already"
		}
		f.ids[a.value] = true
	case isReference(known.Type):
		for id := range strings.FieldsSeq(a.value) {
			if f.gone[id] {
				return "what it refers to is not there"
			}
		}
		f.refs = append(f.refs, a.value)
	}
	return ""
}

// missing gives an element the required attributes that it lacks, and says what
// it can not do without.
func (f *fitter) missing(e *elem, t *schemas.Type, leaf bool) string {
	for i := range t.Attributes() {
		a := &t.Attributes()[i]
		if !a.Required || e.has(a.Name) || leaf {
			continue
		}
		v, ok := "", true
		if f.divided(e) {
			v = partsHave(e, a.Name)
		}
		if v == "" {
			v, ok = f.need(e.local, a)
		}
		if !ok {
			return f.say(e.local, " can not stand without ", a.Name)
		}
		e.attrs = append(e.attrs, attr{name: a.Name, value: v, slot: none})
	}
	return ""
}

// need is the value of a required attribute that the source does not have.
func (f *fitter) need(local string, a *schemas.Attribute) (string, bool) {
	if a.Value != "" {
		return a.Value, true
	}
	needs := f.table.needs[1]
	if f.to == schemas.JDF() {
		needs = f.table.needs[0]
	}
	for _, key := range []string{local + "/@" + a.Name, "*/@" + a.Name} {
		if v, ok := needs[key]; ok {
			return v, f.good(v, a.Type)
		}
	}
	return "", false
}

// fitKids fits the children and takes out those that can not stand here.
func (f *fitter) fitKids(e *elem, t *schemas.Type, leaf bool) (hoisted []*elem) {
	m := t.Model()
	var kept []*elem
	for _, c := range e.kids {
		if c.space != "" {
			if looksAlike(c.space) {
				f.remove(c, "its namespace only looks like the standard's")
				continue
			}
			if m.Foreign() >= 0 || t.Mixed() {
				kept = append(kept, c)
			} else {
				hoisted = append(hoisted, c)
			}
			continue
		}
		more, ok := f.fitKid(e, c, t, leaf)
		if ok {
			kept = append(kept, c)
		}
		for _, h := range more {
			if m.Foreign() >= 0 {
				kept = append(kept, h)
			} else {
				hoisted = append(hoisted, h)
			}
		}
	}
	e.kids = kept
	return hoisted
}

// divided reports whether an element is a resource with partitions.
func (f *fitter) divided(e *elem) bool { return f.to == schemas.JDF() && e.has("PartIDKeys") }

func (f *fitter) fitKid(e, c *elem, t *schemas.Type, leaf bool) (more []*elem, ok bool) {
	_, decl := t.Model().Child(c.local)
	switch {
	case decl == nil:
		f.remove(c, f.say(e.local, " has no ", c.local))
		return nil, false
	case f.outside(decl.Span()):
		f.remove(c, f.say(c.local, " in ", e.local, f.spanSays(decl.Span())))
		return nil, false
	}
	more, why := f.fit(c, decl.Type(), c.local == e.local && !c.has("ID") && (leaf || f.divided(e)))
	if why != "" {
		f.remove(c, why)
		return more, false
	}
	return more, true
}

// fitLinks takes out the links that the version does not have for a process.
//
// Source: the notes of the published JDF schema; that of PreviewLink is left
// aside, since published samples contradict it.
func (f *fitter) fitLinks(e *elem, t *schemas.Type) {
	pool := e.child("ResourceLinkPool")
	if pool == nil || f.version == 0 || f.to != schemas.JDF() || e.local != "JDF" {
		return
	}
	pool.kids = slices.DeleteFunc(pool.kids, func(c *elem) bool {
		span, out := t.LinkSpan(f.version, c.local, c.get("Usage"), c.get("ProcessUsage"))
		if out && c.local != "PreviewLink" {
			f.remove(c, f.say(c.local, " of ", t.Name(), f.spanSays(span)))
			return true
		}
		return false
	})
}

// dangling lists what is referred to and is not there.
func (f *fitter) dangling(root *elem) map[string]bool {
	there := map[string]bool{}
	var walk func(e *elem)
	walk = func(e *elem) {
		if id := e.get("ID"); id != "" {
			there[id] = true
		}
		for _, c := range e.kids {
			walk(c)
		}
	}
	walk(root)
	gone := map[string]bool{}
	for _, v := range f.refs {
		for id := range strings.FieldsSeq(v) {
			if !there[id] {
				gone[id] = true
			}
		}
	}
	return gone
}

// needed adds the one child that the 1.x generation asks for, and the 2.x
// generation leaves out when it says nothing: how folds are turned.
func (f *fitter) needed(e *elem) {
	if f.to == schemas.JDF() && e.local == "FoldingIntent" && e.child("Orientation") == nil &&
		f.version >= schemas.MakeVersion(1, 6) && e.child("FoldingIntent") == nil {
		e.add("Orientation").set("Actual", "Rotate0").set("DataType", "EnumerationSpan")
	}
}

// partsHave is the value that the first partition of a resource has of an
// attribute, which the resource then stands for, or "".
func partsHave(e *elem, name string) string {
	for _, c := range e.kids {
		if c.local != e.local || c.space != "" {
			continue
		}
		if v := firstOf(c.get(name), partsHave(c, name)); v != "" {
			return v
		}
	}
	return ""
}
