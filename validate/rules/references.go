package rules

import (
	"maps"
	"slices"
	"strings"

	"quoin/jdf"
	"quoin/validate"
)

var referenceChecks = []check{
	{
		Rule: &validate.Rule{
			ID: "ref/dangling", Severity: validate.Error, Mends: validate.Sender,
			Say: "{attr} names {id|q}, and nothing in the ticket has that ID{near}",
			Do:  "add what is missing, or name what is there",
			Why: "A reference leads to an element of the same document (the schemas' types IDREF and IDREFS); " +
				"a device can not work with what it can not find.",
		},
		kinds: tickets, fragment: asNote, run: dangling,
		Bad: `<XJDF JobID="4711" Types="Cutting">
  <ResourceSet Name="Component" Usage="Input">
    <Resource><Component MediaRef="Paper1"/></Resource>
  </ResourceSet>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="Cutting">
  <ResourceSet Name="Component" Usage="Input">
    <Resource><Component MediaRef="Paper1"/></Resource>
  </ResourceSet>
  <ResourceSet Name="Media">
    <Resource ID="Paper1"><Media MediaType="Paper"/></Resource>
  </ResourceSet>
</XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "ref/wrong-resource", Severity: validate.Error, Mends: validate.Sender,
			Say: "{name} refers to {id|q}, which is {article} {got}; want {want}",
			Do:  "link the {want}, or use {got}{suffix}",
			Why: "The name before Link or Ref says what the link leads to (from memory: JDF 1.x, Structure chapter, " +
				"resource links; no sample breaks it outside capability files).",
		},
		kinds: onlyJDF, run: wrongResource,
		Bad: `<JDF ID="n" Type="Folding" JobID="4711">
  <ResourcePool><Component ID="c1" Class="Quantity"/></ResourcePool>
  <ResourceLinkPool><MediaLink rRef="c1" Usage="Input"/></ResourceLinkPool>
</JDF>`,
		Good: `<JDF ID="n" Type="Folding" JobID="4711">
  <ResourcePool><Component ID="c1" Class="Quantity"/></ResourcePool>
  <ResourceLinkPool><ComponentLink rRef="c1" Usage="Input"/></ResourceLinkPool>
</JDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "ref/wrong-target", Severity: validate.Error, Mends: validate.Sender,
			Say: "{attr} refers to {id|q}, which is {got}; want {want}",
			Do:  "refer to a resource of the kind that the attribute is named after",
			Why: "The name of a reference says what it leads to (attribute names of the XJDF schema; from memory for " +
				"ItemRef and ChildRefs).",
		},
		kinds: onlyXJDF, run: wrongTarget,
		Bad: `<XJDF JobID="4711" Types="Cutting">
  <ResourceSet Name="Component">
    <Resource><Component MediaRef="R1"/></Resource>
  </ResourceSet>
  <ResourceSet Name="Ink"><Resource ID="R1"><Ink/></Resource></ResourceSet>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="Cutting">
  <ResourceSet Name="Component">
    <Resource><Component MediaRef="R1"/></Resource>
  </ResourceSet>
  <ResourceSet Name="Media"><Resource ID="R1"><Media MediaType="Paper"/></Resource></ResourceSet>
</XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "ref/wrong-media-type", Severity: validate.Warning, Mends: validate.Sender,
			Say: "{attr} refers to {id|q}, whose MediaType is {got|q}; want {want}",
			Do:  "refer to the medium that is meant",
			Why: "PlateRef and FilmRef name what the image is set on, PaperRef what is printed on (from memory: " +
				"XJDF 2.x, Resources chapter, Layout).",
		},
		kinds: onlyXJDF, run: wrongMediaType,
		Bad: `<XJDF JobID="4711" Types="Stripping">
  <ResourceSet Name="Layout" Usage="Output">
    <Resource><Layout PlateRef="M1"/></Resource>
  </ResourceSet>
  <ResourceSet Name="Media"><Resource ID="M1"><Media MediaType="Paper"/></Resource></ResourceSet>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="Stripping">
  <ResourceSet Name="Layout" Usage="Output">
    <Resource><Layout PlateRef="M1"/></Resource>
  </ResourceSet>
  <ResourceSet Name="Media"><Resource ID="M1"><Media MediaType="Plate"/></Resource></ResourceSet>
</XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "ref/out-of-scope", Severity: validate.Error, Mends: validate.Sender,
			Say: "{name} refers to {id|q}, whose pool belongs to a node that does not enclose this one",
			Do:  "move the resource to the pool of a node around both",
			Why: "A node sees the resources of its own pool and of the nodes around it, not of its siblings or " +
				"children (from memory: JDF 1.x, Structure chapter, resource links; no sample breaks it).",
		},
		kinds: onlyJDF, run: outOfScope,
		Bad: `<JDF ID="n" Type="Product" JobID="4711">
  <JDF ID="a" Type="Cutting"><ResourcePool><Component ID="c1" Class="Quantity"/></ResourcePool></JDF>
  <JDF ID="b" Type="Folding">
    <ResourceLinkPool><ComponentLink rRef="c1" Usage="Input"/></ResourceLinkPool>
  </JDF>
</JDF>`,
		Good: `<JDF ID="n" Type="Product" JobID="4711">
  <ResourcePool><Component ID="c1" Class="Quantity"/></ResourcePool>
  <JDF ID="b" Type="Folding">
    <ResourceLinkPool><ComponentLink rRef="c1" Usage="Input"/></ResourceLinkPool>
  </JDF>
</JDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "ref/ring", Severity: validate.Error, Mends: validate.Sender,
			Say: "{attr} names {id|q}, which leads back to the resource that the reference stands in",
			Do:  "take out one of the references",
			Why: "A resource that holds itself can not be resolved (from memory: JDF 1.x and XJDF 2.x, Structure " +
				"chapter, references).",
		},
		kinds: tickets, run: ring,
		Bad: `<JDF ID="n" Type="Stripping" JobID="4711">
  <ResourcePool>
    <Layout ID="L" Class="Parameter"><MediaRef rRef="M"/></Layout>
    <Media ID="M" Class="Consumable"><LayoutRef rRef="L"/></Media>
  </ResourcePool>
