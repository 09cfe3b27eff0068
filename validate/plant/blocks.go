package plant

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"sort"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/jdf/value"
	"quoin/validate"
)

// frame is what the boxes of blocks are counted in: a sheet, or a block that
// was cut from it and is cut again. Either is "" when the ticket does not say.
type frame struct{ sheet, block string }

func (f frame) compare(g frame) int {
	return cmp.Or(cmp.Compare(f.sheet, g.sheet), cmp.Compare(f.block, g.block))
}

// byFrame parts blocks by what they are cut from. A ticket may list the blocks
// of all sheets under one operation.
func byFrame(blocks []job.CutBlock) map[frame][]job.CutBlock {
	groups := map[frame][]job.CutBlock{}
	for _, b := range blocks {
		if b.Box.Given {
			f := frameOf(b.Node)
			groups[f] = append(groups[f], b)
		}
	}
	return groups
}

// frameOf finds the partition that a block belongs to: names on the partitions
// of JDF around it, or in the Part of its XJDF resource. The BlockName of the
// block itself is its own.
func frameOf(block jdf.Node) frame {
	var f frame
	take := func(n jdf.Node, key string, into *string) {
		if *into == "" {
			*into = n.Get(key)
		}
	}
	take(block, "SheetName", &f.sheet)
	for n := block.Parent(); n.Valid(); n = n.Parent() {
		from := n
		if n.Is("Resource") {
			from = n.Child("Part")
		}
		take(from, "SheetName", &f.sheet)
		take(from, "BlockName", &f.block)
	}
	return f
}

// checkBlocks finds blocks that reach beyond what they are cut from, and blocks
// that overlap. No machine is needed for either.
func (c *checker) checkBlocks(op *job.Operation) {
	groups := byFrame(op.Cutting.Blocks)
	sheets := map[string]job.Fact[Size]{}
	for _, in := range inputs(op) {
		sheets[in.sheetName] = in.size
	}
	for _, f := range slices.SortedFunc(maps.Keys(groups), frame.compare) {
		c.outside(groups[f], c.frameSize(f, sheets))
		c.overlaps(groups[f])
	}
}

// frameSize is the size of the sheet or block that blocks are cut from.
func (c *checker) frameSize(f frame, sheets map[string]job.Fact[Size]) job.Fact[Size] {
	if f.block != "" {
		return c.blocks[f.block]
	}
	if size, ok := sheets[f.sheet]; ok || len(sheets) != 1 {
		return size
	}
	for _, only := range sheets {
		return only
	}
	return job.Fact[Size]{}
}

// blockSizes are the sizes of blocks by name, of those whose name is given once.
func blockSizes(blocks []job.CutBlock) map[string]job.Fact[Size] {
	sizes := map[string]job.Fact[Size]{}
	for _, b := range blocks {
		size := boxSize(b.Box)
		if _, twice := sizes[b.Name.Value]; twice {
			size = job.Fact[Size]{}
		}
		sizes[b.Name.Value] = size
	}
	return sizes
}

func blockLabel(b job.CutBlock) string {
	if !b.Name.Given {
		return "block"
	}
	return fmt.Sprintf("block %q", clip(b.Name.Value))
}

func (c *checker) outside(blocks []job.CutBlock, sheet job.Fact[Size]) {
	if !sheet.Given {
		return
	}
	for _, b := range blocks {
		box := micrometres(b.Box.Value)
		over := Size{
			max(-box.llx, 0) + max(box.urx-sheet.Value.Width, 0),
			max(-box.lly, 0) + max(box.ury-sheet.Value.Height, 0),
		}
		if over.Width <= Slack && over.Height <= Slack {
			continue
		}
		c.emit(blockOutside.At(b.Box.Place, validate.F("what", blockLabel(b)), validate.F("gap", over.inWords()),
			validate.F("limit", sheet.Value.shown())).With(sheet.Place, "what it is cut from"))
	}
}

// rect is a box in micrometres.
type rect struct{ llx, lly, urx, ury Length }

func micrometres(r value.Rectangle) rect {
	um := func(v float64) Length { return FromTicket(value.Length(v)) }
	return rect{um(r.LLX), um(r.LLY), um(r.URX), um(r.URY)}
}

// overlaps sweeps over the sheet from left to right and keeps the blocks under
// the sweep line by their height; those never overlap, since one that overlaps
// another is reported and left out. So the work grows as n log n.
func (c *checker) overlaps(blocks []job.CutBlock) {
	type event struct {
		x     Length
		enter bool
		block int
	}
	boxes := make([]rect, len(blocks))
	var events []event
	for i, b := range blocks {
		r := micrometres(b.Box.Value)
		r.urx, r.ury = r.urx-Slack, r.ury-Slack // blocks that share an edge do not overlap
		boxes[i] = r
		if r.llx < r.urx && r.lly < r.ury {
			events = append(events, event{r.llx, true, i}, event{r.urx, false, i})
		}
	}
	slices.SortStableFunc(events, func(a, b event) int { return cmp.Compare(a.x, b.x) })
	var line []int // blocks under the line, from the lowest up
	for _, e := range events {
		r := boxes[e.block]
		at := sort.Search(len(line), func(k int) bool { return boxes[line[k]].lly >= r.lly })
		if !e.enter {
			if at < len(line) && line[at] == e.block {
				line = slices.Delete(line, at, at+1)
			}
			continue
		}
		other := -1
		if at > 0 && boxes[line[at-1]].ury > r.lly {
			other = line[at-1]
		} else if at < len(line) && boxes[line[at]].lly < r.ury {
			other = line[at]
		}
		if other < 0 {
			line = slices.Insert(line, at, e.block)
			continue
		}
		c.reportOverlap(blocks[e.block], blocks[other], r, boxes[other])
	}
}

// reportOverlap reports two blocks at the one that stands later in the ticket.
func (c *checker) reportOverlap(a, b job.CutBlock, ra, rb rect) {
	if a.Box.Place.Compare(b.Box.Place) < 0 {
		a, b = b, a
	}
	common := Size{
		min(ra.urx, rb.urx) - max(ra.llx, rb.llx) + Slack,
		min(ra.ury, rb.ury) - max(ra.lly, rb.lly) + Slack,
	}
	c.emit(blocksOverlap.At(a.Box.Place, validate.F("what", blockLabel(a)), validate.F("other", blockLabel(b)),
		validate.F("gap", common.shown())).With(b.Box.Place, "the other block"))
}
