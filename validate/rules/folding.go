package rules

import (
	"math/bits"
	"regexp"
	"strconv"
	"strings"
	"sync"

	"quoin/jdf"
	"quoin/jdf/value"
	"quoin/validate"
)

var foldingChecks = []check{
	{
		Rule: &validate.Rule{
			ID: "process/fold-code-odd", Severity: validate.Error, Mends: validate.Sender,
			Say: "the fold code {got|q} is for {pages} pages; want an even number of 2 or more",
			Do:  "count both sides of each panel: a sheet folded once has 4 pages",
			Why: "The number in a fold code is that of the pages, two for each panel (from memory: fold catalogue; the " +
				"schema gives the form alone).",
		},
		kinds: tickets, run: foldCodeOdd,
		Bad: `<XJDF JobID="4711" Types="Folding"><ResourceSet Name="FoldingParams" Usage="Input"><Resource>
  <FoldingParams FoldCatalog="F15-2"/>
</Resource></ResourceSet></XJDF>`,
		Good: `<XJDF JobID="4711" Types="Folding"><ResourceSet Name="FoldingParams" Usage="Input"><Resource>
  <FoldingParams FoldCatalog="F16-2"/>
</Resource></ResourceSet></XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/fold-code-unknown", Severity: validate.Warning, Mends: validate.Sender,
			Say: "the fold code {got|q} is not in the fold catalogue; want {want}{hint}",
			Do:  "use a code of the catalogue, or write the folds out as Fold elements",
			Why: "A folder that does not find the code in the catalogue does not know how to fold (from memory: the " +
				"fold catalogue of both generations; a code with X leaves the scheme open).",
		},
		kinds: tickets, run: foldCodeUnknown,
		Bad: `<XJDF JobID="4711" Types="Folding"><ResourceSet Name="FoldingParams" Usage="Input"><Resource>
  <FoldingParams FoldCatalog="F4-9"/>
</Resource></ResourceSet></XJDF>`,
		Good: `<XJDF JobID="4711" Types="Folding"><ResourceSet Name="FoldingParams" Usage="Input"><Resource>
  <FoldingParams FoldCatalog="F4-1"/>
</Resource></ResourceSet></XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/fold-number-up", Severity: validate.Error, Mends: validate.Sender,
			Say: "the fold code {code|q} has {pages} pages, and NumberUp {got|q} makes {count}",
			Do:  "make NumberUp the panels of one side: columns, then rows",
			Why: "Each cell of a bindery signature holds two pages, front and back. Plausibility from the fold code.",
		},
		kinds: tickets, run: foldNumberUp,
		Bad: `<XJDF JobID="4711" Types="Stripping"><ResourceSet Name="BinderySignature" Usage="Input"><Resource>
  <BinderySignature BinderySignatureType="Fold" FoldCatalog="F16-6" NumberUp="2 2"/>
</Resource></ResourceSet></XJDF>`,
		Good: `<XJDF JobID="4711" Types="Stripping"><ResourceSet Name="BinderySignature" Usage="Input"><Resource>
  <BinderySignature BinderySignatureType="Fold" FoldCatalog="F16-6" NumberUp="4 2"/>
</Resource></ResourceSet></XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/fold-count", Severity: validate.Warning, Mends: validate.Sender,
			Say: "the fold code {code|q} needs {least} to {most} folds, and {got} are written out",
			Do:  "correct the code or the folds",
			Why: "A fold at most doubles the layers, and adds at least one panel: n panels take from log2 n to n-1 folds " +
				"(counted, no source).",
		},
		kinds: tickets, run: foldCount,
		Bad: `<XJDF JobID="4711" Types="Folding"><ResourceSet Name="FoldingParams" Usage="Input"><Resource>
  <FoldingParams FoldCatalog="F8-7"><Fold From="Left" To="Up" Travel="300"/></FoldingParams>
</Resource></ResourceSet></XJDF>`,
		Good: `<XJDF JobID="4711" Types="Folding"><ResourceSet Name="FoldingParams" Usage="Input"><Resource>
  <FoldingParams FoldCatalog="F8-7">
    <Fold From="Left" To="Up" Travel="300"/><Fold From="Front" To="Up" Travel="210"/>
  </FoldingParams>
</Resource></ResourceSet></XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/fold-outside", Severity: validate.Error, Mends: validate.Sender,
			Say: "the fold from {from} is at {got} points, and the sheet is {want} points that way",
			Do:  "correct Travel; it is measured from the edge that From names, in points",
			Why: "A fold lies inside the sheet (from memory: Fold). Plausibility.",
		},
		kinds: tickets, run: foldOutside,
		Bad: `<XJDF JobID="4711" Types="Folding">
  <ResourceSet Name="Component" Usage="Input"><Resource><Component Dimensions="595 842 0"/></Resource></ResourceSet>
  <ResourceSet Name="FoldingParams" Usage="Input"><Resource>
    <FoldingParams><Fold From="Left" To="Up" Travel="700"/></FoldingParams></Resource></ResourceSet>
</XJDF>`,
		Good: `<XJDF JobID="4711" Types="Folding">
  <ResourceSet Name="Component" Usage="Input"><Resource><Component Dimensions="595 842 0"/></Resource></ResourceSet>
  <ResourceSet Name="FoldingParams" Usage="Input"><Resource>
    <FoldingParams><Fold From="Front" To="Up" Travel="700"/></FoldingParams></Resource></ResourceSet>
</XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/page-twice", Severity: validate.Error, Mends: validate.Sender,
			Say: "page {page} of the signature is placed twice",
			Do:  "place each page once; pages count from 0",
			Why: "The cells of a signature hold its pages, each once (from memory: SignatureCell). Cells with a condition " +
				"of their own are left out.",
		},
		kinds: tickets, run: pageTwice,
		Bad: `<XJDF JobID="4711" Types="Stripping"><ResourceSet Name="BinderySignature" Usage="Input"><Resource>
  <BinderySignature BinderySignatureType="Grid" NumberUp="2 1">
    <SignatureCell FrontPages="3" BackPages="2"/><SignatureCell FrontPages="0" BackPages="3"/>
  </BinderySignature>
