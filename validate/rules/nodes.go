package rules

import (
	"strings"

	"quoin/jdf"
	"quoin/schemas"
	"quoin/validate"
)

var nodeChecks = []check{
	{
		Rule: &validate.Rule{
			ID: "process/types-missing", Severity: validate.Error, Mends: validate.Sender,
			Say: "the combined node lists no processes; want Types",
			Do:  `name the processes in order, as in Types="Collecting Stitching Trimming"`,
			Why: "A combined node is the processes that its Types name (from memory: JDF 1.x, Structure chapter, " +
				"combined process nodes).",
		},
		kinds: onlyJDF, run: typesMissing,
		Bad:  `<JDF ID="n" Type="Combined" JobID="4711"/>`,
		Good: `<JDF ID="n" Type="Combined" Types="Cutting Folding" JobID="4711"/>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/group-empty", Severity: validate.Note, Mends: validate.Sender,
			Say: "the process group has neither Types nor nodes inside",
			Do:  "list the processes in Types, or add the nodes",
			Why: "A group without nodes is a gray box, which says by its Types what is to be done (from memory: JDF " +
				"1.x, Structure chapter). Samples use empty groups to show a resource.",
		},
		kinds: onlyJDF, fragment: leftOut, run: groupEmpty,
		Bad:  `<JDF ID="n" Type="ProcessGroup" JobID="4711"/>`,
		Good: `<JDF ID="n" Type="ProcessGroup" Types="Stripping Imposition" JobID="4711"/>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/node-in-process", Severity: validate.Error, Mends: validate.Sender,
			Say: "the {outer} node holds a node; only Product, ProcessGroup and Combined nodes do",
			Do:  "put the node beside the process, into a group around both",
			Why: "A process node is a leaf of the tree (from memory: JDF 1.x, Structure chapter; the schema types of " +
				"the processes hold no JDF).",
		},
		kinds: onlyJDF, run: nodeInProcess,
		Bad: `<JDF ID="n" Type="Folding" JobID="4711">
  <JDF ID="m" Type="Cutting"/>
</JDF>`,
		Good: `<JDF ID="n" Type="ProcessGroup" JobID="4711">
  <JDF ID="m" Type="Cutting"/>
</JDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/product-in-process", Severity: validate.Error, Mends: validate.Sender,
			Say: "the Product node stands inside a {outer} node; want a Product around it",
			Do:  "move the product to the product that it is a part of",
			Why: "Products are made of products and processes, never the other way round (from memory: JDF 1.x, " +
				"Structure chapter, product nodes).",
		},
		kinds: onlyJDF, run: productInProcess,
		Bad: `<JDF ID="n" Type="ProcessGroup" JobID="4711">
  <JDF ID="m" Type="Product"/>
</JDF>`,
		Good: `<JDF ID="n" Type="Product" JobID="4711">
  <JDF ID="m" Type="Product"/>
</JDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/unknown-process", Severity: validate.Warning, Mends: validate.Sender,
			Say: "{got|q} is no process of the standard{near}",
			Do:  "correct the name, or put a prefix in front of a private one",
			Why: "A device finds its work by the names of processes (the process types of the JDF schema; from memory " +
				"for those that only XJDF has). A mistyped name is skipped in silence.",
		},
		kinds: tickets, run: unknownProcess,
		Bad:  `<XJDF JobID="4711" Types="Imposition Reendering"/>`,
		Good: `<XJDF JobID="4711" Types="Imposition Rendering my:Rendering"/>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/status-pool", Severity: validate.Warning, Mends: validate.Sender,
			Say: "the node has Status Pool; want Part, with the states in NodeInfo",
			Do:  "write Status=\"Part\" and a NodeStatus for each part in NodeInfo",
			Why: "StatusPool ended with version 1.2 (schema notes), and with it this status; the base conformance level " +
				"forbids it.",
		},
		kinds: onlyJDF, from: jdf.Version{Major: 1, Minor: 3}, run: statusPool,
		Bad:  `<JDF ID="n" Type="Folding" JobID="4711" Version="1.5" Status="Pool"/>`,
		Good: `<JDF ID="n" Type="Folding" JobID="4711" Version="1.2" Status="Pool"/>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/status-part", Severity: validate.Error, Mends: validate.Sender,
			Say: "the node has Status Part, and no NodeInfo says the states of the parts",
			Do:  "link a NodeInfo with a NodeStatus for each part",
			Why: "Part means that the status is found in the partitions of NodeInfo, which the node must then link " +
				"(JDF base conformance level).",
		},
		kinds: onlyJDF, from: jdf.Version{Major: 1, Minor: 3}, fragment: asNote, run: statusPart,
		Bad: `<JDF ID="n" Type="Folding" JobID="4711" Version="1.5" Status="Part"/>`,
		Good: `<JDF ID="n" Type="Folding" JobID="4711" Version="1.5" Status="Part">
  <ResourcePool><NodeInfo ID="ni" Class="Parameter" Status="Available"/></ResourcePool>
  <ResourceLinkPool><NodeInfoLink rRef="ni" Usage="Input"/></ResourceLinkPool>
</JDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/status-contradicts", Severity: validate.Warning, Mends: validate.Operator,
			Say: "the node is {node}, and NodeInfo says {part} of a part of it",
			Do:  "write Status=\"Part\", or bring the two into line",
			Why: "A status that differs between parts is told in NodeInfo alone, with Part on the node (from memory: " +
				"JDF 1.x, Life cycle chapter).",
		},
		kinds: onlyJDF, run: statusContradicts,
		Bad: `<JDF ID="n" Type="Folding" JobID="4711" Status="Completed">
  <ResourcePool><NodeInfo ID="ni" Class="Parameter" NodeStatus="Waiting"/></ResourcePool>
  <ResourceLinkPool><NodeInfoLink rRef="ni" Usage="Input"/></ResourceLinkPool>
