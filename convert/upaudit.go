package convert

import (
	"strings"

	"quoin/jdf"
)

// audits converts an audit pool, audit by audit.
func (x *riser) audits(pool jdf.Node, _ *frame) bool {
	f := x.now.f
	g := f.made["AuditPool"]
	if g == nil {
		g = x.open(f, "AuditPool", jdf.Node{})
		f.made = map[string]*frame{"AuditPool": g}
	}
	x.mark(g.e, pool, "")
	at := x.led.of(pool)
	for range pool.Attrs() {
		at++
		x.led.lose(at, "the pool has no references there")
	}
	for n := range pool.Content() {
		switch {
		case n.Kind() != jdf.KindElement:
			x.led.loseAll(n, remarkLost)
		case foreign(n.Space()):
			f.e.kids = append(f.e.kids, x.copyForeign(n))
		default:
			x.audit(g, n)
		}
	}
	return true
}

func (x *riser) audit(pool *frame, n jdf.Node) {
	switch n.Local() {
	case "Created":
		a := x.auditOf(pool, "AuditCreated", n)
		x.restOfAudit(n, a)
	case "ProcessRun":
		a := x.auditOf(pool, "AuditProcessRun", n)
		x.bodyOf(a, "ProcessRun", n)
	case "PhaseTime":
		x.phase(pool, n)
	case "ResourceAudit":
		x.resourceAudit(pool, n)
	case "Notification":
		a := x.auditOf(pool, "AuditNotification", n)
		x.bodyOf(a, "Notification", n)
	default:
		x.led.loseAll(n, x.say("there is no audit ", n.Local(), " there"))
	}
}

// auditOf opens an audit with its header.
func (x *riser) auditOf(pool *frame, name string, n jdf.Node) *frame {
	a := x.open(pool, name, jdf.Node{})
	x.mark(a.e, n, x.say("is ", name, " there"))
	x.headerOf(a, n)
	return a
}

// headerOf writes who says it, and when, into a Header.
func (x *riser) headerOf(a *frame, n jdf.Node) *frame {
	h := x.open(a, "Header", jdf.Node{})
	h.s = x.sectionOf("AuditElement", "Header")
	h.owner = n
	rows := h.s.up
	x.fill(n, h, func(local string) bool {
		if name, ok := strings.CutPrefix(local, "@"); ok {
			return rows.attrs[name] == nil
		}
		return rows.kids[local] == nil && rows.kids[strings.TrimSuffix(local, "Ref")] == nil
	})
	if h.e.get("Time") == "" {
		h.e.set("Time", x.opt.Clock().UTC().Format("2006-01-02T15:04:05Z"))
	}
	if id := n.Child("Device").Get("DeviceID"); id != "" {
		h.e.set("DeviceID", x.token(id, false))
	}
	return h
}

// inHeader reports whether a name of an audit belongs to its header.
func (x *riser) inHeader(local string) bool {
	rows := x.sectionOf("AuditElement", "Header").up
	if name, ok := strings.CutPrefix(local, "@"); ok {
		return rows.attrs[name] != nil
	}
	return rows.kids[strings.TrimSuffix(local, "Ref")] != nil
}

// restOfAudit writes what is not in the header.
func (x *riser) restOfAudit(n jdf.Node, a *frame) {
	a.s, a.owner = x.sectionOf(n.Local(), "Header"), n
	x.fill(n, a, x.inHeader)
}

func (x *riser) bodyOf(a *frame, name string, n jdf.Node) *frame {
	b := x.open(a, name, jdf.Node{})
	b.s, b.owner = x.sectionOf(n.Local(), name), n
	x.mark(b.e, n, x.say("is ", a.e.local, " there"))
	x.fill(n, b, x.inHeader)
	return b
}

// phase turns a stretch of time into the status of each device that it names,
// with one phase of the job; the amounts stand with the first.
func (x *riser) phase(pool *frame, n jdf.Node) {
	var devices []jdf.Node
	for c := range n.Children() {
		if c.Is("Device", "DeviceRef") {
			devices = append(devices, c)
		}
	}
	if devices == nil {
		devices = []jdf.Node{{}}
	}
	for i, d := range devices {
		x.phaseOf(pool, n, d, i == 0)
	}
}

func (x *riser) phaseOf(pool *frame, n, device jdf.Node, lead bool) {
	a := x.auditOf(pool, "AuditStatus", n)
	info := x.open(a, "DeviceInfo", jdf.Node{})
	info.owner = n
	status, ok := x.table.word("device of phase", n.Get("Status"), true)
	if !ok {
		status = "Stopped"
	}
	info.e.set("Status", status)
	if device.Valid() {
		x.child(device, info, &trie{}, true)
		if d := info.e.child("Device"); d != nil && d.get("DeviceID") != "" {
			a.e.child("Header").set("DeviceID", d.get("DeviceID"))
		}
	}
	job := x.open(info, "JobPhase", jdf.Node{})
	job.s, job.owner = x.sectionOf("PhaseTime", "JobPhase"), n
	job.e.set("JobID", x.now.f.e.get("JobID"))
	if part := x.now.f.e.get("JobPartID"); part != "" {
		job.e.set("JobPartID", part)
	}
	x.mark(job.e, n, "is AuditStatus there")
	x.fill(n, job, func(local string) bool {
		return x.inHeader(local) || local == "Device" || local == "DeviceRef" || local == "ModulePhase" ||
			strings.HasSuffix(local, "Link")
	})
	for c := range n.Children() {
		switch {
		case c.Is("ModulePhase"):
			x.modulePhase(info, c)
		case lead && strings.HasSuffix(c.Local(), "Link") && !foreign(c.Space()):
			x.phaseAmount(job, c)
		}
	}
}

