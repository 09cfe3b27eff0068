package job

import (
	"strings"

	"quoin/jdf"
	"quoin/jdf/value"
)

// jdfProduct reads a product node with the intents that it links.
func (d *decoder) jdfProduct(n jdf.Node, parent *Product, groups []group) *Product {
	p := &Product{
		Node: n, ID: Text(n, "ID"), Name: Text(n, "DescriptiveName"), Root: parent == nil,
	}
	var shared Surface
	take := func(e *entry) {
		switch e.kind {
		case "Component":
			if e.usage == "Output" {
				c := d.componentOf(&e.leaf)
				p.Amount = *e.amount
				p.Amount.Good = First(e.amount.Good, c.Amounts.Good)
				p.Type = First(c.Type, p.Type)
				p.Name = First(p.Name, Text(e.leaf.with("DescriptiveName"), "DescriptiveName"))
			}
		case "NodeInfo":
			s := d.schedule(&e.leaf)
			p.Due = First(s.LastEnd, s.End)
		case "DeliveryIntent":
			d.delivery(p, &e.leaf)
		case "ColorIntent":
			d.jdfColors(p, &shared, &e.leaf)
		default:
			d.jdfIntent(p, e)
		}
	}
	for i := range groups {
		d.each(&groups[i], take)
	}
	p.spread(shared)
	d.job.Products = append(d.job.Products, p)
	if parent != nil {
		parent.Parts = append(parent.Parts, p)
		p.Due = First(p.Due, parent.Due) // a part is due with the whole
	}
	return p
}

// spread gives colours without a side to the sides that are printed.
func (p *Product) spread(shared Surface) {
	if p.Sides.Value != OneSidedBack {
		p.Front = p.Front.or(shared)
	}
	if p.Sides.Value.Both() || p.Sides.Value == OneSidedBack {
		p.Back = p.Back.or(shared)
	}
}

func (s Surface) or(t Surface) Surface {
	return Surface{First(s.Colors, t.Colors), First(s.Coatings, t.Coatings), First(s.Coverage, t.Coverage)}
}

func (d *decoder) jdfIntent(p *Product, e *entry) {
	l := &e.leaf
	switch e.kind {
	case "LayoutIntent":
		p.Sides = sides(l.with("Sides"))
		p.Size = wanted(l.child("FinishedDimensions"), value.ParseShape, d.fault)
		p.Flat = wanted(l.child("Dimensions"), value.ParseXYPair, d.fault)
		p.Pages = wanted(l.child("Pages"), parseWhole, d.fault)
		p.Bleed = wanted(l.child("Bleed"), parseLength, d.fault)
	case "MediaIntent":
		p.Media = d.jdfMedia(l)
	case "FoldingIntent":
		p.Fold = First(wanted(l.child("FoldingCatalog"), asText, d.fault), Text(l.with("FoldCatalog"), "FoldCatalog"))
	case "BindingIntent":
		stitch := l.child("SaddleStitching")
		p.Binding = Binding{
			Node:     l.node(),
			Type:     wanted(l.child("BindingType"), asText, d.fault),
			Side:     wanted(l.child("BindingSide"), asText, d.fault),
			Order:    Text(l.with("BindingOrder"), "BindingOrder"),
			Stitches: First(wanted(stitch.Child("StitchNumber"), parseWhole, d.fault), whole(stitch, "StitchNumber", d.fault)),
		}
	case "LaminatingIntent":
		p.Lamination = Lamination{
			Surface: First(wanted(l.child("Surface"), asText, d.fault), Text(l.with("Surface"), "Surface")),
			Texture: wanted(l.child("Texture"), asText, d.fault),
		}
	}
}

func (d *decoder) jdfMedia(l *leaf) MediaIntent {
	name := func(child string) Fact[string] { return wanted(l.child(child), asText, d.fault) }
	m := MediaIntent{Node: l.node()}
	m.Type = name("MediaType")
	m.Weight = wanted(l.child("Weight"), value.ParseDouble, d.fault)
	m.Thickness = wanted(l.child("Thickness"), value.ParseDouble, d.fault)
	m.FrontCoating, m.BackCoating = name("FrontCoatings"), name("BackCoatings")
	m.Grain = name("GrainDirection")
	m.Quality = First(Text(l.with("MediaQuality"), "MediaQuality"), name("StockType"))
	m.Brand = name("StockBrand")
	return m
}

func (d *decoder) jdfColors(p *Product, shared *Surface, l *leaf) {
	surface := shared
	switch l.part.Get("Side") {
	case "Front":
		surface = &p.Front
	case "Back":
		surface = &p.Back
	}
	surface.Colors = First(surface.Colors, separations(l.child("ColorsUsed")))
	surface.Coverage = First(surface.Coverage, wanted(l.child("Coverage"), parseDecimal, d.fault))
	surface.Coatings = First(surface.Coatings, wanted(l.child("Coatings"), asWords, d.fault))
}

// delivery takes the amount and date of the first drop where the product's own
// output does not tell them.
func (d *decoder) delivery(p *Product, l *leaf) {
	p.Due = First(p.Due, wanted(l.child("Required"), value.ParseDateTime, d.fault))
	for _, drop := range l.children("DropIntent") {
		p.Due = First(p.Due, wanted(drop.Child("Required"), value.ParseDateTime, d.fault))
		for item := range drop.ChildrenNamed("DropItemIntent") {
			p.Amount.Good = First(p.Amount.Good, number(item, "Amount", d.fault))
		}
	}
}

// wanted reads a span of a JDF intent: what was settled on, else what is
// preferred, else a range that is one value.
func wanted[T any](span jdf.Node, parse func(string) (T, error), fault report) Fact[T] {
	for _, name := range []string{"Actual", "Preferred"} {
		if span.Has(name) {
			return Parsed(span, name, parse, fault)
		}
	}
	if r := span.Attr("Range"); r.Valid() && !strings.ContainsAny(r.Value(), "~ ") {
		return parsedAttr(r, parse, fault)
	}
	return Fact[T]{}
}

func asText(s string) (string, error)    { return strings.TrimSpace(s), nil }
func asWords(s string) ([]string, error) { return strings.Fields(s), nil }
