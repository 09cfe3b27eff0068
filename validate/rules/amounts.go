package rules

import (
	"strings"

	"github.com/shopspring/decimal"

	"quoin/jdf"
	"quoin/jdf/value"
	"quoin/validate"
)

var amountChecks = []check{
	{
		Rule: &validate.Rule{
			ID: "process/amount-negative", Severity: validate.Error, Mends: validate.Sender,
			Say: "{name} is {got}; want a number of 0 or more",
			Do:  "write what was counted, or leave the attribute out",
			Why: "An amount counts sheets, pieces or copies (from memory: Structure chapter of both generations). The " +
				"schema type is any number, INF and NaN included.",
		},
		kinds: all, run: amountNegative,
		Bad: `<XJDF JobID="4711" Types="Product">
  <ProductList><Product Amount="-500"/></ProductList>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="Product">
  <ProductList><Product Amount="0"/></ProductList>
</XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/amount-limits", Severity: validate.Error, Mends: validate.Sender,
			Say: "{name} is {got}, and {other} is {limit}; want MinAmount, Amount and MaxAmount in rising order",
			Do:  "correct the one that is wrong",
			Why: "Between MinAmount and MaxAmount lies what the customer takes (from memory: Structure chapter, amounts).",
		},
		kinds: tickets, run: amountLimits,
		Bad: `<XJDF JobID="4711" Types="Product">
  <ProductList><Product Amount="500" MinAmount="900"/></ProductList>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="Product">
  <ProductList><Product Amount="900" MinAmount="900" MaxAmount="950"/></ProductList>
</XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/amount-twice", Severity: validate.Warning, Mends: validate.Sender,
			Say: "{name} stands on the link beside an AmountPool",
			Do:  "keep the AmountPool, and write a total as a PartAmount of its own",
			Why: "The amounts of a link stand in its AmountPool or on the link itself (from memory: JDF 1.x, Structure " +
				"chapter, AmountPool); a reader that adds them up counts twice.",
		},
		kinds: onlyJDF, run: amountTwice,
		Bad: `<JDF ID="n" Type="Folding" JobID="4711">
  <ResourcePool><Component ID="c" Class="Quantity"/></ResourcePool>
  <ResourceLinkPool><ComponentLink rRef="c" Usage="Input" Amount="500">
    <AmountPool><PartAmount Amount="500"><Part Condition="Good"/></PartAmount></AmountPool>
  </ComponentLink></ResourceLinkPool>
</JDF>`,
		Good: `<JDF ID="n" Type="Folding" JobID="4711">
  <ResourcePool><Component ID="c" Class="Quantity"/></ResourcePool>
  <ResourceLinkPool><ComponentLink rRef="c" Usage="Input">
    <AmountPool><PartAmount Amount="500"><Part Condition="Good"/></PartAmount></AmountPool>
  </ComponentLink></ResourceLinkPool>
</JDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/part-amount-twice", Severity: validate.Warning, Mends: validate.Sender,
			Say: "the pool has a second PartAmount for {part}",
			Do:  "join the two",
			Why: "The amounts of a pool are added up; a part that is listed twice is counted twice (from memory: " +
				"Structure chapter of both generations, AmountPool).",
		},
		kinds: all, run: partAmountTwice,
		Bad: `<XJDF JobID="4711" Types="Folding">
  <ResourceSet Name="Component" Usage="Output"><Resource><AmountPool>
    <PartAmount Amount="500"><Part SheetName="S1"/></PartAmount>
    <PartAmount Amount="500"><Part SheetName="S1"/></PartAmount>
  </AmountPool></Resource></ResourceSet>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="Folding">
  <ResourceSet Name="Component" Usage="Output"><Resource><AmountPool>
    <PartAmount Amount="500"><Part SheetName="S1"/></PartAmount>
    <PartAmount Amount="500"><Part SheetName="S2"/></PartAmount>
  </AmountPool></Resource></ResourceSet>
</XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/amount-not-whole", Severity: validate.Warning, Mends: validate.Sender,
			Say: "{name} is {got} of {what}, which are counted; want a whole number",
			Do:  "round up, or give the Unit that is meant",
			Why: "Without a Unit, or with count, things are counted (from memory: units). Plausibility.",
		},
		kinds: tickets, run: amountNotWhole,
		Bad: `<XJDF JobID="4711" Types="Folding">
  <ResourceSet Name="Component" Usage="Output"><Resource>
    <AmountPool><PartAmount Amount="10.5"/></AmountPool>
  </Resource></ResourceSet>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="ConventionalPrinting">
  <ResourceSet Name="Ink" Usage="Input" Unit="kg"><Resource>
    <AmountPool><PartAmount Amount="10.5"/></AmountPool>
  </Resource></ResourceSet>
</XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/unit-odd", Severity: validate.Warning, Mends: validate.Sender,
			Say: "the Unit of {name} is {got|q}; want {want}",
			Do:  "give the amount in a unit that the material is bought or counted in",
			Why: "Sheets and pieces are counted, rolls measured or weighed, ink weighed or measured by volume. " +
				"Common practice; the standard leaves the unit open.",
		},
		kinds: tickets, run: unitOdd,
		Bad: `<XJDF JobID="4711" Types="ConventionalPrinting">
  <ResourceSet Name="Component" Usage="Output" Unit="l"><Resource/></ResourceSet>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="ConventionalPrinting">
  <ResourceSet Name="Ink" Usage="Input" Unit="l"><Resource/></ResourceSet>
</XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/units-differ", Severity: validate.Warning, Mends: validate.Sender,
			Say: "the Unit of this partition is {got|q}, and that of the resource {want|q}",
			Do:  "give the Unit once, on the resource",
			Why: "The amounts of the partitions of a resource are added up (from memory: JDF 1.x, Structure chapter, " +
				"partitions).",
		},
		kinds: onlyJDF, run: unitsDiffer,
		Bad: `<JDF ID="n" Type="Folding" JobID="4711">
  <ResourcePool>
    <Media ID="m" Class="Consumable" PartIDKeys="SheetName" Unit="Unit"><Media SheetName="S1" Unit="g"/></Media>
  </ResourcePool>
</JDF>`,
		Good: `<JDF ID="n" Type="Folding" JobID="4711">
  <ResourcePool>
    <Media ID="m" Class="Consumable" PartIDKeys="SheetName" Unit="g"><Media SheetName="S1" Unit="g"/></Media>
  </ResourcePool>
</JDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/lots-sum", Severity: validate.Warning, Mends: validate.Operator,
			Say: "the lots add up to {got}, and {name} is {want}",
			Do:  "count the lots again",
			Why: "Lot tells which batches an amount came from, so that the lots are the amount (from memory: JDF 1.x, " +
				"PartAmount, Lot; ended with version 1.5).",
		},
		kinds: onlyJDF, upto: jdf.Version{Major: 1, Minor: 5}, run: lotsSum,
		Bad: `<JDF ID="n" Type="Folding" JobID="4711" Version="1.5">
  <ResourcePool><Component ID="c" Class="Quantity"/></ResourcePool>
  <ResourceLinkPool><ComponentLink rRef="c" Usage="Input"><AmountPool>
    <PartAmount ActualAmount="30"><Lot LotID="a" ActualAmount="10"/><Lot LotID="b" ActualAmount="10"/></PartAmount>
  </AmountPool></ComponentLink></ResourceLinkPool>
</JDF>`,
		Good: `<JDF ID="n" Type="Folding" JobID="4711" Version="1.5">
  <ResourcePool><Component ID="c" Class="Quantity"/></ResourcePool>
  <ResourceLinkPool><ComponentLink rRef="c" Usage="Input"><AmountPool>
    <PartAmount ActualAmount="20"><Lot LotID="a" ActualAmount="10"/><Lot LotID="b" ActualAmount="10"/></PartAmount>
  </AmountPool></ComponentLink></ResourceLinkPool>
</JDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/part-waste-sum", Severity: validate.Warning, Mends: validate.Operator,
			Say: "the reasons of waste add up to {got}, and {name} is {want}",
			Do:  "count the reasons again; they may be less than the whole, not more",
			Why: "PartWaste splits the waste of a PartAmount by reason (from memory: XJDF 2.x, PartAmount).",
		},
		kinds: secondGen, run: partWasteSum,
		Bad: `<XJDF JobID="4711" Types="Folding">
  <ResourceSet Name="Component" Usage="Output"><Resource><AmountPool>
    <PartAmount Amount="500" Waste="5"><PartWaste Waste="7"/></PartAmount>
  </AmountPool></Resource></ResourceSet>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="Folding">
  <ResourceSet Name="Component" Usage="Output"><Resource><AmountPool>
    <PartAmount Amount="500" Waste="7"><PartWaste Waste="5"/></PartAmount>
  </AmountPool></Resource></ResourceSet>
</XJDF>`,
	},
}

// number reads an amount exactly.
func number(n jdf.Node, name string) (decimal.Decimal, bool) { return numberOf(n.Attr(name)) }

func numberOf(a jdf.Attr) (decimal.Decimal, bool) {
	text := strings.TrimSpace(a.Value())
	const most = 40 // digits: more is no amount, and would make arithmetic slow
	if !a.Valid() || !value.IsDouble(text) || strings.ContainsAny(text, "NIeE") || len(text) > most {
		return decimal.Zero, false
	}
	d, err := decimal.NewFromString(text)
	return d, err == nil
}

// amountNames are the attributes that count things.
// Source: the published schemas.
var amountNames = []string{
	"Amount", "ActualAmount", "MinAmount", "MaxAmount", "Waste", "TotalAmount", "PhaseAmount", "PhaseWaste",
	"ProductionCounter", "TotalProductionCounter", "Copies",
}

func amountNegative(p *pass) {
	for a := range p.having(amountNames...) {
		got := strings.TrimSpace(a.Value())
		d, ok := numberOf(a)
		if ok && d.IsNegative() || got == "NaN" || got == "INF" || got == "-INF" {
			p.at(a.Place(), fact("name", attrName(a)), fact("got", got))
		}
	}
}

func amountLimits(p *pass) {
	for a := range p.having("MinAmount") {
		if !p.exceeds(a, "Amount") {
			p.exceeds(a, "MaxAmount")
		}
	}
	for a := range p.having("Amount") {
		p.exceeds(a, "MaxAmount")
	}
}

// exceeds reports an amount that is above another of the same element.
func (p *pass) exceeds(a jdf.Attr, other string) bool {
	limit := a.Owner().Attr(other)
	low, okLow := numberOf(a)
	high, okHigh := numberOf(limit)
	if !okLow || !okHigh || low.LessThanOrEqual(high) {
		return false
	}
	p.atWith(a.Place(), limit.Place(), "the limit is here", fact("name", attrName(a)), fact("got", a.Value()),
		fact("other", other), fact("limit", limit.Value()))
	return true
}

func amountTwice(p *pass) {
	for pool := range p.named("AmountPool") {
		link := pool.Parent()
		for _, name := range []string{"Amount", "ActualAmount"} {
			if a := link.Attr(name); a.Valid() && strings.HasSuffix(link.Local(), "Link") {
				p.atWith(a.Place(), pool.NamePlace(), "the pool is here", fact("name", attrName(a)))
			}
		}
	}
}

func partAmountTwice(p *pass) {
	for pool := range p.named("AmountPool") {
		first := map[string]jdf.Place{}
		for amount := range pool.ChildrenNamed("PartAmount") {
			for _, key := range partKeys(amount) {
				if before, taken := first[key]; taken {
					p.atWith(amount.NamePlace(), before, "the first is here", fact("part", partWords(key)))
					break
				}
				first[key] = amount.NamePlace()
			}
		}
	}
}

