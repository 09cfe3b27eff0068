package rules

import (
	"math"

	"quoin/jdf"
	"quoin/jdf/value"
	"quoin/validate"
)

var cuttingChecks = []check{
	{
		Rule: &validate.Rule{
			ID: "process/block-outside", Severity: validate.Error, Mends: validate.Sender,
			Say: "the block {block|q} reaches {got}, and the sheet is {want}",
			Do:  "correct the box; it is in points from the lower left corner of what is cut",
			Why: "A block is a piece of the sheet (from memory: CutBlock; the sample of nested blocks shows that a block " +
				"of a block counts from the corner of that one). Plausibility.",
		},
		kinds: tickets, run: blockOutside,
		Bad: `<XJDF JobID="4711" Types="Cutting">
  <ResourceSet Name="Component" Usage="Input"><Resource><Component Dimensions="1200 600 0"/></Resource></ResourceSet>
  <ResourceSet Name="CuttingParams" Usage="Input"><Resource>
    <CuttingParams><CutBlock BlockName="A" Box="0 0 1300 600"/></CuttingParams></Resource></ResourceSet>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="Cutting">
  <ResourceSet Name="Component" Usage="Input"><Resource><Component Dimensions="1200 600 0"/></Resource></ResourceSet>
  <ResourceSet Name="CuttingParams" Usage="Input"><Resource>
    <CuttingParams><CutBlock BlockName="A" Box="0 0 1200 600"/></CuttingParams></Resource></ResourceSet>
</XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/blocks-overlap", Severity: validate.Error, Mends: validate.Sender,
			Say: "the box of block {block|q} lies over that of {other|q}",
			Do:  "move one of them; paper can be cut out once",
			Why: "The blocks of one cutting step are pieces side by side. Plausibility; no sample breaks it.",
		},
		kinds: tickets, run: blocksOverlap,
		Bad: `<XJDF JobID="4711" Types="Cutting"><ResourceSet Name="CuttingParams" Usage="Input"><Resource><CuttingParams>
  <CutBlock BlockName="A" Box="0 0 100 100"/><CutBlock BlockName="B" Box="50 0 150 100"/>
</CuttingParams></Resource></ResourceSet></XJDF>`,
		Good: `<XJDF JobID="4711" Types="Cutting"><ResourceSet Name="CuttingParams" Usage="Input"><Resource><CuttingParams>
  <CutBlock BlockName="A" Box="0 0 100 100"/><CutBlock BlockName="B" Box="100 0 150 100"/>
</CuttingParams></Resource></ResourceSet></XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/block-name-twice", Severity: validate.Error, Mends: validate.Sender,
			Say: "the BlockName {block|q} is given to two blocks of one cut",
			Do:  "give each block a name of its own; the pieces are told apart by it",
			Why: "What comes of a cut is found by BlockName (from memory: CutBlock).",
		},
		kinds: tickets, run: blockNameTwice,
		Bad: `<XJDF JobID="4711" Types="Cutting"><ResourceSet Name="CuttingParams" Usage="Input"><Resource><CuttingParams>
  <CutBlock BlockName="A" Box="0 0 100 100"/><CutBlock BlockName="A" Box="100 0 200 100"/>
</CuttingParams></Resource></ResourceSet></XJDF>`,
		Good: `<XJDF JobID="4711" Types="Cutting"><ResourceSet Name="CuttingParams" Usage="Input"><Resource><CuttingParams>
  <CutBlock BlockName="A" Box="0 0 100 100"/><CutBlock BlockName="B" Box="100 0 200 100"/>
</CuttingParams></Resource></ResourceSet></XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/block-unused", Severity: validate.Note, Mends: validate.Sender,
			Say: "nothing comes of block {block|q}: no output component has the name",
			Do:  "add the component, or take the block out",
			Why: "Each block becomes a component with its name (from memory: CutBlock). Asked where some components are " +
				"told apart by BlockName.",
		},
		kinds: tickets, fragment: leftOut, run: blockUnused,
		Bad: `<XJDF JobID="4711" Types="Cutting">
  <ResourceSet Name="CuttingParams" Usage="Input"><Resource><CuttingParams>
    <CutBlock BlockName="A" Box="0 0 100 100"/><CutBlock BlockName="B" Box="100 0 200 100"/>
  </CuttingParams></Resource></ResourceSet>
  <ResourceSet Name="Component" Usage="Output"><Resource><Part BlockName="A"/><Component/></Resource></ResourceSet>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="Cutting">
  <ResourceSet Name="CuttingParams" Usage="Input"><Resource><CuttingParams>
    <CutBlock BlockName="A" Box="0 0 100 100"/>
  </CuttingParams></Resource></ResourceSet>
  <ResourceSet Name="Component" Usage="Output"><Resource><Part BlockName="A"/><Component/></Resource></ResourceSet>
</XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/block-scaled", Severity: validate.Warning, Mends: validate.Sender,
			Say: "BlockTrf is {got|q}, which scales or shears the block",
			Do:  "move and turn the block only; its size is BlockSize",
			Why: "A cut does not change the size of what it cuts: the determinant of BlockTrf is 1 or -1, and the axes stay " +
				"upright (from memory: CutBlock). Plausibility.",
		},
		kinds: onlyJDF, run: blockScaled,
		Bad: `<JDF ID="n" Type="Cutting" JobID="4711"><ResourcePool>
  <CutBlock ID="b" Class="Parameter" BlockName="A" BlockType="CutBlock" BlockSize="100 100" BlockTrf="2 0 0 2 0 0"/>
</ResourcePool></JDF>`,
		Good: `<JDF ID="n" Type="Cutting" JobID="4711"><ResourcePool>
  <CutBlock ID="b" Class="Parameter" BlockName="A" BlockType="CutBlock" BlockSize="100 100" BlockTrf="0 1 -1 0 99 0"/>
</ResourcePool></JDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/line-outside", Severity: validate.Warning, Mends: validate.Sender,
			Say: "the {name} starts at {got|q}, outside the sheet of {want}",
			Do:  "correct StartPosition; it is in points from the lower left corner",
			Why: "A cut, crease or perforation runs over the sheet (from memory: Cut, Crease, Perforate). Plausibility.",
		},
		kinds: tickets, run: lineOutside,
		Bad: `<XJDF JobID="4711" Types="Cutting">
  <ResourceSet Name="Component" Usage="Input"><Resource><Component Dimensions="1200 600 0"/></Resource></ResourceSet>
  <ResourceSet Name="CuttingParams" Usage="Input"><Resource>
    <CuttingParams><Cut StartPosition="1300 0" WorkingPath="0 600"/></CuttingParams></Resource></ResourceSet>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="Cutting">
  <ResourceSet Name="Component" Usage="Input"><Resource><Component Dimensions="1200 600 0"/></Resource></ResourceSet>
  <ResourceSet Name="CuttingParams" Usage="Input"><Resource>
    <CuttingParams><Cut StartPosition="600 0" WorkingPath="0 600"/></CuttingParams></Resource></ResourceSet>
</XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/line-empty", Severity: validate.Warning, Mends: validate.Sender,
			Say: "the WorkingPath of the {name} has no length",
			Do:  "give the way of the tool in points, as in \"0 600\"",
			Why: "WorkingPath is how far the tool goes from StartPosition (from memory: Cut, Crease, Perforate).",
		},
		kinds: tickets, run: lineEmpty,
		Bad: `<XJDF JobID="4711" Types="Cutting"><ResourceSet Name="CuttingParams" Usage="Input"><Resource>
  <CuttingParams><Cut StartPosition="600 0" WorkingPath="0 0"/></CuttingParams>
</Resource></ResourceSet></XJDF>`,
		Good: `<XJDF JobID="4711" Types="Cutting"><ResourceSet Name="CuttingParams" Usage="Input"><Resource>
  <CuttingParams><Cut StartPosition="600 0" WorkingPath="0 600"/></CuttingParams>
</Resource></ResourceSet></XJDF>`,
	},
}

// block is a rectangle of a sheet in points, with where it is given.
type block struct {
	name jdf.Attr
	placed
}

// cut is the blocks that one CuttingParams cuts a sheet into.
type cut struct {
	params jdf.Node
	whole  bool // what is cut is the sheet, not a block of an earlier cut
	step   *node
	blocks []block
}

// cuts gathers the blocks by the parameters that they stand in.
func (p *pass) cuts() []cut {
	var all []cut
	for _, u := range p.index.uses {
		if u.name != "CuttingParams" {
			continue
		}
		for c := range p.carriers(u) {
			one := cut{params: c.Node, step: u.node, whole: c.part("BlockName") == "" && (len(u.steps) == 0 || u.steps[0] == 0)}
			for n := range c.Children() {
				switch {
				case n.Is("CutBlock"):
					one.blocks = append(one.blocks, blockOf(n))
				case n.Is("CutBlockRef"):
					eachLeaf(p.index.byID(n.Get("rRef")), func(leaf jdf.Node) {
						one.blocks = append(one.blocks, blockOf(leaf))
					})
				}
			}
			all = append(all, one)
		}
	}
	return all
}

