package rules

import (
	"math"
	"strings"

	"quoin/jdf/job"
	"quoin/jdf/value"
	"quoin/validate"
)

var bindingChecks = []check{
	{
		Rule: &validate.Rule{
			ID: "process/saddle-pages", Severity: validate.Warning, Mends: validate.Sender,
			Say: "a saddle stitched product has {got} pages here; want a multiple of 4",
			Do:  "add blank pages, or bind it another way",
			Why: "Each sheet of a saddle stitched product hangs over the wire and makes four pages. Common practice, no " +
				"source.",
		},
		kinds: tickets, run: saddlePages,
		Bad: `<XJDF JobID="4711" Types="Product"><ProductList><Product>
  <Intent Name="BindingIntent"><BindingIntent BindingType="SaddleStitch"/></Intent>
  <Intent Name="LayoutIntent"><LayoutIntent Pages="18"/></Intent>
</Product></ProductList></XJDF>`,
		Good: `<XJDF JobID="4711" Types="Product"><ProductList><Product>
  <Intent Name="BindingIntent"><BindingIntent BindingType="SaddleStitch"/></Intent>
  <Intent Name="LayoutIntent"><LayoutIntent Pages="20"/></Intent>
</Product></ProductList></XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/assembly-order", Severity: validate.Warning, Mends: validate.Sender,
			Say: "the sections are put together by {got}, and {process} wants {want}",
			Do:  "write Order=\"{want}\"",
			Why: "Saddle stitching takes sections that lie in each other, gluing a spine sections that lie on each other " +
				"(the standard's samples of a saddle stitched and a perfect bound product).",
		},
		kinds: tickets, run: assemblyOrder,
		Bad: `<XJDF JobID="4711" Types="Gathering CoverApplication">
  <ResourceSet Name="Assembly" Usage="Input"><Resource><Assembly Order="Collecting"/></Resource></ResourceSet>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="Gathering CoverApplication">
  <ResourceSet Name="Assembly" Usage="Input"><Resource><Assembly Order="Gathering"/></Resource></ResourceSet>
</XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/stitch-count", Severity: validate.Error, Mends: validate.Sender,
			Say: "NumberOfStitches is {got}, and StitchPositions lists {count}",
			Do:  "make the two agree",
			Why: "There is one position for each stitch (from memory: StitchingParams).",
		},
		kinds: tickets, run: stitchCount,
		Bad: `<XJDF JobID="4711" Types="Stitching"><ResourceSet Name="StitchingParams" Usage="Input"><Resource>
  <StitchingParams NumberOfStitches="2" StitchPositions="100 200 300"/>
</Resource></ResourceSet></XJDF>`,
		Good: `<XJDF JobID="4711" Types="Stitching"><ResourceSet Name="StitchingParams" Usage="Input"><Resource>
  <StitchingParams NumberOfStitches="3" StitchPositions="100 200 300"/>
</Resource></ResourceSet></XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/stitch-outside", Severity: validate.Warning, Mends: validate.Sender,
			Say: "a stitch at {got} points lies outside the spine of {want} points",
			Do:  "correct StitchPositions; they are in points along the spine",
			Why: "The middle of each stitch and half its width lie on the spine, which is no longer than the longest side " +
				"of what is stitched (from memory: StitchingParams). Plausibility.",
		},
		kinds: tickets, run: stitchOutside,
		Bad: `<XJDF JobID="4711" Types="Stitching">
  <ResourceSet Name="Component" Usage="Input"><Resource><Component Dimensions="420 595 0"/></Resource></ResourceSet>
  <ResourceSet Name="StitchingParams" Usage="Input"><Resource>
    <StitchingParams StitchPositions="150 700"/></Resource></ResourceSet>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="Stitching">
  <ResourceSet Name="Component" Usage="Input"><Resource><Component Dimensions="420 595 0"/></Resource></ResourceSet>
  <ResourceSet Name="StitchingParams" Usage="Input"><Resource>
    <StitchingParams StitchPositions="150 450"/></Resource></ResourceSet>
</XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/trim-size", Severity: validate.Warning, Mends: validate.Sender,
			Say: "the trimmed size is {got}, and the product is {want}",
			Do:  "trim to the finished size",
			Why: "Trimming is what gives a product its finished size. Plausibility, where the ticket has one product.",
		},
		kinds: tickets, run: trimSize,
		Bad: `<XJDF JobID="4711" Types="Product Trimming">
  <ProductList><Product>
    <Intent Name="LayoutIntent"><LayoutIntent FinishedDimensions="595 842 0"/></Intent></Product></ProductList>
  <ResourceSet Name="TrimmingParams" Usage="Input"><Resource>
    <TrimmingParams Width="624" Height="842"/></Resource></ResourceSet>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="Product Trimming">
  <ProductList><Product>
    <Intent Name="LayoutIntent"><LayoutIntent FinishedDimensions="595 842 0"/></Intent></Product></ProductList>
  <ResourceSet Name="TrimmingParams" Usage="Input"><Resource>
    <TrimmingParams Width="595" Height="842"/></Resource></ResourceSet>
</XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/trim-larger", Severity: validate.Warning, Mends: validate.Sender,
			Say: "the trimmed size is {got}, larger than what is trimmed, {want}",
			Do:  "correct Width and Height, which are in points",
			Why: "A knife takes away and adds nothing. Plausibility.",
		},
		kinds: tickets, run: trimLarger,
		Bad: `<XJDF JobID="4711" Types="Trimming">
  <ResourceSet Name="Component" Usage="Input"><Resource><Component Dimensions="600 850 0"/></Resource></ResourceSet>
  <ResourceSet Name="TrimmingParams" Usage="Input"><Resource>
    <TrimmingParams Width="624" Height="842"/></Resource></ResourceSet>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="Trimming">
  <ResourceSet Name="Component" Usage="Input"><Resource><Component Dimensions="600 850 0"/></Resource></ResourceSet>
  <ResourceSet Name="TrimmingParams" Usage="Input"><Resource>
    <TrimmingParams Width="842" Height="595"/></Resource></ResourceSet>
</XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/flat-too-small", Severity: validate.Warning, Mends: validate.Sender,
			Say: "the flat size is {got}, smaller than the finished size {want}",
			Do:  "correct Dimensions; it is the size before folding",
			Why: "Folding makes a piece smaller, never larger (from memory: LayoutIntent).",
		},
		kinds: tickets, run: flatTooSmall,
		Bad: `<XJDF JobID="4711" Types="Product"><ProductList><Product><Intent Name="LayoutIntent">
  <LayoutIntent Dimensions="420 595" FinishedDimensions="595 842 0"/>
</Intent></Product></ProductList></XJDF>`,
		Good: `<XJDF JobID="4711" Types="Product"><ProductList><Product><Intent Name="LayoutIntent">
  <LayoutIntent Dimensions="1190 842" FinishedDimensions="595 842 0"/>
</Intent></Product></ProductList></XJDF>`,
	},
}

func saddlePages(p *pass) {
	for _, product := range p.job.Products {
		if product.Binding.Type.Value != "SaddleStitch" {
			continue
		}
		for _, part := range append([]*job.Product{product}, product.Parts...) {
			if part.Pages.Given && part.Pages.Value%4 != 0 {
				p.atWith(part.Pages.Place, product.Binding.Type.Place, "the binding is here", fact("got", part.Pages.Value))
			}
		}
	}
}

// orders says how the sections for a process lie.
//
// Source: the published samples saddleStitchedBrochure_Collecting and
// perfectBound_Gathering. Common practice for the processes beside them.
var orders = []struct{ process, want string }{
	{"CoverApplication", "Gathering"}, {"SpinePreparation", "Gathering"}, {"AdhesiveBinding", "Gathering"},
	{"CasingIn", "Gathering"}, {"Collecting", "Collecting"}, {"Gathering", "Gathering"},
}

func assemblyOrder(p *pass) {
	for _, n := range p.index.nodes {
		if n.runs("Collecting") && n.runs("Gathering") {
			continue
		}
		for _, u := range n.of("Assembly") {
			for c := range p.carriers(u) {
				order := inherited(c.Node, "Order")
				if order.Value() != "Collecting" && order.Value() != "Gathering" {
					continue
				}
				for _, o := range orders {
					if n.runs(o.process) && order.Value() != o.want {
						p.atWith(order.Place(), n.list.Place(), "the processes are listed here",
							fact("got", order.Value()), fact("process", o.process), fact("want", o.want))
						break
					}
				}
			}
		}
	}
}

