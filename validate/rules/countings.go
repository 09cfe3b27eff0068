package rules

import (
	"github.com/shopspring/decimal"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/validate"
)

var countingChecks = []check{
	{
		Rule: &validate.Rule{
			ID: "audit/more-out-than-in", Severity: validate.Warning, Mends: validate.Operator,
			Say: "{out} came out of {process}, good and waste, and {in} went in",
			Do:  "count again; waste is what went in and did not come out good",
			Why: "What comes out, good or not, has gone in (amount appendix of the conformance specifications). Asked of " +
				"processes that hand on one thing for each that they take.",
		},
		kinds: tickets, run: moreOutThanIn,
		Bad: `<XJDF JobID="4711" Types="Folding"><AuditPool>
  <AuditResource><Header DeviceID="F1" Time="2026-03-02T12:00:00Z"/><ResourceInfo>
    <ResourceSet Name="Component" Usage="Input">
    <Resource><AmountPool><PartAmount Amount="500"/></AmountPool></Resource></ResourceSet></ResourceInfo>
      </AuditResource>
  <AuditResource><Header DeviceID="F1" Time="2026-03-02T12:00:00Z"/><ResourceInfo>
    <ResourceSet Name="Component" Usage="Output">
    <Resource><AmountPool><PartAmount Amount="500" Waste="20"/></AmountPool></Resource></ResourceSet>
      </ResourceInfo></AuditResource>
</AuditPool></XJDF>`,
		Good: `<XJDF JobID="4711" Types="Folding"><AuditPool>
  <AuditResource><Header DeviceID="F1" Time="2026-03-02T12:00:00Z"/><ResourceInfo>
    <ResourceSet Name="Component" Usage="Input">
    <Resource><AmountPool><PartAmount Amount="500"/></AmountPool></Resource></ResourceSet></ResourceInfo>
      </AuditResource>
  <AuditResource><Header DeviceID="F1" Time="2026-03-02T12:00:00Z"/><ResourceInfo>
    <ResourceSet Name="Component" Usage="Output">
    <Resource><AmountPool><PartAmount Amount="480" Waste="20"/></AmountPool></Resource></ResourceSet>
      </ResourceInfo></AuditResource>
</AuditPool></XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "audit/phases-sum", Severity: validate.Warning, Mends: validate.Operator,
			Say: "the phases made {got}, and the audit of the {name} counts {want}",
			Do:  "count again; the costs go by the audit",
			Why: "The amounts of the phases add up to what was made. Plausibility, where every phase in progress tells its " +
				"amount.",
		},
		kinds: tickets, run: phasesSum,
		Bad: `<XJDF JobID="4711" Types="Folding"><AuditPool>
  <AuditStatus><Header DeviceID="F1" Time="2026-03-02T12:00:00Z"/>
    <DeviceInfo Status="Production"><JobPhase JobID="4711" Status="InProgress" Amount="600"/></DeviceInfo></AuditStatus>
  <AuditResource><Header DeviceID="F1" Time="2026-03-02T12:00:00Z"/><ResourceInfo>
    <ResourceSet Name="Component" Usage="Output">
    <Resource><AmountPool><PartAmount Amount="500"/></AmountPool></Resource></ResourceSet></ResourceInfo>
      </AuditResource>
</AuditPool></XJDF>`,
		Good: `<XJDF JobID="4711" Types="Folding"><AuditPool>
  <AuditStatus><Header DeviceID="F1" Time="2026-03-02T12:00:00Z"/>
    <DeviceInfo Status="Production"><JobPhase JobID="4711" Status="InProgress" Amount="500"/></DeviceInfo></AuditStatus>
  <AuditResource><Header DeviceID="F1" Time="2026-03-02T12:00:00Z"/><ResourceInfo>
    <ResourceSet Name="Component" Usage="Output">
    <Resource><AmountPool><PartAmount Amount="500"/></AmountPool></Resource></ResourceSet></ResourceInfo>
      </AuditResource>
</AuditPool></XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "audit/percent-differs", Severity: validate.Warning, Mends: validate.Operator,
			Say: "PercentCompleted is {got}, and {amount} of {total} make {want}",
			Do:  "correct the one that is wrong",
			Why: "Both tell how far the job is (from memory: JobPhase). Asked from 10 points of difference on.",
		},
		kinds: all, run: percentDiffers,
		Bad: `<XJMF><Header DeviceID="F1" Time="2026-03-02T08:00:00Z"/><SignalStatus>
  <Header DeviceID="F1" Time="2026-03-02T08:00:00Z"/>
  <DeviceInfo Status="Production">
    <JobPhase JobID="4711" Status="InProgress" Amount="10" TotalAmount="1000" PercentCompleted="100"/></DeviceInfo>
</SignalStatus></XJMF>`,
		Good: `<XJMF><Header DeviceID="F1" Time="2026-03-02T08:00:00Z"/><SignalStatus>
  <Header DeviceID="F1" Time="2026-03-02T08:00:00Z"/>
  <DeviceInfo Status="Production">
    <JobPhase JobID="4711" Status="InProgress" Amount="10" TotalAmount="1000" PercentCompleted="1"/></DeviceInfo>
</SignalStatus></XJMF>`,
	},
}

