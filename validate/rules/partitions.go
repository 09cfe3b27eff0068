package rules

import (
	"slices"
	"strconv"
	"strings"

	"quoin/jdf"
	"quoin/validate"
)

var partitionChecks = []check{
	{
		Rule: &validate.Rule{
			ID: "ref/partition-keys-missing", Severity: validate.Error, Mends: validate.Sender,
			Say: "{name} holds partitions, and no PartIDKeys say what they are split by",
			Do:  "list the keys from the outside in, as in PartIDKeys=\"SheetName Side\"",
			Why: "The keys of a partitioned resource stand on its root (from memory: JDF 1.x, Structure chapter, " +
				"partitions).",
		},
		kinds: onlyJDF, run: partitionKeysMissing,
		Bad: `<JDF ID="n" Type="Folding" JobID="4711">
  <ResourcePool><Component ID="c" Class="Quantity"><Component SheetName="S1"/></Component></ResourcePool>
</JDF>`,
		Good: `<JDF ID="n" Type="Folding" JobID="4711">
  <ResourcePool>
    <Component ID="c" Class="Quantity" PartIDKeys="SheetName"><Component SheetName="S1"/></Component>
  </ResourcePool>
</JDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "ref/partition-key-wrong", Severity: validate.Error, Mends: validate.Sender,
			Say: "the partition is split by {got}; at this depth PartIDKeys wants {want}",
			Do:  "give each level exactly its own key, in the order of PartIDKeys",
			Why: "Each level carries the next key of PartIDKeys, none skipped and no two on one level (the standard's " +
				"samples of illegal partitions).",
		},
		kinds: onlyJDF, run: partitionKeyWrong,
		Bad: `<JDF ID="n" Type="Folding" JobID="4711">
  <ResourcePool>
    <Preview ID="p" Class="Parameter" PartIDKeys="PreviewType Separation"><Preview Separation="Cyan"/></Preview>
  </ResourcePool>
</JDF>`,
		Good: `<JDF ID="n" Type="Folding" JobID="4711">
  <ResourcePool>
    <Preview ID="p" Class="Parameter" PartIDKeys="PreviewType Separation"><Preview PreviewType="Separation"/></Preview>
  </ResourcePool>
</JDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "ref/partition-too-deep", Severity: validate.Error, Mends: validate.Sender,
			Say: "the partition{split} is level {depth} of a resource with {keys}",
			Do:  "add the key to PartIDKeys{repair}, or take the level out",
			Why: "There are as many levels as keys (from memory: JDF 1.x, Structure chapter, partitions).",
		},
		kinds: onlyJDF, run: partitionTooDeep,
		Bad: `<JDF ID="n" Type="Folding" JobID="4711">
  <ResourcePool>
    <Component ID="c" Class="Quantity" PartIDKeys="SheetName">
      <Component SheetName="S1"><Component Side="Front"/></Component>
    </Component>
  </ResourcePool>
</JDF>`,
		Good: `<JDF ID="n" Type="Folding" JobID="4711">
  <ResourcePool>
    <Component ID="c" Class="Quantity" PartIDKeys="SheetName Side">
      <Component SheetName="S1"><Component Side="Front"/></Component>
    </Component>
  </ResourcePool>
</JDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "ref/partition-twice", Severity: validate.Error, Mends: validate.Sender,
			Say: "there is a second partition with {key} {value|q}",
			Do:  "join the two, or correct the value",
			Why: "The values of a key tell partitions apart (from memory: JDF 1.x, Structure chapter, partitions).",
		},
		kinds: onlyJDF, run: partitionTwice,
		Bad: `<JDF ID="n" Type="Folding" JobID="4711">
  <ResourcePool>
    <ExposedMedia ID="x" Class="Handling" PartIDKeys="Separation">
      <ExposedMedia Separation="Cyan"/><ExposedMedia Separation="Cyan"/>
    </ExposedMedia>
  </ResourcePool>
</JDF>`,
		Good: `<JDF ID="n" Type="Folding" JobID="4711">
  <ResourcePool>
    <ExposedMedia ID="x" Class="Handling" PartIDKeys="Separation">
      <ExposedMedia Separation="Cyan"/><ExposedMedia Separation="Black"/>
    </ExposedMedia>
  </ResourcePool>
</JDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "ref/partition-key-on-root", Severity: validate.Error, Mends: validate.Sender,
			Say: "{key} is one of PartIDKeys and stands on the resource itself",
			Do:  "put it on a partition inside",
			Why: "The root of a partitioned resource stands for all its parts and carries no key (the standard's sample " +
				"of an invalid degenerate partition).",
		},
		kinds: onlyJDF, run: partitionKeyOnRoot,
		Bad: `<JDF ID="n" Type="Folding" JobID="4711">
  <ResourcePool><Component ID="c" Class="Quantity" PartIDKeys="SheetName" SheetName="S1"/></ResourcePool>
</JDF>`,
		Good: `<JDF ID="n" Type="Folding" JobID="4711">
  <ResourcePool>
    <Component ID="c" Class="Quantity" PartIDKeys="SheetName"><Component SheetName="S1"/></Component>
  </ResourcePool>
</JDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "ref/partition-inline", Severity: validate.Error, Mends: validate.Sender,
			Say: "the {name} inside {outer} is partitioned; only resources of a pool are",
			Do:  "move it to the ResourcePool and refer to it",
			Why: "An element inside a resource has no partitions of its own (the standard's sample of an invalid inline " +
				"partitioned medium).",
		},
		kinds: onlyJDF, run: partitionInline,
		Bad: `<JDF ID="n" Type="Stripping" JobID="4711">
  <ResourcePool>
    <Layout ID="l" Class="Parameter"><Media PartIDKeys="SheetName"><Media SheetName="S1"/></Media></Layout>
  </ResourcePool>
