package rules

import (
	"maps"
	"regexp"
	"slices"
	"strings"
	"sync"

	"quoin/jdf"
	"quoin/jdf/value"
	"quoin/validate"
)

var separationChecks = []check{
	{
		Rule: &validate.Rule{
			ID: "process/separation-unknown", Severity: validate.Error, Mends: validate.Sender,
			Say: "the {resource} is for separation {name|q}, which the colorant control does not print{near}",
			Do:  "add it to ColorantParams, or correct the name",
			Why: "A separation is a process color, one of ColorantParams, or a reserved word such as All or Composite " +
				"(from memory: ColorantControl; partition key Separation).",
		},
		kinds: tickets, fragment: asNote, run: separationUnknown,
		Bad: `<XJDF JobID="4711" Types="ConventionalPrinting">
  <ResourceSet Name="ColorantControl" Usage="Input"><Resource>
    <ColorantControl ProcessColorModel="DeviceCMYK"/></Resource></ResourceSet>
  <ResourceSet Name="ExposedMedia" Usage="Input"><Resource>
    <Part Separation="Maroon"/><ExposedMedia MediaRef="P"/></Resource></ResourceSet>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="ConventionalPrinting">
  <ResourceSet Name="ColorantControl" Usage="Input"><Resource>
    <ColorantControl ProcessColorModel="DeviceCMYK"/></Resource></ResourceSet>
  <ResourceSet Name="ExposedMedia" Usage="Input"><Resource>
    <Part Separation="Magenta"/><ExposedMedia MediaRef="P"/></Resource></ResourceSet>
</XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/color-missing", Severity: validate.Warning, Mends: validate.Sender,
			Say: "the colorant {name|q} has no Color that says what it looks like",
			Do:  "add a Color with the name",
			Why: "For a process color the name says all; another colorant needs its values, for proof, ink and ink keys " +
				"(MIS to conventional printing conformance, Color). Asked where the ticket gives some colors.",
		},
		kinds: tickets, fragment: leftOut, run: colorMissing,
		Bad: `<XJDF JobID="4711" Types="ConventionalPrinting">
  <ResourceSet Name="ColorantControl" Usage="Input"><Resource>
    <ColorantControl ProcessColorModel="DeviceCMYK" ColorantParams="Gold Silver"/></Resource></ResourceSet>
  <ResourceSet Name="Color" Usage="Input"><Resource><Part Separation="Gold"/><Color/></Resource></ResourceSet>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="ConventionalPrinting">
  <ResourceSet Name="ColorantControl" Usage="Input"><Resource>
    <ColorantControl ProcessColorModel="DeviceCMYK" ColorantParams="Gold"/></Resource></ResourceSet>
  <ResourceSet Name="Color" Usage="Input"><Resource><Part Separation="Gold"/><Color/></Resource></ResourceSet>
</XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/plates-count", Severity: validate.Warning, Mends: validate.Sender,
			Say: "there are plates for {got}, and the order prints {want}",
			Do:  "add the missing plate, or take the separation out of ColorantOrder",
			Why: "Each separation of a side needs its plate. Plausibility, where all plates are for one sheet.",
		},
		kinds: tickets, fragment: leftOut, run: platesCount,
		Bad: `<XJDF JobID="4711" Types="ConventionalPrinting">
  <ResourceSet Name="ColorantControl" Usage="Input"><Resource>
    <ColorantControl ProcessColorModel="DeviceCMYK" ColorantOrder="Black Cyan"/></Resource></ResourceSet>
  <ResourceSet Name="ExposedMedia" Usage="Input"><Resource>
    <Part Side="Front" Separation="Black"/><ExposedMedia MediaRef="P"/></Resource></ResourceSet>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="ConventionalPrinting">
  <ResourceSet Name="ColorantControl" Usage="Input"><Resource>
    <ColorantControl ProcessColorModel="DeviceCMYK" ColorantOrder="Black"/></Resource></ResourceSet>
  <ResourceSet Name="ExposedMedia" Usage="Input"><Resource>
    <Part Side="Front" Separation="Black"/><ExposedMedia MediaRef="P"/></Resource></ResourceSet>
</XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/simplex-with-back", Severity: validate.Error, Mends: validate.Sender,
			Say: "the {resource} is for the back of a sheet that is printed Simplex",
			Do:  "choose a work style that prints both sides, or take the back out",
			Why: "A simplex sheet has no back (from memory: WorkStyle).",
		},
		kinds: tickets, run: simplexWithBack,
		Bad: `<XJDF JobID="4711" Types="ConventionalPrinting">
  <ResourceSet Name="ConventionalPrintingParams" Usage="Input"><Resource>
    <ConventionalPrintingParams WorkStyle="Simplex"/></Resource></ResourceSet>
  <ResourceSet Name="ExposedMedia" Usage="Input"><Resource>
    <Part Side="Back" Separation="Black"/><ExposedMedia MediaRef="P"/></Resource></ResourceSet>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="ConventionalPrinting">
  <ResourceSet Name="ConventionalPrintingParams" Usage="Input"><Resource>
    <ConventionalPrintingParams WorkStyle="Perfecting"/></Resource></ResourceSet>
  <ResourceSet Name="ExposedMedia" Usage="Input"><Resource>
    <Part Side="Back" Separation="Black"/><ExposedMedia MediaRef="P"/></Resource></ResourceSet>
</XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/turn-with-back", Severity: validate.Warning, Mends: validate.Sender,
			Say: "the plate is for the back of a sheet that is printed {style}, with one set of plates",
			Do:  "write Side=\"Front\" for the one set",
			Why: "Work styles with one set of plates use the front only (MIS to conventional printing conformance, " +
				"ExposedMedia).",
		},
		kinds: onlyXJDF, run: turnWithBack,
		Bad: `<XJDF JobID="4711" Types="ConventionalPrinting">
  <ResourceSet Name="ConventionalPrintingParams" Usage="Input"><Resource>
    <ConventionalPrintingParams WorkStyle="WorkAndTurn"/></Resource></ResourceSet>
  <ResourceSet Name="ExposedMedia" Usage="Input"><Resource>
    <Part Side="Back" Separation="Black"/><ExposedMedia MediaRef="P"/></Resource></ResourceSet>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="ConventionalPrinting">
  <ResourceSet Name="ConventionalPrintingParams" Usage="Input"><Resource>
    <ConventionalPrintingParams WorkStyle="WorkAndTurn"/></Resource></ResourceSet>
  <ResourceSet Name="ExposedMedia" Usage="Input"><Resource>
    <Part Side="Front" Separation="Black"/><ExposedMedia MediaRef="P"/></Resource></ResourceSet>
</XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/color-not-chosen", Severity: validate.Warning, Mends: validate.Sender,
			Say: "the plate is for {name|q}, a name that only holds the place of a color not yet chosen",
			Do:  "give the real name in Color/@ActualColorName before plates are made",
			Why: "Spot1 and the like stand for colors that are not known yet (MIS to conventional printing conformance, " +
				"ColorantControl); a plate needs the real one.",
		},
		kinds: onlyXJDF, run: colorNotChosen,
		Bad: `<XJDF JobID="4711" Types="ConventionalPrinting">
  <ResourceSet Name="ExposedMedia" Usage="Input"><Resource>
    <Part Separation="Spot1"/><ExposedMedia MediaRef="P"/></Resource></ResourceSet>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="ConventionalPrinting">
  <ResourceSet Name="Color" Usage="Input"><Resource>
    <Part Separation="Spot1"/><Color ActualColorName="Harbour Blue"/></Resource></ResourceSet>
  <ResourceSet Name="ExposedMedia" Usage="Input"><Resource>
    <Part Separation="Spot1"/><ExposedMedia MediaRef="P"/></Resource></ResourceSet>
</XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/ink-zone-range", Severity: validate.Error, Mends: validate.Sender,
			Say: "{name} holds {got}; want numbers between 0 and 1",
			Do:  "write parts of the full opening, not percent",
			Why: "An ink key is set between closed, 0, and fully open, 1 (from memory: InkZoneProfile).",
		},
		kinds: tickets, run: inkZoneRange,
		Bad: `<XJDF JobID="4711" Types="InkZoneCalculation"><ResourceSet Name="InkZoneProfile" Usage="Output"><Resource>
  <InkZoneProfile ZoneWidth="92" ZoneSettingsX="12 30 25"/>
</Resource></ResourceSet></XJDF>`,
		Good: `<XJDF JobID="4711" Types="InkZoneCalculation"><ResourceSet Name="InkZoneProfile" Usage="Output"><Resource>
  <InkZoneProfile ZoneWidth="92" ZoneSettingsX="0.12 0.3 0.25"/>
</Resource></ResourceSet></XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/varnish-plate-spot", Severity: validate.Error, Mends: validate.Sender,
			Say: "VarnishArea is Spot and VarnishMethod Plate; the conformance that the ticket claims rules that out",
			Do:  "choose another method or area, or drop the claim from ICSVersions",
			Why: "MIS to conventional printing conformance, VarnishingParams; asked of tickets that claim it.",
		},
		kinds: onlyXJDF, run: varnishPlateSpot,
		Bad: `<XJDF JobID="4711" Types="ConventionalPrinting Varnishing" ICSVersions="MIS-CP_L1-2.2">
  <ResourceSet Name="VarnishingParams" Usage="Input"><Resource>
    <VarnishingParams VarnishMethod="Plate" VarnishArea="Spot"/></Resource></ResourceSet>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="ConventionalPrinting Varnishing" ICSVersions="MIS-CP_L1-2.2">
  <ResourceSet Name="VarnishingParams" Usage="Input"><Resource>
    <VarnishingParams VarnishMethod="Blanket" VarnishArea="Spot"/></Resource></ResourceSet>
