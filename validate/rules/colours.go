package rules

import (
	"slices"
	"strings"

	"quoin/jdf"
	"quoin/jdf/value"
	"quoin/validate"
)

var colourChecks = []check{
	{
		Rule: &validate.Rule{
			ID: "process/color-range", Severity: validate.Error, Mends: validate.Sender,
			Say: "{name} is {got|q}; want {want}",
			Do:  "write parts of 1, not percent or bytes",
			Why: "CMYK, sRGB and gray values are parts of 1, L runs from 0 to 100, a and b from -128 to 127 (from memory: " +
				"Encoding chapter). The schema counts the numbers and no more.",
		},
		kinds: tickets, run: colorRange,
		Bad: `<XJDF JobID="4711" Types="ConventionalPrinting"><ResourceSet Name="Color" Usage="Input"><Resource>
  <Part Separation="Gold"/><Color CMYK="20 30 80 0"/>
</Resource></ResourceSet></XJDF>`,
		Good: `<XJDF JobID="4711" Types="ConventionalPrinting"><ResourceSet Name="Color" Usage="Input"><Resource>
  <Part Separation="Gold"/><Color CMYK="0.2 0.3 0.8 0"/>
</Resource></ResourceSet></XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/density-negative", Severity: validate.Error, Mends: validate.Sender,
			Say: "{name} is {got}; want 0 or more",
			Why: "A density is how much light is kept back; it can not be less than none (from memory: Color).",
		},
		kinds: tickets, run: densityNegative,
		Bad: `<XJDF JobID="4711" Types="ConventionalPrinting"><ResourceSet Name="Color" Usage="Input"><Resource>
  <Part Separation="Cyan"/><Color NeutralDensity="-0.6"/>
</Resource></ResourceSet></XJDF>`,
		Good: `<XJDF JobID="4711" Types="ConventionalPrinting"><ResourceSet Name="Color" Usage="Input"><Resource>
  <Part Separation="Cyan"/><Color NeutralDensity="0.6"/>
</Resource></ResourceSet></XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/color-name-differs", Severity: validate.Warning, Mends: validate.Sender,
			Say: "the color {name|q} has CMYK {got|q}; want {want}",
			Do:  "correct the color, or give the separation another name",
			Why: "The four process colors are themselves and nothing else (MIS to conventional printing conformance, " +
				"Color: unit vectors).",
		},
		kinds: tickets, run: colorNameDiffers,
		Bad: `<XJDF JobID="4711" Types="ConventionalPrinting"><ResourceSet Name="Color" Usage="Input"><Resource>
  <Part Separation="Cyan"/><Color CMYK="0 1 0 0"/>
</Resource></ResourceSet></XJDF>`,
		Good: `<XJDF JobID="4711" Types="ConventionalPrinting"><ResourceSet Name="Color" Usage="Input"><Resource>
  <Part Separation="Cyan"/><Color CMYK="1 0 0 0"/>
</Resource></ResourceSet></XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/color-twice", Severity: validate.Error, Mends: validate.Sender,
			Say: "the pool has a second Color {name|q}",
			Do:  "keep one of them",
			Why: "A separation finds its color by name in the pool (from memory: JDF 1.x, ColorPool).",
		},
		kinds: onlyJDF, run: colorTwice,
		Bad: `<JDF ID="n" Type="ConventionalPrinting" JobID="4711"><ResourcePool>
  <ColorPool ID="p" Class="Parameter"><Color Name="Gold"/><Color Name="Gold"/></ColorPool>
</ResourcePool></JDF>`,
		Good: `<JDF ID="n" Type="ConventionalPrinting" JobID="4711"><ResourcePool>
  <ColorPool ID="p" Class="Parameter"><Color Name="Gold"/><Color Name="Gold 2"/></ColorPool>
</ResourcePool></JDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/order-unknown", Severity: validate.Error, Mends: validate.Sender,
			Say: "ColorantOrder lists {name|q}, which is neither a process color nor in ColorantParams{near}",
			Do:  "add it to ColorantParams, or take it out of the order",
			Why: "The order is one of the colorants that the job prints: those of the process color model and those of " +
				"ColorantParams (from memory: ColorantControl).",
		},
		kinds: tickets, run: orderUnknown,
		Bad: `<XJDF JobID="4711" Types="ConventionalPrinting"><ResourceSet Name="ColorantControl" Usage="Input"><Resource>
  <ColorantControl ProcessColorModel="DeviceCMYK" ColorantOrder="Black Varnish2"/>
</Resource></ResourceSet></XJDF>`,
		Good: `<XJDF JobID="4711" Types="ConventionalPrinting"><ResourceSet Name="ColorantControl" Usage="Input"><Resource>
  <ColorantControl ProcessColorModel="DeviceCMYK" ColorantParams="Varnish2" ColorantOrder="Black Varnish2"/>
</Resource></ResourceSet></XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/order-twice", Severity: validate.Error, Mends: validate.Sender,
			Say: "{list} lists {name|q} twice",
			Do:  "list each separation once",
			Why: "Each separation is printed once in an order (from memory: ColorantControl).",
		},
		kinds: tickets, run: orderTwice,
		Bad: `<XJDF JobID="4711" Types="ConventionalPrinting"><ResourceSet Name="ColorantControl" Usage="Input"><Resource>
  <ColorantControl ProcessColorModel="DeviceCMYK" ColorantOrder="Black Cyan Black"/>