</Resource></ResourceSet></XJDF>`,
		Good: `<XJDF JobID="4711" Types="Stripping"><ResourceSet Name="BinderySignature" Usage="Input"><Resource>
  <BinderySignature BinderySignatureType="Grid" NumberUp="2 1">
    <SignatureCell FrontPages="3" BackPages="2"/><SignatureCell FrontPages="0" BackPages="1"/>
  </BinderySignature>
</Resource></ResourceSet></XJDF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "process/fold-pages-differ", Severity: validate.Warning, Mends: validate.Sender,
			Say: "the product has {got} pages, and is folded by {code|q}, which makes {want}",
			Do:  "correct Pages or FoldCatalog",
			Why: "A folded product that is not bound has the pages of its fold code. Plausibility.",
		},
		kinds: tickets, run: foldPagesDiffer,
		Bad: `<XJDF JobID="4711" Types="Product"><ProductList><Product>
  <Intent Name="LayoutIntent"><LayoutIntent Pages="8"/></Intent>
  <Intent Name="FoldingIntent"><FoldingIntent FoldCatalog="F6-1"/></Intent>
</Product></ProductList></XJDF>`,
		Good: `<XJDF JobID="4711" Types="Product"><ProductList><Product>
  <Intent Name="LayoutIntent"><LayoutIntent Pages="6"/></Intent>
  <Intent Name="FoldingIntent"><FoldingIntent FoldCatalog="F6-1"/></Intent>
</Product></ProductList></XJDF>`,
	},
}

