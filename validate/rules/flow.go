package rules

import (
	"github.com/shopspring/decimal"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/validate"
)

var flowChecks = []check{
	{
		Rule: &validate.Rule{
			ID: "process/too-few-for-next", Severity: validate.Warning, Mends: validate.Sender,
			Say: "{taker} takes {want} of {id|q}, and {maker} makes {got}",
			Do:  "plan the earlier step for what the later one needs, waste included",
			Why: "What one process hands on is all that the next can work with. Plausibility, over the planned amounts of " +
				"the links to one resource.",
		},
		kinds: onlyJDF, run: tooFewForNext,
		Bad: `<JDF ID="n" Type="Product" JobID="4711">
  <ResourcePool><Component ID="c" Class="Quantity"/></ResourcePool>
  <JDF ID="a" Type="Cutting"><ResourceLinkPool>
    <ComponentLink rRef="c" Usage="Output" Amount="1000"/></ResourceLinkPool></JDF>
  <JDF ID="b" Type="Folding"><ResourceLinkPool>
    <ComponentLink rRef="c" Usage="Input" Amount="1200"/></ResourceLinkPool></JDF>
</JDF>`,
		Good: `<JDF ID="n" Type="Product" JobID="4711">
  <ResourcePool><Component ID="c" Class="Quantity"/></ResourcePool>
  <JDF ID="a" Type="Cutting"><ResourceLinkPool>
    <ComponentLink rRef="c" Usage="Output" Amount="1200"/></ResourceLinkPool></JDF>
  <JDF ID="b" Type="Folding"><ResourceLinkPool>
    <ComponentLink rRef="c" Usage="Input" Amount="1200"/></ResourceLinkPool></JDF>
</JDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/waste-not-covered", Severity: validate.Warning, Mends: validate.Sender,
			Say: "{process} is given {got} sheets for {good} good ones and {waste} of waste",
			Do:  "plan the input for good sheets and waste together",
			Why: "What comes out, good or not, has gone in (amount appendix of the conformance specifications). One sheet " +
				"in is one sheet out for presses and folders.",
		},
		kinds: tickets, run: wasteNotCovered,
		Bad: `<XJDF JobID="4711" Types="Folding">
  <ResourceSet Name="Component" Usage="Input"><Resource>
    <AmountPool><PartAmount Amount="1000"/></AmountPool><Component/></Resource></ResourceSet>
  <ResourceSet Name="Component" Usage="Output"><Resource>
    <AmountPool><PartAmount Amount="1000" Waste="50"/></AmountPool><Component/></Resource></ResourceSet>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="Folding">
  <ResourceSet Name="Component" Usage="Input"><Resource>
    <AmountPool><PartAmount Amount="1050"/></AmountPool><Component/></Resource></ResourceSet>
  <ResourceSet Name="Component" Usage="Output"><Resource>
    <AmountPool><PartAmount Amount="1000" Waste="50"/></AmountPool><Component/></Resource></ResourceSet>
</XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/stock-short", Severity: validate.Warning, Mends: validate.Operator,
			Say: "the job takes {want} of {id|q}, and {got} are there",
			Do:  "order the rest, or correct the Amount of the resource",
			Why: "Amount on a resource is what is there of it, on a link what a process takes (from memory: JDF 1.x, " +
				"Structure chapter).",
		},
		kinds: onlyJDF, run: stockShort,
		Bad: `<JDF ID="n" Type="ConventionalPrinting" JobID="4711">
  <ResourcePool><Media ID="m" Class="Consumable" Status="Available" Amount="100"/></ResourcePool>
  <ResourceLinkPool><MediaLink rRef="m" Usage="Input" Amount="400"/></ResourceLinkPool>
</JDF>`,
		Good: `<JDF ID="n" Type="ConventionalPrinting" JobID="4711">
  <ResourcePool><Media ID="m" Class="Consumable" Status="Available" Amount="500"/></ResourcePool>
  <ResourceLinkPool><MediaLink rRef="m" Usage="Input" Amount="400"/></ResourceLinkPool>
</JDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/actual-too-early", Severity: validate.Warning, Mends: validate.Sender,
			Say: "{name} is given, and the node is still {status}",
			Do:  "leave the amount to the device that does the work, or set the Status of the node",
			Why: "Actual amounts are written by the device when it is done; the sender plans (amount appendix of the " +
				"conformance specifications).",
		},
		kinds: onlyJDF, fragment: leftOut, run: actualTooEarly,
		Bad: `<JDF ID="n" Type="Folding" JobID="4711" Status="Waiting">
  <ResourcePool><Component ID="c" Class="Quantity"/></ResourcePool>
  <ResourceLinkPool><ComponentLink rRef="c" Usage="Output" Amount="500" ActualAmount="510"/></ResourceLinkPool>
</JDF>`,
		Good: `<JDF ID="n" Type="Folding" JobID="4711" Status="Completed">
  <ResourcePool><Component ID="c" Class="Quantity" Status="Available"/></ResourcePool>
  <ResourceLinkPool><ComponentLink rRef="c" Usage="Output" Amount="500" ActualAmount="510"/></ResourceLinkPool>
</JDF>`,
	},
}

// planned is what a link plans in all: on the link, or in its pool, waste not
// included. Without amounts it is not given.
func planned(u *use) (sum decimal.Decimal, at jdf.Node, given bool) {
	if d, ok := number(u.Node, "Amount"); ok {
		return d, u.Node, true
	}
	for part := range u.Child("AmountPool").ChildrenNamed("PartAmount") {
		d, ok := number(part, "Amount")
		if !ok || part.Child("Part").Get("Condition") == "Waste" {
			continue
		}
		sum = sum.Add(d)
		if !given {
			at, given = part, true
		}
	}
	return sum, at, given
}

func tooFewForNext(p *pass) {
	makers := p.byResource("Output")
	for _, u := range p.index.uses {
		if !u.input() || len(u.node.inner) > 0 || u.Child("Part").Valid() {
			continue
		}
		want, at, given := planned(u)
		made := decimal.Zero
		var maker *use
		if !p.spend(len(makers[u.resource])) {
			return
		}
		for _, m := range makers[u.resource] {
			got, _, ok := planned(m)
			if len(m.node.inner) > 0 || m.node == u.node {
				continue
			}
			if !ok || m.Child("Part").Valid() {
				given = false // not all is told
			}
			maker, made = m, made.Add(got)
		}
		if given && maker != nil && made.LessThan(want) {
			p.atWith(at.Attr("Amount").Place(), maker.NamePlace(), "made here", fact("taker", u.node.kind()),
				fact("want", want), fact("id", u.Get("rRef")), fact("maker", maker.node.kind()), fact("got", made))
		}
	}
}

// oneToOne are the processes that hand on one thing for each that they take.
var oneToOne = set("ConventionalPrinting", "DigitalPrinting", "Folding", "Stitching", "Trimming", "Varnishing",
	"Laminating", "Creasing", "Embossing", "Perforating")

func wasteNotCovered(p *pass) {
	for _, op := range p.job.Operations {
		if !oneToOne[op.Type] {
			continue
		}
		in, out := componentUses(op.Inputs), componentUses(op.Outputs)
		// Sheets that are folded or stitched several at a time are not one to one.
		if len(in) != 1 || len(out) != 1 || in[0].Component == out[0].Component {
			continue
		}
		got, good, waste := in[0].Amounts, out[0].Amounts.Good, out[0].Amounts.Waste
		if !got.Good.Given || !good.Given || !waste.Given {
			continue
		}
		total := got.Good.Value.Add(got.Waste.Value)
		if total.LessThan(good.Value.Add(waste.Value)) {
			p.atWith(got.Good.Place, good.Place, "what comes out", fact("process", op.Type), fact("got", total),
				fact("good", good.Value), fact("waste", waste.Value))
		}
	}
}

func componentUses(uses []*job.Use) []*job.Use {
	var found []*job.Use
	for _, u := range uses {
		if u.Component != nil {
			found = append(found, u)
		}
	}
	return found
}

func stockShort(p *pass) {
	takers := p.byResource("Input")
	for r := range p.pooled {
		stock, ok := number(r, "Amount")
		if !ok || r.Get("Status") != "Available" {
			continue
		}
		want := decimal.Zero
		var last *use
		for _, u := range takers[r] {
			if d, _, given := planned(u); given && len(u.node.inner) == 0 {
				want, last = want.Add(d), u
			}
		}
		if last != nil && stock.LessThan(want) {
			p.atWith(r.Attr("Amount").Place(), last.NamePlace(), "taken here",
				fact("want", want), fact("id", r.Get("ID")), fact("got", stock))
		}
	}
}

func actualTooEarly(p *pass) {
	for _, u := range p.index.uses {
		status := u.node.Get("Status")
		if status != "Waiting" && status != "Ready" {
			continue
		}
		if a := u.Attr("ActualAmount"); a.Valid() {
			p.at(a.Place(), fact("name", attrName(a)), fact("status", status))
		}
		for part := range u.Child("AmountPool").ChildrenNamed("PartAmount") {
			if a := part.Attr("ActualAmount"); a.Valid() {
				p.at(a.Place(), fact("name", attrName(a)), fact("status", status))
			}
		}
	}
}
