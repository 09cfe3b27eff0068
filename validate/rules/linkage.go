package rules

import (
	"slices"
	"strings"

	"quoin/jdf"
	"quoin/schemas"
	"quoin/validate"
)

var linkageChecks = []check{
	{
		Rule: &validate.Rule{
			ID: "process/input-missing", Severity: validate.Warning, Mends: validate.Sender,
			Say: "{process} has no input {want}",
			Do:  "give the process the {want} that it works with",
			Why: "The schema notes how many resources of a kind a process takes; this one takes at least one. RunList for " +
				"ConventionalPrinting is not asked for, since plates take its place.",
		},
		kinds: onlyJDF, fragment: leftOut, run: inputMissing,
		Bad: `<JDF ID="n" Type="Folding" JobID="4711">
  <ResourcePool><Component ID="c" Class="Quantity"/></ResourcePool>
  <ResourceLinkPool><ComponentLink rRef="c" Usage="Input"/></ResourceLinkPool>
</JDF>`,
		Good: `<JDF ID="n" Type="Folding" JobID="4711">
  <ResourcePool><Component ID="c" Class="Quantity"/><FoldingParams ID="f" Class="Parameter"/></ResourcePool>
  <ResourceLinkPool>
    <ComponentLink rRef="c" Usage="Input"/><FoldingParamsLink rRef="f" Usage="Input"/>
  </ResourceLinkPool>
</JDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/params-missing", Severity: validate.Note, Mends: validate.Sender,
			Say: "{process} has no {want} that say how to do it",
			Do:  "give the process its parameters, unless the device knows them by itself",
			Why: "The JDF schema notes that the process needs its parameters; XJDF keeps them (from memory: Processes " +
				"chapter), but leaves many to the device, and its schema notes nothing.",
		},
		kinds: onlyXJDF, fragment: leftOut, run: paramsMissing,
		Bad: `<XJDF JobID="4711" Types="Folding">
  <ResourceSet Name="Component" Usage="Input"><Resource/></ResourceSet>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="Folding">
  <ResourceSet Name="FoldingParams" Usage="Input"><Resource/></ResourceSet>
</XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/output-missing", Severity: validate.Warning, Mends: validate.Sender,
			Say: "{process} has no output {want}",
			Do:  "name what the process makes",
			Why: "The schema notes what a process makes; a step without output can not be followed by another, nor " +
				"counted.",
		},
		kinds: onlyJDF, fragment: leftOut, run: outputMissing,
		Bad: `<JDF ID="n" Type="Folding" JobID="4711">
  <ResourcePool><Component ID="c" Class="Quantity"/></ResourcePool>
  <ResourceLinkPool><ComponentLink rRef="c" Usage="Input"/></ResourceLinkPool>
</JDF>`,
		Good: `<JDF ID="n" Type="Folding" JobID="4711">
  <ResourcePool><Component ID="c" Class="Quantity"/></ResourcePool>
  <ResourceLinkPool><ComponentLink rRef="c" Usage="Output"/></ResourceLinkPool>
</JDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/input-too-many", Severity: validate.Warning, Mends: validate.Sender,
			Say: "{process} is given {got} {name} as {usage}; want at most {most}",
			Do:  "keep what the process works with, or make partitions of one resource",
			Why: "The schema notes how many resources of a kind a process takes; partitions of one resource count once.",
		},
		kinds: onlyJDF, run: inputTooMany,
		Bad: `<JDF ID="n" Type="Folding" JobID="4711">
  <ResourcePool>
    <FoldingParams ID="f1" Class="Parameter"/><FoldingParams ID="f2" Class="Parameter"/>
  </ResourcePool>
  <ResourceLinkPool>
    <FoldingParamsLink rRef="f1" Usage="Input"/><FoldingParamsLink rRef="f2" Usage="Input"/>
  </ResourceLinkPool>
</JDF>`,
		Good: `<JDF ID="n" Type="Folding" JobID="4711">
  <ResourcePool><FoldingParams ID="f1" Class="Parameter" PartIDKeys="SheetName"/></ResourcePool>
  <ResourceLinkPool>
    <FoldingParamsLink rRef="f1" Usage="Input"><Part SheetName="S1"/></FoldingParamsLink>
    <FoldingParamsLink rRef="f1" Usage="Input"><Part SheetName="S2"/></FoldingParamsLink>
  </ResourceLinkPool>
</JDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/role-unknown", Severity: validate.Warning, Mends: validate.Sender,
			Say: "{process} knows no ProcessUsage {got|q} of {name}; want {want}",
			Do:  "use one of the listed values, or leave ProcessUsage out",
			Why: "The schema notes the values of ProcessUsage that a process tells its resources apart by.",
		},
		kinds: onlyJDF, run: roleUnknown,
		Bad: `<JDF ID="n" Type="CasingIn" JobID="4711">
  <ResourcePool><Component ID="c" Class="Quantity"/></ResourcePool>
  <ResourceLinkPool><ComponentLink rRef="c" Usage="Input" ProcessUsage="Cover"/></ResourceLinkPool>
</JDF>`,
		Good: `<JDF ID="n" Type="CasingIn" JobID="4711">
  <ResourcePool><Component ID="c" Class="Quantity"/></ResourcePool>
  <ResourceLinkPool><ComponentLink rRef="c" Usage="Input" ProcessUsage="Case"/></ResourceLinkPool>
</JDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/role-missing", Severity: validate.Warning, Mends: validate.Sender,
			Say: "{process} is given {got} {name} as {usage} without ProcessUsage; want {want} on all but {most}",
			Do:  "say with ProcessUsage which one is which",
			Why: "The schema notes that the process tells several resources of the name apart by ProcessUsage.",
		},
		kinds: onlyJDF, run: roleMissing,
		Bad: `<JDF ID="n" Type="CasingIn" JobID="4711">
  <ResourcePool><Component ID="block" Class="Quantity"/><Component ID="case" Class="Quantity"/></ResourcePool>
  <ResourceLinkPool>
    <ComponentLink rRef="block" Usage="Input"/><ComponentLink rRef="case" Usage="Input"/>
  </ResourceLinkPool>