</JDF>`,
		Good: `<JDF ID="n" Type="Folding" JobID="4711" Status="Part">
  <ResourcePool><NodeInfo ID="ni" Class="Parameter" NodeStatus="Waiting"/></ResourcePool>
  <ResourceLinkPool><NodeInfoLink rRef="ni" Usage="Input"/></ResourceLinkPool>
</JDF>`,
	},
}

func typesMissing(p *pass) {
	for _, n := range p.index.nodes {
		if n.Get("Type") == "Combined" && len(n.types) == 0 {
			p.at(n.Attr("Type").Place())
		}
	}
}

func groupEmpty(p *pass) {
	for _, n := range p.index.nodes {
		if n.Get("Type") == "ProcessGroup" && len(n.types) == 0 && len(n.inner) == 0 {
			p.at(n.Attr("Type").Place())
		}
	}
}

// holdsNodes lists the types of nodes that may have nodes inside.
var holdsNodes = set("Product", "ProcessGroup", "Combined")

func nodeInProcess(p *pass) {
	for _, n := range p.index.nodes {
		if n.outer != nil && n.outer.Has("Type") && !holdsNodes[n.outer.Get("Type")] {
			p.at(n.NamePlace(), fact("outer", n.outer.Get("Type")))
		}
	}
}

func productInProcess(p *pass) {
	for _, n := range p.index.nodes {
		if n.Get("Type") == "Product" && n.outer != nil && n.outer.Get("Type") != "Product" {
			p.at(n.Attr("Type").Place(), fact("outer", n.outer.Get("Type")))
		}
	}
}

// newerProcesses are the processes that XJDF has and the JDF schema does not.
//
// From memory: XJDF 2.x, Processes chapter; DieDesign, LooseBinding and
// SheetOptimizing are seen in the published samples and schema.
var newerProcesses = []string{
	"Product", "DieDesign", "DieLayoutProduction", "LooseBinding", "SheetOptimizing", "ShapeDefProduction",
	"InkZoneCalculation", "BoxFolding", "Feeding", "ManualLabor", "LayoutElementProduction",
	"PrePressPreparation", "ImagePreparation", "PDFToPSConversion", "PreviewGeneration", "Winding", "Delivery",
	"ObjectExtraction", "PressPreparation", "Sterilization", "ThreeDPrinting", "Trimming", "QualityControl",
}

var newer = set(newerProcesses...)

// final are the states of a node that will not change.
var final = set("Completed", "Aborted")

// processType is the process of a name in the dictionary, or nil. Both
// generations share the names.
func processType(name string) *schemas.Type {
	t := schemas.JDF().Type(name)
	if t == nil || t.Abstract() || !t.DerivesFrom(schemas.JDF().Type("JDFAbstractNode")) {
		return nil
	}
	return t
}

func unknownProcess(p *pass) {
	for _, n := range p.index.nodes {
		for _, name := range n.types {
			private := strings.Contains(name, ":")
			if name == "" || private || processType(name) != nil || newer[name] && p.doc.Kind.Second() {
				continue
			}
			p.at(n.list.Place(), fact("got", name), fact("near", p.near(name, processNames)))
		}
	}
}

// processNames lists the processes that a mistyped name may have meant.
func processNames() []string {
	known := schemas.JDF().DerivedTypes("JDFAbstractNode")
	return append(known[:len(known):len(known)], newerProcesses...)
}

func statusPool(p *pass) {
	for _, n := range p.index.nodes {
		if n.Get("Status") == "Pool" {
			p.at(n.Attr("Status").Place())
		}
	}
}

func statusPart(p *pass) {
	for _, n := range p.index.nodes {
		if n.Get("Status") == "Part" && len(n.of("NodeInfo")) == 0 {
			p.at(n.Attr("Status").Place())
		}
	}
}

func statusContradicts(p *pass) {
	for _, n := range p.index.nodes {
		status := n.Attr("Status")
		for _, u := range n.of("NodeInfo") {
			for c := range p.carriers(u) {
				part := inherited(c.Node, "NodeStatus")
				if part.Valid() && final[status.Value()] && part.Value() != status.Value() {
					p.atWith(part.Place(), status.Place(), "the status of the node",
						fact("node", status.Value()), fact("part", part.Value()))
				}
			}
		}
	}
}
