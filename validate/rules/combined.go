package rules

import (
	"slices"
	"strconv"
	"strings"

	"quoin/jdf"
	"quoin/validate"
)

var combinedChecks = []check{
	{
		Rule: &validate.Rule{
			ID: "process/step-outside", Severity: validate.Error, Mends: validate.Sender,
			Say: "CombinedProcessIndex is {got}, and the node has {count}",
			Do:  "count the Types from 0",
			Why: "The index is a position in the list of Types, from 0 (from memory: Structure chapter of both " +
				"generations, combined processes; no sample breaks it).",
		},
		kinds: tickets, run: stepOutside,
		Bad: `<XJDF JobID="4711" Types="Cutting Folding">
  <ResourceSet Name="FoldingParams" Usage="Input" CombinedProcessIndex="2"/>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="Cutting Folding">
  <ResourceSet Name="FoldingParams" Usage="Input" CombinedProcessIndex="1"/>
</XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/steps-unsorted", Severity: validate.Warning, Mends: validate.Sender,
			Say: "CombinedProcessIndex is {got|q}; want each position once, in rising order",
			Do:  "sort the positions and drop repetitions",
			Why: "The index lists the positions of the processes that share the resource (from memory: Structure " +
				"chapter of both generations, combined processes; no sample breaks it).",
		},
		kinds: tickets, run: stepsUnsorted,
		Bad: `<XJDF JobID="4711" Types="Cutting Folding">
  <ResourceSet Name="NodeInfo" Usage="Input" CombinedProcessIndex="1 0"/>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="Cutting Folding">
  <ResourceSet Name="NodeInfo" Usage="Input" CombinedProcessIndex="0 1"/>
</XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/step-unclear", Severity: validate.Error, Mends: validate.Sender,
			Say: "Types names {process} {count} times, and these {name} do not say for which",
			Do:  "add CombinedProcessIndex with the position in Types",
			Why: "Where a process comes twice, its parameters need the index (from memory: Structure chapter of both " +
				"generations; the sample of a combined node shows it).",
		},
		kinds: tickets, run: stepUnclear,
		Bad: `<XJDF JobID="4711" Types="Cutting Folding Cutting">
  <ResourceSet Name="CuttingParams" Usage="Input" CombinedProcessIndex="0"/>
  <ResourceSet Name="CuttingParams" Usage="Input"/>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="Cutting Folding Cutting">
  <ResourceSet Name="CuttingParams" Usage="Input" CombinedProcessIndex="0"/>
  <ResourceSet Name="CuttingParams" Usage="Input" CombinedProcessIndex="2"/>
</XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/step-wrong", Severity: validate.Warning, Mends: validate.Sender,
			Say: "position {step} of Types is {got}, which takes no {name}; want {want}",
			Do:  "correct CombinedProcessIndex; positions count from 0",
			Why: "The schema notes the resources of each process; the index points these at another one.",
		},
		kinds: tickets, run: stepWrong,
		Bad: `<XJDF JobID="4711" Types="Cutting Folding">
  <ResourceSet Name="FoldingParams" Usage="Input" CombinedProcessIndex="0"/>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="Cutting Folding">
  <ResourceSet Name="FoldingParams" Usage="Input" CombinedProcessIndex="1"/>
</XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/order", Severity: validate.Warning, Mends: validate.Sender,
			Say: "{later} is listed before {earlier}, which has to come first",
			Do:  "list the processes in the order in which they are run",
			Why: "Types is in the order of production, and what the first makes is what the second works on. " +
				"Plausibility: collected sheets are stitched, gathered ones covered, plates imaged before they print.",
		},
		kinds: tickets, run: processOrder,
		Bad:  `<XJDF JobID="4711" Types="Stitching Collecting"/>`,
		Good: `<XJDF JobID="4711" Types="Collecting Stitching"/>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/unreadable-value", Severity: validate.Error, Mends: validate.Sender, FollowOn: true,
			Say: "{name} is {got|q}; want {want}",
			Why: "The plan and the cost of the job rest on the value; see the data types of the standard, and XML " +
				"Schema Part 2.",
		},
		kinds: tickets, run: unreadableValue,
		Bad: `<XJDF JobID="4711" Types="Product">
  <ProductList><Product Amount="2,500"/></ProductList>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="Product">
  <ProductList><Product Amount="2500"/></ProductList>
