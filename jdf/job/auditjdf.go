package job

import (
	"strings"

	"github.com/shopspring/decimal"

	"quoin/jdf"
)

// first reads an audit of the 1.x generation, whose header is its attributes.
func (r *auditReader) first(from Origin) []*Audit {
	n := from.Node
	from.ID = First(Text(n, "ID"), from.ID)
	from.Time = First(moment(n, "TimeStamp", r.fault), from.Time)
	from.Worker = First(r.worker(n), from.Worker)
	switch n.Local() {
	case "PhaseTime":
		return r.phaseTime(from)
	case "ProcessRun":
		return []*Audit{r.run(n, from)}
	case "ResourceAudit":
		return r.resourceAudit(from)
	case "Notification":
		return DecodeNotice(n, from, r.fault)
	}
	return []*Audit{from.audit(AuditOther)}
}

// phaseTime reads a PhaseTime: one audit for each device that it names, for
// all of them are busy. The amounts stand with the first alone, so that they
// are counted once.
func (r *auditReader) phaseTime(from Origin) []*Audit {
	n := from.Node
	base := Phase{
		Node:     n,
		Employee: from.Worker,
		Modules:  r.modules(n),
		Status:   Text(n, "Status"),
		Details:  Text(n, "StatusDetails"),
		Start:    moment(n, "Start", r.fault),
		End:      moment(n, "End", r.fault),
		Part:     partOf(n),
		Work:     Text(n.Child("MISDetails"), "WorkType"),
	}
	base.State = StateOfNode(base.Status.Value)
	for _, e := range r.each(n, "Employee") {
		base.CostCenter = First(base.CostCenter, costCenter(e))
	}
	devices := r.phaseDevices(n)
	if devices == nil {
		devices = []Device{{}}
	}
	good, waste := r.output(n)
	var all []*Audit
	for i, d := range devices {
		p := base
		p.Device, p.CostCenter = d.ID, First(d.CostCenter, base.CostCenter)
		if i == 0 {
			p.Good, p.Waste = good, waste
		}
		a := from.audit(AuditPhase)
		a.Device, a.Phase = First(d.ID, a.Device), &p
		all = append(all, a)
	}
	return all
}

// phaseDevices lists the devices of a PhaseTime once each: its Device elements
// and references, and those that only its modules name.
func (r *auditReader) phaseDevices(n jdf.Node) []Device {
	var all []Device
	known := map[string]bool{}
	add := func(d Device) {
		if d.ID.Given && !known[d.ID.Value] {
			known[d.ID.Value] = true
			all = append(all, d)
		}
	}
	for _, d := range r.each(n, "Device") {
		add(Device{ID: Text(d, "DeviceID"), Name: Text(d, "FriendlyName"), CostCenter: costCenter(d)})
	}
	for m := range n.ChildrenNamed("ModulePhase") {
		add(Device{ID: Text(m, "DeviceID")})
	}
	return all
}

// links lists the resource links of an audit.
func links(n jdf.Node) []jdf.Node {
	var all []jdf.Node
	for c := range n.Children() {
		if c.Space() == jdf.NamespaceJDF && c.Has("rRef") && strings.HasSuffix(c.Local(), "Link") {
			all = append(all, c)
		}
	}
	return all
}

// output is what a phase made: the amounts of its output links.
func (r *auditReader) output(n jdf.Node) (good, waste Fact[decimal.Decimal]) {
	for _, link := range links(n) {
		if link.Get("Usage") != "Output" {
			continue
		}
		for _, l := range r.lots(link, true) {
			good, waste = plus(good, l.Amounts.Good), plus(waste, l.Amounts.Waste)
		}
	}
	return good, waste
}

// resourceAudit reads what was used or made. The first link tells it; a second
// is that of the plan, which it replaces.
func (r *auditReader) resourceAudit(from Origin) []*Audit {
	all := links(from.Node)
	if len(all) == 0 {
		return []*Audit{from.audit(AuditOther)}
	}
	link := all[0]
	var planned Fact[decimal.Decimal]
	if len(all) > 1 {
		planned = linkAmounts(all[1], r.fault).Good
	}
	audits := r.linkUses(link, strings.TrimSuffix(link.Local(), "Link"), from, true)
	if len(audits) == 1 && planned.Given {
		audits[0].Consumption.Planned = planned
	}
	return audits
}

// linkUses reads the amounts of a link, or of a JMF ResourceInfo, which is
// built like one.
func (r *auditReader) linkUses(link jdf.Node, kind string, from Origin, audit bool) []*Audit {
	var all []*Audit
	for _, c := range r.lots(link, audit) {
		c.Kind, c.Usage, c.Scope = kind, Text(link, "Usage"), Text(link, "Scope")
		c.Output = c.Usage.Value == "Output"
		all = append(all, from.used(c))
	}
	return all
}

// firstResource reads a JMF ResourceInfo.
func (r *auditReader) firstResource(info jdf.Node, from Origin) []*Audit {
	from = from.of(info)
	from.Device = First(Text(info, "DeviceID"), from.Device)
	kind := info.Get("ResourceName")
	for c := range info.Children() {
		if kind == "" && c.Space() == jdf.NamespaceJDF && c.Has("Class") {
			kind = c.Local()
		}
	}
	return r.linkUses(info, kind, from, false)
}

// lots reads the amounts of a link, good and waste of one lot and part
// together. In an audit that has no ActualAmount, as those before JDF 1.2, the
// Amount is what was counted; in a message it is the amount asked for.
func (r *auditReader) lots(link jdf.Node, audit bool) []Consumption {
	actual := "ActualAmount"
	if audit && !hasActual(link) {
		actual = "Amount"
	}
	base := Consumption{Node: link, Part: partOf(link), Identity: identity(link, r.linked(link))}
	base.Amounts.Good = number(link, actual, r.fault)
	if actual != "Amount" {
		base.Planned = number(link, "Amount", r.fault)
	}
	var all []Consumption
	place := map[string]int{}
	for n := range link.Child("AmountPool").ChildrenNamed("PartAmount") {
		c := Consumption{Node: n, Part: base.Part.and(partOf(n)), Lot: r.lot(n), Identity: base.Identity}
		condition := c.Part.Get("Condition")
		waste := condition != "" && condition != "Good"
		c.Part = c.Part.without("Condition", "LotID")
		if amount := number(n, actual, r.fault); waste {
			c.Amounts.Waste = amount
		} else {
			c.Amounts.Good = amount
		}
		if actual != "Amount" && !waste {
			c.Planned = number(n, "Amount", r.fault)
		}
		key := c.Part.String() + "\n" + c.Lot.Value
		if i, ok := place[key]; ok {
			all[i].Amounts.Good = plus(all[i].Amounts.Good, c.Amounts.Good)
			all[i].Amounts.Waste = plus(all[i].Amounts.Waste, c.Amounts.Waste)
			all[i].Planned = plus(all[i].Planned, c.Planned)
			continue
		}
		place[key] = len(all)
		all = append(all, c)
	}
	// A total beside its parts says nothing that they do not.
	if all == nil {
		all = append(all, base)
	}
	return all
}

// hasActual reports whether a link says anywhere what was counted.
func hasActual(link jdf.Node) bool {
	if link.Has("ActualAmount") {
		return true
	}
	for n := range link.Child("AmountPool").ChildrenNamed("PartAmount") {
		if n.Has("ActualAmount") {
			return true
		}
	}
	return false
}
