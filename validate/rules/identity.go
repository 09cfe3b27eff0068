package rules

import (
	"strings"

	"quoin/jdf"
	"quoin/validate"
)

var identityChecks = []check{
	{
		Rule: &validate.Rule{
			ID: "ref/duplicate-id", Severity: validate.Error, Mends: validate.Sender,
			Say: "the ID {id|q} is given twice",
			Do:  "give each element an ID of its own; a reference to this one could mean either",
			Why: "Attributes of type ID are unique in the document (XML 1.0, section 3.3.1; the schemas' type ID).",
		},
		kinds: all, run: duplicateID,
		Bad: `<XJDF JobID="4711" Types="Folding">
  <ResourceSet Name="Media" ID="R1"/>
  <ResourceSet Name="Ink" ID="R1"/>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="Folding">
  <ResourceSet Name="Media" ID="R1"/>
  <ResourceSet Name="Ink" ID="r1"/>
</XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "ref/job-id-missing", Severity: validate.Error, Mends: validate.Sender,
			Say: "the {root} names no job; want JobID", Do: `give the job's number, as in JobID="4711"`,
			Why: "JobID ties tickets, messages and costs of a job together (JDF base conformance level; " +
				"required in the XJDF schema).",
		},
		kinds: tickets, fragment: asNote, run: jobIDMissing,
		Bad:  `<JDF ID="n" Type="Folding" Status="Waiting" Version="1.5"/>`,
		Good: `<JDF ID="n" Type="Folding" Status="Waiting" Version="1.5" JobID="4711"/>`,
	},
	{
		Rule: &validate.Rule{
			ID: "ref/job-id-differs", Severity: validate.Error, Mends: validate.Sender,
			Say: "the node belongs to job {got|q}, the ticket to {want|q}",
			Do:  "leave JobID out below the root, or repeat it",
			Why: "JobID is set on the root and inherited; a node that repeats it has the same value " +
				"(JDF base conformance level).",
		},
		kinds: onlyJDF, run: jobIDDiffers,
		Bad: `<JDF ID="n" Type="Product" JobID="4711">
  <JDF ID="m" Type="Folding" JobID="4712"/>
</JDF>`,
		Good: `<JDF ID="n" Type="Product" JobID="4711">
  <JDF ID="m" Type="Folding" JobID="4711"/>
</JDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "ref/job-part-twice", Severity: validate.Error, Mends: validate.Sender,
			Say: "the JobPartID {id|q} is given to two nodes", Do: "give each node a part id of its own",
			Why: "Times and amounts are booked by JobID and JobPartID; two nodes with one part id can not be told " +
				"apart (JDF base conformance level).",
		},
		kinds: onlyJDF, run: jobPartTwice,
		Bad: `<JDF ID="n" Type="Product" JobID="4711" JobPartID="p1">
  <JDF ID="m" Type="Folding" JobPartID="p1"/>
</JDF>`,
		Good: `<JDF ID="n" Type="Product" JobID="4711" JobPartID="p1">
  <JDF ID="m" Type="Folding" JobPartID="p1.f"/>
</JDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "ref/job-part-not-within", Severity: validate.Note, Mends: validate.Sender,
			Say: "the JobPartID {got|q} does not go on from that of the node around it, {want|q}",
			Do:  "begin with the outer part id and add a suffix, as in {want}.1",
			Why: "A node made inside another takes the outer JobPartID with a suffix, so that it stays unique in the " +
				"shop (JDF base conformance level).",
		},
		kinds: onlyJDF, fragment: leftOut, run: jobPartNotWithin,
		Bad: `<JDF ID="n" Type="Product" JobID="4711" JobPartID="p1">
  <JDF ID="m" Type="Folding" JobPartID="fold"/>
</JDF>`,
		Good: `<JDF ID="n" Type="Product" JobID="4711" JobPartID="p1">
  <JDF ID="m" Type="Folding" JobPartID="p1.f"/>
</JDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "ref/related-part-alone", Severity: validate.Warning, Mends: validate.Sender,
			Say: "RelatedJobPartID is {id|q} and no RelatedJobID says of which job",
			Do:  "add RelatedJobID",
			Why: "A part id is unique within its job only. Plausibility; the standard does not say it.",
		},
		kinds: all, run: relatedPartAlone,
		Bad:  `<XJDF JobID="4711" Types="Folding" RelatedJobPartID="p7"/>`,
		Good: `<XJDF JobID="4711" Types="Folding" RelatedJobID="4700" RelatedJobPartID="p7"/>`,
	},
}

func duplicateID(p *pass) {
	for _, a := range p.index.twice {
		first := p.index.byID(strings.TrimSpace(a.Value())).Attr("ID")
		p.atWith(a.Place(), first.Place(), "first given here", fact("id", a.Value()))
	}
}

func jobIDMissing(p *pass) {
	id, root := p.job.ID, p.doc.Root()
	switch {
	case !id.Given:
		p.at(root.NamePlace(), fact("root", root.Local()))
	case id.Value == "":
		p.at(id.Place, fact("root", root.Local()))
	}
}

func jobIDDiffers(p *pass) {
	root := p.doc.Root().Attr("JobID")
	for _, n := range p.index.nodes {
		if id := n.Attr("JobID"); id.Valid() && root.Valid() && id.Value() != root.Value() {
			p.atWith(id.Place(), root.Place(), "the ticket's job", fact("got", id.Value()), fact("want", root.Value()))
		}
	}
}

func jobPartTwice(p *pass) {
	first := map[string]jdf.Attr{}
	for _, n := range p.index.nodes {
		id := n.Attr("JobPartID")
		if !id.Valid() {
			continue
		}
		// A node of another job has part ids of its own.
		key := inheritedJob(n) + " " + id.Value()
		if before, taken := first[key]; taken {
			p.atWith(id.Place(), before.Place(), "first given here", fact("id", id.Value()))
			continue
		}
		first[key] = id
	}
}

func inheritedJob(n *node) string {
	for ; n != nil; n = n.outer {
		if id := n.Attr("JobID"); id.Valid() {
			return id.Value()
		}
	}
	return ""
}

func jobPartNotWithin(p *pass) {
	for _, n := range p.index.nodes {
		id := n.Attr("JobPartID")
		for outer := n.outer; id.Valid() && outer != nil; outer = outer.outer {
			around := outer.Attr("JobPartID")
			if !around.Valid() {
				continue
			}
			if !strings.HasPrefix(id.Value(), around.Value()) {
				p.atWith(id.Place(), around.Place(), "the node around it",
					fact("got", id.Value()), fact("want", around.Value()))
			}
			break
		}
	}
}

func relatedPartAlone(p *pass) {
	for a := range p.having("RelatedJobPartID") {
		if !a.Owner().Has("RelatedJobID") {
			p.at(a.Place(), fact("id", a.Value()))
		}
	}
}
