package rules

import (
	"strings"

	"quoin/jdf"
	"quoin/validate"
)

var productChecks = []check{
	{
		Rule: &validate.Rule{
			ID: "process/product-list-missing", Severity: validate.Warning, Mends: validate.Sender,
			Say: "Types names Product, and there is no ProductList",
			Do:  "add the products, or take Product out of Types",
			Why: "Product in Types says that the ticket describes what the customer gets (from memory: XJDF 2.x, product " +
				"intent). 21 samples, which show other things, leave the list out.",
		},
		kinds: onlyXJDF, fragment: leftOut, run: productListMissing,
		Bad:  `<XJDF JobID="4711" Types="Product"/>`,
		Good: `<XJDF JobID="4711" Types="Product"><ProductList><Product/></ProductList></XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/product-orphan", Severity: validate.Warning, Mends: validate.Sender,
			Say: "the product {id|q} is neither delivered nor a part of another",
			Do:  "write IsRoot=\"true\", or name it in ChildRefs of the product that it is a part of",
			Why: "Every product is a root or is bound into one (from memory: XJDF 2.x, ProductList). Asked where some " +
				"product is marked as root.",
		},
		kinds: onlyXJDF, fragment: asNote, run: productOrphan,
		Bad: `<XJDF JobID="4711" Types="Product"><ProductList>
  <Product ID="book" IsRoot="true"/><Product ID="cover"/>
</ProductList></XJDF>`,
		Good: `<XJDF JobID="4711" Types="Product"><ProductList>
  <Product ID="book" IsRoot="true"><Intent Name="BindingIntent">
    <BindingIntent BindingType="SoftCover" ChildRefs="cover"/></Intent></Product>
  <Product ID="cover"/>
</ProductList></XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/product-part-is-root", Severity: validate.Error, Mends: validate.Sender,
			Say: "the product {id|q} is a root and a part of another",
			Do:  "drop IsRoot from the part, or the reference to it",
			Why: "A root is delivered by itself, a part is bound into another product (from memory: XJDF 2.x, ProductList).",
		},
		kinds: onlyXJDF, run: productPartIsRoot,
		Bad: `<XJDF JobID="4711" Types="Product"><ProductList>
  <Product ID="book" IsRoot="true"><Intent Name="BindingIntent">
    <BindingIntent BindingType="SoftCover" ChildRefs="cover"/></Intent></Product>
  <Product ID="cover" IsRoot="true"/>
</ProductList></XJDF>`,
		Good: `<XJDF JobID="4711" Types="Product"><ProductList>
  <Product ID="book" IsRoot="true"><Intent Name="BindingIntent">
    <BindingIntent BindingType="SoftCover" ChildRefs="cover"/></Intent></Product>
  <Product ID="cover" IsRoot="false"/>
</ProductList></XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/product-ring", Severity: validate.Error, Mends: validate.Sender,
			Say: "the product {id|q} is a part of itself",
			Do:  "take the reference out that leads back",
			Why: "A product can not be bound into one of its own parts (from memory: XJDF 2.x, ProductList).",
		},
		kinds: onlyXJDF, run: productRing,
		Bad: `<XJDF JobID="4711" Types="Product"><ProductList>
  <Product ID="a"><Intent Name="BindingIntent"><BindingIntent BindingType="SoftCover" ChildRefs="b"/></Intent></Product>
  <Product ID="b"><Intent Name="BindingIntent"><BindingIntent BindingType="SoftCover" ChildRefs="a"/></Intent></Product>
</ProductList></XJDF>`,
		Good: `<XJDF JobID="4711" Types="Product"><ProductList>
  <Product ID="a"><Intent Name="BindingIntent"><BindingIntent BindingType="SoftCover" ChildRefs="b"/></Intent></Product>
  <Product ID="b"/>
</ProductList></XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/product-output-missing", Severity: validate.Warning, Mends: validate.Sender,
			Say: "the Product node makes no component",
			Do:  "link the product as output Component",
			Why: "The schema notes that a product node has at least one output Component; amounts and deliveries hang on it.",
		},
		kinds: onlyJDF, fragment: leftOut, run: productOutputMissing,
		Bad: `<JDF ID="n" Type="Product" JobID="4711"/>`,
		Good: `<JDF ID="n" Type="Product" JobID="4711">
  <ResourcePool><Component ID="c" Class="Quantity" ComponentType="FinalProduct"/></ResourcePool>
  <ResourceLinkPool><ComponentLink rRef="c" Usage="Output"/></ResourceLinkPool>
</JDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/component-type", Severity: validate.Warning, Mends: validate.Sender,
			Say: "the {place} product makes a component of type {got|q}; want {want}",
			Do:  "write ComponentType=\"{want}\"",
			Why: "What the outermost product node makes is the final product, what those inside make are parts of it " +
				"(from memory: Component).",
		},
		kinds: onlyJDF, fragment: asNote, run: componentType,
		Bad: `<JDF ID="n" Type="Product" JobID="4711">
  <ResourcePool><Component ID="c" Class="Quantity" ComponentType="Sheet"/></ResourcePool>
  <ResourceLinkPool><ComponentLink rRef="c" Usage="Output"/></ResourceLinkPool>
