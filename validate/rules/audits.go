package rules

import (
	"quoin/jdf"
	"quoin/validate"
)

var auditChecks = []check{
	{
		Rule: &validate.Rule{
			ID: "audit/created-missing", Severity: validate.Warning, Mends: validate.Sender,
			Say: "the AuditPool does not say who created the ticket; want {want}{where}",
			Do:  "add it with the name of the program and the time",
			Why: "The first audit tells the origin of a ticket (from memory: AuditPool; required by the MIS to " +
				"conventional printing conformance). 36 XJDF samples have none.",
		},
		kinds: tickets, fragment: asNote, run: createdMissing,
		Bad: `<XJDF JobID="4711" Types="Folding"><AuditPool>
  <AuditNotification><Header DeviceID="F1" Time="2026-03-02T08:00:00Z"/><Notification Class="Event"/>
    </AuditNotification>
</AuditPool></XJDF>`,
		Good: `<XJDF JobID="4711" Types="Folding"><AuditPool>
  <AuditCreated><Header DeviceID="MIS" Time="2026-03-02T08:00:00Z"/></AuditCreated>
</AuditPool></XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "audit/order", Severity: validate.Warning, Mends: validate.Operator,
			Say: "the audit is of {got}, earlier than the one before it, of {want}",
			Do:  "write audits in the order of their times; check the clock of the device",
			Why: "Audits are added at the end as things happen (from memory: AuditPool).",
		},
		kinds: tickets, run: auditOrder,
		Bad: `<XJDF JobID="4711" Types="Folding"><AuditPool>
  <AuditCreated><Header DeviceID="MIS" Time="2026-03-02T09:00:00Z"/></AuditCreated>
  <AuditNotification><Header DeviceID="F1" Time="2026-03-02T08:00:00Z"/><Notification Class="Event"/>
    </AuditNotification>
</AuditPool></XJDF>`,
		Good: `<XJDF JobID="4711" Types="Folding"><AuditPool>
  <AuditCreated><Header DeviceID="MIS" Time="2026-03-02T08:00:00Z"/></AuditCreated>
  <AuditNotification><Header DeviceID="F1" Time="2026-03-02T08:00:00Z"/><Notification Class="Event"/>
    </AuditNotification>
</AuditPool></XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "audit/before-created", Severity: validate.Warning, Mends: validate.Operator,
			Say: "{name} is {got}, before the ticket was created at {want}",
			Do:  "check the clocks of the sender and the device",
			Why: "No work is done on a ticket that is not there yet (from memory: AuditPool).",
		},
		kinds: tickets, run: beforeCreated,
		Bad: `<XJDF JobID="4711" Types="Folding"><AuditPool>
  <AuditCreated><Header DeviceID="MIS" Time="2026-03-02T08:00:00Z"/></AuditCreated>
  <AuditProcessRun><Header DeviceID="F1" Time="2026-03-02T12:00:00Z"/>
    <ProcessRun Start="2026-03-01T10:00:00Z" End="2026-03-01T11:00:00Z" EndStatus="Completed"/></AuditProcessRun>
</AuditPool></XJDF>`,
		Good: `<XJDF JobID="4711" Types="Folding"><AuditPool>
  <AuditCreated><Header DeviceID="MIS" Time="2026-03-02T08:00:00Z"/></AuditCreated>
  <AuditProcessRun><Header DeviceID="F1" Time="2026-03-02T12:00:00Z"/>
    <ProcessRun Start="2026-03-02T10:00:00Z" End="2026-03-02T11:00:00Z" EndStatus="Completed"/></AuditProcessRun>
</AuditPool></XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "audit/run-twice", Severity: validate.Warning, Mends: validate.Operator,
			Say: "there is a second {name} for the same part of the job",
			Do:  "sum the runs up in one, or say by Part which is which",
			Why: "One ProcessRun sums up the run of a part; costs count both (MIS to conventional printing conformance: " +
				"exactly one in a returned ticket).",
		},
		kinds: tickets, run: runTwice,
		Bad: `<XJDF JobID="4711" Types="Folding"><AuditPool>
  <AuditProcessRun><Header DeviceID="F1" Time="2026-03-02T12:00:00Z"/>
    <ProcessRun Start="2026-03-02T10:00:00Z" End="2026-03-02T11:00:00Z" EndStatus="Completed"/></AuditProcessRun>
  <AuditProcessRun><Header DeviceID="F1" Time="2026-03-02T14:00:00Z"/>
    <ProcessRun Start="2026-03-02T13:00:00Z" End="2026-03-02T14:00:00Z" EndStatus="Completed"/></AuditProcessRun>
</AuditPool></XJDF>`,
		Good: `<XJDF JobID="4711" Types="Folding"><AuditPool>
  <AuditProcessRun><Header DeviceID="F1" Time="2026-03-02T14:00:00Z"/>
    <ProcessRun Start="2026-03-02T10:00:00Z" End="2026-03-02T14:00:00Z" EndStatus="Completed"/></AuditProcessRun>
</AuditPool></XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "audit/other-job", Severity: validate.Error, Mends: validate.Operator,
			Say: "the audit is about job {got|q}, and the ticket about {want|q}",
			Do:  "move it to the ticket of its job; its times and amounts would be booked here",
			Why: "The audits of a ticket tell of its job (from memory: AuditPool). Phases that are shared in a gang name " +
				"the other jobs in GangSource and are left out.",
		},
		kinds: tickets, run: otherJob,
		Bad: `<XJDF JobID="4711" Types="Folding"><AuditPool><AuditStatus>
  <Header DeviceID="F1" Time="2026-03-02T12:00:00Z"/>
  <DeviceInfo Status="Production"><JobPhase JobID="4712" Status="InProgress"/></DeviceInfo>
</AuditStatus></AuditPool></XJDF>`,
		Good: `<XJDF JobID="4711" Types="Folding"><AuditPool><AuditStatus>
  <Header DeviceID="F1" Time="2026-03-02T12:00:00Z"/>
  <DeviceInfo Status="Production"><JobPhase JobID="4711" Status="InProgress"/></DeviceInfo>
</AuditStatus></AuditPool></XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "audit/resource-links", Severity: validate.Error, Mends: validate.Operator,
			Say: "the two links of the ResourceAudit have Usage {got} and {want}; want the same",
			Do:  "let the second link be the one that the first replaces",
			Why: "A ResourceAudit holds the link as it was used and, when it differs, the one that was planned (from " +
				"memory: JDF 1.x, ResourceAudit; the schema notes one or two links).",
		},
		kinds: onlyJDF, run: resourceLinks,
		Bad: `<JDF ID="n" Type="Folding" JobID="4711">
  <ResourcePool><Component ID="a" Class="Quantity"/><Component ID="b" Class="Quantity"/></ResourcePool>
  <AuditPool><ResourceAudit>
    <ComponentLink rRef="a" Usage="Input"/><ComponentLink rRef="b" Usage="Output"/>
  </ResourceAudit></AuditPool>