</JDF>`,
		Good: `<JDF ID="n" Type="Stripping" JobID="4711">
  <ResourcePool>
    <Layout ID="l" Class="Parameter"><MediaRef rRef="m"/></Layout>
    <Media ID="m" Class="Consumable" PartIDKeys="SheetName"><Media SheetName="S1"/></Media>
  </ResourcePool>
</JDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "ref/partition-key-order", Severity: validate.Note, Mends: validate.Sender,
			Say: "PartIDKeys lists {inner} before {outer}, in which it lies",
			Do:  "list the keys from the whole to the part, as in SheetName Side Separation",
			Why: "A side belongs to a sheet and a separation to a side (from memory: JDF 1.x, order of partition keys); " +
				"another order is allowed but surprises readers.",
		},
		kinds: onlyJDF, run: partitionKeyOrder,
		Bad: `<JDF ID="n" Type="Folding" JobID="4711">
  <ResourcePool><ExposedMedia ID="x" Class="Handling" PartIDKeys="Separation SheetName"/></ResourcePool>
</JDF>`,
		Good: `<JDF ID="n" Type="Folding" JobID="4711">
  <ResourcePool><ExposedMedia ID="x" Class="Handling" PartIDKeys="SheetName Separation"/></ResourcePool>
</JDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "ref/identical-unknown", Severity: validate.Error, Mends: validate.Sender,
			Say: "Identical refers to {part}, and {why}",
			Do:  "name a partition of the same level that has content of its own",
			Why: "Identical takes the content of another partition of the same resource and level (the standard's " +
				"sample of an invalid Identical element).",
		},
		kinds: onlyJDF, run: identicalUnknown,
		Bad: `<JDF ID="n" Type="Folding" JobID="4711">
  <ResourcePool>
    <Component ID="c" Class="Quantity" PartIDKeys="SheetName">
      <Component SheetName="S1"/>
      <Component SheetName="S2"><Identical><Part SheetName="S9"/></Identical></Component>
    </Component>
  </ResourcePool>
</JDF>`,
		Good: `<JDF ID="n" Type="Folding" JobID="4711">
  <ResourcePool>
    <Component ID="c" Class="Quantity" PartIDKeys="SheetName">
      <Component SheetName="S1"/>
      <Component SheetName="S2"><Identical><Part SheetName="S1"/></Identical></Component>
    </Component>
  </ResourcePool>
