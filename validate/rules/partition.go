package rules

import (
	"slices"

	"quoin/jdf"
)

// partition is one level of a partitioned resource.
type partition struct {
	jdf.Node
	root  jdf.Node
	keys  []string // PartIDKeys of the root
	depth int      // from 1
}

// allPartitions are the partition keys of the 1.x generation.
// Source: JDF schema, ePartitionKeys_.
var allPartitions = set("BinderySignatureName", "BinderySignaturePaginationIndex", "BlockName", "BundleItemIndex",
	"CellIndex", "Condition", "DeliveryUnit0", "DeliveryUnit1", "DeliveryUnit2", "DeliveryUnit3", "DeliveryUnit4",
	"DeliveryUnit5", "DeliveryUnit6", "DeliveryUnit7", "DeliveryUnit8", "DeliveryUnit9", "DocCopies", "DocIndex",
	"DocRunIndex", "DocSheetIndex", "DocTags", "Edition", "EditionVersion", "FountainNumber", "ItemNames", "LayerIDs",
	"Location", "Metadata0", "Metadata1", "Metadata2", "Metadata3", "Metadata4", "Metadata5", "Metadata6", "Metadata7",
	"Metadata8", "Metadata9", "Option", "PageNumber", "PageTags", "PlateLayout", "PartVersion", "PreflightRule",
	"ProductPart", "PreviewType", "RibbonName", "Run", "RunIndex", "RunPage", "RunTags", "RunSet", "SectionIndex",
	"Separation", "SetCopies", "SetDocIndex", "SetIndex", "SetRunIndex", "SetSheetIndex", "SetTags", "SheetIndex",
	"SheetName", "Side", "SignatureName", "StationName", "SubRun", "TileID", "WebName", "WebProduct", "WebSetup")

// pooled walks the resources of all pools of a JDF ticket.
func (p *pass) pooled(yield func(jdf.Node) bool) {
	for pool := range p.named("ResourcePool") {
		for r := range pool.Children() {
			if ours(r) && !yield(r) {
				return
			}
		}
	}
}

// partKeysOf lists the PartIDKeys of a resource; it is never nil.
func (x *index) partKeysOf(resource jdf.Node) []string {
	a := resource.Attr("PartIDKeys")
	if !a.Valid() {
		return []string{}
	}
	keys, known := x.keys[resource]
	if !known {
		keys = itemsOf(a.Value())
		x.keys[resource] = keys
	}
	return keys
}

// eachPartition walks the levels inside a resource, outer ones first. An
// element of the resource's own name that has an ID is a resource of its own.
func (x *index) eachPartition(root jdf.Node, visit func(partition)) {
	keys := x.partKeysOf(root)
	var walk func(n jdf.Node, depth int)
	walk = func(n jdf.Node, depth int) {
		for c := range n.ChildrenNamed(root.Local()) {
			if !c.Has("ID") {
				visit(partition{Node: c, root: root, keys: keys, depth: depth})
				walk(c, depth+1)
			}
		}
	}
	walk(root, 1)
}

// carried lists the partition keys that stand on an element, among those of
// the resource, or among all where the resource lists none.
func carried(n jdf.Node, keys []string) []jdf.Attr {
	var found []jdf.Attr
	for a := range n.Attrs() {
		if a.Name().Space == "" && allPartitions[a.Local()] && (keys == nil || slices.Contains(keys, a.Local())) {
			found = append(found, a)
		}
	}
	return found
}

// partitionTable finds the partitions of a resource by their keys, written as
// partKey does.
func (x *index) partitionTable(root jdf.Node) map[string]partition {
	table := map[string]partition{}
	x.eachPartition(root, func(c partition) {
		var pairs []string
		for _, key := range c.keys[:min(c.depth, len(c.keys))] {
			if a := inherited(c.Node, key); a.Valid() {
				pairs = append(pairs, key+"="+a.Value())
			}
		}
		table[joinParts(pairs)] = c
	})
	return table
}
