package job

import (
	"strings"

	"quoin/jdf"
	"quoin/jdf/value"
)

// Audits reads the audit pools of a ticket without the rest of it: those of
// all nodes of a JDF, or that of an XJDF. Other documents have none.
func Audits(doc *jdf.Document) ([]*Audit, []Fault) {
	var (
		audits []*Audit
		faults []Fault
		walk   func(n jdf.Node, jobID, partID Fact[string])
	)
	fault := func(f Fault) { faults = append(faults, f) }
	walk = func(n jdf.Node, jobID, partID Fact[string]) {
		jobID = First(Text(n, "JobID"), jobID)
		partID = First(Text(n, "JobPartID"), partID)
		audits = append(audits, decodeAudits(n, jobID, partID, fault)...)
		for c := range n.ChildrenNamed("JDF") {
			walk(c, jobID, partID)
		}
	}
	if doc.Kind == jdf.KindJDF || doc.Kind == jdf.KindXJDF {
		walk(doc.Root(), Fact[string]{}, Fact[string]{})
	}
	return audits, faults
}

// decodeAudits reads the audit pool of one JDF node or of an XJDF, in the order
// written. A JDF inside the node has a pool of its own and is not entered.
func decodeAudits(ticket jdf.Node, jobID, partID Fact[string], fault func(Fault)) []*Audit {
	r := auditReader{doc: ticket.Document(), fault: fault}
	var all []*Audit
	for pool := range ticket.ChildrenNamed("AuditPool") {
		for n := range pool.Children() {
			from := Origin{Node: n, Name: n.Local(), JobID: jobID, PartID: partID}
			switch {
			case n.Space() == jdf.NamespaceJDF:
				all = append(all, r.first(from)...)
			case n.Space() == jdf.NamespaceXJDF && strings.HasPrefix(n.Local(), "Audit"):
				all = append(all, r.second(from)...)
			}
		}
	}
	return all
}

// Origin is what is known of an audit before its content is read: the element
// that it is, and what the header around it says.
type Origin struct {
	Node   jdf.Node // the audit, or the message
	Name   string
	ID     Fact[string]
	Time   Fact[value.DateTime]
	Device Fact[string]
	Worker Fact[string] // PersonalID
	JobID  Fact[string]
	PartID Fact[string]
}

func (o Origin) audit(kind AuditKind) *Audit {
	return &Audit{
		Node: o.Node, Kind: kind, Name: o.Name,
		ID: o.ID, Time: o.Time, Device: o.Device, JobID: o.JobID, PartID: o.PartID,
	}
}

// of narrows the origin to the job that an element names.
func (o Origin) of(n jdf.Node) Origin {
	id := Text(n, "JobID")
	if id.Given && o.JobID.Given && id.Value != o.JobID.Value {
		o.PartID = Fact[string]{} // another job: the part of this one says nothing
	}
	o.JobID = First(id, o.JobID)
	o.PartID = First(Text(n, "JobPartID"), o.PartID)
	return o
}

// DecodeStatus reads a DeviceInfo of either generation: one audit for each
// JobPhase, or one for the device alone when it names no job.
func DecodeStatus(info jdf.Node, from Origin, fault func(Fault)) []*Audit {
	r := auditReader{doc: info.Document(), fault: fault}
	return r.status(info, from)
}

// DecodeResource reads a ResourceInfo of either generation: one audit for each
// resource and lot with an amount, or one without amount.
func DecodeResource(info jdf.Node, from Origin, fault func(Fault)) []*Audit {
	r := auditReader{doc: info.Document(), fault: fault}
	if info.Space() == jdf.NamespaceJDF {
		return r.firstResource(info, from)
	}
	return r.secondResource(info, from)
}

// DecodeNotice reads a Notification of either generation.
func DecodeNotice(n jdf.Node, from Origin, fault func(Fault)) []*Audit {
	if !from.Time.Given {
		from.Time = moment(n, "TimeStamp", fault)
	}
	a := from.of(n).audit(AuditNotice)
	words := Text(n.Child("Event"), "EventValue")
	if c := n.Child("Comment"); !words.Given && c.Valid() {
		words = Of(strings.TrimSpace(c.Text()), c.Place())
	}
	a.Notice = &Notice{Node: n, Class: Text(n, "Class"), Text: words}
	return []*Audit{a}
}

// auditReader reads the audits of one document.
type auditReader struct {
	doc   *jdf.Document
	fault report
	ids   map[string]jdf.Node // devices and employees by ID, made when first asked
	all   map[string]jdf.Node // all elements by ID, made when first asked
}