</JDF>`,
		Good: `<JDF ID="n" Type="Folding" JobID="4711">
  <ResourcePool><Component ID="a" Class="Quantity"/><Component ID="b" Class="Quantity"/></ResourcePool>
  <AuditPool><ResourceAudit>
    <ComponentLink rRef="a" Usage="Input"/><ComponentLink rRef="b" Usage="Input"/>
  </ResourceAudit></AuditPool>
</JDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "audit/merge-unknown", Severity: validate.Warning, Mends: validate.Operator,
			Say: "the part {id|q} is merged, and no Spawned audit sent it out",
			Do:  "merge into the ticket that it was spawned from",
			Why: "NewSpawnID of Spawned comes back as MergeID of Merged (from memory: JDF 1.x, Life cycle chapter, spawning " +
				"and merging).",
		},
		kinds: onlyJDF, fragment: asNote, run: mergeUnknown,
		Bad: `<JDF ID="n" Type="Folding" JobID="4711"><AuditPool>
  <Spawned NewSpawnID="Sp1" jRef="n" TimeStamp="2026-03-02T08:00:00Z"/>
  <Merged MergeID="Sp2" jRef="n" TimeStamp="2026-03-02T12:00:00Z"/>
</AuditPool></JDF>`,
		Good: `<JDF ID="n" Type="Folding" JobID="4711"><AuditPool>
  <Spawned NewSpawnID="Sp1" jRef="n" TimeStamp="2026-03-02T08:00:00Z"/>
  <Merged MergeID="Sp1" jRef="n" TimeStamp="2026-03-02T12:00:00Z"/>
</AuditPool></JDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "audit/not-merged", Severity: validate.Warning, Mends: validate.Operator,
			Say: "the part {id|q} was sent out and has not come back, and the node is Completed",
			Do:  "merge the part first",
			Why: "A node is complete when all its spawned parts are merged (from memory: JDF 1.x, Life cycle chapter).",
		},
		kinds: onlyJDF, run: notMerged,
		Bad: `<JDF ID="n" Type="Folding" JobID="4711" Status="Completed"><AuditPool>
  <Spawned NewSpawnID="Sp1" jRef="n" TimeStamp="2026-03-02T08:00:00Z"/>
</AuditPool></JDF>`,
		Good: `<JDF ID="n" Type="Folding" JobID="4711" Status="Spawned"><AuditPool>
  <Spawned NewSpawnID="Sp1" jRef="n" TimeStamp="2026-03-02T08:00:00Z"/>
