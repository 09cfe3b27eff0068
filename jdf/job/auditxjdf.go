package job

import "quoin/jdf"

// Header reads the Header of an XJDF audit or of an XJMF message into the origin.
func (o Origin) Header(n jdf.Node, fault func(Fault)) Origin {
	h := n.Child("Header")
	o.ID = First(Text(h, "ID"), o.ID)
	o.Time = First(moment(h, "Time", fault), o.Time)
	o.Device = First(Text(h, "DeviceID"), o.Device)
	o.Worker = First(Text(h, "PersonalID"), o.Worker)
	return o
}

// second reads an audit of the 2.x generation.
func (r *auditReader) second(from Origin) []*Audit {
	n := from.Node
	from = from.Header(n, r.fault)
	switch n.Local() {
	case "AuditStatus":
		if info := n.Child("DeviceInfo"); info.Valid() {
			return r.status(info, from)
		}
	case "AuditProcessRun":
		if run := n.Child("ProcessRun"); run.Valid() {
			return []*Audit{r.run(run, from)}
		}
	case "AuditResource":
		if info := n.Child("ResourceInfo"); info.Valid() {
			return r.secondResource(info, from)
		}
	case "AuditNotification":
		if notice := n.Child("Notification"); notice.Valid() {
			return DecodeNotice(notice, from, r.fault)
		}
	}
	return []*Audit{from.audit(AuditOther)}
}

// run reads a ProcessRun, whose attributes the generations share.
func (r *auditReader) run(n jdf.Node, from Origin) *Audit {
	a := from.audit(AuditRun)
	a.Run = &Run{
		Node:      n,
		Start:     moment(n, "Start", r.fault),
		End:       moment(n, "End", r.fault),
		Duration:  span(n, "Duration", r.fault),
		EndStatus: Text(n, "EndStatus"),
		Part:      partOf(n),
	}
	return a
}

// secondResource reads an XJDF ResourceInfo. Each PartAmount is an audit of its
// own, for lots are told apart there.
func (r *auditReader) secondResource(info jdf.Node, from Origin) []*Audit {
	from = from.of(info)
	var all []*Audit
	for set := range info.ChildrenNamed("ResourceSet") {
		base := Consumption{
			Node: set, Kind: set.Get("Name"), Usage: Text(set, "Usage"), Scope: Text(info, "Scope"),
			Output: set.Get("Usage") == "Output",
		}
		found := false
		for res := range set.ChildrenNamed("Resource") {
			found = true
			all = append(all, r.secondAmounts(res, set, base, from)...)
		}
		if !found {
			all = append(all, from.used(base))
		}
	}
	return all
}

func (r *auditReader) secondAmounts(res, set jdf.Node, base Consumption, from Origin) []*Audit {
	base.Node, base.Part = res, partOf(res)
	base.Identity = identity(res, res.Child(base.Kind), set, set.Parent())
	var all []*Audit
	for pool := range res.ChildrenNamed("AmountPool") {
		for n := range pool.ChildrenNamed("PartAmount") {
			c := base
			c.Node, c.Part = n, base.Part.and(partOf(n)).without("LotID")
			c.Amounts = Amounts{Good: number(n, "Amount", r.fault), Waste: number(n, "Waste", r.fault)}
			c.Lot = r.lot(n)
			all = append(all, from.used(c))
		}
	}
	if all == nil {
		all = append(all, from.used(base))
	}
	return all
}

func (o Origin) used(c Consumption) *Audit {
	a := o.audit(AuditResource)
	a.Consumption = &c
	return a
}

// lot is the LotID of the first Part of an element.
func (r *auditReader) lot(n jdf.Node) Fact[string] { return Text(n.Child("Part"), "LotID") }