// modulePhase writes what a module did.
func (x *riser) modulePhase(info *frame, n jdf.Node) {
	if !n.Has("ModuleID") {
		x.led.loseAll(n, "modules are named by ModuleID there")
		return
	}
	g := x.open(info, "ModuleInfo", n)
	if g.s == nil {
		g.s = x.sectionOf("ModulePhase", "ModuleInfo")
	}
	x.fill(n, g, nil)
	if !g.e.has("ModuleStatus") {
		g.e.set("ModuleStatus", info.e.get("Status"))
	}
}

// phaseAmount adds what a phase made to its JobPhase.
func (x *riser) phaseAmount(job *frame, link jdf.Node) {
	const why = "what a phase used is told by AuditResource there"
	if link.Get("Usage") != "Output" {
		x.led.loseAll(link, why)
		return
	}
	put := func(n jdf.Node, waste bool) {
		for _, name := range []string{"ActualAmount", "Amount"} {
			at := x.led.attr(n, name)
			if at == none {
				continue
			}
			if waste {
				x.put(job, "Waste", n.Get(name), at, "is JobPhase/@Waste there")
			} else {
				x.put(job, "Amount", n.Get(name), at, "is JobPhase/@Amount there")
			}
			break
		}
	}
	pool := link.Child("AmountPool")
	if !pool.Valid() {
		put(link, false)
	}
	for n := range pool.ChildrenNamed("PartAmount") {
		c := n.Child("Part").Get("Condition")
		put(n, c != "" && c != "Good")
	}
	x.mark(job.e, link, "is an amount of the JobPhase there")
	x.led.loseAll(link, "a phase has one amount and one waste there")
}

// resourceAudit writes what was really used or made.
func (x *riser) resourceAudit(pool *frame, n jdf.Node) {
	a := x.auditOf(pool, "AuditResource", n)
	info := x.open(a, "ResourceInfo", jdf.Node{})
	info.s, info.owner = x.sectionOf("ResourceAudit", "ResourceInfo"), n
	x.mark(info.e, n, "is AuditResource there")
	x.fill(n, info, func(local string) bool { return x.inHeader(local) || strings.HasSuffix(local, "Link") })
	done := false
	for c := range n.Children() {
		switch {
		case !strings.HasSuffix(c.Local(), "Link") || foreign(c.Space()):
		case done:
			x.led.loseAll(c, "the plan that it replaces is not kept there")
		default:
			x.auditLink(info, c)
			done = true
		}
	}
}

// auditLink writes the set of what was used: its kind and amounts, not once more
// what it is.
func (x *riser) auditLink(info *frame, link jdf.Node) {
	kind := strings.TrimSuffix(link.Local(), "Link")
	name, why := x.nameOf(kind)
	if why != "" {
		x.led.loseAll(link, why)
		return
	}
	set := x.open(info, "ResourceSet", jdf.Node{})
	set.e.set("Name", name)
	x.mark(set.e, link, "a link is a ResourceSet with a usage there")
	for _, attrName := range []string{"Usage", "ProcessUsage"} {
		if at := x.led.attr(link, attrName); at != none {
			x.put(set, attrName, link.Get(attrName), at, "")
		}
	}
	res := x.open(set, "Resource", jdf.Node{})
	for p := range link.ChildrenNamed("Part") {
		x.child(p, res, &trie{}, true)
	}
	h := home{&leaf{}, res, nil}
	actual := hasActual(link)
	x.auditAmounts(h, link, jdf.Node{}, actual)
	for n := range link.Child("AmountPool").ChildrenNamed("PartAmount") {
		x.auditAmounts(h, n, n.Child("Part"), actual)
	}
	x.led.loseAll(link, "an audit tells only what was used there")
}

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

func (x *riser) auditAmounts(h home, n, part jdf.Node, actual bool) {
	name := "Amount"
	if actual {
		name = "ActualAmount"
	}
	at := x.led.attr(n, name)
	if at == none {
		return
	}
	rest := map[string]jdf.Attr{}
	for a := range part.Attrs() {
		if a.Local() != "Condition" {
			rest[a.Local()] = a
		}
	}
	key := ""
	for _, k := range sorted(rest) {
		key += k + "=" + rest[k].Value() + " "
	}
	f := x.poolOf(h, key)
	if part.Valid() {
		x.mark(f.e, n, "an amount of the Resource there")
		x.mark(f.e, part.Parent().Parent(), "an amount of the Resource there")
		x.restOfPart(f, n, rest)
	}
	if c := part.Get("Condition"); c != "" && c != "Good" {
		x.put(f, "Waste", n.Get(name), at, "is PartAmount/@Waste there")
		return
	}
	x.put(f, "Amount", n.Get(name), at, "is PartAmount/@Amount there")
}

// created writes who made the ticket, where no audit says so.
func (x *riser) created(t *ticket) {
	pool := t.f.e.child("AuditPool")
	if pool == nil {
		pool = t.f.e.add("AuditPool")
	}
	if pool.child("AuditCreated") != nil {
		return
	}
	h := pool.add("AuditCreated").add("Header")
	h.set("AgentName", "Quoin").set("DeviceID", "Quoin")
	h.set("Time", x.opt.Clock().UTC().Format("2006-01-02T15:04:05Z"))
	last := len(pool.kids) - 1
	pool.kids = append([]*elem{pool.kids[last]}, pool.kids[:last]...)
}