</Resource></ResourceSet></XJDF>`,
		Good: `<XJDF JobID="4711" Types="ConventionalPrinting"><ResourceSet Name="ColorantControl" Usage="Input"><Resource>
  <ColorantControl ProcessColorModel="DeviceCMYK" ColorantOrder="Black Cyan"/>
</Resource></ResourceSet></XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/colorant-repeated", Severity: validate.Warning, Mends: validate.Sender,
			Say: "ColorantParams lists {name|q}, which {model} brings already",
			Do:  "list the colorants beside those of the process color model",
			Why: "ColorantParams is what is printed beside the process colors (from memory: ColorantControl).",
		},
		kinds: tickets, run: colorantRepeated,
		Bad: `<XJDF JobID="4711" Types="ConventionalPrinting"><ResourceSet Name="ColorantControl" Usage="Input"><Resource>
  <ColorantControl ProcessColorModel="DeviceCMYK" ColorantParams="Cyan Gold"/>
</Resource></ResourceSet></XJDF>`,
		Good: `<XJDF JobID="4711" Types="ConventionalPrinting"><ResourceSet Name="ColorantControl" Usage="Input"><Resource>
  <ColorantControl ProcessColorModel="DeviceCMYK" ColorantParams="Gold"/>
</Resource></ResourceSet></XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/alias-is-colorant", Severity: validate.Error, Mends: validate.Sender,
			Say: "the alias {name|q} is itself one of the colorants that the job prints",
			Do:  "take it out of ColorantParams, or drop the alias",
			Why: "An alias stands for another colorant and makes no plate of its own (from memory: ColorantAlias; the " +
				"samples with aliases keep to it).",
		},
		kinds: tickets, run: aliasIsColorant,
		Bad: `<XJDF JobID="4711" Types="ConventionalPrinting"><ResourceSet Name="ColorantControl" Usage="Input"><Resource>
  <ColorantControl ColorantParams="Gold Gold2">
    <ColorantAlias ColorantName="Gold2" ReplacementColorantName="Gold"/>
  </ColorantControl>
</Resource></ResourceSet></XJDF>`,
		Good: `<XJDF JobID="4711" Types="ConventionalPrinting"><ResourceSet Name="ColorantControl" Usage="Input"><Resource>
  <ColorantControl ColorantParams="Gold">
    <ColorantAlias ColorantName="Gold2" ReplacementColorantName="Gold"/>
  </ColorantControl>