</JDF>`,
	},
}

func partitionKeysMissing(p *pass) {
	for r := range p.pooled {
		if r.Has("PartIDKeys") {
			continue
		}
		// Some elements hold others of their own name that are no partitions.
		p.index.eachPartition(r, func(c partition) {
			if c.depth == 1 && carried(c.Node, nil) != nil {
				p.at(c.NamePlace(), fact("name", r.Local()))
			}
		})
	}
}

func partitionKeyWrong(p *pass) {
	for r := range p.pooled {
		if !p.index.survey(r).wrong {
			continue
		}
		said := map[[2]string]bool{} // the same mistake is made all along a level
		p.index.eachPartition(r, func(c partition) {
			if c.depth > len(c.keys) {
				return
			}
			want, by, place := c.keys[c.depth-1], "no key", c.NamePlace()
			if got := carried(c.Node, c.keys); len(got) > 0 {
				by, place = attrList(got), got[0].NamePlace()
			}
			if by != want && !said[[2]string{by, want}] {
				said[[2]string{by, want}] = true
				p.at(place, fact("got", by), fact("want", want))
			}
		})
	}
}

func attrList(attrs []jdf.Attr) string {
	names := make([]string, len(attrs))
	for i, a := range attrs {
		names[i] = a.Local()
	}
	return strings.Join(names, " and ")
}

func partitionTooDeep(p *pass) {
	for r := range p.pooled {
		if !p.index.survey(r).deep {
			continue
		}
		said := false // of the resource; what is wrong is its PartIDKeys, or all of the level
		p.index.eachPartition(r, func(c partition) {
			if c.depth != len(c.keys)+1 || said {
				return
			}
			said = true
			split, repair := "", ""
			if by := carried(c.Node, nil); len(by) == 1 && !slices.Contains(c.keys, by[0].Local()) {
				split = ", split by " + by[0].Local() + ","
				repair = ", as in " + strconv.Quote(strings.Join(c.keys, " ")+" "+by[0].Local())
			}
			p.atWith(c.NamePlace(), r.Attr("PartIDKeys").Place(), "the keys are here", fact("split", split),
				fact("depth", c.depth), fact("keys", plural(len(c.keys), "key")), fact("repair", repair))
		})
	}
}

func partitionTwice(p *pass) {
	// The partitions of one parent come one after the other, with deeper ones
	// between, so that one parent a level is remembered.
	type level struct {
		parent jdf.Node
		first  map[string]jdf.Attr // by value of the key of the level
	}
	for r := range p.pooled {
		if !p.index.survey(r).twice {
			continue
		}
		levels := make([]level, len(p.index.partKeysOf(r)))
		p.index.eachPartition(r, func(c partition) {
			if c.depth > len(c.keys) {
				return
			}
			a := c.Attr(c.keys[c.depth-1])
			if !a.Valid() {
				return
			}
			l := &levels[c.depth-1]
			if parent := c.Parent(); l.parent != parent {
				l.parent = parent
				if l.first == nil {
					l.first = map[string]jdf.Attr{}
				}
				clear(l.first)
			}
			if before, taken := l.first[a.Value()]; taken {
				p.atWith(a.Place(), before.Place(), "the first is here", fact("key", a.Local()), fact("value", a.Value()))
				return
			}
			l.first[a.Value()] = a
		})
	}
}

func partitionKeyOnRoot(p *pass) {
	for r := range p.pooled {
		for _, a := range carried(r, p.index.partKeysOf(r)) {
			p.at(a.NamePlace(), fact("key", a.Local()))
		}
	}
}

func partitionInline(p *pass) {
	for a := range p.having("PartIDKeys") {
		n := a.Owner()
		if !n.Parent().Is("ResourcePool") && n.Parent().Local() != n.Local() && up(n, "ResourcePool").Valid() {
			p.at(a.NamePlace(), fact("name", n.Local()), fact("outer", n.Parent().Local()))
		}
	}
}

// within lists keys with those that lie inside them.
var within = [][2]string{
	{"SheetName", "Side"}, {"SheetName", "Separation"}, {"SheetName", "BlockName"}, {"Side", "Separation"},
	{"SignatureName", "SheetName"}, {"WebName", "RibbonName"}, {"Run", "RunIndex"},
}

func partitionKeyOrder(p *pass) {
	for a := range p.having("PartIDKeys") {
		keys := strings.Fields(a.Value())
		for _, pair := range within {
			outer, inner := slices.Index(keys, pair[0]), slices.Index(keys, pair[1])
			if outer >= 0 && inner >= 0 && inner < outer {
				p.at(a.Place(), fact("outer", pair[0]), fact("inner", pair[1]))
				break
			}
		}
	}
}

func identicalUnknown(p *pass) {
	tables := map[jdf.Node]map[string]partition{}
	for i := range p.named("Identical") {
		leaf, part := i.Parent(), i.Child("Part")
		root := leaf
		for root.Parent().Name() == leaf.Name() {
			root = root.Parent()
		}
		if !part.Valid() || !root.Parent().Is("ResourcePool") {
			continue
		}
		table := tables[root]
		if table == nil {
			table = p.index.partitionTable(root)
			tables[root] = table
		}
		target := table[partKey(part)]
		why := ""
		switch {
		case !target.Valid():
			why = "the resource has no such partition"
		case target.depth != leaf.Depth()-root.Depth():
			why = "that is a partition of another level"
		case target.Node == leaf:
			why = "that is this partition itself"
		case target.Child("Identical").Valid():
			why = "that is identical to another one again"
		}
		if why != "" {
			p.at(part.NamePlace(), fact("part", partWords(partKey(part))), fact("why", why))
		}
	}
}