func stitchCount(p *pass) {
	for n := range p.named("StitchingParams") {
		count, list := n.Attr("NumberOfStitches"), inherited(n, "StitchPositions")
		got, err := value.ParseInteger(count.Value())
		if places := len(strings.Fields(list.Value())); err == nil && places > 0 && int64(places) != got {
			p.atWith(count.Place(), list.Place(), "the positions are here", fact("got", got), fact("count", places))
		}
	}
}

func stitchOutside(p *pass) {
	for _, u := range p.index.uses {
		if u.name != "StitchingParams" {
			continue
		}
		size, at, known := sheetSize(u.node, p)
		if !known {
			continue
		}
		spine := max(size.X, size.Y)
		for c := range p.carriers(u) {
			list := c.Attr("StitchPositions")
			half, _ := value.ParseDouble(inherited(c.Node, "StitchWidth").Value())
			half = max(half, 0) / 2
			for f := range strings.FieldsSeq(list.Value()) {
				if v, err := value.ParseDouble(f); err == nil && (v-half < 0 || v+half > spine+cutSlack) {
					p.atWith(list.Place(), at, "what is stitched", fact("got", f), fact("want", value.FormatDouble(spine)))
				}
			}
		}
	}
}

// sameSize reports whether two sizes are the same, this way round or the
// other, but for a tolerance in points.
func sameSize(a, b value.XYPair, tolerance float64) bool {
	near := func(x, y float64) bool { return math.Abs(x-y) <= tolerance }
	return near(a.X, b.X) && near(a.Y, b.Y) || near(a.X, b.Y) && near(a.Y, b.X)
}

// fitsIn reports whether one size lies within another, this way round or the other.
func fitsIn(a, b value.XYPair) bool {
	within := func(x, y float64) bool { return value.AtMost(value.Length(x), value.Length(y)) }
	return within(a.X, b.X) && within(a.Y, b.Y) || within(a.X, b.Y) && within(a.Y, b.X)
}

func trimSize(p *pass) {
	if len(p.job.Products) != 1 || !p.job.Products[0].Size.Given {
		return
	}
	size := p.job.Products[0].Size
	want := value.XYPair{X: size.Value.X, Y: size.Value.Y}
	for _, op := range p.job.Operations {
		t := op.Trimming
		if t == nil || !t.Width.Given || !t.Height.Given {
			continue
		}
		got := value.XYPair{X: t.Width.Value.Points(), Y: t.Height.Value.Points()}
		if !sameSize(got, want, value.FromMM(1).Points()) {
			p.atWith(t.Width.Place, size.Place, "the product is here",
				fact("got", millimetres(got.X, got.Y)), fact("want", millimetres(want.X, want.Y)))
		}
	}
}

func trimLarger(p *pass) {
	for _, op := range p.job.Operations {
		t := op.Trimming
		if t == nil || !t.Width.Given || !t.Height.Given || len(op.Inputs) == 0 {
			continue
		}
		for _, u := range componentUses(op.Inputs) {
			size, at := useSize(u)
			got := value.XYPair{X: t.Width.Value.Points(), Y: t.Height.Value.Points()}
			if size.X > 0 && size.Y > 0 && !fitsIn(got, size) {
				p.atWith(t.Width.Place, at, "what is trimmed",
					fact("got", millimetres(got.X, got.Y)), fact("want", millimetres(size.X, size.Y)))
				break
			}
		}
	}
}

func flatTooSmall(p *pass) {
	for _, product := range p.job.Products {
		if !product.Flat.Given || !product.Size.Given {
			continue
		}
		flat := product.Flat.Value
		finished := value.XYPair{X: product.Size.Value.X, Y: product.Size.Value.Y}
		if !fitsIn(finished, flat) {
			p.atWith(product.Flat.Place, product.Size.Place, "the finished size is here",
				fact("got", millimetres(flat.X, flat.Y)), fact("want", millimetres(finished.X, finished.Y)))
		}
	}
}
