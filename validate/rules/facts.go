package rules

import (
	"slices"
	"strings"
	"sync"

	"quoin/jdf"
	"quoin/schemas"
)

// demand is what a process says of one kind of resource, in one direction and
// for one ProcessUsage.
type demand struct {
	name  string // of the resource, such as Component
	usage string // Input or Output
	role  string // ProcessUsage, or ""
	min   int
	max   int // schemas.Unbounded for no end
}

// demandsOf lists what the dictionary notes of the links of a process in a
// version of the 1.x generation; the zero version asks for the newest. It is
// nil for a process that is not known.
func demandsOf(process string, v jdf.Version) []demand {
	t := processType(process)
	if t == nil {
		return nil
	}
	if v.IsZero() || v.Compare(jdf.LastJDF) > 0 {
		v = jdf.LastJDF
	}
	at := schemas.MakeVersion(v.Major, v.Minor)
	usages := map[string]string{"input": "Input", "output": "Output"}
	links := t.Links()
	var list []demand
	for _, l := range links {
		usage := usages[l.Usage]
		if usage == "" || ended(links, l, at) {
			continue
		}
		list = append(list, demand{
			name: strings.TrimSuffix(l.Name, "Link"), usage: usage, role: l.ProcessUsage, min: l.Min, max: l.Max,
		})
	}
	return list
}

// linkTable keeps what demandsOf said of the processes that are known, for all
// documents of a stage. Versions that no document should have are not kept, so
// that it stays small whatever is written in them.
type linkTable struct{ known sync.Map }

func (t *linkTable) of(process string, v jdf.Version) []demand {
	key := struct {
		process string
		version jdf.Version
	}{process, v}
	if list, ok := t.known.Load(key); ok {
		return list.([]demand)
	}
	list := demandsOf(process, v)
	if list != nil && (v.IsZero() || v.Major == jdf.LastJDF.Major && v.Compare(jdf.LastJDF) <= 0) {
		key.process = strings.Clone(process) // which is a part of the whole text of a ticket
		t.known.Store(key, list)
	}
	return list
}

// ended reports whether a link is not of the version: its own note says so, or
// one for links of the name in any direction.
func ended(links []schemas.Link, l schemas.Link, at schemas.Version) bool {
	outside := func(s schemas.Span) bool { return s.Before(at) || s.After(at) }
	return outside(l.Span) || slices.ContainsFunc(links, func(o schemas.Link) bool {
		return o.Usage == "any" && o.Name == l.Name && outside(o.Span)
	})
}

// hasRoles reports whether demands know a ProcessUsage for a resource.
func hasRoles(demands []demand, name string) bool {
	return slices.ContainsFunc(demands, func(d demand) bool { return d.name == name && d.role != "" })
}

// roles lists the values of ProcessUsage that demands know for a resource.
func roles(demands []demand, name string) []string {
	var list []string
	for _, d := range demands {
		if d.name == name && d.role != "" {
			list = append(list, d.role)
		}
	}
	return list
}

// demands is what the processes of a node say, one list a process; the list of
// a process that is not known is nil.
func (p *pass) demands(n *node) [][]demand {
	if n.needs != nil {
		return n.needs
	}
	v := p.doc.Version
	if p.doc.Kind.Second() {
		v = jdf.Version{}
	}
	lists := make([][]demand, len(n.types))
	for i, process := range n.types {
		list, known := p.index.demands[process]
		if !known {
			list = p.index.links.of(process, v)
			p.index.demands[process] = list
		}
		lists[i] = list
	}
	n.needs = lists
	return lists
}

// forStep lists the uses of a node that may be for the process at a position:
// those with its index, and those without any.
func (n *node) forStep(i int) []*use {
	var list []*use
	for _, u := range n.uses {
		if u.steps == nil || slices.Contains(u.steps, i) {
			list = append(list, u)
		}
	}
	return list
}

// runsItself reports whether the node is one to be run as it stands: a process
// or a combined node, or an XJDF. A gray box leaves out what is not known yet.
func (n *node) runsItself() bool {
	return len(n.types) > 0 && n.Get("Type") != "ProcessGroup" && n.Get("Type") != "Product"
}
