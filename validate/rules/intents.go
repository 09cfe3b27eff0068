package rules

import (
	"slices"
	"strings"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/jdf/value"
	"quoin/validate"
)

var intentChecks = []check{
	{
		Rule: &validate.Rule{
			ID: "process/intent-twice", Severity: validate.Warning, Mends: validate.Sender,
			Say: "the product has a second {name}",
			Do:  "join the two, or make them intents of different parts",
			Why: "A product has one intent of a kind (the JDF schema notes at most one link of each; from memory for XJDF). " +
				"Those made for repetition, such as several holes or inserts, are left out.",
		},
		kinds: tickets, run: intentTwice,
		Bad: `<XJDF JobID="4711" Types="Product"><ProductList><Product>
  <Intent Name="MediaIntent"><MediaIntent MediaType="Paper"/></Intent>
  <Intent Name="MediaIntent"><MediaIntent MediaType="Paper"/></Intent>
</Product></ProductList></XJDF>`,
		Good: `<XJDF JobID="4711" Types="Product"><ProductList>
  <Product><Intent Name="MediaIntent"><MediaIntent MediaType="Paper"/></Intent></Product>
  <Product><Intent Name="MediaIntent"><MediaIntent MediaType="Paper"/></Intent></Product>
</ProductList></XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/binding-child", Severity: validate.Warning, Mends: validate.Sender,
			Say: "BindingType is {got}, and the intent holds {child}; want {want}",
			Do:  "make BindingType and the element inside agree",
			Why: "The element inside describes the binding that BindingType names (from memory: XJDF 2.x, BindingIntent).",
		},
		kinds: onlyXJDF, run: bindingChild,
		Bad: `<XJDF JobID="4711" Types="Product"><ProductList><Product><Intent Name="BindingIntent">
  <BindingIntent BindingType="SaddleStitch"><HardCoverBinding/></BindingIntent>
</Intent></Product></ProductList></XJDF>`,
		Good: `<XJDF JobID="4711" Types="Product"><ProductList><Product><Intent Name="BindingIntent">
  <BindingIntent BindingType="SaddleStitch"><SaddleStitching/></BindingIntent>
</Intent></Product></ProductList></XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/binding-empty", Severity: validate.Warning, Mends: validate.Sender,
			Say: "the product is bound ({got}), and says neither its parts nor its pages",
			Do:  "name the parts in ChildRefs, or give Pages in LayoutIntent",
			Why: "What is bound is made of several sheets, of which the ticket must say something. Plausibility.",
		},
		kinds: onlyXJDF, fragment: leftOut, run: bindingEmpty,
		Bad: `<XJDF JobID="4711" Types="Product"><ProductList><Product>
  <Intent Name="BindingIntent"><BindingIntent BindingType="SoftCover"/></Intent>
</Product></ProductList></XJDF>`,
		Good: `<XJDF JobID="4711" Types="Product"><ProductList><Product>
  <Intent Name="BindingIntent"><BindingIntent BindingType="SoftCover"/></Intent>
  <Intent Name="LayoutIntent"><LayoutIntent Pages="96"/></Intent>
</Product></ProductList></XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/surface-twice", Severity: validate.Error, Mends: validate.Sender,
			Say: "the intent has a second SurfaceColor for {surface}",
			Do:  "give each surface its colors once",
			Why: "There are at most two surfaces (schema) and each is described once (from memory: XJDF 2.x, ColorIntent).",
		},
		kinds: onlyXJDF, run: surfaceTwice,
		Bad: `<XJDF JobID="4711" Types="Product"><ProductList><Product><Intent Name="ColorIntent"><ColorIntent>
  <SurfaceColor Surface="Front" ColorsUsed="Black"/><SurfaceColor Surface="Front" ColorsUsed="Cyan"/>
</ColorIntent></Intent></Product></ProductList></XJDF>`,
		Good: `<XJDF JobID="4711" Types="Product"><ProductList><Product><Intent Name="ColorIntent"><ColorIntent>
  <SurfaceColor Surface="Front" ColorsUsed="Black"/><SurfaceColor Surface="Back" ColorsUsed="Cyan"/>
</ColorIntent></Intent></Product></ProductList></XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/one-sided-with-back", Severity: validate.Warning, Mends: validate.Sender,
			Say: "the product is printed on one side, and has colors for the {surface}",
			Do:  "correct Sides, or take the colors out",
			Why: "Colors are for surfaces that are printed. Plausibility.",
		},
		kinds: tickets, run: oneSidedWithBack,
		Bad: `<XJDF JobID="4711" Types="Product"><ProductList><Product>
  <Intent Name="LayoutIntent"><LayoutIntent Sides="OneSided"/></Intent>
  <Intent Name="ColorIntent"><ColorIntent><SurfaceColor Surface="Back" ColorsUsed="Black"/></ColorIntent></Intent>
</Product></ProductList></XJDF>`,
		Good: `<XJDF JobID="4711" Types="Product"><ProductList><Product>
  <Intent Name="LayoutIntent"><LayoutIntent Sides="OneSidedBack"/></Intent>
  <Intent Name="ColorIntent"><ColorIntent><SurfaceColor Surface="Back" ColorsUsed="Black"/></ColorIntent></Intent>
</Product></ProductList></XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/colors-differ", Severity: validate.Warning, Mends: validate.Sender,
			Say: "the product has no colors on the {surface}, and there are plates for {got}",
			Do:  "correct the intent, or take the plates out",
			Why: "What is printed is what the customer asked for. Plausibility, where the ticket has one product.",
		},
		kinds: tickets, fragment: leftOut, run: colorsDiffer,
		Bad: `<XJDF JobID="4711" Types="Product ConventionalPrinting">
  <ProductList><Product><Intent Name="ColorIntent"><ColorIntent>
    <SurfaceColor Surface="Front" ColorsUsed="Black"/></ColorIntent></Intent></Product></ProductList>
  <ResourceSet Name="ExposedMedia" Usage="Input"><Resource>
    <Part Side="Back" Separation="Black"/><ExposedMedia MediaRef="P"/></Resource></ResourceSet>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="Product ConventionalPrinting">
  <ProductList><Product><Intent Name="ColorIntent"><ColorIntent>
    <SurfaceColor Surface="Front" ColorsUsed="Black"/></ColorIntent></Intent></Product></ProductList>
  <ResourceSet Name="ExposedMedia" Usage="Input"><Resource>
    <Part Side="Front" Separation="Black"/><ExposedMedia MediaRef="P"/></Resource></ResourceSet>
</XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/span-outside", Severity: validate.Warning, Mends: validate.Sender,
			Say: "{name} of {span} is {got|q}, outside Range, {range|q}",
			Do:  "widen Range, or correct the value",
			Why: "Range is what the customer takes, Preferred and Actual lie within (from memory: JDF 1.x, spans).",
		},
		kinds: onlyJDF, run: spanOutside,
		Bad: `<JDF ID="n" Type="Product" JobID="4711"><ResourcePool><MediaIntent ID="m" Class="Intent">
  <Weight DataType="NumberSpan" Range="80 ~ 100" Actual="135"/>
</MediaIntent></ResourcePool></JDF>`,
		Good: `<JDF ID="n" Type="Product" JobID="4711"><ResourcePool><MediaIntent ID="m" Class="Intent">
  <Weight DataType="NumberSpan" Range="80 ~ 100" Actual="90"/>
</MediaIntent></ResourcePool></JDF>`,
	},
}

// repeated are the intents that a product may have several times.
//
// From memory: XJDF 2.x, product intent.
var repeated = set("AssemblingIntent", "ContentCheckIntent", "EmbossingIntent", "HoleMakingIntent", "InsertingIntent",
	"LaminatingIntent", "ProductionIntent", "ShapeCuttingIntent", "VariableIntent", "NumberingIntent")

func intentTwice(p *pass) {
	for n := range p.named("Product") {
		first := map[string]jdf.Attr{}
		for i := range n.ChildrenNamed("Intent") {
			name := i.Attr("Name")
			before, taken := first[name.Value()]
			if taken && !repeated[name.Value()] {
				p.atWith(name.Place(), before.Place(), "the first is here", fact("name", name.Value()))
			}
			first[name.Value()] = name
		}
	}
	for _, n := range p.index.nodes {
		first := map[string]*use{}
		for _, u := range n.uses {
			if !strings.HasSuffix(u.name, "Intent") || repeated[u.name] || n.Get("Type") != "Product" {
				continue
			}
			if before := first[u.name]; before != nil && before.resource != u.resource {
				p.atWith(u.NamePlace(), before.NamePlace(), "the first is here", fact("name", u.name))
			}
			first[u.name] = u
		}
	}
}

