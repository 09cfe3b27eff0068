package rules

import (
	"fmt"
	"slices"
	"time"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/jdf/value"
	"quoin/validate"
)

var phaseChecks = []check{
	{
		Rule: &validate.Rule{
			ID: "audit/phases-overlap", Severity: validate.Warning, Mends: validate.Operator,
			Say: "a phase of {device} starts at {start}, while another lasts until {end}",
			Do:  "let each phase end where the next begins; its time would be counted twice",
			Why: "A device is in one phase of one part at a time (from memory: PhaseTime, JobPhase). Phases of different " +
				"modules or devices may run side by side.",
		},
		kinds: tickets, run: phasesOverlap,
		Bad: `<JDF ID="n" Type="Folding" JobID="4711"><AuditPool>
  <PhaseTime Status="Setup" Start="2026-03-02T08:00:00Z" End="2026-03-02T09:00:00Z"/>
  <PhaseTime Status="InProgress" Start="2026-03-02T08:30:00Z" End="2026-03-02T10:00:00Z"/>
</AuditPool></JDF>`,
		Good: `<JDF ID="n" Type="Folding" JobID="4711"><AuditPool>
  <PhaseTime Status="Setup" Start="2026-03-02T08:00:00Z" End="2026-03-02T09:00:00Z"/>
  <PhaseTime Status="InProgress" Start="2026-03-02T09:00:00Z" End="2026-03-02T10:00:00Z"/>
</AuditPool></JDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "audit/phase-outside-run", Severity: validate.Warning, Mends: validate.Operator,
			Say: "the phase reaches from {start} to {end}, outside the run, from {from} to {to}",
			Do:  "correct the times of the phase or of the run",
			Why: "ProcessRun sums up the phases of a run (from memory: ProcessRun).",
		},
		kinds: tickets, run: phaseOutsideRun,
		Bad: `<JDF ID="n" Type="Folding" JobID="4711"><AuditPool>
  <PhaseTime Status="InProgress" Start="2026-03-02T08:00:00Z" End="2026-03-02T12:00:00Z"/>
  <ProcessRun Start="2026-03-02T08:00:00Z" End="2026-03-02T10:00:00Z" EndStatus="Completed"/>
</AuditPool></JDF>`,
		Good: `<JDF ID="n" Type="Folding" JobID="4711"><AuditPool>
  <PhaseTime Status="InProgress" Start="2026-03-02T08:00:00Z" End="2026-03-02T10:00:00Z"/>
  <ProcessRun Start="2026-03-02T08:00:00Z" End="2026-03-02T10:00:00Z" EndStatus="Completed"/>
</AuditPool></JDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "audit/run-duration", Severity: validate.Warning, Mends: validate.Operator,
			Say: "Duration of the run is {got}, longer than from Start to End, {want}",
			Do:  "correct Duration; it is the time of the run without its pauses",
			Why: "Duration leaves pauses out of the time from Start to End, and adds none (from memory: ProcessRun).",
		},
		kinds: tickets, run: runDuration,
		Bad: `<JDF ID="n" Type="Folding" JobID="4711"><AuditPool>
  <ProcessRun Start="2026-03-02T08:00:00Z" End="2026-03-02T09:00:00Z" Duration="PT9H" EndStatus="Completed"/>
</AuditPool></JDF>`,
		Good: `<JDF ID="n" Type="Folding" JobID="4711"><AuditPool>
  <ProcessRun Start="2026-03-02T08:00:00Z" End="2026-03-02T09:00:00Z" Duration="PT50M" EndStatus="Completed"/>
</AuditPool></JDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "audit/end-status", Severity: validate.Warning, Mends: validate.Operator,
			Say: "the run ended as {got}, and {what} is {want}",
			Do:  "bring the two into line",
			Why: "The end of the run, the last phase and the node tell of one thing (from memory: ProcessRun).",
		},
		kinds: tickets, run: endStatus,
		Bad: `<JDF ID="n" Type="Folding" JobID="4711" Status="Aborted"><AuditPool>
  <ProcessRun Start="2026-03-02T08:00:00Z" End="2026-03-02T09:00:00Z" EndStatus="Completed"/>
</AuditPool></JDF>`,
		Good: `<JDF ID="n" Type="Folding" JobID="4711" Status="Completed"><AuditPool>
  <ProcessRun Start="2026-03-02T08:00:00Z" End="2026-03-02T09:00:00Z" EndStatus="Completed"/>
</AuditPool></JDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "audit/status-contradicts", Severity: validate.Warning, Mends: validate.Operator,
			Say: "the device is {device}, and a job on it is {job}",
			Do:  "correct the status of the device or of the job",
			Why: "A device that stands still works on no job (from memory: DeviceInfo and JobPhase, their lists of states). " +
				"Two samples break it.",
		},
		kinds: all, run: auditStatusContradicts,
		Bad: `<XJMF><Header DeviceID="F1" Time="2026-03-02T08:00:00Z"/><SignalStatus>
  <Header DeviceID="F1" Time="2026-03-02T08:00:00Z"/>
  <DeviceInfo Status="Offline"><JobPhase JobID="4711" Status="InProgress"/></DeviceInfo>
</SignalStatus></XJMF>`,
		Good: `<XJMF><Header DeviceID="F1" Time="2026-03-02T08:00:00Z"/><SignalStatus>
  <Header DeviceID="F1" Time="2026-03-02T08:00:00Z"/>
  <DeviceInfo Status="Production"><JobPhase JobID="4711" Status="InProgress"/></DeviceInfo>
</SignalStatus></XJMF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "audit/no-cost-key", Severity: validate.Note, Mends: validate.Operator,
			Say: "the phase names neither device nor cost center",
			Do:  "name the device; its time can not be priced otherwise",
			Why: "A phase is costed by the hourly rate of its device or cost center. Our own rule.",
		},
		kinds: onlyJDF, fragment: leftOut, run: noCostKey,
		Bad: `<JDF ID="n" Type="Folding" JobID="4711"><AuditPool>
  <PhaseTime Status="InProgress" Start="2026-03-02T08:00:00Z" End="2026-03-02T10:00:00Z"/>