</AuditPool></JDF>`,
	},
}

// pools walks the audit pools with the ticket that each belongs to.
func (p *pass) auditPools(visit func(t *node, pool jdf.Node)) {
	for _, n := range p.index.nodes {
		for pool := range n.ChildrenNamed("AuditPool") {
			visit(n, pool)
		}
	}
}

func createdMissing(p *pass) {
	p.auditPools(func(n *node, pool jdf.Node) {
		want, where := "AuditCreated", ""
		if p.doc.Kind.First() {
			want, where = "Created", " as its first audit"
		}
		first := jdf.Node{}
		for c := range pool.Children() {
			first = c
			break
		}
		// The nodes inside a ticket may have come with it.
		if n.outer == nil && !pool.Child(want).Valid() || first.Valid() && where != "" && !first.Is(want) && n.outer == nil {
			p.at(pool.NamePlace(), fact("want", want), fact("where", where))
		}
	})
}

// stamp is when an audit was written.
func stamp(audit jdf.Node) jdf.Attr {
	if h := audit.Child("Header"); h.Valid() {
		return h.Attr("Time")
	}
	return audit.Attr("TimeStamp")
}

func auditOrder(p *pass) {
	p.auditPools(func(_ *node, pool jdf.Node) {
		var last jdf.Attr
		for audit := range pool.Children() {
			at := stamp(audit)
			if before(at, last) {
				p.atWith(at.Place(), last.Place(), "the one before", fact("got", at.Value()), fact("want", last.Value()))
			}
			if at.Valid() {
				last = at
			}
		}
	})
}

func beforeCreated(p *pass) {
	p.auditPools(func(_ *node, pool jdf.Node) {
		created := stamp(pool.Child("Created"))
		if p.doc.Kind.Second() {
			created = stamp(pool.Child("AuditCreated"))
		}
		if !created.Valid() {
			return
		}
		for audit := range pool.Children() {
			for _, n := range []jdf.Node{audit, audit.Child("ProcessRun")} {
				for _, name := range []string{"Start", "SubmissionTime"} {
					// A ticket may be created while it is submitted.
					if at := n.Attr(name); name == "Start" && before(at, created) {
						p.atWith(at.Place(), created.Place(), "created here", fact("name", attrName(at)),
							fact("got", at.Value()), fact("want", created.Value()))
					}
				}
			}
		}
	})
}

func runTwice(p *pass) {
	type which struct {
		pool jdf.Node
		part string
	}
	first := map[which]jdf.Node{}
	for _, a := range p.job.Audits {
		if a.Run == nil {
			continue
		}
		key := which{up(a.Node, "AuditPool"), a.Run.Part.String()}
		if before := first[key]; before.Valid() {
			p.atWith(a.Run.Node.NamePlace(), before.NamePlace(), "the first is here", fact("name", a.Run.Node.Local()))
			continue
		}
		first[key] = a.Run.Node
	}
}

func otherJob(p *pass) {
	p.auditPools(func(n *node, pool jdf.Node) {
		want := up(n.Node, "JDF", "XJDF").Attr("JobID")
		if job := inheritedJob(n); !want.Valid() && job != "" {
			want = p.doc.Root().Attr("JobID")
		}
		for audit := range pool.Children() {
			for _, about := range audited(audit) {
				got := about.Attr("JobID")
				if got.Valid() && want.Valid() && got.Value() != want.Value() && !about.Child("GangSource").Valid() {
					p.atWith(got.Place(), want.Place(), "the job of the ticket",
						fact("got", got.Value()), fact("want", want.Value()))
				}
			}
		}
	})
}

// audited lists the elements of an audit that may name a job.
func audited(audit jdf.Node) []jdf.Node {
	found := []jdf.Node{audit}
	for c := range audit.Children() {
		found = append(found, c)
		for phase := range c.ChildrenNamed("JobPhase") {
			found = append(found, phase)
		}
	}
	return found
}

func resourceLinks(p *pass) {
	for audit := range p.named("ResourceAudit") {
		var first jdf.Attr
		for c := range audit.Children() {
			usage := c.Attr("Usage")
			switch {
			case !usage.Valid():
			case !first.Valid():
				first = usage
			case first.Value() != usage.Value():
				p.atWith(usage.Place(), first.Place(), "the first is here",
					fact("got", usage.Value()), fact("want", first.Value()))
			}
		}
	}
}

func mergeUnknown(p *pass) {
	spawned := map[string]bool{}
	for n := range p.named("Spawned") {
		spawned[n.Get("NewSpawnID")] = true
	}
	for n := range p.named("Merged") {
		if id := n.Attr("MergeID"); id.Valid() && !spawned[id.Value()] {
			p.at(id.Place(), fact("id", id.Value()))
		}
	}
}

func notMerged(p *pass) {
	merged := map[string]bool{}
	for n := range p.named("Merged") {
		merged[n.Get("MergeID")] = true
	}
	p.auditPools(func(n *node, pool jdf.Node) {
		for s := range pool.ChildrenNamed("Spawned") {
			id := s.Attr("NewSpawnID")
			if n.Get("Status") == "Completed" && id.Valid() && !merged[id.Value()] && s.Get("Independent") != "true" {
				p.atWith(id.Place(), n.Attr("Status").Place(), "the status is here", fact("id", id.Value()))
			}
		}
	})
}