// bindingElements lists the element that describes each BindingType.
// Source: XJDF schema, BindingIntent. From memory: which belongs to which.
var bindingElements = map[string]string{
	"AdhesiveNote": "AdhesiveNote", "EdgeGluing": "EdgeGluing", "HardCover": "HardCoverBinding",
	"SaddleStitch": "SaddleStitching", "SideStitch": "SideStitching", "SoftCover": "SoftCoverBinding",
	"LooseBinding": "LooseBinding", "ChannelBinding": "LooseBinding", "CoilBinding": "LooseBinding",
	"CombBinding": "LooseBinding", "RingBinding": "LooseBinding", "ScrewBinding": "LooseBinding",
	"StripBinding": "LooseBinding", "WireComb": "LooseBinding",
}

func bindingChild(p *pass) {
	for n := range p.named("BindingIntent") {
		kind := n.Attr("BindingType")
		want := bindingElements[kind.Value()]
		for c := range n.Children() {
			if ours(c) && want != "" && !c.Is(want, "Tabs") {
				p.atWith(c.NamePlace(), kind.Place(), "the type is here", fact("got", kind.Value()),
					fact("child", c.Local()), fact("want", want))
			}
		}
	}
}

func bindingEmpty(p *pass) {
	for _, product := range p.job.Products {
		kind := product.Binding.Type
		loose := kind.Value == "None" || kind.Value == "CornerStitch" || kind.Value == "AdhesiveNote"
		if kind.Given && !loose && len(product.Parts) == 0 && !product.Pages.Given &&
			!product.Binding.Node.Has("ChildRefs") {
			p.at(kind.Place, fact("got", kind.Value))
		}
	}
}

func surfaceTwice(p *pass) {
	for n := range p.named("ColorIntent") {
		first := map[string]jdf.Attr{}
		for c := range n.ChildrenNamed("SurfaceColor") {
			a := c.Attr("Surface")
			if before, taken := first[a.Value()]; taken {
				p.atWith(a.Place(), before.Place(), "the first is here", fact("surface", a.Value()))
			}
			first[a.Value()] = a
		}
	}
}

func oneSidedWithBack(p *pass) {
	for _, product := range p.job.Products {
		surface, name := product.Back, "back"
		switch product.Sides.Value {
		case job.OneSided:
		case job.OneSidedBack:
			surface, name = product.Front, "front"
		default:
			continue
		}
		if surface.Colors.Given && len(surface.Colors.Value) > 0 {
			p.atWith(surface.Colors.Place, product.Sides.Place, "the sides are here", fact("surface", name))
		}
	}
}

func colorsDiffer(p *pass) {
	if len(p.job.Products) != 1 || !p.job.Products[0].Front.Colors.Given && !p.job.Products[0].Back.Colors.Given {
		return
	}
	product := p.job.Products[0]
	want := map[string]bool{"Front": len(product.Front.Colors.Value) > 0, "Back": len(product.Back.Colors.Value) > 0}
	told := map[string]bool{}
	p.platedUses(func(u *use, c carrier, name string) {
		side := c.part("Side")
		printed, known := want[side]
		if u.name == "ExposedMedia" && known && !printed && !told[side] {
			told[side] = true
			p.atWith(c.partPlace("Side"), product.Node.NamePlace(), "the product is here",
				fact("surface", strings.ToLower(side)), fact("got", name))
		}
	})
}

func spanOutside(p *pass) {
	for a := range p.having("Range") {
		n := a.Owner()
		if kind := n.Get("DataType"); kind != "NumberSpan" && kind != "IntegerSpan" {
			continue
		}
		ranges, err := value.ParseNumberRangeList(a.Value())
		if err != nil || len(ranges) == 0 {
			continue
		}
		for _, name := range []string{"Actual", "Preferred"} {
			got := n.Attr(name)
			v, err := value.ParseDouble(got.Value())
			inside := func(r value.Range[float64]) bool { return min(r.First, r.Last) <= v && v <= max(r.First, r.Last) }
			if got.Valid() && err == nil && !slices.ContainsFunc(ranges, inside) {
				p.atWith(got.Place(), a.Place(), "the range is here", fact("name", name), fact("span", n.Local()),
					fact("got", got.Value()), fact("range", a.Value()))
			}
		}
	}
}