</AuditPool></JDF>`,
		Good: `<JDF ID="n" Type="Folding" JobID="4711"><AuditPool>
  <PhaseTime Status="InProgress" Start="2026-03-02T08:00:00Z" End="2026-03-02T10:00:00Z">
    <Device DeviceID="F1"/></PhaseTime>
</AuditPool></JDF>`,
	},
}

// clocked is a stretch of time with both ends known.
type clocked struct {
	audit      *job.Audit
	start, end job.Fact[value.DateTime]
}

func phasesOverlap(p *pass) {
	type which struct {
		pool         jdf.Node
		device, part string
	}
	groups := map[which][]clocked{}
	var order []which
	for _, a := range p.job.Audits {
		ph := a.Phase
		if ph == nil || !ph.Start.Given || !ph.End.Given || !ph.State.Timed() || ph.Modules.Given {
			continue
		}
		key := which{up(a.Node, "AuditPool"), ph.Device.Value, ph.Part.String()}
		if groups[key] == nil {
			order = append(order, key)
		}
		groups[key] = append(groups[key], clocked{a, ph.Start, ph.End})
	}
	for _, key := range order {
		phases := groups[key]
		slices.SortStableFunc(phases, func(a, b clocked) int {
			return a.start.Value.Time().Compare(b.start.Value.Time())
		})
		device := "this device"
		if key.device != "" {
			device = fmt.Sprintf("device %q", key.device)
		}
		last := phases[0]
		for _, ph := range phases[1:] {
			if earlier(ph.start.Value, last.end.Value) && ph.start.Place != last.start.Place {
				p.atWith(ph.start.Place, last.end.Place, "the other ends here", fact("device", device),
					fact("start", ph.start.Value), fact("end", last.end.Value))
			}
			if earlier(last.end.Value, ph.end.Value) {
				last = ph
			}
		}
	}
}

// runs finds the one run that an audit pool sums its phases up in.
func (p *pass) runs() map[jdf.Node]*job.Run {
	found, several := map[jdf.Node]*job.Run{}, map[jdf.Node]bool{}
	for _, a := range p.job.Audits {
		if a.Run == nil {
			continue
		}
		pool := up(a.Node, "AuditPool")
		several[pool] = several[pool] || found[pool] != nil || !a.Run.Part.Empty()
		found[pool] = a.Run
	}
	for pool := range several {
		if several[pool] {
			delete(found, pool)
		}
	}
	return found
}

func phaseOutsideRun(p *pass) {
	runs := p.runs()
	for _, a := range p.job.Audits {
		run := runs[up(a.Node, "AuditPool")]
		if a.Phase == nil || run == nil || !a.Phase.State.Timed() || a.Phase.State == job.StateIdle ||
			!a.Phase.Start.Given || !a.Phase.End.Given || !run.Start.Given || !run.End.Given {
			continue
		}
		ph := a.Phase
		if earlier(ph.Start.Value, run.Start.Value) || earlier(run.End.Value, ph.End.Value) {
			p.atWith(ph.Start.Place, run.Start.Place, "the run is here", fact("start", ph.Start.Value),
				fact("end", ph.End.Value), fact("from", run.Start.Value), fact("to", run.End.Value))
		}
	}
}

func runDuration(p *pass) {
	for _, a := range p.job.Audits {
		if a.Run == nil || !a.Run.Start.Given || !a.Run.End.Given || a.Run.Start.Value.HasZone != a.Run.End.Value.HasZone {
			continue
		}
		length := a.Run.End.Value.Time().Sub(a.Run.Start.Value.Time())
		got, fixed := a.Run.Duration.Value.Fixed()
		if a.Run.Duration.Given && fixed && length >= 0 && got > length+time.Second {
			p.at(a.Run.Duration.Place, fact("got", a.Run.Duration.Value), fact("want", length))
		}
	}
}

func endStatus(p *pass) {
	runs := p.runs()
	p.auditPools(func(n *node, pool jdf.Node) {
		run := runs[pool]
		if run == nil || !run.EndStatus.Given {
			return
		}
		status := n.Attr("Status")
		if p.doc.Kind.Second() {
			status = jdf.Attr{}
			for _, u := range n.of("NodeInfo") {
				if all := slices.Collect(p.carriers(u)); len(all) == 1 {
					status = all[0].Attr("Status")
				}
			}
		}
		if final[status.Value()] && final[run.EndStatus.Value] && status.Value() != run.EndStatus.Value {
			p.atWith(run.EndStatus.Place, status.Place(), "the status is here", fact("got", run.EndStatus.Value),
				fact("what", "the node"), fact("want", status.Value()))
		}
	})
	last := map[jdf.Node]*job.Phase{}
	for _, a := range p.job.Audits {
		if a.Phase != nil && a.Phase.State == job.StateDone {
			last[up(a.Node, "AuditPool")] = a.Phase
		}
	}
	p.auditPools(func(_ *node, pool jdf.Node) {
		run, ph := runs[pool], last[pool]
		if run != nil && ph != nil && run.EndStatus.Given && ph.Status.Value != run.EndStatus.Value {
			p.atWith(run.EndStatus.Place, ph.Status.Place, "the last phase is here", fact("got", run.EndStatus.Value),
				fact("what", "the last phase"), fact("want", ph.Status.Value))
		}
	})
}

// standing are the states of a device that works on nothing.
// Source: JDF schema, eDeviceStatus_; XJDF schema, DeviceStatus.
var standing = set("Idle", "Offline")

func auditStatusContradicts(p *pass) {
	for info := range p.named("DeviceInfo") {
		device := info.Attr("Status")
		if a := info.Attr("DeviceStatus"); a.Valid() {
			device = a
		}
		for phase := range info.ChildrenNamed("JobPhase") {
			// A phase that has ended is told of although the device has gone on.
			status := phase.Attr("Status")
			state := job.StateOfNode(status.Value())
			works := state == job.StateRun || state == job.StateMakeready || state == job.StateWash
			if standing[device.Value()] && works && !phase.Has("EndTime") {
				p.atWith(status.Place(), device.Place(), "the device is here",
					fact("device", device.Value()), fact("job", status.Value()))
			}
		}
	}
}

func noCostKey(p *pass) {
	for _, a := range p.job.Audits {
		if ph := a.Phase; ph != nil && ph.State.Timed() && !ph.Device.Given && !a.Device.Given && !ph.CostCenter.Given {
			p.at(ph.Node.NamePlace())
		}
	}
}