</XJDF>`,
	},
}

// typesAround is the list of processes that a position counts in.
func typesAround(n jdf.Node) jdf.Attr {
	return up(n, "JDF", "XJDF").Attr("Types")
}

func stepOutside(p *pass) {
	for a := range p.having("CombinedProcessIndex") {
		types := typesAround(a.Owner())
		if !types.Valid() {
			continue
		}
		count := len(itemsOf(types.Value()))
		for _, f := range strings.Fields(a.Value()) {
			i, err := strconv.Atoi(f)
			if err == nil && (i < 0 || i >= count) {
				p.atWith(a.Place(), types.Place(), "the processes are listed here",
					fact("got", f), fact("count", processCount(count)))
			}
		}
	}
}

func processCount(n int) string {
	switch n {
	case 0:
		return "no processes"
	case 1:
		return "1 process, at 0"
	}
	return strconv.Itoa(n) + " processes, at 0 to " + strconv.Itoa(n-1)
}

func stepsUnsorted(p *pass) {
	for _, u := range p.index.uses {
		for i := 1; i < len(u.steps); i++ {
			if u.steps[i] <= u.steps[i-1] {
				a := u.Attr("CombinedProcessIndex")
				p.at(a.Place(), fact("got", a.Value()))
				break
			}
		}
	}
}

func stepUnclear(p *pass) {
	for _, n := range p.index.nodes {
		count := map[string]int{}
		for _, process := range n.types {
			count[process]++
		}
		sets := map[string]int{}
		for _, u := range n.uses {
			sets[u.name]++
		}
		for _, u := range n.uses {
			process, isParams := strings.CutSuffix(u.name, "Params")
			if isParams && count[process] > 1 && u.steps == nil && sets[u.name] > 1 {
				p.atWith(u.NamePlace(), n.list.Place(), "the processes are listed here",
					fact("process", process), fact("count", count[process]), fact("name", u.name))
			}
		}
	}
}

func stepWrong(p *pass) {
	for _, n := range p.index.nodes {
		if len(n.types) < 2 {
			continue
		}
		lists := p.demands(n)
		takes := func(i int, name string) bool {
			return slices.ContainsFunc(lists[i], func(d demand) bool { return d.name == name })
		}
		for _, u := range n.uses {
			// What XJDF renamed is not in the notes of the schema; parameters kept their names.
			if p.doc.Kind.Second() && !strings.HasSuffix(u.name, "Params") {
				continue
			}
			var right []string
			for i := range lists {
				if takes(i, u.name) {
					right = append(right, n.types[i]+" at "+strconv.Itoa(i))
				}
			}
			for _, i := range u.steps {
				if i >= 0 && i < len(lists) && lists[i] != nil && !takes(i, u.name) && right != nil {
					p.at(u.Attr("CombinedProcessIndex").Place(), fact("step", i), fact("got", n.types[i]),
						fact("name", u.name), fact("want", strings.Join(right, " or ")))
				}
			}
		}
	}
}

// follows lists pairs of processes of which the first can not come after the
// second in one chain.
//
// Common practice, no source.
var follows = [][2]string{
	{"Collecting", "Stitching"}, {"Gathering", "CoverApplication"}, {"Gathering", "SpinePreparation"},
	{"SpinePreparation", "CoverApplication"}, {"Interpreting", "Rendering"}, {"Rendering", "ImageSetting"},
	{"ImageSetting", "ConventionalPrinting"}, {"CaseMaking", "CasingIn"}, {"CasingIn", "Jacketing"},
	{"InkZoneCalculation", "ConventionalPrinting"}, {"ConventionalPrinting", "Stitching"},
	{"ConventionalPrinting", "Folding"}, {"ConventionalPrinting", "CoverApplication"},
	{"ConventionalPrinting", "CasingIn"}, {"ConventionalPrinting", "Trimming"},
}

func processOrder(p *pass) {
	for _, n := range p.index.nodes {
		for _, pair := range follows {
			earlier, later := slices.Index(n.types, pair[0]), slices.Index(n.types, pair[1])
			if earlier >= 0 && later >= 0 && later < earlier {
				p.at(n.list.Place(), fact("later", pair[1]), fact("earlier", pair[0]))
			}
		}
	}
}

func unreadableValue(p *pass) {
	for _, f := range p.job.Faults {
		p.at(f.Place, fact("name", f.Name), fact("got", f.Got), fact("want", f.Want))
	}
}