// counted are the resources that come in pieces where no Unit says otherwise.
var counted = set("Component", "Product", "ExposedMedia", "Tool", "Pallet", "DropItem")

func amountNotWhole(p *pass) {
	for a := range p.having("Amount", "MinAmount", "MaxAmount", "ActualAmount") {
		d, ok := numberOf(a)
		if !ok || d.IsInteger() {
			continue
		}
		name, unit := resourceOf(a.Owner(), p)
		if counted[name] && (unit == "" || unit == "count" || unit == "Unit" || unit == "Countable Objects") {
			p.at(a.Place(), fact("name", attrName(a)), fact("got", a.Value()), fact("what", name))
		}
	}
}

// resourceOf is the resource that an element with an amount speaks of, and its
// unit.
func resourceOf(n jdf.Node, p *pass) (name, unit string) {
	if s := up(n, "ResourceSet"); s.Valid() {
		return s.Get("Name"), s.Get("Unit")
	}
	for ; n.Valid(); n = n.Parent() {
		if name, ok := strings.CutSuffix(n.Local(), "Link"); ok {
			return name, p.index.byID(n.Get("rRef")).Get("Unit")
		}
		if counted[n.Local()] {
			return n.Local(), inherited(n, "Unit").Value()
		}
	}
	return "", ""
}

// fits lists the units of a resource.
//
// From memory: units of the standard; XJDF names of units from its samples.
var fits = map[string][]string{
	"Component": {"count", "Unit", "Countable Objects", "m", "m2", "m^2", "g", "kg", "pt"},
	"Ink":       {"g", "kg", "l", "ml", "count", "Unit", "m3", "m^3"},
	"Media":     {"count", "Unit", "Countable Objects", "m", "m2", "m^2", "g", "kg", "pt"},
}

func unitOdd(p *pass) {
	for a := range p.having("Unit") {
		name := a.Owner().Local()
		if name == "ResourceSet" {
			name = a.Owner().Get("Name")
		}
		want, known := fits[name]
		if known && a.Value() != "" && !contains(want, a.Value()) {
			p.at(a.Place(), fact("name", name), fact("got", a.Value()), fact("want", validate.Choices(want)))
		}
	}
}

func contains(list []string, s string) bool {
	for _, have := range list {
		if have == s {
			return true
		}
	}
	return false
}

func unitsDiffer(p *pass) {
	for a := range p.having("Unit") {
		n := a.Owner()
		if n.Parent().Name() != n.Name() || n.Has("ID") {
			continue
		}
		if outer := inherited(n.Parent(), "Unit"); outer.Valid() && outer.Value() != a.Value() {
			p.atWith(a.Place(), outer.Place(), "the unit of the resource", fact("got", a.Value()), fact("want", outer.Value()))
		}
	}
}

func lotsSum(p *pass) {
	for amount := range p.named("PartAmount") {
		for _, name := range []string{"Amount", "ActualAmount"} {
			sum, any := decimal.Zero, false
			for lot := range amount.ChildrenNamed("Lot") {
				if d, ok := number(lot, name); ok {
					sum, any = sum.Add(d), true
				}
			}
			if want, ok := number(amount, name); ok && any && !sum.Equal(want) {
				a := amount.Attr(name)
				p.at(a.Place(), fact("got", sum), fact("name", attrName(a)), fact("want", a.Value()))
			}
		}
	}
}

func partWasteSum(p *pass) {
	for amount := range p.named("PartAmount") {
		sum := decimal.Zero
		for w := range amount.ChildrenNamed("PartWaste") {
			if d, ok := number(w, "Waste"); ok {
				sum = sum.Add(d)
			}
		}
		if want, ok := number(amount, "Waste"); ok && sum.IsPositive() && sum.GreaterThan(want) {
			a := amount.Attr("Waste")
			p.at(a.Place(), fact("got", sum), fact("name", attrName(a)), fact("want", a.Value()))
		}
	}
}