</JDF>`,
		Good: `<JDF ID="n" Type="Stripping" JobID="4711">
  <ResourcePool>
    <Layout ID="L" Class="Parameter"><MediaRef rRef="M"/></Layout>
    <Media ID="M" Class="Consumable"/>
  </ResourcePool>
</JDF>`,
	},
}

func dangling(p *pass) {
	for r := range p.index.references {
		if !r.target().Valid() {
			p.at(r.attr().Place(), fact("attr", attrName(r.attr())), fact("id", r.id()),
				fact("near", p.near(r.id(), p.index.ids.few)))
		}
	}
}

// near offers the name that was meant, if one of those known is near. It does
// so some hundred times: for each of many findings it would take longer than
// the check.
func (p *pass) near(got string, known func() []string) string {
	const mostHints = 100
	p.hints++
	if p.hints > mostHints {
		return ""
	}
	names := slices.Sorted(slices.Values(known()))
	names = slices.DeleteFunc(names, func(s string) bool { return s == got }) // of the other generation
	if near := validate.Nearest(got, names); near != "" {
		return "; did you mean " + near + "?"
	}
	return ""
}

// mostNear is how many names are looked through for a near one.
const mostNear = 1000

// keysOf lists the keys of a map when somebody asks, or none when there are so
// many that looking for a near one would take long.
func keysOf[T any](m map[string]T) func() []string {
	return func() []string {
		if len(m) > mostNear {
			return nil
		}
		return slices.Collect(maps.Keys(m))
	}
}

func wrongResource(p *pass) {
	for r := range p.index.references {
		want, suffix, ok := linkTarget(r)
		target := r.target()
		if !ok || !target.Valid() || target.Local() == want {
			continue
		}
		p.atWith(r.attr().Place(), target.NamePlace(), "the resource is here",
			fact("name", r.owner().Local()), fact("id", r.id()), fact("article", article(target.Local())),
			fact("got", target.Local()), fact("want", want), fact("suffix", suffix))
	}
}

// linkTarget is the resource that a link or reference element is named after.
func linkTarget(r reference) (name, suffix string, ok bool) {
	if r.name() != "rRef" {
		return "", "", false
	}
	for _, suffix := range []string{"Link", "Ref"} {
		if name, ok := strings.CutSuffix(r.owner().Local(), suffix); ok && name != "" {
			return name, suffix, true
		}
	}
	return "", "", false
}

// targetKinds says what each typed reference of XJDF leads to.
// Source: the attribute names of the published XJDF schema.
// From memory: the Resources chapter for ItemRef and ChildRefs.
var targetKinds = map[string][]string{
	"MediaRef": {"Media"}, "PaperRef": {"Media"}, "ProofPaperRef": {"Media"}, "PlateRef": {"Media"},
	"FilmRef": {"Media"}, "DieLayoutRef": {"DieLayout"}, "ContentRef": {"Content"}, "ContentRefs": {"Content"},
	"RunListRef": {"RunList"}, "ShapeDefRef": {"ShapeDef"}, "ToolRef": {"Tool"}, "ContactRef": {"Contact"},
	"ContactRefs": {"Contact"}, "ComponentRef": {"Component"}, "ChildRefs": {"Product"},
	"ItemRef": {"Component", "Product"},
}

func wrongTarget(p *pass) {
	for r := range p.index.references {
		want, target := targetKinds[r.name()], r.target()
		got := specific(target)
		if want == nil || got == "" || slices.Contains(want, got) {
			continue
		}
		p.atWith(r.attr().Place(), target.NamePlace(), "it is here",
			fact("attr", attrName(r.attr())), fact("id", r.id()),
			fact("got", article(got)+" "+got), fact("want", strings.Join(want, " or ")))
	}
}

// specific is what a referenced XJDF element is: the resource inside a
// Resource, or the element itself. A Resource that holds nothing may be of any
// kind but for the name of its set.
func specific(n jdf.Node) string {
	if !n.Is("Resource") {
		return n.Local()
	}
	if c := held(n); c.Valid() {
		return c.Local()
	}
	return n.Parent().Get("Name")
}

// mediaTypes says what a reference to Media may lead to; an empty list means
// anything but what the image is set on.
var mediaTypes = map[string][]string{
	"PlateRef": {"Plate", "GravureCylinder", "ImagingCylinder", "Screen", "Sleeve"},
	"FilmRef":  {"Film"},
	"PaperRef": nil,
}

func wrongMediaType(p *pass) {
	for r := range p.index.references {
		want, known := mediaTypes[r.name()]
		if !known {
			continue
		}
		kind := r.target().Child("Media").Attr("MediaType")
		if !kind.Valid() {
			continue
		}
		words := "one of " + validate.Choices(want)
		bad := !slices.Contains(want, kind.Value())
		if want == nil {
			words = "what is printed on, such as Paper"
			bad = slices.Contains(mediaTypes["PlateRef"], kind.Value()) || kind.Value() == "Film" ||
				kind.Value() == "Blanket"
		}
		if bad {
			p.atWith(r.attr().Place(), kind.Place(), "the medium is here", fact("attr", attrName(r.attr())),
				fact("id", r.id()), fact("got", kind.Value()), fact("want", words))
		}
	}
}

func outOfScope(p *pass) {
	for r := range p.index.references {
		link, target := r.owner(), r.target()
		if r.name() != "rRef" || !target.Valid() || up(link, "AuditPool").Valid() {
			continue
		}
		if owner := up(target, "JDF"); owner.Valid() && !encloses(owner, link) {
			p.atWith(r.attr().Place(), target.NamePlace(), "the resource is here",
				fact("name", link.Local()), fact("id", r.id()))
		}
	}
}

func encloses(outer, n jdf.Node) bool {
	for ; n.Valid(); n = n.Parent() {
		if n == outer {
			return true
		}
	}
	return false
}

// ring follows references from resource to resource. Links are no part of it:
// they lead from a node to a resource.
func ring(p *pass) {
	x := p.index
	x.marks = cleared(x.marks, p.doc.Len())
	refersOn := x.marks // only what refers on can be in a ring
	for r := range p.index.references {
		if from := holder(r.owner()); from.Valid() {
			refersOn[from.Index()] = true
		}
	}
	leads := map[jdf.Node][]reference{}
	for r := range p.index.references {
		to := r.target()
		if !to.Valid() || !refersOn[to.Index()] {
			continue
		}
		from := holder(r.owner())
		// An anchor names what it is placed by; to name something inside a resource is not to hold the resource.
		if from.Valid() && holder(to) == to && !r.owner().Is("RefAnchor") {
			leads[from] = append(leads[from], r)
		}
	}
	if len(leads) == 0 {
		return
	}
	const (
		open = 1 + iota
		done
	)
	state := map[jdf.Node]int{}
	var visit func(n jdf.Node)
	visit = func(n jdf.Node) {
		state[n] = open
		for _, r := range leads[n] {
			switch to := r.target(); state[to] {
			case open:
				p.at(r.attr().Place(), fact("attr", attrName(r.attr())), fact("id", r.id()))
			case 0:
				visit(to)
			}
		}
		state[n] = done
	}
	for r := range p.index.references {
		if from := holder(r.owner()); leads[from] != nil && state[from] == 0 {
			visit(from)
		}
	}
}

// holder is the resource that an element is, or stands in.
func holder(n jdf.Node) jdf.Node {
	for ; n.Valid(); n = n.Parent() {
		if n.Parent().Is("ResourcePool") || n.Is("Resource") {
			return n
		}
	}
	return jdf.Node{}
}