// counts adds up what the resource audits of each pool tell of components.
type counts struct {
	in, out, good decimal.Decimal
	inAt, outAt   jdf.Place
	name          string
}

func (p *pass) counts() map[jdf.Node]*counts {
	found := map[jdf.Node]*counts{}
	for _, a := range p.job.Audits {
		c := a.Consumption
		if c == nil || c.Kind != "Component" && (c.Kind != "Media" || c.Output) {
			continue
		}
		pool := up(a.Node, "AuditPool")
		if found[pool] == nil {
			found[pool] = &counts{name: c.Kind}
		}
		sum, good := found[pool], c.Amounts.Good
		all := good.Value.Add(c.Amounts.Waste.Value)
		switch {
		case !good.Given:
		case c.Output:
			sum.out, sum.good, sum.outAt = sum.out.Add(all), sum.good.Add(good.Value), good.Place
			sum.name = c.Kind
		default:
			sum.in, sum.inAt = sum.in.Add(all), good.Place
		}
	}
	return found
}

func moreOutThanIn(p *pass) {
	sums := p.counts()
	p.auditPools(func(n *node, pool jdf.Node) {
		c := sums[pool]
		if c == nil || len(n.types) != 1 || !oneToOne[n.types[0]] || !c.inAt.Known() || !c.outAt.Known() {
			return
		}
		if c.out.GreaterThan(c.in) {
			p.atWith(c.outAt, c.inAt, "what went in", fact("out", c.out), fact("process", n.types[0]), fact("in", c.in))
		}
	})
}

func phasesSum(p *pass) {
	sums := p.counts()
	made, silent, running := map[jdf.Node]decimal.Decimal{}, map[jdf.Node]bool{}, map[jdf.Node]bool{}
	for _, a := range p.job.Audits {
		if a.Phase == nil {
			continue
		}
		pool := up(a.Node, "AuditPool")
		made[pool] = made[pool].Add(a.Phase.Good.Value)
		running[pool] = running[pool] || a.Phase.Good.Given
		silent[pool] = silent[pool] || a.Phase.State == job.StateRun && !a.Phase.Good.Given
	}
	p.auditPools(func(_ *node, pool jdf.Node) {
		c := sums[pool]
		if c != nil && c.outAt.Known() && running[pool] && !silent[pool] && !made[pool].Equal(c.good) {
			p.at(c.outAt, fact("got", made[pool]), fact("name", c.name), fact("want", c.good))
		}
	})
}

func percentDiffers(p *pass) {
	const tolerance = 10
	for a := range p.having("PercentCompleted") {
		percent, ok := numberOf(a)
		amount, okAmount := number(a.Owner(), "Amount")
		total, okTotal := number(a.Owner(), "TotalAmount")
		if !ok || !okAmount || !okTotal || !total.IsPositive() {
			continue
		}
		want := amount.Mul(decimal.NewFromInt(100)).DivRound(total, 1)
		if percent.Sub(want).Abs().GreaterThan(decimal.NewFromInt(tolerance)) {
			p.atWith(a.Place(), a.Owner().Attr("Amount").Place(), "the amount is here", fact("got", percent),
				fact("amount", amount), fact("total", total), fact("want", want))
		}
	}
}