</Resource></ResourceSet></XJDF>`,
	},
}

// colorLimits lists the attributes that hold colors, with the numbers they may
// hold. What is no color at all is for the structure stage.
//
// From memory: Encoding chapter of both generations, CMYKColor, sRGBColor and LabColor.
var colorLimits = []struct {
	names []string
	want  string
	wrong func(string) bool
}{
	{[]string{"CMYK"}, "four numbers between 0 and 1", func(s string) bool {
		c, err := value.ParseCMYKColor(s)
		return err == nil && c.Check() != nil
	}},
	{[]string{"sRGB"}, "three numbers between 0 and 1", func(s string) bool {
		c, err := value.ParseSRGBColor(s)
		return err == nil && c.Check() != nil
	}},
	{[]string{"Lab", "LabColorValue"}, "L between 0 and 100, a and b between -128 and 127", func(s string) bool {
		c, err := value.ParseLabColor(s)
		return err == nil && c.Check() != nil
	}},
	{[]string{"Gray"}, "a number between 0 and 1", func(s string) bool {
		v, err := value.ParseDouble(s)
		return err == nil && (v < 0 || v > 1)
	}},
}

func colorRange(p *pass) {
	for _, l := range colorLimits {
		for a := range p.having(l.names...) {
			if l.wrong(a.Value()) {
				p.at(a.Place(), fact("name", attrName(a)), fact("got", a.Value()), fact("want", l.want))
			}
		}
	}
}

func densityNegative(p *pass) {
	for a := range p.having("NeutralDensity", "Density") {
		if v, err := value.ParseDouble(a.Value()); err == nil && v < 0 {
			p.at(a.Place(), fact("name", attrName(a)), fact("got", a.Value()))
		}
	}
}

// processVectors are the process colors as CMYK.
//
// Source: MIS to conventional printing conformance, Color.
var processVectors = map[string]value.CMYKColor{
	"Cyan": {C: 1}, "Magenta": {M: 1}, "Yellow": {Y: 1}, "Black": {K: 1},
}

func colorNameDiffers(p *pass) {
	for a := range p.having("CMYK") {
		color := a.Owner()
		name := color.Get("Name")
		if r := color.Parent(); r.Is("Resource") {
			name = carrier{color, r}.part("Separation")
		}
		want, known := processVectors[name]
		got, err := value.ParseCMYKColor(a.Value())
		if color.Is("Color") && known && err == nil && got.Check() == nil && got != want {
			p.at(a.Place(), fact("name", name), fact("got", a.Value()), fact("want", want))
		}
	}
}

func colorTwice(p *pass) {
	for pool := range p.named("ColorPool") {
		first := map[string]jdf.Attr{}
		for color := range pool.ChildrenNamed("Color") {
			name := color.Attr("Name")
			if !name.Valid() {
				continue
			}
			if before, taken := first[name.Value()]; taken {
				p.atWith(name.Place(), before.Place(), "the first is here", fact("name", name.Value()))
				continue
			}
			first[name.Value()] = name
		}
	}
}

// processModels are the colorants that a process color model brings.
//
// From memory: ProcessColorModel of both generations; the names follow the
// color spaces of PostScript.
var processModels = map[string][]string{
	"DeviceCMYK": {"Cyan", "Magenta", "Yellow", "Black"},
	"DeviceCMY":  {"Cyan", "Magenta", "Yellow"},
	"DeviceGray": {"Black"},
	"DeviceRGB":  {"Red", "Green", "Blue"},
}

// palette is what a ColorantControl says of the separations of a job.
type palette struct {
	control jdf.Node
	model   string
	process []string
	params  []separation
	order   []separation
	aliases map[string]string // name to replacement
}

// separation is a name in a list of separations.
type separation struct {
	name string
	at   jdf.Place
}

// palettes reads the colorant controls of a ticket, partitions with what they
// inherit.
func (p *pass) palettes() []palette {
	var all []palette
	for n := range p.named("ColorantControl") {
		one := palette{control: n, aliases: map[string]string{}}
		one.model = inherited(n, "ProcessColorModel").Value()
		one.process = processModels[one.model]
		one.params = separations(n, "ColorantParams")
		one.order = separations(n, "ColorantOrder")
		for _, alias := range p.referred(n, "ColorantAlias") {
			replacement := alias.Get("ReplacementColorantName")
			if name := alias.Get("ColorantName"); name != "" {
				one.aliases[name] = replacement
			}
			for spec := range alias.ChildrenNamed("SeparationSpec") {
				one.aliases[spec.Get("Name")] = replacement
			}
		}
		all = append(all, one)
	}
	return all
}

// referred lists the children of a name, written in place or as references.
func (p *pass) referred(n jdf.Node, name string) []jdf.Node {
	var found []jdf.Node
	for c := range n.Children() {
		switch {
		case c.Is(name):
			found = append(found, c)
		case c.Is(name + "Ref"):
			if target := p.index.byID(c.Get("rRef")); target.Valid() {
				found = append(found, target)
			}
		}
	}
	return found
}

// separations lists the names of an attribute in XJDF, or of the specs inside
// a child element in JDF, which a partition has from those around it.
func separations(n jdf.Node, name string) []separation {
	var list []separation
	if a := n.Attr(name); a.Valid() {
		for f := range strings.FieldsSeq(a.Value()) {
			list = append(list, separation{f, a.Place()})
		}
		return list
	}
	for ; n.Is("ColorantControl"); n = n.Parent() {
		if child := n.Child(name); child.Valid() {
			for spec := range child.ChildrenNamed("SeparationSpec") {
				list = append(list, separation{spec.Get("Name"), spec.Attr("Name").Place()})
			}
			return list
		}
	}
	return nil
}

func (c palette) has(name string) bool {
	return slices.Contains(c.process, name) ||
		slices.ContainsFunc(c.params, func(s separation) bool { return s.name == name })
}

// names lists what the palette prints, for a near name.
func (c palette) names() []string {
	list := slices.Clone(c.process)
	for _, s := range c.params {
		list = append(list, s.name)
	}
	return list
}

func orderUnknown(p *pass) {
	for _, c := range p.palettes() {
		// Without a model that is known, nothing can be missed.
		open := c.process == nil && (c.params == nil || c.model != "None")
		if open || c.model == "DeviceN" {
			continue
		}
		for _, s := range c.order {
			if !c.has(s.name) && c.aliases[s.name] == "" {
				p.at(s.at, fact("name", s.name), fact("near", p.near(s.name, c.names)))
			}
		}
	}
}

func orderTwice(p *pass) {
	for n := range p.named("ColorantControl") {
		for _, list := range []string{"ColorantOrder", "ColorantParams"} {
			if !n.Has(list) && !n.Child(list).Valid() {
				continue
			}
			seen := map[string]bool{}
			for _, s := range separations(n, list) {
				if seen[s.name] {
					p.at(s.at, fact("list", list), fact("name", s.name))
				}
				seen[s.name] = true
			}
		}
	}
}

func colorantRepeated(p *pass) {
	for _, c := range p.palettes() {
		for _, s := range c.params {
			if slices.Contains(c.process, s.name) && up(s.at.Node(), "ColorantControl") == c.control {
				p.at(s.at, fact("name", s.name), fact("model", c.model))
			}
		}
	}
}

func aliasIsColorant(p *pass) {
	for _, c := range p.palettes() {
		for _, s := range c.params {
			if replacement := c.aliases[s.name]; replacement != "" && replacement != s.name {
				p.at(s.at, fact("name", s.name))
			}
		}
	}
}