// follow goes from a reference such as DeviceRef to the element it names.
func (r *auditReader) follow(n jdf.Node) jdf.Node {
	ref := n.Attr("rRef")
	if !ref.Valid() {
		return n
	}
	if r.ids == nil {
		r.ids = map[string]jdf.Node{}
		for e := range r.doc.Elements() {
			if e.Is("Device", "Employee") && e.Has("ID") {
				r.ids[e.Get("ID")] = e
			}
		}
	}
	return r.ids[ref.Value()]
}

// each walks the children of a name, written in place or as references.
func (r *auditReader) each(n jdf.Node, local string) []jdf.Node {
	var all []jdf.Node
	for c := range n.Children() {
		if c.Is(local, local+"Ref") {
			if e := r.follow(c); e.Valid() {
				all = append(all, e)
			}
		}
	}
	return all
}

// worker is the first person that an element names.
func (r *auditReader) worker(n jdf.Node) Fact[string] {
	for _, e := range r.each(n, "Employee") {
		if id := First(Text(e, "PersonalID"), Text(e, "ProductID")); id.Given {
			return id
		}
	}
	for a := range n.ChildrenNamed("Activity") {
		if id := Text(a, "PersonalID"); id.Given {
			return id
		}
	}
	return Fact[string]{}
}

// costCenter is where JDF has it as an element and XJDF as an attribute.
func costCenter(n jdf.Node) Fact[string] {
	return First(Text(n, "CostCenterID"), Text(n.Child("CostCenter"), "CostCenterID"))
}

// status reads a DeviceInfo, which both generations build alike.
func (r *auditReader) status(info jdf.Node, from Origin) []*Audit {
	device := info.Child("Device")
	base := Phase{
		Node:       info,
		Device:     First(Text(info, "DeviceID"), Text(device, "DeviceID"), from.Device),
		CostCenter: costCenter(device),
		Employee:   First(r.worker(info), from.Worker),
		Modules:    r.modules(info),
		Status:     First(Text(info, "DeviceStatus"), Text(info, "Status")),
		Details:    Text(info, "StatusDetails"),
	}
	base.State = StateOfDevice(base.Status.Value)
	var all []*Audit
	for n := range info.ChildrenNamed("JobPhase") {
		a := from.of(n).audit(AuditPhase)
		a.Phase = r.jobPhase(n, base)
		all = append(all, a)
	}
	if all == nil {
		a := from.audit(AuditPhase)
		base.End = moment(info, "EndTime", r.fault)
		if base.State == StateIdle {
			base.Start = moment(info, "IdleStartTime", r.fault)
		}
		a.Phase = &base
		all = append(all, a)
	}
	return all
}

// jobPhase reads what a device does for one job. The job's own status is more
// exact than that of the device: a device that is running may be made ready.
func (r *auditReader) jobPhase(n jdf.Node, base Phase) *Phase {
	p := base
	p.Node, p.Part = n, partOf(n)
	p.CostCenter = First(costCenter(n), base.CostCenter)
	p.Employee = First(r.worker(n), base.Employee)
	if m := r.modules(n); m.Given {
		p.Modules = m
	}
	if status := Text(n, "Status"); status.Given && StateOfNode(status.Value) != StateUnknown {
		p.Status, p.State = status, StateOfNode(status.Value)
	}
	p.Details = First(Text(n, "StatusDetails"), base.Details)
	p.Work = Text(n.Child("MISDetails"), "WorkType")
	p.End = moment(n, "EndTime", r.fault)
	good, waste := number(n, "Amount", r.fault), number(n, "Waste", r.fault)
	if n.Space() == jdf.NamespaceXJDF {
		p.Start = moment(n, "StartTime", r.fault)
		p.Good, p.Waste = good, waste
		return &p
	}
	// JMF has both: the phase, and the job since its start on the device.
	p.Start = moment(n, "PhaseStartTime", r.fault)
	p.Good, p.Waste = number(n, "PhaseAmount", r.fault), number(n, "PhaseWaste", r.fault)
	p.Total, p.TotalWaste = good, waste
	return &p
}

// modules names the modules at work, by id where they have one.
func (r *auditReader) modules(n jdf.Node) Fact[[]string] {
	if ids := words(n, "ModuleIDs"); ids.Given {
		return ids
	}
	var names Fact[[]string]
	for m := range n.Children() {
		if !m.Is("ModulePhase", "ModuleStatus", "ModuleInfo") {
			continue
		}
		id := First(Text(m, "ModuleID"), Text(m, "ModuleIndex"), Text(m, "ModuleType"))
		if id.Given {
			names = Of(append(names.Value, id.Value), n.Place())
		}
	}
	return names
}
