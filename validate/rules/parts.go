package rules

import (
	"maps"
	"slices"
	"strings"

	"quoin/jdf/value"
	"quoin/validate"
)

var partChecks = []check{
	{
		Rule: &validate.Rule{
			ID: "ref/part-key-unknown", Severity: validate.Warning, Mends: validate.Sender,
			Say: "Part names {key}, which is none of the PartIDKeys of {id|q}{keys}",
			Do:  "select by the keys that the resource is split by",
			Why: "A Part selects partitions by the keys of the resource; keys that count inside a part, such as RunIndex, " +
				"and Condition, which is about amounts, need not be listed (from memory: JDF 1.x, Structure chapter).",
		},
		kinds: onlyJDF, fragment: asNote, run: partKeyUnknown,
		Bad: `<JDF ID="n" Type="Folding" JobID="4711">
  <ResourcePool><Component ID="c" Class="Quantity" PartIDKeys="SheetName"><Component SheetName="S1"/>
    </Component></ResourcePool>
  <ResourceLinkPool><ComponentLink rRef="c" Usage="Input"><Part BlockName="B1"/></ComponentLink></ResourceLinkPool>
</JDF>`,
		Good: `<JDF ID="n" Type="Folding" JobID="4711">
  <ResourcePool><Component ID="c" Class="Quantity" PartIDKeys="SheetName"><Component SheetName="S1"/>
    </Component></ResourcePool>
  <ResourceLinkPool><ComponentLink rRef="c" Usage="Input"><Part SheetName="S1"/></ComponentLink></ResourceLinkPool>
</JDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "ref/part-unknown", Severity: validate.Error, Mends: validate.Sender,
			Say: "{id|q} has no partition {part}, and its PartUsage is Explicit",
			Do:  "name a partition that is there, or allow PartUsage=\"Implicit\"",
			Why: "With PartUsage Explicit only partitions that are written out can be selected (schema values; the " +
				"standard's sample of PartUsage). Explicit is the default (from memory: JDF 1.x, Structure chapter), but " +
				"so many senders rely on falling back that only a written Explicit counts here.",
		},
		kinds: onlyJDF, run: partUnknown,
		Bad: `<JDF ID="n" Type="Folding" JobID="4711">
  <ResourcePool>
    <Component ID="c" Class="Quantity" PartIDKeys="SheetName" PartUsage="Explicit"><Component SheetName="S1"/>
      </Component>
  </ResourcePool>
  <ResourceLinkPool><ComponentLink rRef="c" Usage="Input"><Part SheetName="S9"/></ComponentLink></ResourceLinkPool>
</JDF>`,
		Good: `<JDF ID="n" Type="Folding" JobID="4711">
  <ResourcePool>
    <Component ID="c" Class="Quantity" PartIDKeys="SheetName" PartUsage="Implicit"><Component SheetName="S1"/>
      </Component>
  </ResourcePool>
  <ResourceLinkPool><ComponentLink rRef="c" Usage="Input"><Part SheetName="S9"/></ComponentLink></ResourceLinkPool>
</JDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "ref/part-ambiguous", Severity: validate.Warning, Mends: validate.Sender,
			Say: "{name} leads to {id|q}, which is split by {keys}, without selecting a part",
			Do:  "add a Part, or stand the reference where the same keys are set",
			Why: "A reference to a partitioned resource selects one branch, or shares its keys, so that it is clear which " +
				"is meant (from memory: JDF 1.x, Structure chapter, partitions; the samples of plates with media keep to it).",
		},
		kinds: onlyJDF, run: partAmbiguous,
		Bad: `<JDF ID="n" Type="Folding" JobID="4711">
  <ResourcePool>
    <Media ID="m" Class="Consumable" PartIDKeys="Separation"><Media Separation="Cyan"/>
      <Media Separation="Black"/></Media>
    <ExposedMedia ID="x" Class="Handling" PartIDKeys="SheetName"><MediaRef rRef="m"/></ExposedMedia>
  </ResourcePool>
</JDF>`,
		Good: `<JDF ID="n" Type="Folding" JobID="4711">
  <ResourcePool>
    <Media ID="m" Class="Consumable" PartIDKeys="Separation"><Media Separation="Cyan"/>
      <Media Separation="Black"/></Media>
    <ExposedMedia ID="x" Class="Handling" PartIDKeys="Separation"><MediaRef rRef="m"/></ExposedMedia>
  </ResourcePool>
</JDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "ref/range-backwards", Severity: validate.Error, Mends: validate.Sender,
			Say: "{attr} is {got|q}; want the first number not above the last",
			Do:  "swap the two; count from the end with negative numbers",
			Why: "An index range runs from its first to its last number (from memory: Encoding chapter of both " +
				"generations; the sample of integer ranges). A page order may run backwards, an index may not.",
		},
		kinds: tickets, run: rangeBackwards,
		Bad: `<XJDF JobID="4711" Types="Imposition">
  <ResourceSet Name="RunList" Usage="Input"><Resource><Part RunIndex="5 2"/></Resource></ResourceSet>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="Imposition">
  <ResourceSet Name="RunList" Usage="Input"><Resource><Part RunIndex="2 -1"/></Resource></ResourceSet>
</XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "ref/sheets-differ", Severity: validate.Warning, Mends: validate.Sender,
			Say: "{name} is for sheet {sheet|q}, and the {other} knows only {known}",
			Do:  "use the same SheetName for one sheet throughout",
			Why: "The partitions of plates, layout and components of a run name the same sheets (MIS to conventional " +
				"printing conformance, resource tables). Plausibility where a ticket does not claim it.",
		},
		kinds: tickets, fragment: asNote, run: sheetsDiffer,
		Bad: `<XJDF JobID="4711" Types="ConventionalPrinting">
  <ResourceSet Name="Component" Usage="Output"><Resource><Part SheetName="S1"/><Component/></Resource></ResourceSet>
  <ResourceSet Name="ExposedMedia" Usage="Input">
    <Resource><Part SheetName="S3"/><ExposedMedia MediaRef="P"/></Resource>
  </ResourceSet>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="ConventionalPrinting">
  <ResourceSet Name="Component" Usage="Output"><Resource><Part SheetName="S3"/><Component/></Resource></ResourceSet>
  <ResourceSet Name="ExposedMedia" Usage="Input">
    <Resource><Part SheetName="S3"/><ExposedMedia MediaRef="P"/></Resource>
  </ResourceSet>
</XJDF>`,
	},
}

