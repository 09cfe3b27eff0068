package job

import (
	"quoin/jdf"
	"quoin/jdf/value"
)

// mediaOf decodes a media leaf once; every use shares it.
func (d *decoder) mediaOf(l *leaf) *Media {
	if m, ok := d.media[l.node().Index()]; ok {
		return m
	}
	m := &Media{
		Node: l.node(), ID: Text(l.wrap, "ID"), Part: l.part, Stock: d.stock(l),
		Size: Parsed(l.with("Dimension"), "Dimension", value.ParseXYPair, d.fault),
	}
	if l.wrap != l.node() && l.wrap.Is("Resource") {
		m.Amounts = poolAmounts(l.wrap, "Amount", d.fault)
		m.Brand = First(m.Brand, Text(l.wrap, "Brand"))
	} else {
		m.Amounts.Good = number(l.with("Amount"), "Amount", d.fault)
	}
	if d.media == nil {
		d.media = map[int]*Media{}
	}
	d.media[l.node().Index()] = m
	return m
}

// stock reads the attributes that both generations give a paper.
func (d *decoder) stock(l *leaf) Stock {
	return Stock{
		Type:      Text(l.with("MediaType"), "MediaType"),
		Weight:    measure(l.with("Weight"), "Weight", d.fault),
		Thickness: measure(l.with("Thickness"), "Thickness", d.fault),
		FrontCoating: First(
			Text(l.with("Coating"), "Coating"), Text(l.with("FrontCoatings"), "FrontCoatings")),
		BackCoating: First(
			Text(l.with("BackCoating"), "BackCoating"), Text(l.with("BackCoatings"), "BackCoatings")),
		Grain: Text(l.with("GrainDirection"), "GrainDirection"),
		Quality: First(
			Text(l.with("MediaQuality"), "MediaQuality"), Text(l.with("StockType"), "StockType")),
		Brand: Text(l.with("Brand"), "Brand"),
	}
}

// componentOf decodes a component leaf once.
func (d *decoder) componentOf(l *leaf) *Component {
	if c, ok := d.components[l.node().Index()]; ok {
		return c
	}
	c := &Component{
		Node: l.node(),
		ID:   First(Text(l.wrap, "ID"), Text(l.wrap, "ExternalID")),
		Name: First(Text(l.with("DescriptiveName"), "DescriptiveName"), Text(l.wrap, "DescriptiveName")),
		Type: First(
			Text(l.with("ProductType"), "ProductType"), Text(l.with("ComponentType"), "ComponentType")),
		Part: l.part,
		Size: Parsed(l.with("Dimensions"), "Dimensions", value.ParseShape, d.fault),
	}
	if ref := l.with("MediaRef").Attr("MediaRef"); ref.Valid() {
		c.Media = d.mediaByID(ref.Value())
	} else if m := d.inner(l, "Media"); m.Valid() {
		c.Media = d.mediaOf(&leaves(m)[0])
	}
	if l.wrap.Is("Resource") {
		c.Amounts = poolAmounts(l.wrap, "Amount", d.fault)
	} else {
		c.Amounts.Good = number(l.with("Amount"), "Amount", d.fault)
	}
	if d.components == nil {
		d.components = map[int]*Component{}
	}
	d.components[l.node().Index()] = c
	return c
}

// mediaByID finds the media that an XJDF reference names.
func (d *decoder) mediaByID(id string) *Media {
	resource := d.byID(id)
	if !resource.Is("Resource") || !resource.Child("Media").Valid() {
		return nil
	}
	l := xjdfLeaf(resource, "Media")
	return d.mediaOf(&l)
}

// xjdfLeaf is what a Resource of a set of some kind holds. A change order may
// leave the specific element out.
func xjdfLeaf(resource jdf.Node, kind string) leaf {
	specific := resource.Child(kind)
	if !specific.Valid() {
		specific = resource
	}
	return leaf{level: level{element: specific}, wrap: resource, part: partOf(resource)}
}