</XJDF>`,
	},
}

// reserved are the names of separations that are no colorants.
//
// From memory: partition key Separation of both generations.
var reserved = set("All", "Composite", "None", "Separated", "Unknown", "Varnish")

// printed lists what the colorant controls of a ticket print; ok is false when
// they leave it open.
func (p *pass) printed() (names map[string]bool, ok bool) {
	names = map[string]bool{}
	for _, c := range p.palettes() {
		if c.model == "DeviceN" || c.model == "" && len(c.order) == 0 {
			return nil, false
		}
		for _, n := range c.names() {
			names[n] = true
		}
		for _, s := range c.order {
			names[s.name] = true
		}
		for alias, to := range c.aliases {
			names[alias], names[to] = true, true
		}
	}
	return names, len(names) > 0
}

// platedUses walks the leaves of the resources that are split by separation
// and stand for a colorant.
func (p *pass) platedUses(visit func(u *use, c carrier, separation string)) {
	for _, u := range p.index.uses {
		if u.name != "ExposedMedia" && u.name != "InkZoneProfile" && u.name != "Ink" {
			continue
		}
		for c := range p.carriers(u) {
			if s := c.part("Separation"); s != "" {
				visit(u, c, s)
			}
		}
	}
}

func separationUnknown(p *pass) {
	names, ok := p.printed()
	if !ok {
		return
	}
	told := map[jdf.Place]bool{}
	p.platedUses(func(u *use, c carrier, name string) {
		at := c.partPlace("Separation")
		if !names[name] && !reserved[name] && !told[at] {
			told[at] = true
			p.at(at, fact("resource", u.name), fact("name", name), fact("near", p.near(name, keysOf(names))))
		}
	})
}

// partPlace is where a partition key of a carrier stands.
func (c carrier) partPlace(key string) jdf.Place {
	if !c.wrap.Is("Resource") {
		return inherited(c.Node, key).Place()
	}
	return c.wrap.Child("Part").Attr(key).Place()
}

func colorMissing(p *pass) {
	known := map[string]bool{}
	for color := range p.named("Color") {
		if r := color.Parent(); r.Is("Resource") {
			for part := range r.ChildrenNamed("Part") {
				known[part.Get("Separation")] = true
			}
			continue
		}
		known[color.Get("Name")] = true
	}
	if len(known) == 0 {
		return
	}
	for _, c := range p.palettes() {
		for _, s := range c.params {
			if !known[s.name] && !slices.Contains(c.process, s.name) && !reserved[s.name] && c.aliases[s.name] == "" &&
				processVectors[s.name] == (value.CMYKColor{}) {
				p.at(s.at, fact("name", s.name))
			}
		}
	}
}

func platesCount(p *pass) {
	palettes := p.palettes()
	if len(palettes) != 1 || len(palettes[0].order) == 0 {
		return // an order for each side or sheet is compared by separation alone
	}
	want := map[string]bool{}
	for _, s := range palettes[0].order {
		want[s.name] = true
	}
	for _, n := range p.index.nodes {
		got, sheets := map[string]bool{}, map[string]bool{}
		var at jdf.Place
		for _, u := range n.of("ExposedMedia") {
			for c := range p.carriers(u) {
				got[c.part("Separation")], sheets[c.part("SheetName")] = true, true
				at = u.NamePlace()
			}
		}
		if len(sheets) != 1 || got[""] || len(got) >= len(want) || !subset(got, want) {
			continue
		}
		p.atWith(at, palettes[0].order[0].at, "the order is here",
			fact("got", wordList(got)), fact("want", wordList(want)))
	}
}

func subset(a, b map[string]bool) bool {
	for k := range a {
		if !b[k] {
			return false
		}
	}
	return true
}

func wordList(m map[string]bool) string { return validate.Choices(slices.Collect(maps.Keys(m))) }

// backPlates walks the plates for the back of sheets that are printed in one
// of some work styles.
func (p *pass) backPlates(styles map[string]bool, found func(plate carrier, at jdf.Place, style jdf.Attr)) {
	for _, n := range p.index.nodes {
		bySheet := map[string]jdf.Attr{}
		for _, u := range n.of("ConventionalPrintingParams") {
			for c := range p.carriers(u) {
				if style := inherited(c.Node, "WorkStyle"); styles[style.Value()] {
					bySheet[c.part("SheetName")] = style
				}
			}
		}
		if len(bySheet) == 0 {
			continue
		}
		for _, u := range n.of("ExposedMedia") {
			for c := range p.carriers(u) {
				if c.part("Side") != "Back" {
					continue
				}
				style, ok := bySheet[c.part("SheetName")]
				if !ok {
					style, ok = bySheet[""]
				}
				if ok {
					found(c, c.partPlace("Side"), style)
				}
			}
		}
	}
}

// From memory: work styles that print one side, and those with one set of plates.
var (
	oneSided    = set("Simplex")
	onePlateSet = set("WorkAndTurn", "WorkAndTumble")
)

func simplexWithBack(p *pass) {
	told := map[jdf.Place]bool{}
	p.backPlates(oneSided, func(c carrier, at jdf.Place, style jdf.Attr) {
		if !told[at] {
			told[at] = true
			p.atWith(at, style.Place(), "the work style is here", fact("resource", c.Local()))
		}
	})
}

func turnWithBack(p *pass) {
	p.backPlates(onePlateSet, func(_ carrier, at jdf.Place, style jdf.Attr) {
		p.atWith(at, style.Place(), "the work style is here", fact("style", style.Value()))
	})
}

// provisional is a name such as Spot1.
//
// Source: MIS to conventional printing conformance, ColorantControl.
var provisional = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^Spot[0-9]+$`)
})