// impliedKeys count inside a part or speak of amounts, and may stand in a Part
// whatever the resource is split by.
//
// From memory: JDF 1.x, Structure chapter, partitions; the samples show them.
var impliedKeys = set("Condition", "RunIndex", "RunPage", "RunTags", "RunSet", "DocIndex", "DocRunIndex", "DocTags",
	"PageNumber", "PageTags", "SetIndex", "SetRunIndex", "SetDocIndex", "SetTags", "SheetIndex", "SetSheetIndex",
	"DocSheetIndex", "DocCopies", "SetCopies", "SectionIndex", "ItemNames", "CellIndex", "BundleItemIndex", "LotID",
	"LayerIDs", "PreflightRule", "Option", "SubRun", "RunPageRange", "Metadata0", "Metadata1", "Metadata2", "Metadata3",
	"Metadata4", "Metadata5", "Metadata6", "Metadata7", "Metadata8", "Metadata9")

func partKeyUnknown(p *pass) {
	for _, u := range p.index.uses {
		if !u.resource.Valid() {
			continue
		}
		keys := p.index.partKeysOf(u.resource)
		for part := range u.ChildrenNamed("Part") {
			for a := range part.Attrs() {
				if a.Name().Space != "" || !allPartitions[a.Local()] || impliedKeys[a.Local()] ||
					slices.Contains(keys, a.Local()) {
					continue
				}
				words := ", which has none"
				if len(keys) > 0 {
					words = " (" + strings.Join(keys, ", ") + ")"
				}
				p.atWith(a.NamePlace(), u.resource.NamePlace(), "the resource is here", fact("key", a.Local()),
					fact("id", u.Get("rRef")), fact("keys", words))
			}
		}
	}
}

