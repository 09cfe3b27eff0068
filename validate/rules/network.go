package rules

import (
	"strconv"
	"strings"

	"quoin/jdf"
	"quoin/validate"
)

var networkChecks = []check{
	{
		Rule: &validate.Rule{
			ID: "process/made-twice", Severity: validate.Warning, Mends: validate.Sender,
			Say: "{id|q} is made by another node already",
			Do:  "let one node make it, or name the part that each of them makes",
			Why: "A resource, or a partition of it, comes from one process (from memory: JDF 1.x, Structure chapter, " +
				"resource links). A node inside another may be the one that really makes it.",
		},
		kinds: onlyJDF, run: madeTwice,
		Bad: `<JDF ID="n" Type="Product" JobID="4711">
  <ResourcePool><Component ID="c" Class="Quantity"/></ResourcePool>
  <JDF ID="a" Type="Folding"><ResourceLinkPool><ComponentLink rRef="c" Usage="Output"/></ResourceLinkPool></JDF>
  <JDF ID="b" Type="Cutting"><ResourceLinkPool><ComponentLink rRef="c" Usage="Output"/></ResourceLinkPool></JDF>
</JDF>`,
		Good: `<JDF ID="n" Type="Product" JobID="4711">
  <ResourcePool><Component ID="c" Class="Quantity"/></ResourcePool>
  <ResourceLinkPool><ComponentLink rRef="c" Usage="Output"/></ResourceLinkPool>
  <JDF ID="a" Type="Folding"><ResourceLinkPool><ComponentLink rRef="c" Usage="Output"/></ResourceLinkPool></JDF>
</JDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/nobody-makes", Severity: validate.Warning, Mends: validate.Sender,
			Say: "{process} needs {id|q}, which is Unavailable and made by no node",
			Do:  "add the node that makes it, or set its Status to Available",
			Why: "A process starts when its inputs are there; this one will never be (from memory: JDF 1.x, Life cycle " +
				"chapter).",
		},
		kinds: onlyJDF, fragment: leftOut, run: nobodyMakes,
		Bad: `<JDF ID="n" Type="Folding" JobID="4711">
  <ResourcePool><Component ID="c" Class="Quantity" Status="Unavailable"/></ResourcePool>
  <ResourceLinkPool><ComponentLink rRef="c" Usage="Input"/></ResourceLinkPool>
</JDF>`,
		Good: `<JDF ID="n" Type="Folding" JobID="4711">
  <ResourcePool><Component ID="c" Class="Quantity" Status="Available"/></ResourcePool>
  <ResourceLinkPool><ComponentLink rRef="c" Usage="Input"/></ResourceLinkPool>
</JDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/ring", Severity: validate.Error, Mends: validate.Sender,
			Say: "{process} waits for {id|q}, which is made out of what it makes itself",
			Do:  "take out the link that leads back",
			Why: "In a ring of processes none can be the first to start (from memory: JDF 1.x, Life cycle chapter).",
		},
		kinds: onlyJDF, run: processRing,
		Bad: `<JDF ID="n" Type="Product" JobID="4711">
  <ResourcePool><Component ID="c1" Class="Quantity"/><Component ID="c2" Class="Quantity"/></ResourcePool>
  <JDF ID="a" Type="Folding"><ResourceLinkPool>
    <ComponentLink rRef="c1" Usage="Input"/><ComponentLink rRef="c2" Usage="Output"/>
  </ResourceLinkPool></JDF>
  <JDF ID="b" Type="Cutting"><ResourceLinkPool>
    <ComponentLink rRef="c2" Usage="Input"/><ComponentLink rRef="c1" Usage="Output"/>
  </ResourceLinkPool></JDF>
</JDF>`,
		Good: `<JDF ID="n" Type="Product" JobID="4711">
  <ResourcePool><Component ID="c1" Class="Quantity"/><Component ID="c2" Class="Quantity"/></ResourcePool>
  <JDF ID="a" Type="Folding"><ResourceLinkPool>
    <ComponentLink rRef="c1" Usage="Input"/><ComponentLink rRef="c2" Usage="Output"/>
  </ResourceLinkPool></JDF>
  <JDF ID="b" Type="Cutting"><ResourceLinkPool><ComponentLink rRef="c1" Usage="Output"/></ResourceLinkPool></JDF>
</JDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/runs-unready", Severity: validate.Warning, Mends: validate.Operator,
			Say: "the node is InProgress, and its input {id|q} is Unavailable",
			Do:  "set the Status of the resource, or that of the node",
			Why: "A node runs when all inputs have reached MinStatus, which is Available unless the link says less (from " +
				"memory: JDF 1.x, Life cycle chapter).",
		},
		kinds: onlyJDF, run: runsUnready,
		Bad: `<JDF ID="n" Type="Folding" JobID="4711" Status="InProgress">
  <ResourcePool><Component ID="c" Class="Quantity" Status="Unavailable"/></ResourcePool>
  <ResourceLinkPool><ComponentLink rRef="c" Usage="Input"/></ResourceLinkPool>
</JDF>`,
		Good: `<JDF ID="n" Type="Folding" JobID="4711" Status="Waiting">
  <ResourcePool><Component ID="c" Class="Quantity" Status="Unavailable"/></ResourcePool>
  <ResourceLinkPool><ComponentLink rRef="c" Usage="Input"/></ResourceLinkPool>
</JDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/done-unready", Severity: validate.Warning, Mends: validate.Operator,
			Say: "the node is Completed, and its output {id|q} is {status}",
			Do:  "set the Status of the resource to Available, or that of the node to what it is",
			Why: "What a completed node made is there (from memory: JDF 1.x, Life cycle chapter).",
		},
		kinds: onlyJDF, run: doneUnready,
		Bad: `<JDF ID="n" Type="Folding" JobID="4711" Status="Completed">
  <ResourcePool><Component ID="c" Class="Quantity" Status="Unavailable"/></ResourcePool>
  <ResourceLinkPool><ComponentLink rRef="c" Usage="Output"/></ResourceLinkPool>
</JDF>`,
		Good: `<JDF ID="n" Type="Folding" JobID="4711" Status="Completed">
  <ResourcePool><Component ID="c" Class="Quantity" Status="Available"/></ResourcePool>
  <ResourceLinkPool><ComponentLink rRef="c" Usage="Output"/></ResourceLinkPool>
</JDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/pipe-levels", Severity: validate.Warning, Mends: validate.Sender,
			Say: "the pipe pauses at {pause} and resumes at {resume}; want it to resume below",
			Do:  "lower PipeResume",
			Why: "The maker of a pipe pauses when the buffer has filled to PipePause and goes on when it has drained to " +
				"PipeResume (from memory: JDF 1.x, Life cycle chapter, overlapping processing with pipes).",
		},
		kinds: onlyJDF, run: pipeLevels,
		Bad: `<JDF ID="n" Type="Folding" JobID="4711">
  <ResourcePool><Component ID="c" Class="Quantity" PipeID="P1"/></ResourcePool>
  <ResourceLinkPool><ComponentLink rRef="c" Usage="Output" PipePause="10" PipeResume="50"/></ResourceLinkPool>