</JDF>`,
		Good: `<JDF ID="n" Type="Product" JobID="4711">
  <ResourcePool><Component ID="c" Class="Quantity" ComponentType="FinalProduct Sheet"/></ResourcePool>
  <ResourceLinkPool><ComponentLink rRef="c" Usage="Output"/></ResourceLinkPool>
</JDF>`,
	},
}

func productListMissing(p *pass) {
	root := p.doc.Root()
	for _, t := range strings.Fields(root.Get("Types")) {
		if t == "Product" && !root.Child("ProductList").Valid() {
			p.at(root.Attr("Types").Place())
			return
		}
	}
}

// childRef is a part that a product names.
type childRef struct {
	attr jdf.Attr
	id   string
}

// childRefs lists the references of a product to its parts.
func childRefs(product jdf.Node) []childRef {
	var refs []childRef
	for intent := range product.ChildrenNamed("Intent") {
		for c := range intent.Children() {
			a := c.Attr("ChildRefs")
			for id := range strings.FieldsSeq(a.Value()) {
				refs = append(refs, childRef{a, id})
			}
		}
	}
	return refs
}

// parts finds the products that others refer to.
func (p *pass) parts() map[string]jdf.Attr {
	refs := map[string]jdf.Attr{}
	for r := range p.index.references {
		// ItemRef names what is delivered.
		if r.name() != "ItemRef" && r.target().Is("Product") {
			refs[r.id()] = r.attr()
		}
	}
	return refs
}

func productOrphan(p *pass) {
	refs := p.parts()
	marked := false
	for n := range p.named("Product") {
		marked = marked || n.Get("IsRoot") == "true"
	}
	for n := range p.named("Product") {
		if _, part := refs[n.Get("ID")]; marked && !part && n.Get("IsRoot") != "true" && n.Parent().Is("ProductList") {
			p.at(n.NamePlace(), fact("id", n.Get("ID")))
		}
	}
}

func productPartIsRoot(p *pass) {
	refs := p.parts()
	for n := range p.named("Product") {
		if ref, part := refs[n.Get("ID")]; part && n.Get("IsRoot") == "true" {
			p.atWith(n.Attr("IsRoot").Place(), ref.Place(), "a part here", fact("id", n.Get("ID")))
		}
	}
}

func productRing(p *pass) {
	const (
		open = 1 + iota
		done
	)
	state := map[jdf.Node]int{}
	var visit func(n jdf.Node)
	visit = func(n jdf.Node) {
		state[n] = open
		for _, r := range childRefs(n) {
			switch to := p.index.byID(r.id); {
			case !to.Is("Product"):
			case state[to] == open:
				p.at(r.attr.Place(), fact("id", r.id))
			case state[to] == 0:
				visit(to)
			}
		}
		state[n] = done
	}
	for n := range p.named("Product") {
		if state[n] == 0 {
			visit(n)
		}
	}
}

func productOutputMissing(p *pass) {
	for _, n := range p.index.nodes {
		if n.Get("Type") != "Product" {
			continue
		}
		made := false
		for _, u := range n.uses {
			made = made || u.name == "Component" && u.output()
		}
		if !made {
			p.at(n.Attr("Type").Place())
		}
	}
}

func componentType(p *pass) {
	for _, n := range p.index.nodes {
		if n.Get("Type") != "Product" {
			continue
		}
		place, want := "outermost", "FinalProduct"
		switch {
		case n.outer != nil:
			place, want = "inner", "PartialProduct"
		case p.spawned():
			continue // the outermost node has stayed behind
		}
		for _, u := range n.uses {
			kind := u.resource.Attr("ComponentType")
			if u.name == "Component" && u.output() && kind.Valid() && !contains(strings.Fields(kind.Value()), want) {
				p.atWith(kind.Place(), u.NamePlace(), "made here", fact("place", place), fact("got", kind.Value()),
					fact("want", want))
			}
		}
	}
}
