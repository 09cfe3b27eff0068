package rules

import (
	"slices"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/jdf/value"
	"quoin/validate"
)

var scheduleChecks = []check{
	{
		Rule: &validate.Rule{
			ID: "process/starts-too-early", Severity: validate.Warning, Mends: validate.Sender,
			Say: "{process} starts at {start}, before {maker}, which makes its input {id|q}, ends at {end}",
			Do:  "start it later, or say by a PipeID that the two overlap",
			Why: "A process starts when its inputs are there (from memory: JDF 1.x, Life cycle chapter); two that run at " +
				"the same time are coupled by a pipe.",
		},
		kinds: onlyJDF, run: startsTooEarly,
		Bad: `<JDF ID="n" Type="Product" JobID="4711">
  <ResourcePool><Component ID="c" Class="Quantity"/>
    <NodeInfo ID="n1" Class="Parameter" End="2026-03-02T09:00:00Z"/>
    <NodeInfo ID="n2" Class="Parameter" Start="2026-03-02T08:00:00Z"/></ResourcePool>
  <JDF ID="a" Type="Cutting"><ResourceLinkPool>
    <NodeInfoLink rRef="n1" Usage="Input"/><ComponentLink rRef="c" Usage="Output"/></ResourceLinkPool></JDF>
  <JDF ID="b" Type="Folding"><ResourceLinkPool>
    <NodeInfoLink rRef="n2" Usage="Input"/><ComponentLink rRef="c" Usage="Input"/></ResourceLinkPool></JDF>
</JDF>`,
		Good: `<JDF ID="n" Type="Product" JobID="4711">
  <ResourcePool><Component ID="c" Class="Quantity"/>
    <NodeInfo ID="n1" Class="Parameter" End="2026-03-02T09:00:00Z"/>
    <NodeInfo ID="n2" Class="Parameter" Start="2026-03-02T09:00:00Z"/></ResourcePool>
  <JDF ID="a" Type="Cutting"><ResourceLinkPool>
    <NodeInfoLink rRef="n1" Usage="Input"/><ComponentLink rRef="c" Usage="Output"/></ResourceLinkPool></JDF>
  <JDF ID="b" Type="Folding"><ResourceLinkPool>
    <NodeInfoLink rRef="n2" Usage="Input"/><ComponentLink rRef="c" Usage="Input"/></ResourceLinkPool></JDF>
</JDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/device-double", Severity: validate.Warning, Mends: validate.Sender,
			Say: "device {device|q} is to start {process} at {start}, while it runs {other} until {end}",
			Do:  "move one of the two, or choose another device",
			Why: "A device runs one job at a time unless it says otherwise. Plausibility.",
		},
		kinds: onlyJDF, run: deviceDouble,
		Bad: `<JDF ID="n" Type="Product" JobID="4711">
  <ResourcePool><Device ID="d" Class="Implementation" DeviceID="F1"/>
    <NodeInfo ID="n1" Class="Parameter" Start="2026-03-02T08:00:00Z" End="2026-03-02T10:00:00Z"/>
    <NodeInfo ID="n2" Class="Parameter" Start="2026-03-02T09:00:00Z" End="2026-03-02T11:00:00Z"/></ResourcePool>
  <JDF ID="a" Type="Folding"><ResourceLinkPool>
    <NodeInfoLink rRef="n1" Usage="Input"/><DeviceLink rRef="d" Usage="Input"/></ResourceLinkPool></JDF>
  <JDF ID="b" Type="Folding"><ResourceLinkPool>
    <NodeInfoLink rRef="n2" Usage="Input"/><DeviceLink rRef="d" Usage="Input"/></ResourceLinkPool></JDF>
</JDF>`,
		Good: `<JDF ID="n" Type="Product" JobID="4711">
  <ResourcePool><Device ID="d" Class="Implementation" DeviceID="F1"/>
    <NodeInfo ID="n1" Class="Parameter" Start="2026-03-02T08:00:00Z" End="2026-03-02T09:00:00Z"/>
    <NodeInfo ID="n2" Class="Parameter" Start="2026-03-02T09:00:00Z" End="2026-03-02T11:00:00Z"/></ResourcePool>
  <JDF ID="a" Type="Folding"><ResourceLinkPool>
    <NodeInfoLink rRef="n1" Usage="Input"/><DeviceLink rRef="d" Usage="Input"/></ResourceLinkPool></JDF>
  <JDF ID="b" Type="Folding"><ResourceLinkPool>
    <NodeInfoLink rRef="n2" Usage="Input"/><DeviceLink rRef="d" Usage="Input"/></ResourceLinkPool></JDF>
</JDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/delivered-too-early", Severity: validate.Warning, Mends: validate.Sender,
			Say: "the delivery is required at {got}, before the last process ends at {end}",
			Do:  "move the delivery, or plan the work earlier",
			Why: "What is delivered has been made (from memory: DeliveryParams).",
		},
		kinds: tickets, run: deliveredTooEarly,
		Bad: `<XJDF JobID="4711" Types="Folding Delivery">
  <ResourceSet Name="NodeInfo" Usage="Input"><Resource><NodeInfo End="2026-03-03T09:00:00Z"/></Resource></ResourceSet>
  <ResourceSet Name="DeliveryParams" Usage="Input"><Resource>
    <DeliveryParams Required="2026-03-02T09:00:00Z"/></Resource></ResourceSet>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="Folding Delivery">
  <ResourceSet Name="NodeInfo" Usage="Input"><Resource><NodeInfo End="2026-03-02T09:00:00Z"/></Resource></ResourceSet>
  <ResourceSet Name="DeliveryParams" Usage="Input"><Resource>
    <DeliveryParams Required="2026-03-02T09:00:00Z"/></Resource></ResourceSet>
</XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/expired", Severity: validate.Warning, Mends: validate.Plant,
			Say: "the resource expires at {got}, before the work is to start at {start}",
			Do:  "replace it, or start earlier",
			Why: "A resource may not be used after Expires (from memory: XJDF 2.x, Resource).",
		},
		kinds: onlyXJDF, run: expired,
		Bad: `<XJDF JobID="4711" Types="ConventionalPrinting">
  <ResourceSet Name="NodeInfo" Usage="Input"><Resource><NodeInfo Start="2026-03-03T09:00:00Z"/></Resource></ResourceSet>
  <ResourceSet Name="ExposedMedia" Usage="Input"><Resource Expires="2026-03-02T09:00:00Z"/></ResourceSet>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="ConventionalPrinting">
  <ResourceSet Name="NodeInfo" Usage="Input"><Resource><NodeInfo Start="2026-03-02T08:00:00Z"/></Resource></ResourceSet>
  <ResourceSet Name="ExposedMedia" Usage="Input"><Resource Expires="2026-03-02T09:00:00Z"/></ResourceSet>
</XJDF>`,
	},
}

// schedules is when each node is to run, for nodes that are one step of the
// neutral Job at least.
func (p *pass) schedules() map[jdf.Node]*job.Operation {
	first := map[jdf.Node]*job.Operation{}
	for _, op := range p.job.Operations {
		if first[op.Node] == nil {
			first[op.Node] = op
		}
	}
	return first
}

func startsTooEarly(p *pass) {
	plan := p.schedules()
	makers := p.byResource("Output")
	for _, u := range p.index.uses {
		taker := plan[u.node.Node]
		// Parts of a resource may be ready before the rest.
		if !u.input() || taker == nil || !taker.Schedule.Start.Given || u.resource.Has("PipeID") || u.Child("Part").Valid() {
			continue
		}
		if !p.spend(len(makers[u.resource])) {
			return
		}
		for _, m := range makers[u.resource] {
			maker := plan[m.node.Node]
			if maker == nil || !maker.Schedule.End.Given || m.node.related(u.node) || m.Child("Part").Valid() {
				continue
			}
			start, end := taker.Schedule.Start, maker.Schedule.End
			if earlier(start.Value, end.Value) {
				p.atWith(start.Place, end.Place, "the other ends here", fact("process", u.node.kind()),
					fact("start", start.Value), fact("maker", m.node.kind()), fact("id", u.Get("rRef")), fact("end", end.Value))
			}
		}
	}
}

func deviceDouble(p *pass) {
	byDevice := map[string][]*job.Operation{}
	var devices []string
	first := p.schedules()
	for _, op := range p.job.Operations {
		if first[op.Node] != op {
			continue
		}
		s := op.Schedule
		if len(op.Devices) == 1 && op.Devices[0].ID.Value != "" && s.Start.Given && s.End.Given &&
			s.Start.Value.HasZone && s.End.Value.HasZone {
			id := op.Devices[0].ID.Value
			if byDevice[id] == nil {
				devices = append(devices, id)
			}
			byDevice[id] = append(byDevice[id], op)
		}
	}
	for _, device := range devices {
		ops := byDevice[device]
		slices.SortFunc(ops, func(a, b *job.Operation) int {
			if order, _ := a.Schedule.Start.Value.Compare(b.Schedule.Start.Value); order != 0 {
				return order
			}
			return a.Node.Index() - b.Node.Index()
		})
		last := ops[0]
		for _, op := range ops[1:] {
			start, end := op.Schedule.Start, last.Schedule.End
			if earlier(start.Value, end.Value) && start.Place != last.Schedule.Start.Place {
				p.atWith(start.Place, end.Place, "the other ends here", fact("device", device), fact("process", op.Type),
					fact("start", start.Value), fact("other", last.Type), fact("end", end.Value))
			}
			if earlier(end.Value, op.Schedule.End.Value) {
				last = op
			}
		}
	}
}

func deliveredTooEarly(p *pass) {
	var last job.Fact[value.DateTime]
	for _, op := range p.job.Operations {
		if end := op.Schedule.End; op.Type != "Delivery" && end.Given && (!last.Given || earlier(last.Value, end.Value)) {
			last = end
		}
	}
	for a := range p.having("Required") {
		required, err := value.ParseDateTime(a.Value())
		if last.Given && err == nil && a.Owner().Is("DeliveryParams") && earlier(required, last.Value) {
			p.atWith(a.Place(), last.Place, "the last process ends here", fact("got", a.Value()), fact("end", last.Value))
		}
	}
}

func expired(p *pass) {
	start := p.job.Schedule.Start
	for a := range p.having("Expires") {
		until, err := value.ParseDateTime(a.Value())
		if start.Given && err == nil && a.Owner().Is("Resource") && earlier(until, start.Value) {
			p.atWith(a.Place(), start.Place, "the start is here", fact("got", a.Value()), fact("start", start.Value))
		}
	}
}