</JDF>`,
		Good: `<JDF ID="n" Type="CasingIn" JobID="4711">
  <ResourcePool><Component ID="block" Class="Quantity"/><Component ID="case" Class="Quantity"/></ResourcePool>
  <ResourceLinkPool>
    <ComponentLink rRef="block" Usage="Input"/>
    <ComponentLink rRef="case" Usage="Input" ProcessUsage="Case"/>
  </ResourceLinkPool>
</JDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/params-not-of-process", Severity: validate.Warning, Mends: validate.Sender,
			Say: "the ticket holds {name}, and none of its processes ({processes}) takes them",
			Do:  "add the process to Types, or take the parameters out",
			Why: "Parameters are for the process of their name, and for those that the JDF schema notes beside it; no " +
				"process of this ticket would look at them.",
		},
		kinds: onlyXJDF, run: paramsNotOfProcess,
		Bad: `<XJDF JobID="4711" Types="ConventionalPrinting">
  <ResourceSet Name="FoldingParams" Usage="Input"><Resource/></ResourceSet>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="ConventionalPrinting Folding">
  <ResourceSet Name="FoldingParams" Usage="Input"><Resource/></ResourceSet>
</XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/params-as-output", Severity: validate.Warning, Mends: validate.Sender,
			Say: "the {name} set is an output, and none of the processes makes it",
			Do:  `write Usage="Input"`,
			Why: "Parameters tell a process how to work; only those that the JDF schema notes as output of a process, " +
				"such as StrippingParams, are made by one.",
		},
		kinds: onlyXJDF, run: paramsAsOutput,
		Bad: `<XJDF JobID="4711" Types="Folding">
  <ResourceSet Name="FoldingParams" Usage="Output"><Resource/></ResourceSet>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="Folding">
  <ResourceSet Name="FoldingParams" Usage="Input"><Resource/></ResourceSet>
</XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/no-image", Severity: validate.Warning, Mends: validate.Sender,
			Say: "ConventionalPrinting has neither plates nor a run list to print from",
			Do:  "give it ExposedMedia, or a RunList for a press that images its plates",
			Why: "The schema asks for a RunList, the samples show plates in its place; a run with neither has nothing " +
				"to print. Plausibility.",
		},
		kinds: tickets, fragment: leftOut, run: noImage,
		Bad: `<XJDF JobID="4711" Types="ConventionalPrinting">
  <ResourceSet Name="ConventionalPrintingParams" Usage="Input"><Resource/></ResourceSet>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="ConventionalPrinting">
  <ResourceSet Name="ExposedMedia" Usage="Input"><Resource/></ResourceSet>
</XJDF>`,
	},
}

func inputMissing(p *pass)  { p.missing("Input", (*node).listPlace) }
func outputMissing(p *pass) { p.missing("Output", (*node).listPlace) }
func paramsMissing(p *pass) { p.missing("Input", (*node).stepPlace) }

// missing looks for what each process of a node must have. Between the
// processes of a combined node things pass on without being named: what an
// earlier one makes is no missing input, what a later one takes no missing
// output. The place of a finding is that of the process at a position.
func (p *pass) missing(usage string, place func(n *node, i int) jdf.Place) {
	for _, n := range p.index.nodes {
		if !n.runsItself() || n.Get("Status") == "Spawned" { // its links went with the spawned ticket
			continue
		}
		lists := p.demands(n)
		for i, list := range lists {
			uses := n.forStep(i)
			for _, d := range list {
				if d.usage != usage || d.min < 1 || !p.asked(n.types[i], d) || n.passesOn(lists, i, d) {
					continue
				}
				if !slices.ContainsFunc(uses, func(u *use) bool { return u.meets(d) }) && !p.astray(n, d) {
					p.at(place(n, i), fact("process", n.types[i]), fact("want", d.what()))
				}
			}
		}
	}
}

// astray reports whether a link or set that was meant for a demand is wrong
// itself, by its name, Usage or position, so that what is missing is only what
// follows of it.
func (p *pass) astray(n *node, d demand) bool {
	return slices.ContainsFunc(n.uses, func(u *use) bool {
		misnamed := u.name != d.name && p.holds(u, d.name)
		if !misnamed && u.name != d.name {
			return false
		}
		noUsage := !u.input() && !u.output() && (u.usage != "" || p.doc.Kind.First())
		return misnamed && !p.holds(u, u.name) || noUsage || u.usage == d.usage && p.misplaced(n, u)
	})
}

// holds reports whether a link leads to a resource of a name, or a set has one.
func (p *pass) holds(u *use, name string) bool {
	if !u.resource.Is("ResourceSet") {
		return u.resource.Valid() && u.resource.Local() == name
	}
	for _, i := range p.index.leaves(u.resource) {
		return p.doc.Node(int(i)).Local() == name
	}
	return false
}

// misplaced reports whether a use is given to positions that there are not, or
// to processes that take no such resource.
func (p *pass) misplaced(n *node, u *use) bool {
	lists := p.demands(n)
	return len(u.steps) > 0 && !slices.ContainsFunc(u.steps, func(i int) bool {
		return i >= 0 && i < len(lists) && (lists[i] == nil ||
			slices.ContainsFunc(lists[i], func(d demand) bool { return d.name == u.name && d.usage == u.usage }))
	})
}

// asked reports whether the demand is one that the generation makes.
func (p *pass) asked(process string, d demand) bool {
	switch {
	case d.name == "*":
		return false // links of any kind, or none
	case process == "ConventionalPrinting" && d.name == "RunList", d.name == "QualityControlResult":
		return false // which the schema notes as input, and which can only come of the control
	case p.doc.Kind.Second():
		return d.name == process+"Params" && schemas.XJDF().Has(d.name)
	}
	return true
}

// passesOn reports whether another process of the node makes, or takes, what
// is demanded.
func (n *node) passesOn(lists [][]demand, i int, d demand) bool {
	others, usage := lists[:i], "Output"
	if d.usage == "Output" {
		others, usage = lists[i+1:], "Input"
	}
	return slices.ContainsFunc(others, func(list []demand) bool {
		return slices.ContainsFunc(list, func(o demand) bool { return o.name == d.name && o.usage == usage })
	})
}

