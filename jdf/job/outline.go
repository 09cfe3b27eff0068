package job

import (
	"fmt"
	"io"
	"slices"
	"strings"
)

// Outline writes what the job says, a line a fact and without places, in a
// fixed order. Two tickets that say the same, in whichever generation, have
// the same outline. Ids of resources are left out: each writer makes its own.
func (j *Job) Outline(w io.Writer) error {
	o := &outliner{}
	o.line(0, "job", given("id", j.ID), given("part", j.PartID), given("project", j.Project), given("name", j.Name))
	c := j.Customer
	o.line(0, "customer", given("id", c.ID), given("name", c.Name), given("job", c.JobName), given("order", c.Order))
	o.schedule(0, j.Schedule)
	for _, p := range j.Products {
		if p.Root || len(j.RootProducts()) == len(j.Products) {
			o.product(0, p, map[*Product]bool{})
		}
	}
	for _, op := range j.Operations {
		o.operation(op)
	}
	for _, s := range j.Signatures {
		o.line(0, "signature", part(s.Part), given("type", s.Type), given("fold", s.Catalog), given("up", s.NumberUp))
	}
	for _, l := range j.Layouts {
		o.line(0, "layout", part(l.Part), given("work style", l.WorkStyle), given("surface", l.Surface),
			count("positions", len(l.Positions)))
	}
	for _, a := range j.Audits {
		o.audit(a)
	}
	_, err := io.WriteString(w, o.out.String())
	if err != nil {
		return fmt.Errorf("write outline: %w", err)
	}
	return nil
}

type outliner struct{ out strings.Builder }

// line writes a heading with those of its facts that are given; without any it
// writes nothing.
func (o *outliner) line(depth int, heading string, facts ...string) {
	facts = slices.DeleteFunc(facts, func(f string) bool { return f == "" })
	if len(facts) == 0 {
		return
	}
	fmt.Fprintf(&o.out, "%s%s: %s\n", strings.Repeat("  ", depth), heading, strings.Join(facts, ", "))
}

func given[T any](name string, f Fact[T]) string {
	if !f.Given {
		return ""
	}
	switch v := any(f.Value).(type) {
	case string:
		return fmt.Sprintf("%s %q", name, v)
	case []string:
		return fmt.Sprintf("%s [%s]", name, strings.Join(v, " "))
	}
	return fmt.Sprintf("%s %v", name, f.Value)
}

func part(p Part) string {
	if p.Empty() {
		return ""
	}
	return "(" + p.String() + ")"
}

func count(name string, n int) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprintf("%s %d", name, n)
}

func amounts(a Amounts) []string {
	return []string{given("amount", a.Good), given("waste", a.Waste), given("least", a.Min), given("most", a.Max)}
}

func (o *outliner) schedule(depth int, s Schedule) {
	o.line(depth, "schedule", given("start", s.Start), given("end", s.End), given("not before", s.FirstStart),
		given("not after", s.LastEnd), given("setup", s.Setup), given("total", s.Total),
		given("priority", s.Priority), given("status", s.Status))
}

func (o *outliner) product(depth int, p *Product, seen map[*Product]bool) {
	if seen[p] {
		return
	}
	seen[p] = true
	facts := append([]string{given("name", p.Name), given("type", p.Type)}, amounts(p.Amount)...)
	facts = append(facts, given("size", p.Size), given("flat", p.Flat), given("pages", p.Pages),
		given("sides", p.Sides), given("bleed", p.Bleed), given("fold", p.Fold), given("due", p.Due))
	o.line(depth, "product", facts...)
	o.stock(depth+1, "media", p.Media.Stock)
	for _, s := range []struct {
		name string
		Surface
	}{{"front", p.Front}, {"back", p.Back}} {
		o.line(depth+1, s.name, given("colors", s.Colors), given("coatings", s.Coatings), given("coverage", s.Coverage))
	}
	b := p.Binding
	o.line(depth+1, "binding", given("type", b.Type), given("side", b.Side), given("order", b.Order), given("stitches", b.Stitches))
	o.line(depth+1, "lamination", given("surface", p.Lamination.Surface), given("texture", p.Lamination.Texture))
	for _, child := range p.Parts {
		o.product(depth+1, child, seen)
	}
}

func (o *outliner) stock(depth int, name string, s Stock, more ...string) {
	o.line(depth, name, append([]string{given("type", s.Type), given("weight", s.Weight), given("thickness", s.Thickness),
		given("coating", s.FrontCoating), given("back coating", s.BackCoating), given("grain", s.Grain),
		given("quality", s.Quality), given("brand", s.Brand)}, more...)...)
}

func (o *outliner) operation(op *Operation) {
	o.line(0, "operation", op.Type, given("part", op.PartID), given("name", op.Name),
		given("front", op.Front), given("back", op.Back))
	o.schedule(1, op.Schedule)
	for _, d := range op.Devices {
		o.line(1, "device", given("id", d.ID), given("name", d.Name), given("cost centre", d.CostCenter))
	}
	o.uses("takes", op.Inputs)
	o.uses("makes", op.Outputs)
	o.params(op)
}

// uses lists what is made and consumed; parameters are shown by what they say.
func (o *outliner) uses(name string, uses []*Use) {
	for _, u := range uses {
		facts := append([]string{part(u.Part)}, amounts(*u.Amounts)...)
		switch {
		case u.Media != nil:
			o.stock(1, name+" media", u.Media.Stock, append(facts, given("size", u.Media.Size))...)
		case u.Component != nil:
			facts = append(facts, given("size", u.Component.Size))
			o.line(1, name+" component", facts...)
			if u.Component.Media != nil {
				o.stock(2, "of", u.Component.Media.Stock)
			}
		}
	}
}

func (o *outliner) params(op *Operation) {
	if p := op.Printing; p != nil {
		o.line(1, "printing", given("work style", p.WorkStyle), given("drying", p.Drying), given("speed", p.Speed), given("sides", p.Sides))
	}
	if c := op.Cutting; c != nil {
		for _, b := range c.Blocks {
			o.line(1, "block", given("name", b.Name), given("box", b.Box))
		}
	}
	if f := op.Folding; f != nil {
		o.line(1, "folding", given("catalog", f.Catalog), count("folds", len(f.Folds)))
	}
	if s := op.Stitching; s != nil {
		o.line(1, "stitching", given("type", s.Type), given("stitches", s.Count))
	}
	if t := op.Trimming; t != nil {
		o.line(1, "trimming", given("width", t.Width), given("height", t.Height))
	}
	if v := op.Varnish; v != nil {
		o.line(1, "varnish", given("method", v.Method), given("area", v.Area))
	}
}

func (o *outliner) audit(a *Audit) {
	switch {
	case a.Phase != nil:
		p := a.Phase
		o.line(0, "phase", p.State.String(), given("device", p.Device), given("start", p.Start), given("end", p.End),
			given("good", p.Good), given("waste", p.Waste), part(p.Part))
	case a.Run != nil:
		r := a.Run
		o.line(0, "run", given("start", r.Start), given("end", r.End), given("status", r.EndStatus), part(r.Part))
	case a.Consumption != nil:
		u := a.Consumption
		o.line(0, "used", append([]string{u.Kind, part(u.Part), given("lot", u.Lot)}, amounts(u.Amounts)...)...)
	case a.Notice != nil:
		o.line(0, "notice", given("class", a.Notice.Class), given("text", a.Notice.Text))
	}
}