</JDF>`,
		Good: `<JDF ID="n" Type="Folding" JobID="4711">
  <ResourcePool><Component ID="c" Class="Quantity" PipeID="P1"/></ResourcePool>
  <ResourceLinkPool><ComponentLink rRef="c" Usage="Output" PipePause="50" PipeResume="10"/></ResourceLinkPool>
</JDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/pipe-twice", Severity: validate.Warning, Mends: validate.Sender,
			Say: "the PipeID {id|q} is given to two {usage} sets",
			Do:  "give each pipe an id of its own",
			Why: "A pipe has one end on each side; two sets of one direction would both claim it (from memory: XJDF " +
				"2.x, Dependent).",
		},
		kinds: onlyXJDF, run: pipeTwice,
		Bad: `<XJDF JobID="4711" Types="Folding">
  <ResourceSet Name="Component" Usage="Input"><Dependent JobID="1" PipeID="P"/><Resource/></ResourceSet>
  <ResourceSet Name="Media" Usage="Input"><Dependent JobID="2" PipeID="P"/><Resource/></ResourceSet>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="Folding">
  <ResourceSet Name="Component" Usage="Input"><Dependent JobID="1" PipeID="P"/><Resource/></ResourceSet>
  <ResourceSet Name="Component" Usage="Output"><Dependent JobID="2" PipeID="P"/><Resource/></ResourceSet>
</XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/depends-on-itself", Severity: validate.Warning, Mends: validate.Sender,
			Say: "the set depends on job {job|q}, which is this very step",
			Do:  "name the JobPartID of the step that makes it, or takes it",
			Why: "Dependent names another step: another job, or another JobPartID of this one (from memory: XJDF 2.x, " +
				"Structure chapter, Dependent).",
		},
		kinds: onlyXJDF, run: dependsOnItself,
		Bad: `<XJDF JobID="4711" JobPartID="fold" Types="Folding">
  <ResourceSet Name="Component" Usage="Input"><Dependent JobID="4711" JobPartID="fold"/><Resource/></ResourceSet>