// meets reports whether a use fulfils a demand. A use without ProcessUsage may
// be any of them.
func (u *use) meets(d demand) bool {
	return u.name == d.name && u.usage == d.usage && (u.role == d.role || u.role == "" || d.role == "")
}

func (d demand) what() string {
	if d.role != "" {
		return d.name + " for " + d.role
	}
	return d.name
}

func inputTooMany(p *pass) {
	p.crowded(func(list []demand, d demand) bool { return !hasRoles(list, d.name) })
}

func roleMissing(p *pass) {
	p.crowded(func(list []demand, d demand) bool { return d.role == "" && hasRoles(list, d.name) })
}

// crowded looks for more resources than a process takes, where the process is
// the only one of its node or is named by index.
func (p *pass) crowded(concerns func(list []demand, d demand) bool) {
	for _, n := range p.index.nodes {
		if n.Get("Type") == "ProcessGroup" {
			continue
		}
		for i, list := range p.demands(n) {
			uses := n.forStep(i)
			for _, d := range list {
				if d.max == schemas.Unbounded || !concerns(list, d) {
					continue
				}
				distinct := map[jdf.Node]bool{}
				var last *use
				for _, u := range uses {
					if u.name == d.name && u.usage == d.usage && u.role == d.role && u.resource.Valid() &&
						(len(n.types) == 1 || u.steps != nil) {
						distinct[u.resource] = true
						last = u
					}
				}
				if len(distinct) > d.max {
					p.at(last.NamePlace(), fact("process", n.types[i]), fact("got", len(distinct)),
						fact("name", d.name), fact("usage", d.usage), fact("most", d.max),
						fact("want", validate.Choices(roles(list, d.name))))
				}
			}
		}
	}
}

func roleUnknown(p *pass) {
	for _, n := range p.index.nodes {
		if !slices.ContainsFunc(n.uses, func(u *use) bool { return u.role != "" }) {
			continue
		}
		var known []demand
		for _, list := range p.demands(n) {
			if list == nil {
				known = nil
				break
			}
			known = append(known, list...)
		}
		for _, u := range n.uses {
			if want := roles(known, u.name); u.role != "" && want != nil && !slices.Contains(want, u.role) {
				p.at(u.Attr("ProcessUsage").Place(), fact("process", n.kind()), fact("got", u.role),
					fact("name", u.name), fact("want", validate.Choices(want)))
			}
		}
	}
}

func paramsNotOfProcess(p *pass) {
	for _, n := range p.index.nodes {
		lists := p.demands(n)
		for _, u := range n.uses {
			process, isParams := strings.CutSuffix(u.name, "Params")
			// A product may say what the processes are to know that make it.
			if !isParams || u.usage == "" || processType(process) == nil || n.runs(process) || n.runs("Product") {
				continue
			}
			// A process that is not known may take anything.
			takes := slices.ContainsFunc(lists, func(list []demand) bool {
				return list == nil || slices.ContainsFunc(list, func(d demand) bool { return d.name == u.name })
			})
			if !takes {
				p.at(u.Attr("Name").Place(), fact("name", u.name), fact("processes", strings.Join(n.types, ", ")))
			}
		}
	}
}

func paramsAsOutput(p *pass) {
	for _, n := range p.index.nodes {
		lists := p.demands(n)
		for _, u := range n.uses {
			told := strings.HasSuffix(u.name, "Params") || u.name == "NodeInfo" || u.name == "CustomerInfo"
			if !u.output() || !told {
				continue
			}
			makes := slices.ContainsFunc(lists, func(list []demand) bool {
				return list == nil || slices.ContainsFunc(list, func(d demand) bool {
					return d.name == u.name && d.usage == "Output"
				})
			})
			if !makes || strings.HasSuffix(u.name, "Info") {
				p.at(u.Attr("Usage").Place(), fact("name", u.name))
			}
		}
	}
}

func noImage(p *pass) {
	for _, n := range p.index.nodes {
		if n.runsItself() && n.runs("ConventionalPrinting") && len(n.of("ExposedMedia")) == 0 &&
			len(n.of("RunList")) == 0 && !n.runs("ImageSetting") {
			p.at(n.list.Place())
		}
	}
}
