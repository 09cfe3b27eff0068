package rules

import (
	"strings"

	"quoin/jdf"
	"quoin/schemas"
	"quoin/validate"
)

var setChecks = []check{
	{
		Rule: &validate.Rule{
			ID: "ref/set-name", Severity: validate.Error, Mends: validate.Sender,
			Say: "the set is named {want|q} and holds {article} {got}",
			Do:  "put the {got} into a ResourceSet of that name",
			Why: "All resources of a set are of the kind that the set is named after; a device looks for them by the " +
				"set (from memory: XJDF 2.x, Structure chapter, ResourceSet; no sample breaks it).",
		},
		kinds: secondGen, run: setName,
		Bad: `<XJDF JobID="4711" Types="Folding">
  <ResourceSet Name="FoldingParams" Usage="Input"><Resource><CuttingParams/></Resource></ResourceSet>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="Folding">
  <ResourceSet Name="FoldingParams" Usage="Input"><Resource><FoldingParams/></Resource></ResourceSet>
</XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "ref/intent-name", Severity: validate.Error, Mends: validate.Sender,
			Say: "the Intent is named {want|q} and holds {article} {got}",
			Do:  "make Name and the element inside agree",
			Why: "The name of an Intent is that of the element inside (from memory: XJDF 2.x, product intent; a sample " +
				"shows that extensions put their prefix in front).",
		},
		kinds: onlyXJDF, run: intentName,
		Bad: `<XJDF JobID="4711" Types="Product">
  <ProductList><Product><Intent Name="ColorIntent"><MediaIntent MediaType="Paper"/></Intent></Product></ProductList>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="Product">
  <ProductList><Product><Intent Name="MediaIntent"><MediaIntent MediaType="Paper"/></Intent></Product></ProductList>
</XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "ref/set-twice", Severity: validate.Error, Mends: validate.Sender,
			Say: "there is a second {usage} set {name|q} for the same processes",
			Do:  "put all resources into one set, or tell the sets apart by ProcessUsage or CombinedProcessIndex",
			Why: "Name, Usage, ProcessUsage and CombinedProcessIndex together name a set (from memory: XJDF 2.x, " +
				"Structure chapter, ResourceSet; no sample breaks it).",
		},
		kinds: onlyXJDF, run: setTwice,
		Bad: `<XJDF JobID="4711" Types="Folding">
  <ResourceSet Name="NodeInfo" Usage="Input"/>
  <ResourceSet Name="NodeInfo" Usage="Input"/>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="Cutting Folding">
  <ResourceSet Name="NodeInfo" Usage="Input" CombinedProcessIndex="0"/>
  <ResourceSet Name="NodeInfo" Usage="Input" CombinedProcessIndex="1"/>
</XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "ref/set-empty", Severity: validate.Warning, Mends: validate.Sender,
			Say: "the set {name|q} of Usage {usage|q} holds no resource",
			Do:  "add a Resource, or take the set out",
			Why: "A process that is given a set without content has nothing to work with. Plausibility; the schema " +
				"allows it.",
		},
		kinds: onlyXJDF, fragment: leftOut, run: setEmpty,
		Bad: `<XJDF JobID="4711" Types="Folding">
  <ResourceSet Name="FoldingParams" Usage="Input"/>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="Folding">
  <ResourceSet Name="FoldingParams" Usage="Input"><Resource/></ResourceSet>
</XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "ref/set-unused", Severity: validate.Note, Mends: validate.Sender,
			Say: "the set {name|q} has no Usage, and nothing refers to it",
			Do:  "say whether it is Input or Output, or refer to it by ID",
			Why: "A set that no process is given and nothing names has no effect on the job. Plausibility; the schema " +
				"allows it.",
		},
		kinds: onlyXJDF, fragment: leftOut, run: setUnused,
		Bad: `<XJDF JobID="4711" Types="Folding">
  <ResourceSet Name="Media"><Resource ID="M1"><Media MediaType="Paper"/></Resource></ResourceSet>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="Folding">
  <ResourceSet Name="Media"><Resource ID="M1"><Media MediaType="Paper"/></Resource></ResourceSet>
  <ResourceSet Name="Component" Usage="Input">
    <Resource><Component MediaRef="M1"/></Resource>
  </ResourceSet>
</XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "ref/name-unknown", Severity: validate.Warning, Mends: validate.Sender,
			Say: "{attr} names the {what} {name|q}, which the ticket does not have{near}",
			Do:  "use a name that is defined, or define it",
			Why: "Bindery signatures, assemblies and cut blocks are found by their names (from memory: Layout, " +
				"Assembly and CutBlock; the stripping samples show it). Asked only where the ticket defines some.",
		},
		kinds: tickets, fragment: asNote, run: nameUnknown,
		Bad: `<XJDF JobID="4711" Types="Stripping">
  <ResourceSet Name="BinderySignature" Usage="Input">
    <Resource><Part BinderySignatureID="BS1"/><BinderySignature BinderySignatureType="Fold"/></Resource>
  </ResourceSet>
  <ResourceSet Name="Layout" Usage="Output">
    <Resource><Layout><Position BinderySignatureID="BS7"/></Layout></Resource>
  </ResourceSet>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="Stripping">
  <ResourceSet Name="BinderySignature" Usage="Input">
    <Resource><Part BinderySignatureID="BS1"/><BinderySignature BinderySignatureType="Fold"/></Resource>
  </ResourceSet>
  <ResourceSet Name="Layout" Usage="Output">
    <Resource><Layout><Position BinderySignatureID="BS1"/></Layout></Resource>
  </ResourceSet>