func partUnknown(p *pass) {
	tables := map[string]map[string]bool{} // by id of the resource and names of the keys
	for _, u := range p.index.uses {
		if u.resource.Get("PartUsage") != "Explicit" {
			continue
		}
		for part := range u.ChildrenNamed("Part") {
			var names []string
			for _, key := range p.index.partKeysOf(u.resource) {
				if part.Has(key) {
					names = append(names, key)
				}
			}
			if names == nil {
				continue
			}
			which := u.Get("rRef") + " " + strings.Join(names, " ")
			if tables[which] == nil {
				tables[which] = project(p.index.partitionTable(u.resource), names)
			}
			if key := pick(partMap(partKey(part)), names); !tables[which][key] {
				p.atWith(part.NamePlace(), u.resource.NamePlace(), "the resource is here",
					fact("id", u.Get("rRef")), fact("part", partWords(key)))
			}
		}
	}
}

// project lists what the partitions of a resource say of some of its keys.
func project(table map[string]partition, names []string) map[string]bool {
	found := map[string]bool{}
	for key := range table {
		found[pick(partMap(key), names)] = true
	}
	return found
}

// pick is the part that is left of another when only some keys count.
func pick(part map[string]string, names []string) string {
	var pairs []string
	for _, name := range names {
		if v, ok := part[name]; ok {
			pairs = append(pairs, name+"="+v)
		}
	}
	return joinParts(pairs)
}

func partAmbiguous(p *pass) {
	for r := range p.index.references {
		ref, target := r.owner(), r.target()
		root := holder(ref)
		if _, suffix, ok := linkTarget(r); !ok || suffix != "Ref" || ref.Child("Part").Valid() || !root.Valid() ||
			ref.Parent().Local() == "ResourceLinkPool" {
			continue
		}
		keys := p.index.partKeysOf(target)
		if len(keys) == 0 || !root.Has("PartIDKeys") || !target.Child(target.Local()).Valid() {
			continue
		}
		own := p.index.partKeysOf(root)
		shared := slices.ContainsFunc(keys, func(k string) bool { return slices.Contains(own, k) })
		if !shared {
			p.atWith(r.attr().Place(), target.NamePlace(), "the resource is here", fact("name", ref.Local()),
				fact("id", r.id()), fact("keys", strings.Join(keys, ", ")))
		}
	}
}

func rangeBackwards(p *pass) {
	for a := range p.having("RunIndex", "DocIndex", "SetIndex", "SheetIndex", "PageNumber") {
		ranges, err := value.ParseIntegerRangeList(a.Value())
		if p.doc.Kind.Second() {
			ranges, err = value.ParseIntegerPairs(a.Value())
		}
		if err != nil {
			continue
		}
		for _, r := range ranges {
			// Where one end counts from the start and the other from the end,
			// the order depends on the length of the list.
			if r.First > r.Last && (r.First < 0) == (r.Last < 0) {
				p.at(a.Place(), fact("attr", attrName(a)), fact("got", a.Value()))
				break
			}
		}
	}
}

// sheetsDiffer holds the sheets of plates and layouts against those of the
// component that the press makes.
func sheetsDiffer(p *pass) {
	for _, n := range p.index.nodes {
		if !n.runs("ConventionalPrinting") {
			continue
		}
		made := map[string]bool{}
		for _, u := range n.of("Component") {
			for c := range p.carriers(u) {
				if sheet := c.part("SheetName"); u.output() && sheet != "" {
					made[sheet] = true
				}
			}
		}
		for _, u := range n.of("ExposedMedia") {
			told := map[string]bool{}
			for c := range p.carriers(u) {
				sheet := c.part("SheetName")
				if len(made) > 0 && sheet != "" && !made[sheet] && !told[sheet] {
					told[sheet] = true
					p.at(c.NamePlace(), fact("name", u.name), fact("sheet", sheet), fact("other", "component"),
						fact("known", validate.Choices(slices.Collect(maps.Keys(made)))))
				}
			}
		}
	}
}
