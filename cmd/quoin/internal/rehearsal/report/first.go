package report

import (
	"fmt"

	"github.com/beevik/etree"

	"quoin/cmd/quoin/internal/rehearsal"
	"quoin/jdf/value"
)

// auditFirst adds to a node of a JDF what its machine did. Readings of colour are
// left out: up to JDF 1.6 a result has no place for them.
func auditFirst(node *etree.Element, a *rehearsal.Act) {
	done(node, ended(a))
	made := output(node, a)
	pool := node.SelectElement("AuditPool")
	if pool == nil {
		pool = child(node, "AuditPool")
		node.RemoveChild(pool)
		node.InsertChildAt(0, pool)
		child(pool, "Created", "AgentName", a.Device, "ID", identify(a)+"-a0", "TimeStamp", stamp(a.Start()))
	}
	l := &ledger{}
	for _, p := range phases(a) {
		l.add("PhaseTime", p.End, func(e *etree.Element) { phaseTime(e, a, p, made) })
	}
	for _, u := range a.Uses {
		l.add("ResourceAudit", a.End(), func(e *etree.Element) { use(node, e, made, a, u) })
	}
	l.add("ProcessRun", a.End(), func(e *etree.Element) {
		set(e, "Start", stamp(a.Start()), "End", stamp(a.End()), "EndStatus", ended(a),
			"Duration", value.FromTime(atWork(a)).String())
	})
	l.write(func(n int, line audit) {
		line.fill(child(pool, line.name, "ID", fmt.Sprintf("%s-a%d", identify(a), n), "TimeStamp", stamp(line.at)))
	})
}

// done marks a node and what it used and made as such.
func done(node *etree.Element, status string) {
	set(node, "Status", status)
	for _, pool := range node.SelectElements("ResourcePool") {
		for _, r := range pool.ChildElements() {
			if r.SelectAttrValue("Status", "") == "Unavailable" {
				set(r, "Status", "Available")
			}
			if r.Tag == "NodeInfo" && r.SelectAttrValue("NodeStatus", "") != "" {
				set(r, "NodeStatus", status)
			}
		}
	}
}

func phaseTime(e *etree.Element, a *rehearsal.Act, p rehearsal.Phase, made string) {
	set(e, "Start", stamp(p.Start), "End", stamp(p.End), "Status", NodeStatus(p.State), "StatusDetails", p.Reason)
	child(e, "Device", "Class", "Implementation", "DeviceID", a.Device)
	child(e, "Employee", "Class", "Implementation", "PersonalID", a.Operator)
	if p.State.Timed() {
		// An audit is the last word: it says so where nothing was made.
		amounts(child(e, "ComponentLink", "Usage", "Output", "rRef", made), number(p.Good), number(p.Waste), "")
	}
}

// amounts writes what was counted, good and waste apart.
func amounts(link *etree.Element, good, waste, lot string) {
	pool := child(link, "AmountPool")
	part := func(amount, condition string) {
		if amount != "" {
			child(child(pool, "PartAmount", "ActualAmount", amount), "Part", "Condition", condition, "LotID", lot)
		}
	}
	part(good, "Good")
	part(waste, "Waste")
}

// output finds the id of the component that a node makes, or gives it one.
func output(node *etree.Element, a *rehearsal.Act) string {
	if links := node.SelectElement("ResourceLinkPool"); links != nil {
		for _, l := range links.SelectElements("ComponentLink") {
			if l.SelectAttrValue("Usage", "") == "Output" {
				return l.SelectAttrValue("rRef", "")
			}
		}
	}
	id := identify(a) + "-out"
	child(resources(node), "Component", "Class", "Quantity", "ID", id, "Status", "Available",
		"ComponentType", "PartialProduct")
	return id
}

func resources(node *etree.Element) *etree.Element {
	pool := node.SelectElement("ResourcePool")
	if pool == nil {
		pool = child(node, "ResourcePool")
	}
	return pool
}

// use writes a resource audit. What the ticket does not hold is put into it.
func use(node, audit *etree.Element, made string, a *rehearsal.Act, u rehearsal.Use) {
	id := made
	if u.Kind != "Component" {
		id = fmt.Sprintf("%s-%s", audit.SelectAttrValue("ID", ""), u.Kind)
		r := child(resources(node), u.Kind, "Class", class(u.Kind), "ID", id, "Status", "Available", "ProductID", u.ID,
			"Unit", u.Unit)
		switch u.Kind {
		case "Media":
			set(r, "MediaType", "Paper", "Weight", float(a.Grammage))
		case "Ink":
			set(r, "DescriptiveName", u.Separation)
		case "ExposedMedia":
			child(r, "Media", "MediaType", "Plate")
		}
	}
	link := child(audit, u.Kind+"Link", "Usage", u.Usage, "rRef", id)
	amounts(link, u.Good.String(), counted(u.Waste), u.Lot)
}

func class(kind string) string {
	if kind == "ExposedMedia" {
		return "Handling"
	}
	return "Consumable"
}