func colorNotChosen(p *pass) {
	chosen := map[string]bool{}
	for color := range p.named("Color") {
		if color.Get("ActualColorName") != "" {
			for part := range color.Parent().ChildrenNamed("Part") {
				chosen[part.Get("Separation")] = true
			}
		}
	}
	p.platedUses(func(u *use, c carrier, name string) {
		if u.name == "ExposedMedia" && provisional().MatchString(name) && !chosen[name] {
			p.at(c.partPlace("Separation"), fact("name", name))
		}
	})
}

func inkZoneRange(p *pass) {
	for a := range p.having("ZoneSettingsX", "ZoneSettingsY") {
		for f := range strings.FieldsSeq(a.Value()) {
			if v, err := value.ParseDouble(f); err == nil && (v < 0 || v > 1) {
				p.at(a.Place(), fact("name", attrName(a)), fact("got", f))
				break
			}
		}
	}
}

func varnishPlateSpot(p *pass) {
	claimed := false
	for token := range strings.FieldsSeq(p.doc.Root().Get("ICSVersions")) {
		claimed = claimed || strings.HasPrefix(token, "MIS-CP_")
	}
	for n := range p.named("VarnishingParams") {
		if claimed && n.Get("VarnishMethod") == "Plate" && n.Get("VarnishArea") == "Spot" {
			p.atWith(n.Attr("VarnishArea").Place(), n.Attr("VarnishMethod").Place(), "the method is here")
		}
	}
}
