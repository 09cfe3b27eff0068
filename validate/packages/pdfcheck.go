package packages

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"sync"

	"quoin/jdf"
	"quoin/jdf/value"
	"quoin/validate"
)

// rounding is what the sizes of a ticket and of a page may differ by, in
// points: programs round both to whole points, as in 595 x 842 for A4.
// Common practice, no source.
const rounding = 1

var (
	rulePDFUnreadable = refRule("pdf-unreadable", validate.Error,
		"the PDF {url|q} can not be read: {got}", "write the PDF anew and open it once before it is sent",
		"A PDF whose pages can not be found can not be printed (ISO 32000-2, section 7.7.3).")
	rulePDFSkipped = refRule("pdf-not-looked-into", validate.Note,
		"the PDF {url|q} was not compared with the job: {got}", "look at its pages by hand, or raise the limit",
		"A bound on size and time keeps one PDF from holding up all.")
	rulePDFPages = refRule("pdf-pages-too-few", validate.Error,
		"{attr} asks for {want} pages, and the PDF {url|q} has {got}",
		"send the PDF with all its pages, or ask for those it has",
		"A run list names the pages that are printed (RunList in the standard); those that the file does not "+
			"have stay empty.")
	rulePDFCount = refRule("pdf-pages-differ", validate.Warning,
		"FileSpec/@NPage is {want}, and the PDF {url|q} has {got} pages",
		"write the number of pages of the file that is sent",
		"A PDF with another number of pages is another version of the artwork (FileSpec in the standard).")
	rulePDFProduct = refRule("pdf-product-pages", validate.Warning,
		"the product has {want} pages, and the PDFs of the ticket have {got}",
		"send the missing pages, or correct the product",
		"Every page of the product needs artwork (LayoutIntent in the standard); blank pages are part of the PDF.")
	rulePDFTrimMissing = refRule("pdf-trim-missing", validate.Warning,
		"page {page} of the PDF {url|q} has no TrimBox, and the run list gives no SourceTrimBox{more}",
		"write the PDF with a TrimBox, as PDF/X does",
		"Without a TrimBox nobody can tell where the page is cut (ISO 15930, PDF/X, asks for one; ISO 32000-2, "+
			"section 14.11.2).")
	rulePDFTrim = refRule("pdf-trim-differs", validate.Warning,
		"page {page} of the PDF {url|q} is trimmed to {got} mm; want {want} mm{more}",
		"send artwork of the finished size, or correct the size in the ticket",
		"The TrimBox is the finished page (ISO 32000-2, section 14.11.2), which the product's size is, too "+
			"(LayoutIntent in the standard).")
	rulePDFBleed = refRule("pdf-bleed-missing", validate.Warning,
		"page {page} of the PDF {url|q} has {got} mm of bleed on the {side}; want {want} mm{more}",
		"send artwork that runs over the trim, with a BleedBox around it",
		"Colour that ends at the trim shows white edges when the knife is a little off (ISO 32000-2, section "+
			"14.11.2: BleedBox).")
	rulePDFBoxes = refRule("pdf-trim-outside", validate.Warning,
		"page {page} of the PDF {url|q} has a TrimBox that reaches out of its MediaBox{more}",
		"write the PDF with a MediaBox around the TrimBox",
		"The TrimBox lies within the MediaBox (ISO 32000-2, section 14.11.2); what is outside can not be printed.")
	rulePDFVersion = refRule("pdf-version-newer", validate.Warning,
		"FileSpec/@MimeTypeVersion is {want}, and the PDF {url|q} is of version {got}",
		"write the PDF in that version, or name the one it has",
		"A device that reads the version named may not read a newer one (FileSpec in the standard).")
)

var pdfRules = []*validate.Rule{
	rulePDFUnreadable, rulePDFSkipped, rulePDFPages, rulePDFCount, rulePDFProduct, rulePDFTrimMissing, rulePDFTrim,
	rulePDFBleed, rulePDFBoxes, rulePDFVersion,
}

// pdfsOf holds the PDFs of a ticket against its job.
func (c *check) pdfsOf(t *ticket, files []found) {
	said := map[string]bool{} // what is wrong with a file is told once, however often it is referred to
	total, complete := 0, 0
	var first found
	for _, f := range files {
		artwork := t.refs.artwork(f.ref.owner)
		switch {
		case f.pdf == nil:
			continue
		case f.pdf.problem != "":
			if !said[f.asset.key] {
				c.add(f.ref.at(rulePDFUnreadable, validate.F("got", f.pdf.problem)))
			}
		case f.pdf.skipped != "":
			if !said[f.asset.key] {
				c.add(f.ref.at(rulePDFSkipped, validate.F("got", f.pdf.skipped)))
			}
		default:
			c.version(f)
			c.fileCount(f)
			if artwork {
				if complete++; complete == 1 {
					first = f
				}
				total += c.pages(t, f)
			}
			if artwork && !said[f.asset.key] {
				c.boxes(t, f)
			}
		}
		said[f.asset.key] = true
	}
	if complete > 0 && complete == t.refs.artworks() {
		c.productPages(t, first, total)
	}
}

