package convert

import (
	"slices"
	"strings"

	"quoin/jdf"
	"quoin/schemas"
)

// agent is who signs what a conversion has to add.
const agent = "Quoin"

// standIns links an empty resource for the parameters and the run list that a
// process must have in the 1.x generation, where the ticket leaves them to the
// device. Material is never made up.
func (x *lowerer) standIns(p *part) {
	if len(p.types) != 1 {
		return // between combined processes things pass on without being named
	}
	t := x.to.Type(p.types[0])
	if t == nil || p.f.e.get("Type") != p.types[0] {
		return
	}
	for _, l := range t.Links() {
		kind := strings.TrimSuffix(l.Name, "Link")
		asked := l.Usage == "input" && l.Min > 0 && l.ProcessUsage == "" && !x.outside(l.Span) &&
			(kind == "RunList" || kind == p.types[0]+"Params")
		// Source: the published JDF schema. Plates take the place of the run list on a press.
		if !asked || p.types[0] == "ConventionalPrinting" && kind == "RunList" || x.links(p, l) || !x.mayBeEmpty(kind) {
			continue
		}
		m := x.newMaterial(kind, "r_"+kind, nil)
		m.f.e.set("AgentName", agent).set("Status", "Available")
		x.linkIn(p.f, l.Name, m, "Input")
	}
}

// links reports whether the node of a ticket has a link that meets a demand.
func (x *lowerer) links(p *part, l schemas.Link) bool {
	pool := p.f.e.child("ResourceLinkPool")
	return pool != nil && slices.ContainsFunc(pool.kids, func(e *elem) bool {
		return e.local == l.Name && e.get("Usage") == "Input"
	})
}

// mayBeEmpty reports whether a resource needs no more than what every one has.
func (x *lowerer) mayBeEmpty(kind string) bool {
	t := x.typeIn("ResourcePool", kind)
	if t == nil {
		return false
	}
	for _, a := range t.Attributes() {
		if a.Required && a.Name != "ID" && a.Name != "Class" && a.Name != "Status" {
			return false
		}
	}
	return t.Model().Accepts(0)
}

// standIn reports whether a resource says nothing, and only stood in for one
// that its process must have.
func standIn(r jdf.Node) bool {
	if r.Get("AgentName") != agent || r.FirstContent().Valid() {
		return false
	}
	for a := range r.Attrs() {
		switch a.Local() {
		case "ID", "Class", "Status", "AgentName":
		default:
			return false
		}
	}
	return true
}

// skipStandIn leaves out a resource that says nothing, and the link to it.
func (x *riser) skipStandIn(r, link jdf.Node) {
	const why = "it says nothing, and stood in for what the process must have"
	x.keepAll(r, why)
	x.keepAll(link, why)
	x.emitted[r.Index()] = true
	x.opened[r.Index()] = true
}