</XJDF>`,
	},
}

func setName(p *pass) {
	for n := range p.named("ResourceSet") {
		for r := range n.ChildrenNamed("Resource") {
			p.held(n, r)
		}
	}
}

func intentName(p *pass) {
	for n := range p.named("Intent") {
		p.held(n, n)
	}
}

// held compares the name that a wrapper promises with what an element inside
// holds. An extension has its prefix in the name.
func (p *pass) held(named, holder jdf.Node) {
	want := named.Attr("Name")
	if !want.Valid() {
		return
	}
	prefix, local, prefixed := strings.Cut(want.Value(), ":")
	if !prefixed {
		prefix, local = "", want.Value()
	}
	c := held(holder)
	space, _ := c.Lookup(prefix) // which may be declared there only
	if !c.Valid() || c.Local() == local && (c.Space() == space || !prefixed && ours(c)) {
		return
	}
	if !ours(c) && !prefixed {
		return // an extension beside or in place of what the name promises
	}
	if !prefixed && schemas.XJDF().Element(c.Local()) == nil {
		return // a mistyped name, of which the schema stage says more
	}
	p.atWith(c.NamePlace(), want.Place(), "named here", fact("want", want.Value()),
		fact("article", article(c.Local())), fact("got", c.Local()))
}

func setTwice(p *pass) {
	first := map[string]jdf.Node{}
	for _, u := range p.index.uses {
		if u.usage == "" {
			continue
		}
		key := strings.Join([]string{u.name, u.usage, u.role, u.Get("CombinedProcessIndex")}, "\x00")
		if before, taken := first[key]; taken {
			p.atWith(u.Attr("Name").Place(), before.Attr("Name").Place(), "the first is here",
				fact("usage", u.usage), fact("name", u.name))
			continue
		}
		first[key] = u.Node
	}
}

func setEmpty(p *pass) {
	for _, u := range p.index.uses {
		if u.usage != "" && !u.Child("Resource").Valid() && !u.Child("Dependent").Valid() {
			p.at(u.Attr("Name").Place(), fact("usage", u.usage), fact("name", u.name))
		}
	}
}

func setUnused(p *pass) {
	named := map[string]bool{}
	for r := range p.index.references {
		named[r.id()] = true
	}
	for _, u := range p.index.uses {
		if u.usage != "" || named[u.Get("ID")] || byPart[u.name] {
			continue
		}
		used := false
		for r := range u.ChildrenNamed("Resource") {
			used = used || named[r.Get("ID")]
		}
		if !used {
			p.at(u.Attr("Name").Place(), fact("name", u.name))
		}
	}
}

// byPart are the resources that others find by a name in their Part, not by ID.
var byPart = set("BinderySignature", "Color", "Contact", "TransferCurve", "PrintCondition")

// softNames lists the attributes that name something by a word rather than an
// ID, with where such names are defined.
// Source: the schemas for the attributes. From memory: what defines them.
var softNames = []struct {
	what, in string // in is the element that the attribute stands in; "" is any
	attrs    []string
	defines  func(*pass) map[string]bool
}{
	{"bindery signature", "", []string{"BinderySignatureID", "BinderySignatureIDs"}, (*pass).signatureNames},
	{"assembly", "", []string{"AssemblyIDs"}, (*pass).assemblyNames},
	{"cut block", "Part", []string{"BlockName"}, (*pass).blockNames},
}

func nameUnknown(p *pass) {
	for _, s := range softNames {
		known := s.defines(p)
		if len(known) == 0 {
			continue
		}
		for a := range p.having(s.attrs...) {
			if s.in != "" && !a.Owner().Is(s.in) || a.Owner().Is("Assembly", "AssemblySection") && p.doc.Kind.First() {
				continue
			}
			for _, name := range strings.Fields(a.Value()) {
				if !known[name] {
					p.at(a.Place(), fact("attr", attrName(a)), fact("what", s.what), fact("name", name),
						fact("near", p.near(name, keysOf(known))))
				}
			}
		}
	}
}

func (p *pass) signatureNames() map[string]bool {
	known := map[string]bool{}
	for _, u := range p.index.uses {
		if u.name != "BinderySignature" || !u.Is("ResourceSet") {
			continue
		}
		for r := range u.ChildrenNamed("Resource") {
			for part := range r.ChildrenNamed("Part") {
				if id := part.Attr("BinderySignatureID"); id.Valid() {
					known[id.Value()] = true
				}
			}
		}
	}
	return known
}

func (p *pass) assemblyNames() map[string]bool {
	known := map[string]bool{}
	if !p.doc.Kind.First() {
		return known
	}
	for n := range p.named("Assembly", "AssemblySection") {
		for _, attr := range []string{"AssemblyID", "AssemblyIDs"} {
			for _, id := range strings.Fields(n.Get(attr)) {
				known[id] = true
			}
		}
	}
	return known
}

func (p *pass) blockNames() map[string]bool {
	known := map[string]bool{}
	for n := range p.named("CutBlock") {
		if name := n.Attr("BlockName"); name.Valid() {
			known[name.Value()] = true
		}
	}
	return known
}