// fileCount compares the number of pages that a FileSpec gives its file.
func (c *check) fileCount(f found) {
	attr := f.ref.owner.Attr("NPage")
	n, err := strconv.Atoi(strings.TrimSpace(attr.Value()))
	if has := len(f.pdf.Pages); attr.Valid() && err == nil && n >= 0 && n != has {
		c.add(rulePDFCount.At(attr.Place(), validate.F("want", n), validate.F("got", has),
			validate.F("url", f.ref.attr.Value())))
	}
}

// pages compares what the run list asks for with what the file has, and tells
// how many pages the run list takes.
func (c *check) pages(t *ticket, f found) int {
	has := len(f.pdf.Pages)
	runList := t.refs.runList(f.ref.owner)
	tooFew := func(attr jdf.Attr, want int) {
		c.add(rulePDFPages.At(attr.Place(), validate.F("attr", "RunList/@"+attr.Local()), validate.F("want", want),
			validate.F("got", has), validate.F("url", f.ref.attr.Value())))
	}
	if attr := inheritedAttr(runList, "Pages"); attr.Valid() {
		list, err := parsePages(t.doc.Kind, attr.Value())
		if err != nil {
			return has // the structure stage tells
		}
		for _, r := range list {
			for _, i := range []int{r.First, r.Last} {
				if want := needed(i); want > has && i != math.MaxInt {
					tooFew(attr, want)
					return has
				}
			}
		}
		return list.Count(has)
	}
	if attr := inheritedAttr(runList, "NPage"); attr.Valid() {
		n, err := strconv.Atoi(strings.TrimSpace(attr.Value()))
		first, _ := strconv.Atoi(strings.TrimSpace(inheritedAttr(runList, "FirstPage").Value()))
		if err == nil && n > 0 && first >= 0 {
			if first+n > has {
				tooFew(attr, first+n)
			}
			return min(n, has)
		}
	}
	return has
}

// needed is how many pages a file has to have for an index, which counts from
// 0, or from -1 at the end.
func needed(i int) int {
	if i < 0 {
		return -i
	}
	if i == math.MaxInt {
		return 0
	}
	return i + 1
}

func parsePages(kind jdf.Kind, s string) (value.IntegerRangeList, error) {
	if kind.Second() {
		return value.ParseIntegerPairs(s)
	}
	return value.ParseIntegerRangeList(s)
}

// inheritedAttr is the attribute of a leaf or of the partitions around it. A
// number of pages of a whole run list is not one of each of its leaves.
func inheritedAttr(runList jdf.Node, name string) jdf.Attr {
	for n := runList; n.Is("RunList"); n = n.Parent() {
		if a := n.Attr(name); a.Valid() {
			return a
		}
		if name == "NPage" {
			break
		}
	}
	return jdf.Attr{}
}

// productPages compares all pages of the ticket with those of its one product.
func (c *check) productPages(t *ticket, first found, total int) {
	roots := t.job.RootProducts()
	if len(roots) != 1 || !roots[0].Pages.Given || total >= roots[0].Pages.Value {
		return
	}
	c.add(rulePDFProduct.At(roots[0].Pages.Place, validate.F("want", roots[0].Pages.Value), validate.F("got", total)).
		With(first.ref.attr.Place(), "the PDF is named here"))
}

