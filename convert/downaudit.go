package convert

import "quoin/jdf"

// audits converts an audit pool, audit by audit.
func (x *lowerer) audits(pool jdf.Node, f *frame) bool {
	g := f.made["AuditPool"]
	if g == nil {
		g = x.open(f, "AuditPool", jdf.Node{})
		if f.made == nil {
			f.made = map[string]*frame{}
		}
		f.made["AuditPool"] = g
	}
	x.mark(g.e, pool, "")
	for n := range pool.Content() {
		if n.Kind() != jdf.KindElement {
			x.led.loseAll(n, remarkLost)
			continue
		}
		p := x.now
		p.queue = append(p.queue, func() { x.audit(g, n) })
	}
	return true
}

func (x *lowerer) audit(pool *frame, n jdf.Node) {
	switch n.Local() {
	case "AuditCreated":
		x.auditOf(pool, "Created", n, jdf.Node{})
	case "AuditProcessRun":
		x.auditOf(pool, "ProcessRun", n, n.Child("ProcessRun"))
	case "AuditNotification":
		x.auditOf(pool, "Notification", n, n.Child("Notification"))
	case "AuditStatus":
		x.phases(pool, n)
	case "AuditResource":
		x.resourceAudit(pool, n)
	default:
		x.led.loseAll(n, x.say("there is no audit ", n.Local(), " there"))
	}
}

// auditOf writes an audit: its header as attributes, and its body.
func (x *lowerer) auditOf(pool *frame, name string, n, body jdf.Node) *frame {
	a := x.open(pool, name, jdf.Node{})
	a.s, a.owner = x.sectionOf("Header", "AuditElement"), n
	x.mark(a.e, n, x.say("is ", name, " there"))
	at := x.led.of(n)
	for v := range n.Attrs() {
		at++
		x.attribute(v, at, a, &trie{}, true)
	}
	if h := n.Child("Header"); h.Valid() {
		x.mark(a.e, h, "the header is written as attributes there")
		a.owner = h
		x.fill(h, a, nil)
	}
	if !a.e.has("TimeStamp") {
		a.e.set("TimeStamp", x.opt.Clock().UTC().Format("2006-01-02T15:04:05Z"))
	}
	if body.Valid() {
		a.s, a.owner = x.sectionOf(body.Local(), name), body
		x.mark(a.e, body, x.say("is ", name, " there"))
		x.fill(body, a, nil)
	}
	for c := range n.Content() {
		if c != body && !c.Is("Header") {
			x.led.loseAll(c, x.say(name, " has no place for it"))
		}
	}
	return a
}

// phases makes a PhaseTime of each phase of a job that a status tells.
func (x *lowerer) phases(pool *frame, n jdf.Node) {
	info := n.Child("DeviceInfo")
	if !info.Child("JobPhase").Valid() {
		x.phaseOfDevice(pool, n, info)
		return
	}
	for j := range info.ChildrenNamed("JobPhase") {
		a := x.open(pool, "PhaseTime", jdf.Node{})
		x.mark(a.e, n, "is PhaseTime there")
		x.mark(a.e, info, "is PhaseTime there")
		h := n.Child("Header")
		a.s, a.owner = x.sectionOf("Header", "AuditElement"), h
		x.mark(a.e, h, "the header is written as attributes there")
		x.fill(h, a, nil)
		a.s, a.owner = x.sectionOf("JobPhase", "PhaseTime"), j
		x.mark(a.e, j, "is PhaseTime there")
		x.fill(j, a, func(local string) bool {
			return local == "@Amount" || local == "@Waste" || local == "@JobID" || local == "@JobPartID"
		})
		x.since(a, n)
		x.deviceOf(a, info)
		x.phaseAmounts(a, j)
	}
	x.led.loseAll(n, "PhaseTime has no place for it")
}

// since gives a phase whose start is not told the time at which it was told of.
func (x *lowerer) since(a *frame, n jdf.Node) {
	if !a.e.has("Start") {
		a.e.set("Start", firstOf(n.Child("Header").Get("Time"), x.opt.Clock().UTC().Format("2006-01-02T15:04:05Z")))
	}
}

// phaseOfDevice makes a PhaseTime of a status that tells of no phase of a job:
// the audit is about the ticket around it.
func (x *lowerer) phaseOfDevice(pool *frame, n, info jdf.Node) {
	status, ok := x.table.word("device of phase", info.Get("Status"), false)
	if !ok {
		x.led.loseAll(n, x.say("the status ", info.Get("Status"), " of a device is no phase of a job there"))
		return
	}
	a := x.open(pool, "PhaseTime", jdf.Node{})
	x.mark(a.e, n, "is PhaseTime there")
	x.mark(a.e, info, "is PhaseTime there")
	h := n.Child("Header")
	a.s, a.owner = x.sectionOf("Header", "AuditElement"), h
	x.mark(a.e, h, "the header is written as attributes there")
	x.fill(h, a, nil)
	x.put(a, "Status", status, x.led.attr(info, "Status"), "is PhaseTime/@Status there")
	x.since(a, n)
	x.deviceOf(a, info)
	x.led.loseAll(n, "PhaseTime has no place for it")
}