// foldCode takes a code such as F16-6 apart.
//
// Source: XJDF schema, type FoldCatalog.
var foldCode = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^F([0-9]{1,4})-([0-9]{1,4}|X)$`)
})

// foldSchemes is the number of schemes that the fold catalogue has for each
// number of pages. The schemes F4-2, F6-7, F8-7, F10-3, F12-14, F16-14, F18-7,
// F20-1, F24-10, F28-1, F32-8, F36-2, F40-1, F48-1 and F64-2 are seen in the
// published samples and artwork.
//
// From memory: the fold catalogue of JDF 1.x for the highest schemes.
var foldSchemes = map[int]int{
	2: 1, 4: 2, 6: 8, 8: 7, 10: 3, 12: 14, 14: 1, 16: 14, 18: 9, 20: 2, 24: 11, 28: 1, 30: 1, 32: 9, 36: 2, 40: 1,
	48: 2, 64: 2,
}

// foldPages is the number of pages of a fold code; ok is false for what is no code.
func foldPages(code string) (pages int, scheme string, ok bool) {
	m := foldCode().FindStringSubmatch(strings.TrimSpace(code))
	if m == nil {
		return 0, "", false
	}
	pages, _ = strconv.Atoi(m[1])
	return pages, m[2], true
}

func foldCodeOdd(p *pass) {
	for a := range p.having("FoldCatalog") {
		if pages, _, ok := foldPages(a.Value()); ok && (pages < 2 || pages%2 != 0) {
			p.at(a.Place(), fact("got", a.Value()), fact("pages", pages))
		}
	}
}

func foldCodeUnknown(p *pass) {
	for a := range p.having("FoldCatalog") {
		pages, scheme, ok := foldPages(a.Value())
		number, _ := strconv.Atoi(scheme)
		schemes := foldSchemes[pages]
		switch {
		case !ok && p.doc.Kind.First():
			p.at(a.Place(), fact("got", a.Value()), fact("want", "a code such as F16-6"),
				fact("hint", foldHint(a.Value())))
		case !ok || pages < 2 || pages%2 != 0 || scheme == "X":
		case schemes == 0:
			p.at(a.Place(), fact("got", a.Value()), fact("want", "another number of pages, such as F16-6 or F16-X"),
				fact("hint", ""))
		case number < 1 || number > schemes:
			want := "F" + strconv.Itoa(pages) + "-1"
			if schemes > 1 {
				want += " to F" + strconv.Itoa(pages) + "-" + strconv.Itoa(schemes)
			}
			p.at(a.Place(), fact("got", a.Value()), fact("want", want), fact("hint", ""))
		}
	}
}

// foldHint is the code that a misspelt one means: F, the pages and the scheme,
// whatever stands between them.
func foldHint(code string) string {
	numbers := strings.FieldsFunc(code, func(r rune) bool { return r < '0' || r > '9' })
	if len(numbers) != 2 || len(code) > len("F 00 - 00") {
		return ""
	}
	near := "F" + strings.Join(numbers, "-")
	pages, scheme, ok := foldPages(near)
	if number, err := strconv.Atoi(scheme); !ok || err != nil || number < 1 || number > foldSchemes[pages] {
		return ""
	}
	return "; did you mean " + near + "?"
}

func foldNumberUp(p *pass) {
	for n := range p.named("BinderySignature") {
		code, up := n.Attr("FoldCatalog"), n.Attr("NumberUp")
		pages, _, ok := foldPages(code.Value())
		pair, err := value.ParseXYPair(up.Value())
		if !ok || err != nil || !up.Valid() || pages%2 != 0 {
			continue
		}
		if count := 2 * pair.X * pair.Y; count != float64(pages) {
			p.atWith(up.Place(), code.Place(), "the code is here", fact("code", code.Value()), fact("pages", pages),
				fact("got", up.Value()), fact("count", count))
		}
	}
}

func foldCount(p *pass) {
	for n := range p.named("FoldingParams") {
		code := inherited(n, "FoldCatalog")
		pages, _, ok := foldPages(code.Value())
		folds := 0
		for range n.ChildrenNamed("Fold") {
			folds++
		}
		panels := pages / 2
		if !ok || folds == 0 || panels < 1 {
			continue
		}
		least, most := bits.Len(uint(panels-1)), panels-1
		if folds < least || folds > most {
			p.atWith(n.Child("Fold").NamePlace(), code.Place(), "the code is here", fact("code", code.Value()),
				fact("least", least), fact("most", most), fact("got", folds))
		}
	}
}

func foldOutside(p *pass) {
	for _, u := range p.index.uses {
		if u.name != "FoldingParams" {
			continue
		}
		size, at, known := sheetSize(u.node, p)
		if !known {
			continue
		}
		for c := range p.carriers(u) {
			for fold := range c.ChildrenNamed("Fold") {
				a := fold.Attr("Travel")
				travel, err := value.ParseDouble(a.Value())
				from, length := fold.Get("From"), size.X
				if from == "Front" {
					length = size.Y
				}
				if !a.Valid() || err != nil || travel > 0 && travel < length || !upright(c) {
					continue
				}
				p.atWith(a.Place(), at, "the sheet is here", fact("from", from), fact("got", a.Value()),
					fact("want", value.FormatDouble(length)))
			}
		}
	}
}

// upright reports whether a resource lies as it was made; the axes of one that
// is turned are not those of the sheet.
func upright(c carrier) bool {
	turned := func(n jdf.Node) bool {
		o := n.Get("Orientation")
		return n.Has("Transformation") || o != "" && o != "Rotate0"
	}
	return !turned(c.Node) && !turned(c.wrap)
}

func pageTwice(p *pass) {
	for n := range p.named("BinderySignature") {
		seen := map[int]jdf.Attr{}
		for cell := range n.ChildrenNamed("SignatureCell") {
			if cell.Child("CellCondition").Valid() || cell.Has("StationName") || cell.Has("SectionIndex") {
				continue
			}
			for _, name := range []string{"FrontPages", "BackPages"} {
				p.pages(cell.Attr(name), seen)
			}
		}
	}
}

// pages takes the pages of one side of a cell. A page that several cells of a
// multi-page cell share is listed once in a side.
func (p *pass) pages(a jdf.Attr, seen map[int]jdf.Attr) {
	for f := range strings.FieldsSeq(a.Value()) {
		page, err := strconv.Atoi(f)
		if err != nil {
			continue
		}
		if before, taken := seen[page]; taken {
			p.atWith(a.Place(), before.Place(), "placed here already", fact("page", page))
			continue
		}
		seen[page] = a
	}
}

func foldPagesDiffer(p *pass) {
	for _, product := range p.job.Products {
		pages, _, ok := foldPages(product.Fold.Value)
		// Two pages are the sides of the sheet before folding, as samples count them.
		told := product.Pages.Given && product.Pages.Value != 2
		flat := !product.Binding.Type.Given && len(product.Parts) == 0
		if ok && told && flat && product.Pages.Value != pages {
			p.atWith(product.Pages.Place, product.Fold.Place, "the fold is here", fact("got", product.Pages.Value),
				fact("code", product.Fold.Value), fact("want", pages))
		}
	}
}