var plainVersion = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^(?:PDF[/ -])?(\d)\.(\d)$`)
})

func (c *check) version(f found) {
	attr := f.ref.owner.Attr("MimeTypeVersion")
	want := plainVersion().FindStringSubmatch(strings.TrimSpace(attr.Value()))
	got := plainVersion().FindStringSubmatch(f.pdf.Version)
	if want == nil || got == nil || got[1]+got[2] <= want[1]+want[2] {
		return
	}
	c.add(rulePDFVersion.At(attr.Place(), validate.F("want", attr.Value()), validate.F("got", f.pdf.Version),
		validate.F("url", f.ref.attr.Value())))
}

// boxes compares the page boxes with the sizes and the bleed of the products.
// Each kind of finding is told once a file, at its first page.
func (c *check) boxes(t *ticket, f found) {
	want := wishesOf(t)
	runList := t.refs.runList(f.ref.owner)
	given, err := value.ParseRectangle(inheritedAttr(runList, "SourceTrimBox").Value())
	hasGiven := err == nil && given.Check() == nil
	var trimMissing, differs, bleed, outside tally
	var differing Box
	var short shortfall
	for i, page := range f.pdf.Pages {
		trim, known := page.Trim, page.HasTrim
		if hasGiven {
			trim, known = Box(given), true
		}
		if !known {
			trimMissing.at(i)
			continue
		}
		if !trim.Within(page.Media) {
			outside.at(i)
		}
		if len(want.sizes) > 0 && !want.fits(trim) && differs.at(i) {
			differing = trim
		}
		if s, ok := want.short(trim, page.Bleed.Meet(page.Media)); ok && bleed.at(i) {
			short = s
		}
	}
	c.tell(f, rulePDFTrimMissing, trimMissing, len(want.sizes) > 0)
	c.tell(f, rulePDFBoxes, outside, true)
	c.tell(f, rulePDFTrim, differs, true, validate.F("got", mm(differing.Width(), differing.Height())),
		validate.F("want", want.text()))
	c.tell(f, rulePDFBleed, bleed, true, validate.F("got", oneMM(short.got)), validate.F("want", oneMM(want.bleed)),
		validate.F("side", short.side))
}

// tally counts the pages of a finding.
type tally struct{ first, count int }

// at counts a page, by index, and reports whether it is the first.
func (t *tally) at(i int) bool {
	if t.count++; t.count == 1 {
		t.first = i
	}
	return t.count == 1
}

func (c *check) tell(f found, rule *validate.Rule, pages tally, wanted bool, facts ...validate.Fact) {
	if pages.count == 0 || !wanted {
		return
	}
	more := ""
	if pages.count > 1 {
		more = fmt.Sprintf(" (%d pages in all)", pages.count)
	}
	c.add(f.ref.at(rule, append(facts, validate.F("page", pages.first+1), validate.F("more", more))...))
}

// wishes is what the products of a ticket ask of a page.
type wishes struct {
	sizes []value.XYPair // finished and flat sizes, in points
	bleed float64        // in points; 0 when none is asked for
	bound bool           // one side lies in the spine, where no knife goes
}

func wishesOf(t *ticket) wishes {
	var w wishes
	for _, p := range t.job.Products {
		if p.Size.Given && p.Size.Value.X > 0 && p.Size.Value.Y > 0 {
			w.size(value.XYPair{X: p.Size.Value.X, Y: p.Size.Value.Y})
		}
		if p.Flat.Given {
			w.size(p.Flat.Value)
		}
		w.bleed = max(w.bleed, p.Bleed.Value.Points())
		w.bound = w.bound || p.Binding.Type.Given || p.Pages.Value > 4
	}
	return w
}

func (w *wishes) size(s value.XYPair) {
	for _, known := range w.sizes {
		if known == s {
			return
		}
	}
	w.sizes = append(w.sizes, s)
}

func (w wishes) fits(trim Box) bool {
	for _, s := range w.sizes {
		if math.Abs(trim.Width()-s.X) <= rounding && math.Abs(trim.Height()-s.Y) <= rounding {
			return true
		}
	}
	return false
}

func (w wishes) text() string {
	var all []string
	for _, s := range w.sizes {
		all = append(all, mm(s.X, s.Y))
	}
	return strings.ReplaceAll(validate.Choices(all), ", ", " or ")
}

// shortfall is the side with the least bleed, in points.
type shortfall struct {
	side string
	got  float64
}

// short finds a side with too little bleed. Of a bound piece one of left and
// right may be the spine.
func (w wishes) short(trim, bleed Box) (shortfall, bool) {
	if w.bleed <= 0 {
		return shortfall{}, false
	}
	left := shortfall{"left", trim.LLX - bleed.LLX}
	right := shortfall{"right", bleed.URX - trim.URX}
	if w.bound {
		if left.got < right.got {
			left = right
		} else {
			right = left
		}
	}
	for _, s := range []shortfall{left, right, {"foot", trim.LLY - bleed.LLY}, {"head", bleed.URY - trim.URY}} {
		if s.got < w.bleed-rounding {
			s.got = max(s.got, 0)
			return s, true
		}
	}
	return shortfall{}, false
}

func mm(x, y float64) string { return oneMM(x) + " x " + oneMM(y) }

// oneMM writes points as millimetres with one decimal at most.
func oneMM(points float64) string {
	text := strconv.FormatFloat(value.Length(points).MM(), 'f', 1, 64)
	return strings.TrimSuffix(text, ".0")
}
