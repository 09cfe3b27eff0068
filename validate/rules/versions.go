package rules

import (
	"regexp"
	"slices"
	"strings"
	"sync"

	"quoin/jdf"
	"quoin/validate"
)

var versionChecks = []check{
	{
		Rule: &validate.Rule{
			ID: "schema/version-missing", Severity: validate.Warning, Mends: validate.Sender,
			Say: "the {root} does not say its Version; want one of {first} to {last}",
			Do:  "write the version that the document was made for",
			Why: "What is allowed depends on the version (JDF base conformance level). XJDF leaves it out more often " +
				"than not, as 123 of the samples of the standard do, and is not held to it; of messages the schema asks it.",
		},
		kinds: onlyJDF, fragment: asNote, run: versionMissing,
		Bad:  `<JDF ID="n" Type="Folding" JobID="4711"/>`,
		Good: `<JDF ID="n" Type="Folding" JobID="4711" Version="1.5"/>`,
	},
	{
		Rule: &validate.Rule{
			ID: "schema/max-version-below", Severity: validate.Error, Mends: validate.Sender,
			Say: "MaxVersion is {max}, below Version {version}",
			Do:  "raise MaxVersion to what the sender can take back, at least the ticket's own version",
			Why: "MaxVersion is the highest version that the sender can read (JDF base conformance level).",
		},
		kinds: firstGen, run: maxVersionBelow,
		Bad:  `<JDF ID="n" Type="Folding" JobID="4711" Version="1.5" MaxVersion="1.3"/>`,
		Good: `<JDF ID="n" Type="Folding" JobID="4711" Version="1.5" MaxVersion="1.5"/>`,
	},
	{
		Rule: &validate.Rule{
			ID: "schema/node-version-above", Severity: validate.Warning, Mends: validate.Sender,
			Say: "the node has Version {got}, above the MaxVersion {max} of the ticket",
			Do:  "write the node for version {max}, or raise MaxVersion of the root",
			Why: "The sender reads no node above the MaxVersion of the root (from memory: JDF 1.x, Structure chapter).",
		},
		kinds: onlyJDF, run: nodeVersionAbove,
		Bad: `<JDF ID="n" Type="Product" JobID="4711" Version="1.4" MaxVersion="1.5">
  <JDF ID="m" Type="Folding" Version="1.7"/>
</JDF>`,
		Good: `<JDF ID="n" Type="Product" JobID="4711" Version="1.4" MaxVersion="1.5">
  <JDF ID="m" Type="Folding" Version="1.5"/>
</JDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "schema/ics-form", Severity: validate.Warning, Mends: validate.Sender,
			Say: "the ICSVersions token {got|q} does not read name_Llevel-version",
			Do:  "write it as in Base_L1-1.4",
			Why: "A token names a conformance specification, a level and its version (conformance specifications, " +
				"ICSVersions).",
		},
		kinds: all, run: icsForm,
		Bad:  `<JDF ID="n" Type="Folding" JobID="4711" Version="1.4" ICSVersions="Base 1.4"/>`,
		Good: `<JDF ID="n" Type="Folding" JobID="4711" Version="1.4" ICSVersions="Base_L1-1.4"/>`,
	},
	{
		Rule: &validate.Rule{
			ID: "schema/ics-levels", Severity: validate.Warning, Mends: validate.Sender,
			Say: "ICSVersions claims two levels of {name}, {first|q} and {got|q}",
			Do:  "keep the level that the document follows",
			Why: "A document follows one level of each conformance specification (conformance specifications, " +
				"ICSVersions: the token of another level must not be written).",
		},
		kinds: all, run: icsLevels,
		Bad:  `<JDF ID="n" Type="Folding" JobID="4711" Version="1.4" ICSVersions="Base_L1-1.4 Base_L2-1.4"/>`,
		Good: `<JDF ID="n" Type="Folding" JobID="4711" Version="1.4" ICSVersions="Base_L2-1.4 JMF_L1-1.4"/>`,
	},
	{
		Rule: &validate.Rule{
			ID: "schema/ics-not-on-root", Severity: validate.Warning, Mends: validate.Sender,
			Say: "the node claims {got|q}, which the root does not",
			Do:  "add the token to ICSVersions of the root",
			Why: "The tokens of a node are some of those of the root (JDF base conformance level, ICSVersions).",
		},
		kinds: onlyJDF, fragment: asNote, run: icsNotOnRoot,
		Bad: `<JDF ID="n" Type="Product" JobID="4711" Version="1.4" ICSVersions="Base_L1-1.4">
  <JDF ID="m" Type="Folding" ICSVersions="JMF_L1-1.4"/>
</JDF>`,
		Good: `<JDF ID="n" Type="Product" JobID="4711" Version="1.4" ICSVersions="Base_L1-1.4">
  <JDF ID="m" Type="Folding" ICSVersions="Base_L1-1.4"/>
</JDF>`,
	},
}

func versionMissing(p *pass) {
	if root := p.doc.Root(); !root.Has("Version") {
		p.at(root.NamePlace(), fact("root", root.Local()), fact("first", jdf.FirstJDF), fact("last", jdf.LastJDF))
	}
}

func maxVersionBelow(p *pass) {
	root := p.doc.Root()
	most, err := jdf.ParseVersion(root.Get("MaxVersion"))
	if err == nil && !p.doc.Version.IsZero() && most.Compare(p.doc.Version) < 0 {
		p.atWith(root.Attr("MaxVersion").Place(), root.Attr("Version").Place(), "the version is here",
			fact("max", most), fact("version", p.doc.Version))
	}
}

func nodeVersionAbove(p *pass) {
	limit := p.doc.Root().Attr("MaxVersion")
	most, err := jdf.ParseVersion(limit.Value())
	if err != nil {
		return
	}
	for _, n := range p.index.nodes {
		v, err := jdf.ParseVersion(n.Get("Version"))
		if n.outer != nil && err == nil && v.Compare(most) > 0 {
			p.atWith(n.Attr("Version").Place(), limit.Place(), "the limit is here", fact("got", v), fact("max", most))
		}
	}
}

// icsToken is name, level and version of a conformance token.
var icsToken = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^([A-Za-z0-9_.-]+)_L([0-9]+)-([0-9]+\.[0-9]+)$`)
})

func icsForm(p *pass) {
	for a := range p.having("ICSVersions") {
		for _, token := range strings.Fields(a.Value()) {
			if !icsToken().MatchString(token) {
				p.at(a.Place(), fact("got", token))
			}
		}
	}
}

func icsLevels(p *pass) {
	for a := range p.having("ICSVersions") {
		first := map[string]string{}
		for _, token := range strings.Fields(a.Value()) {
			m := icsToken().FindStringSubmatch(token)
			if m == nil {
				continue
			}
			if before, taken := first[m[1]]; taken && before != token {
				p.at(a.Place(), fact("name", m[1]), fact("first", before), fact("got", token))
				continue
			}
			first[m[1]] = token
		}
	}
}

func icsNotOnRoot(p *pass) {
	root := p.doc.Root().Attr("ICSVersions")
	known := strings.Fields(root.Value())
	for _, n := range p.index.nodes {
		if n.outer == nil {
			continue
		}
		for _, token := range strings.Fields(n.Get("ICSVersions")) {
			if !slices.Contains(known, token) {
				p.atWith(n.Attr("ICSVersions").Place(), root.Place(), "those of the root",
					fact("got", token))
			}
		}
	}
}
