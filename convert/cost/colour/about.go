package colour

import (
	"slices"
	"time"

	"quoin/jdf"
	"quoin/jdf/value"
)

// level is one element of a resource that may be partitioned: in JDF the parts
// stand within each other and inherit.
type level struct {
	node  jdf.Node
	outer *level // the partition around it; nil for the resource itself
}

// outermost reports whether a resource is no partition of another.
func outermost(n jdf.Node) bool { return n.Parent().NameID() != n.NameID() || n.Has("ID") }

// leaves takes a resource apart into its innermost partitions.
func leaves(n jdf.Node) []*level {
	var all []*level
	var walk func(l *level)
	walk = func(l *level) {
		inner := false
		for c := range l.node.Children() {
			if c.NameID() == n.NameID() && !c.Has("ID") {
				inner = true
				walk(&level{c, l})
			}
		}
		if !inner {
			all = append(all, l)
		}
	}
	walk(&level{node: n})
	return all
}

// levelOf is the level of a partition within those around it.
func levelOf(n jdf.Node) *level {
	l := &level{node: n}
	if !outermost(n) {
		l.outer = levelOf(n.Parent())
	}
	return l
}

// with is the nearest element that has the attribute, else the innermost.
func (l *level) with(name string) jdf.Node {
	for v := l; v != nil; v = v.outer {
		if v.node.Has(name) {
			return v.node
		}
	}
	return l.node
}

func (l *level) get(name string) string { return l.with(name).Get(name) }

// child is the first child of the name in the nearest element that has one.
func (r *reader) child(l *level, local string) jdf.Node {
	for v := l; v != nil; v = v.outer {
		if c := r.firstOf(v.node, local); c.Valid() {
			return c
		}
	}
	return jdf.Node{}
}

// firstOf is the first child of the name. An element is searched once, however
// many ask.
func (r *reader) firstOf(n jdf.Node, local string) jdf.Node {
	at := childKey{n.Index(), local}
	c, known := r.inner[at]
	if !known {
		c = n.Child(local)
		r.inner[at] = c
	}
	return c
}

type childKey struct {
	index int
	local string
}

// children are all children of the name in the nearest element that has any.
func (l *level) children(local string) []jdf.Node {
	for v := l; v != nil; v = v.outer {
		if all := slices.Collect(v.node.ChildrenNamed(local)); all != nil {
			return all
		}
	}
	return nil
}

// childOf is the first child of the name, or what a reference to it means.
func (r *reader) childOf(n jdf.Node, local string) jdf.Node {
	if c := n.Child(local); c.Valid() {
		return c
	}
	return r.meant(n.Child(local + "Ref"))
}

// meant is the resource that a reference of JDF names.
func (r *reader) meant(ref jdf.Node) jdf.Node {
	if id := ref.Get("rRef"); id != "" {
		return r.ids[id]
	}
	return jdf.Node{}
}

// about fills in what the elements around a resource say of it: job and part,
// device, time, and which sheet, side and separation. The nearest wins.
func (r *reader) about(n jdf.Node) Measurement {
	m := Measurement{Sheet: Unknown}
	r.keysOf(n, &m)
	for p := n; p.Valid(); p = p.Parent() {
		r.around(p, &m)
	}
	fill(&m.Device, r.device)
	return m
}

// around reads one element around a measurement.
func (r *reader) around(p jdf.Node, m *Measurement) {
	if link, ok := r.audit[p.Get("ID")]; ok && p.Has("ID") {
		r.partsOf(link, m)
		r.timeOf(link.Parent(), "TimeStamp", m)
	}
	r.keysOf(p, m)
	r.jobOf(p, m)
	switch {
	case p.Is("Resource"):
		r.partsOf(p, m)
	case p.Is("ResourceInfo"):
		r.partsOf(p, m)
		fill(&m.Device, p.Get("DeviceID"))
	case p.Is("JMF"):
		fill(&m.Device, p.Get("SenderID"))
		r.timeOf(p, "TimeStamp", m)
	case p.Is("Signal", "Response"):
		r.jobOf(p.Child("ResourceQuParams"), m) // a signal of JMF repeats what was asked for
		r.timeOf(p, "Time", m)
	case p.Is("AuditResource", "SignalResource", "ResponseResource"):
		r.headerOf(p.Child("Header"), m)
	case p.Is("XJMF"):
		r.headerOf(r.header, m)
	}
}

func (r *reader) headerOf(n jdf.Node, m *Measurement) {
	r.timeOf(n, "Time", m)
	fill(&m.Device, n.Get("DeviceID"))
}

// jobOf takes job and part of an element. A part that belongs to another job
// further out says nothing.
func (r *reader) jobOf(n jdf.Node, m *Measurement) {
	if id := n.Get("JobID"); id != "" && (m.Job == "" || m.Job == id) {
		m.Job = id
		fill(&m.Part, n.Get("JobPartID"))
	} else if m.Job == "" && n.Is("JDF") {
		fill(&m.Part, n.Get("JobPartID")) // a node whose JobID stands further out
	}
}

// keysOf takes the partition keys that stand in an element itself.
func (r *reader) keysOf(n jdf.Node, m *Measurement) {
	fill(&m.SheetName, n.Get("SheetName"))
	fill(&m.Side, n.Get("Side"))
	fill(&m.Colorant, n.Get("Separation"))
}

// partsOf takes the partition keys of the Part children of an element. One that
// differs between them says nothing.
func (r *reader) partsOf(n jdf.Node, m *Measurement) {
	keys, known := r.parts[n.Index()]
	if !known {
		for i, name := range []string{"SheetName", "Side", "Separation"} {
			same := true
			for p := range n.ChildrenNamed("Part") {
				v := p.Get(name)
				same = same && (v == "" || keys[i] == "" || v == keys[i])
				fill(&keys[i], v)
			}
			if !same {
				keys[i] = ""
			}
		}
		r.parts[n.Index()] = keys
	}
	fill(&m.SheetName, keys[0])
	fill(&m.Side, keys[1])
	fill(&m.Colorant, keys[2])
}

// fill sets what is not known yet.
func fill(to *string, v string) {
	if *to == "" {
		*to = v
	}
}

func (r *reader) timeOf(n jdf.Node, name string, m *Measurement) {
	if m.Time.IsZero() {
		if t, ok := r.moment(n, name); ok {
			m.Time = t
		}
	}
}

// moment reads a time. The ledger reports headers that cannot be read, so only
// times of results are reported here.
func (r *reader) moment(n jdf.Node, name string) (time.Time, bool) {
	a := n.Attr(name)
	if !a.Valid() {
		return time.Time{}, false
	}
	t, err := value.ParseDateTime(a.Value())
	if err != nil || t.Time().Year() < 1 || t.Time().Year() > 9998 {
		if name == "Start" || name == "End" {
			r.report(a, "a date and time such as 2026-03-31T14:00:00+02:00")
		}
		return time.Time{}, false
	}
	return t.Time().UTC(), true
}

// onlyDevice is the one device that a ticket has as a resource; "" when it has
// none or several, and in messages, which name their sender.
func (r *reader) onlyDevice() string {
	if r.doc.Kind.Message() {
		return ""
	}
	only := ""
	for n := range r.doc.Elements() {
		if !n.Is("Device") || !n.Parent().Is("ResourcePool", "Resource") {
			continue
		}
		switch id := n.Get("DeviceID"); {
		case only == "":
			only = id
		case id != "" && id != only:
			return ""
		}
	}
	return only
}