// deviceOf names the device and the people of a phase.
func (x *lowerer) deviceOf(a *frame, info jdf.Node) {
	a.s, a.owner = nil, info
	found := false
	for c := range info.Children() {
		if c.Is("Device", "Employee") {
			found = found || c.Is("Device")
			x.child(c, a, &trie{}, true)
		}
	}
	id := info.Parent().Child("Header").Get("DeviceID")
	if !found && id != "" && id != "unknown" {
		a.e.add("Device").set("DeviceID", id)
	}
}

// phaseAmounts links what the node makes, with the amounts of the phase.
func (x *lowerer) phaseAmounts(a *frame, job jdf.Node) {
	for _, name := range []string{"JobID", "JobPartID"} {
		if at := x.led.attr(job, name); at != none {
			a.e.slots = append(a.e.slots, at)
			x.led.keep(at, "the node around the audit says it")
		}
	}
	if !job.Has("Amount") && !job.Has("Waste") {
		return
	}
	for _, k := range x.now.links {
		if k.set.Get("Usage") != "Output" || k.m.kind != "Component" {
			continue
		}
		link := x.open(a, "ComponentLink", jdf.Node{})
		link.e.set("rRef", k.m.id).set("Usage", "Output")
		pool := x.open(link, "AmountPool", jdf.Node{})
		for _, c := range [][2]string{{"Amount", "Good"}, {"Waste", "Waste"}} {
			at := x.led.attr(job, c[0])
			if at == none {
				continue
			}
			p := x.open(pool, "PartAmount", jdf.Node{})
			p.e.add("Part").set("Condition", c[1])
			x.put(p, "ActualAmount", job.Get(c[0]), at, "is an amount of what the node makes there")
		}
		return
	}
	for _, name := range []string{"Amount", "Waste"} {
		x.led.lose(x.led.attr(job, name), "the node makes nothing that the amount could be of")
	}
}

// resourceAudit links what was used, with what was really used of it.
func (x *lowerer) resourceAudit(pool *frame, n jdf.Node) {
	info := n.Child("ResourceInfo")
	set := info.Child("ResourceSet")
	kind, why := x.kindOf(set)
	if why != "" {
		x.led.loseAll(n, why)
		return
	}
	m := x.usedBy(kind, set.Get("Usage"))
	if m == nil {
		m = x.newMaterial(kind, "r_"+kind, nil)
		m.f.e.set("Status", "Unavailable")
	}
	a := x.open(pool, "ResourceAudit", jdf.Node{})
	a.s, a.owner = x.sectionOf("Header", "AuditElement"), n
	x.mark(a.e, n, "is ResourceAudit there")
	if h := n.Child("Header"); h.Valid() {
		x.mark(a.e, h, "the header is written as attributes there")
		x.fill(h, a, nil)
	}
	x.mark(a.e, info, "is ResourceAudit there")
	a.s, a.owner = x.sectionOf("ResourceInfo", "ResourceAudit"), info
	x.fill(info, a, func(local string) bool { return local == "ResourceSet" })
	x.usedLink(a, m, set)
	x.led.loseAll(n, "an audit tells only what was used there")
}

// usedBy is the material of a kind that the ticket uses in a way.
func (x *lowerer) usedBy(kind, usage string) *material {
	for _, k := range x.now.links {
		if k.m.kind == kind && (usage == "" || k.set.Get("Usage") == usage) {
			return k.m
		}
	}
	return nil
}

func (x *lowerer) usedLink(a *frame, m *material, set jdf.Node) {
	link := x.open(a, m.kind+"Link", jdf.Node{})
	link.t = x.to.Element("ResourceLink").Type()
	link.e.set("rRef", m.id)
	x.mark(link.e, set, "a set with a usage is a link there")
	for _, name := range []string{"Name", "Usage", "ProcessUsage"} {
		at := x.led.attr(set, name)
		switch {
		case at == none:
		case name == "Name":
			x.led.keep(at, "the name of the element says it")
		default:
			x.put(link, name, set.Get(name), at, "")
		}
	}
	if !link.e.has("Usage") {
		link.e.set("Usage", "Input")
	}
	pool := x.open(link, "AmountPool", jdf.Node{})
	for res := range set.ChildrenNamed("Resource") {
		x.mark(link.e, res, "is a part of the link there")
		for ap := range res.ChildrenNamed("AmountPool") {
			x.mark(pool.e, ap, "amounts stand in the link there")
			for n := range ap.ChildrenNamed("PartAmount") {
				x.usedAmount(pool, res, n)
			}
		}
	}
	if len(pool.e.kids) == 0 {
		link.e.kids = nil
	}
}

func (x *lowerer) usedAmount(pool *frame, res, n jdf.Node) {
	var keys []jdf.Attr
	for _, holder := range []jdf.Node{res, n} {
		for p := range holder.ChildrenNamed("Part") {
			x.mark(pool.e, p, "is a part of the amount there")
			keys = append(keys, x.jdfPart(p)...)
		}
	}
	for _, c := range [][2]string{{"Amount", "Good"}, {"Waste", "Waste"}} {
		at := x.led.attr(n, c[0])
		if at == none {
			continue
		}
		g := x.open(pool, "PartAmount", jdf.Node{})
		x.mark(g.e, n, "")
		x.partOf(g, keys).e.set("Condition", c[1])
		x.put(g, "ActualAmount", n.Get(c[0]), at, "is PartAmount/@ActualAmount there")
	}
}
