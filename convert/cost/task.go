package cost

import (
	"cmp"
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/jdf/value"
	"quoin/validate/plant"
)

// tasks are what the nodes of a ticket that name a device, and say how long it
// is to work, expect of it. All processes of one node are one task.
func (r *reader) tasks(j *job.Job) []Task {
	var nodes []jdf.Node
	byNode := map[jdf.Node][]*job.Operation{}
	for _, op := range j.Operations {
		if byNode[op.Node] == nil {
			nodes = append(nodes, op.Node)
		}
		byNode[op.Node] = append(byNode[op.Node], op)
	}
	var all []Task
	for _, n := range nodes {
		if t, planned := task(j, byNode[n]); planned {
			all = append(all, t)
		}
	}
	return all
}

func task(j *job.Job, ops []*job.Operation) (Task, bool) {
	first := ops[0]
	t := Task{Job: j.ID.Value, Part: first.PartID.Value, Source: sourceAt(first.Node.Place())}
	var types []string
	for _, op := range ops {
		types = append(types, op.Type)
		for _, d := range op.Devices {
			t.Device = cmp.Or(t.Device, d.ID.Value)
			t.CostCentre = cmp.Or(t.CostCentre, d.CostCenter.Value)
		}
	}
	t.Process = strings.Join(types, " ")
	s := first.Schedule
	t.Makeready, t.WashUp = fixed(s.Setup), fixed(s.Cleanup)
	t.Run = max(0, fixed(s.Total)-t.Makeready-t.WashUp)
	t.In = inputOf(first)
	for _, u := range ops[len(ops)-1].Outputs {
		t.Good = t.Good.Add(positive(u.Amounts.Good))
		t.Waste = t.Waste.Add(positive(u.Amounts.Waste))
	}
	t.Class = classOf(j, ops)
	return t, t.Device != "" && fixed(s.Total) > 0
}

// fixed is the length of a duration, zero where it is not given or has none,
// such as one of months.
func fixed(f job.Fact[value.Duration]) Span {
	d, ok := f.Value.Fixed()
	if !f.Given || !ok || d < 0 {
		return 0
	}
	return Span(d)
}

func positive(f job.Fact[decimal.Decimal]) decimal.Decimal {
	if f.Value.IsNegative() {
		return decimal.Zero
	}
	return f.Value
}

// inputOf is what goes in: the components, or the paper where there are none. Of
// several that come together, such as the sections of a copy, the most.
func inputOf(op *job.Operation) decimal.Decimal {
	var components, paper decimal.Decimal
	for _, u := range op.Inputs {
		switch {
		case u.Component != nil:
			components = decimal.Max(components, positive(u.Amounts.Good))
		case u.Media != nil && u.Media.Type.Or("Paper") == "Paper":
			paper = decimal.Max(paper, positive(u.Amounts.Good))
		}
	}
	return either(components, paper)
}

// classOf reads off a ticket what kind of work it asks for.
func classOf(j *job.Job, ops []*job.Operation) Class {
	var c Class
	for _, op := range ops {
		for _, u := range op.Inputs {
			media := u.Media
			if media == nil && u.Component != nil {
				media = u.Component.Media
			}
			if media != nil && media.Type.Or("Paper") == "Paper" && c.Grammage.IsZero() {
				c.paper(media)
			}
		}
		c.ColoursFront = max(c.ColoursFront, len(op.Front.Value))
		c.ColoursBack = max(c.ColoursBack, backColours(op))
		if op.Varnish != nil {
			c.Coating = cmp.Or(c.Coating, op.Varnish.Method.Value, "varnish")
		}
	}
	for i, p := range j.RootProducts() {
		if i == 0 {
			c.Pages = p.Pages.Value
		}
		c.Quantity = c.Quantity.Add(positive(p.Amount.Good))
	}
	return c
}

// backColours counts the colours of the back. Where the sheet is turned or
// tumbled, the plates of the front print it too.
func backColours(op *job.Operation) int {
	if op.Printing != nil && !op.Back.Given {
		switch op.Printing.WorkStyle.Value {
		case "WorkAndTurn", "WorkAndTumble":
			return len(op.Front.Value)
		}
	}
	return len(op.Back.Value)
}

func (c *Class) paper(m *job.Media) {
	c.Grammage = decimal.NewFromFloat(m.Weight.Value)
	c.Stock = strings.ToLower(cmp.Or(m.FrontCoating.Value, m.Quality.Value))
	if m.Size.Given {
		c.Width, c.Height = plant.FromTicket(value.Length(m.Size.Value.X)), plant.FromTicket(value.Length(m.Size.Value.Y))
	}
}

// MergeTasks makes one task of each job, part and device, sorted by them. Where
// a plan and a ticket, or two tickets, tell of one, the one that was changed
// last is right, and one that knows what the time costs before one that does
// not; what it leaves out is that of the one before. Order and repetition of
// the input make no difference.
func MergeTasks(all []Task) []Task {
	sorted := slices.Clone(all)
	slices.SortFunc(sorted, func(a, b Task) int {
		return cmp.Or(a.same(b), compareBool(b.Cost.IsPositive(), a.Cost.IsPositive()), b.Stamp.Compare(a.Stamp),
			cmp.Compare(a.Key(), b.Key()), a.Source.compare(b.Source))
	})
	var merged []Task
	for _, t := range sorted {
		if n := len(merged); n > 0 && merged[n-1].same(t) == 0 {
			merged[n-1] = merged[n-1].with(t)
			continue
		}
		merged = append(merged, t)
	}
	return merged
}

func (t Task) same(u Task) int {
	return cmp.Or(cmp.Compare(t.Job, u.Job), cmp.Compare(t.Part, u.Part), cmp.Compare(t.Device, u.Device))
}

// compareBool puts false before true.
func compareBool(a, b bool) int {
	switch {
	case a == b:
		return 0
	case b:
		return -1
	}
	return 1
}

// with takes from another task what this one leaves out.
func (t Task) with(old Task) Task {
	t.CostCentre, t.Process = cmp.Or(t.CostCentre, old.CostCentre), cmp.Or(t.Process, old.Process)
	t.Makeready, t.Run, t.WashUp = cmp.Or(t.Makeready, old.Makeready), cmp.Or(t.Run, old.Run), cmp.Or(t.WashUp, old.WashUp)
	t.In, t.Good, t.Waste = either(t.In, old.In), either(t.Good, old.Good), either(t.Waste, old.Waste)
	if !t.Split && t.Waste.Equal(old.Waste) {
		t.Setup, t.Split = old.Setup, old.Split
	}
	t.Class = t.Class.with(old.Class)
	return t
}

func (c Class) with(old Class) Class {
	c.Grammage, c.Quantity = either(c.Grammage, old.Grammage), either(c.Quantity, old.Quantity)
	c.Stock, c.Coating = cmp.Or(c.Stock, old.Stock), cmp.Or(c.Coating, old.Coating)
	c.ColoursFront, c.ColoursBack = cmp.Or(c.ColoursFront, old.ColoursFront), cmp.Or(c.ColoursBack, old.ColoursBack)
	c.Width, c.Height, c.Pages = cmp.Or(c.Width, old.Width), cmp.Or(c.Height, old.Height), cmp.Or(c.Pages, old.Pages)
	return c
}