</XJDF>`,
		Good: `<XJDF JobID="4711" JobPartID="fold" Types="Folding">
  <ResourceSet Name="Component" Usage="Input"><Dependent JobID="4711" JobPartID="print"/><Resource/></ResourceSet>
</XJDF>`,
	},
}

// related reports whether one node stands around the other.
func (n *node) related(m *node) bool {
	for _, pair := range [][2]*node{{n, m}, {m, n}} {
		for o := pair[0]; o != nil; o = o.outer {
			if o == pair[1] {
				return true
			}
		}
	}
	return false
}

// spawned reports whether the ticket was sent out of a larger one.
func (p *pass) spawned() bool {
	root := p.doc.Root()
	return root.Child("AncestorPool").Valid() || root.Has("SpawnID")
}

// byResource gathers the links of one direction by what they lead to.
func (p *pass) byResource(usage string) map[jdf.Node][]*use {
	found := map[jdf.Node][]*use{}
	for _, u := range p.index.uses {
		if u.usage == usage && u.resource.Valid() {
			found[u.resource] = append(found[u.resource], u)
		}
	}
	return found
}

func madeTwice(p *pass) {
	type made struct {
		resource jdf.Node
		part     string
	}
	makers := map[made]*use{}
	for _, u := range p.index.uses {
		if !u.output() || !u.resource.Valid() {
			continue
		}
		for _, key := range partKeys(u.Node) {
			before := makers[made{u.resource, key}]
			if before != nil && !before.node.related(u.node) {
				p.atWith(u.Attr("rRef").Place(), before.Attr("rRef").Place(), "made here already",
					fact("id", u.Get("rRef")))
				break
			}
			makers[made{u.resource, key}] = u
		}
	}
}

// partKeys writes each Part of an element as one word; "" stands for all.
func partKeys(n jdf.Node) []string {
	var keys []string
	for part := range n.ChildrenNamed("Part") {
		keys = append(keys, partKey(part))
	}
	if keys == nil {
		keys = []string{""}
	}
	return keys
}

func nobodyMakes(p *pass) {
	if p.spawned() {
		return // the node that makes it may have stayed behind
	}
	makers := p.byResource("Output")
	for _, u := range p.index.uses {
		if u.input() && u.node.runsItself() && makers[u.resource] == nil && u.resource.Get("Status") == "Unavailable" &&
			p.allLeaves(u, "Unavailable") {
			p.atWith(u.Attr("rRef").Place(), u.resource.Attr("Status").Place(), "the status is here",
				fact("process", u.node.kind()), fact("id", u.Get("rRef")))
		}
	}
}

// allLeaves reports whether all leaves of the resource have the status.
func (p *pass) allLeaves(u *use, status string) bool {
	for c := range p.carriers(u) {
		if inherited(c.Node, "Status").Value() != status {
			return false
		}
	}
	return true
}

// processRing follows resources from the node that makes them to the nodes
// that take them. Links with a Part are left out: the parts of one resource may
// well go round. So are those of nodes around others, which only sum up.
func processRing(p *pass) {
	makers := map[jdf.Node][]*use{}
	counts := func(u *use) bool {
		return u.resource.Valid() && len(u.node.inner) == 0 && !u.Child("Part").Valid() && !u.Child("AmountPool").Valid()
	}
	for _, u := range p.index.uses {
		if u.output() && counts(u) {
			makers[u.resource] = append(makers[u.resource], u)
		}
	}
	const (
		open = 1 + iota
		done
	)
	state := map[*node]int{}
	var visit func(n *node)
	visit = func(n *node) {
		state[n] = open
		for _, u := range n.uses {
			if !u.input() || !counts(u) {
				continue
			}
			if !p.spend(len(makers[u.resource])) {
				return
			}
			for _, maker := range makers[u.resource] {
				switch state[maker.node] {
				case open:
					if maker.node == n {
						continue // handed on between the processes of a combined node
					}
					p.at(u.Attr("rRef").Place(), fact("process", n.kind()), fact("id", u.Get("rRef")))
				case 0:
					visit(maker.node)
				}
			}
		}
		state[n] = done
	}
	for _, n := range p.index.nodes {
		if state[n] == 0 {
			visit(n)
		}
	}
}

func runsUnready(p *pass) {
	for _, u := range p.index.uses {
		if u.input() && u.node.Get("Status") == "InProgress" && !u.Has("MinStatus") && u.resource.Valid() &&
			p.allLeaves(u, "Unavailable") {
			p.atWith(u.Attr("rRef").Place(), u.resource.Attr("Status").Place(), "the status is here",
				fact("id", u.Get("rRef")))
		}
	}
}

func doneUnready(p *pass) {
	for _, u := range p.index.uses {
		if !u.output() || u.node.Get("Status") != "Completed" {
			continue
		}
		if status := u.resource.Attr("Status"); status.Value() == "Unavailable" || status.Value() == "Incomplete" {
			p.atWith(u.Attr("rRef").Place(), status.Place(), "the status is here",
				fact("id", u.Get("rRef")), fact("status", status.Value()))
		}
	}
}

func pipeLevels(p *pass) {
	for _, u := range p.index.uses {
		if !u.Has("PipePause") || !u.Has("PipeResume") {
			continue
		}
		pause, errPause := strconv.ParseFloat(u.Get("PipePause"), 64)
		resume, errResume := strconv.ParseFloat(u.Get("PipeResume"), 64)
		if u.output() && errPause == nil && errResume == nil && pause < resume {
			p.atWith(u.Attr("PipeResume").Place(), u.Attr("PipePause").Place(), "the pause is here",
				fact("pause", u.Get("PipePause")), fact("resume", u.Get("PipeResume")))
		}
	}
}

func pipeTwice(p *pass) {
	first := map[string]jdf.Attr{}
	for _, u := range p.index.uses {
		for d := range u.ChildrenNamed("Dependent") {
			id := d.Attr("PipeID")
			if !id.Valid() {
				continue
			}
			key := u.usage + " " + id.Value()
			if before, taken := first[key]; taken && up(before.Owner(), "ResourceSet") != u.Node {
				p.atWith(id.Place(), before.Place(), "first given here", fact("id", id.Value()), fact("usage", u.usage))
				continue
			}
			first[key] = id
		}
	}
}

func dependsOnItself(p *pass) {
	root := p.doc.Root()
	for d := range p.named("Dependent") {
		if d.Get("JobID") == root.Get("JobID") && strings.TrimSpace(d.Get("JobPartID")) == root.Get("JobPartID") {
			p.at(d.Attr("JobID").Place(), fact("job", d.Get("JobID")))
		}
	}
}