// blockOf reads a block. XJDF gives the box; JDF gives a size and the
// transformation that moves it to its place. A block that can not be read has
// no width.
func blockOf(n jdf.Node) block {
	b := block{name: inherited(n, "BlockName")}
	b.at = n.Attr("Box")
	if b.at.Valid() {
		b.Rectangle, _ = value.ParseRectangle(b.at.Value())
		return b
	}
	b.at = inherited(n, "BlockSize")
	size, err := value.ParseXYPair(b.at.Value())
	move := value.Identity()
	if a := inherited(n, "BlockTrf"); a.Valid() && err == nil {
		move, err = value.ParseMatrix(a.Value())
	}
	if err != nil {
		return b
	}
	one, other := move.Apply(value.XYPair{}), move.Apply(size)
	b.Rectangle = value.Rectangle{
		LLX: min(one.X, other.X), LLY: min(one.Y, other.Y), URX: max(one.X, other.X), URY: max(one.Y, other.Y),
	}
	return b
}

// cutSlack is what boxes may differ by, in points: tickets round to whole points.
const cutSlack = 1

func blockOutside(p *pass) {
	for _, c := range p.cuts() {
		size, at, known := sheetSize(c.step, p)
		if !known || !c.whole {
			continue
		}
		for _, b := range c.blocks {
			inside := b.LLX >= -cutSlack && b.LLY >= -cutSlack && b.URX <= size.X+cutSlack && b.URY <= size.Y+cutSlack
			if b.Width() <= 0 || inside {
				continue
			}
			p.atWith(b.at.Place(), at, "the sheet is here", fact("block", b.name.Value()),
				fact("got", millimetres(b.URX, b.URY)), fact("want", millimetres(size.X, size.Y)))
		}
	}
}

func blocksOverlap(p *pass) {
	for _, c := range p.cuts() {
		names := map[jdf.Attr]string{}
		var boxes []placed
		for _, b := range c.blocks {
			if b.Width() > 0 && b.Height() > 0 {
				names[b.at] = b.name.Value()
				boxes = append(boxes, b.placed)
			}
		}
		overlap(boxes, cutSlack, func(box, earlier placed) {
			p.atWith(box.at.Place(), earlier.at.Place(), "the other is here",
				fact("block", names[box.at]), fact("other", names[earlier.at]))
		})
	}
}

func blockNameTwice(p *pass) {
	for _, c := range p.cuts() {
		first := map[string]jdf.Attr{}
		for _, b := range c.blocks {
			before, taken := first[b.name.Value()]
			if taken && before != b.name {
				p.atWith(b.name.Place(), before.Place(), "first given here", fact("block", b.name.Value()))
			}
			first[b.name.Value()] = b.name
		}
	}
}

func blockUnused(p *pass) {
	made := map[string]bool{}
	for a := range p.having("BlockName") {
		if !a.Owner().Is("CutBlock") {
			made[a.Value()] = true
		}
	}
	if len(made) == 0 {
		return
	}
	for _, c := range p.cuts() {
		for _, b := range c.blocks {
			if b.name.Valid() && !made[b.name.Value()] {
				p.at(b.name.Place(), fact("block", b.name.Value()))
			}
		}
	}
}

func blockScaled(p *pass) {
	const slack = 1e-3
	for a := range p.having("BlockTrf") {
		m, err := value.ParseMatrix(a.Value())
		if err != nil {
			continue
		}
		area := math.Abs(m.A*m.D - m.B*m.C)
		upright := math.Abs(m.A*m.B)+math.Abs(m.C*m.D) < slack
		if area > 0 && (math.Abs(area-1) > slack || !upright) {
			p.at(a.Place(), fact("got", a.Value()))
		}
	}
}

func lineOutside(p *pass) {
	for _, u := range p.index.uses {
		if u.name != "CuttingParams" && u.name != "CreasingParams" && u.name != "PerforatingParams" {
			continue
		}
		size, at, known := sheetSize(u.node, p)
		if !known {
			continue
		}
		for c := range p.carriers(u) {
			for line := range c.Children() {
				start, err := value.ParseXYPair(line.Get("StartPosition"))
				outside := start.X < -cutSlack || start.Y < -cutSlack || start.X > size.X+cutSlack || start.Y > size.Y+cutSlack
				if err == nil && line.Is("Cut", "Crease", "Perforate") && outside && c.part("BlockName") == "" {
					a := line.Attr("StartPosition")
					p.atWith(a.Place(), at, "the sheet is here", fact("name", line.Local()), fact("got", a.Value()),
						fact("want", millimetres(size.X, size.Y)))
				}
			}
		}
	}
}

func lineEmpty(p *pass) {
	for a := range p.having("WorkingPath") {
		path, err := value.ParseXYPair(a.Value())
		if err == nil && path == (value.XYPair{}) {
			p.at(a.Place(), fact("name", a.Owner().Local()))
		}
	}
}
