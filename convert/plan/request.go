package plan

import (
	"slices"
	"strconv"
	"strings"

	"github.com/shopspring/decimal"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/jdf/value"
	"quoin/validate"
	"quoin/validate/plant"
)

// most is the largest quantity that is planned, far above any run.
const most = 10_000_000

// leastSide is the shortest side of a piece that is laid on sheets. Nothing
// that is printed in sheets and cut is smaller.
const leastSide = 10 * plant.Millimetre

// request is what the ticket wants, read once and checked.
type request struct {
	job      *job.Job
	plant    *plant.Plant
	wanted   []*job.Product            // that are delivered
	origins  map[*job.Product][]origin // of products that were read off operations
	root     *job.Product
	kind     Kind
	quantity int
	page     plant.Size // finished, spine along the height
	stitches int
	parts    []*part // one for flat work
	items    []item  // several flat products
	fixed    constraints
	digital  bool   // digital presses alone
	hand     []task // after all machines, in the order of the ticket
	coverage decimal.Decimal
	costed   int // forms
	notes    []string
	findings []validate.Finding
}

// part is one stock and one set of colours: a flat piece, a cover or a body.
type part struct {
	name    string // "" for flat work
	product *job.Product
	pages   int
	cover   bool
	flat    plant.Size // open size of flat work
	bleed   plant.Length
	gutter  plant.Length
	front   side
	back    side
	stocks  []*plant.Stock
	fold    job.Fact[string]
	film    film
	die     bool // cut out with a die
	// numbered pieces differ from each other and are delivered in their order.
	numbered bool

	// Of a part that was read off operations; else empty.
	fixes    []sheetFix
	sections []int    // pages of each
	sheets   []string // names
}

// ink is what the press lays, coatings with it where it lays those too.
func (p *part) ink(coats bool) ink {
	return ink{
		front: p.front.colors, back: p.back.colors,
		coatFront: coats && p.front.coating != "", coatBack: coats && p.back.coating != "",
	}
}

// coating is what the sides are coated with, or "".
func (p *part) coating() string { return max(p.front.coating, p.back.coating) }

// side is the printing of one side.
type side struct {
	colors   []string
	coverage decimal.Decimal // percent of each colour
	told     bool            // the coverage is the ticket's
	coating  string          // aqueous, UV or none at all: ""
}

func (r *request) fail(rule *validate.Rule, at jdf.Place, facts ...validate.Fact) bool {
	r.findings = append(r.findings, rule.At(at, facts...))
	return false
}

// note adds an assumption once.
func (r *request) note(text string) {
	if !slices.Contains(r.notes, text) {
		r.notes = append(r.notes, text)
	}
}

// read takes the job in. It is false when it can not be planned; the findings
// say why.
func (r *request) read() bool {
	if !r.plannable() {
		return false
	}
	r.fixed = constraintsOf(r.job, r.kind)
	r.fixed.digital = r.digital
	if roots := r.wanted; len(roots) > 1 {
		return r.readItems(roots)
	}
	if r.kind == Flat {
		return r.readFlat()
	}
	// All that is missing is told at once.
	known := r.readQuantity()
	known = r.readSize() && known
	return r.readParts() && known
}

// readFlat reads the one sheet of flat work.
func (r *request) readFlat() bool {
	known := r.readQuantity()
	known = r.readSize() && known
	p, ok := r.readPart(r.root, "")
	if !ok || !known {
		return false
	}
	if p.flat, ok = r.openSize(); !ok {
		return false
	}
	r.parts = []*part{p}
	return true
}

func (r *request) readQuantity() bool {
	good := job.First(r.root.Amount.Good, r.root.Amount.Min)
	switch {
	case !good.Given:
		return r.fail(amountMissing, r.root.Node.NamePlace(), validate.F("product", label(r.root)))
	case good.Value.Sign() <= 0 || !measured(good.Value) || good.Value.GreaterThan(decimal.NewFromInt(most)):
		return r.fail(amountUnusable, good.Place, validate.F("product", label(r.root)),
			validate.F("got", short(good.Value)), validate.F("most", most))
	}
	r.quantity = int(good.Value.Ceil().IntPart())
	return true
}

// measured reports whether a number has as many digits as a quantity may have.
// Others, such as 1e-9999, come from no counter and cost much to compute with.
func measured(d decimal.Decimal) bool {
	const digits = 18
	return d.Exponent() >= -digits && d.Exponent() <= digits && d.NumDigits() <= 2*digits
}

// short is the number as it is shown in a finding.
func short(d decimal.Decimal) string {
	const most = 24
	s := d.String()
	if len(s) > most {
		return s[:most] + "..."
	}
	return s
}

// readSize finds the finished format. A book's may stand at its body.
func (r *request) readSize() bool {
	size := r.root.Size
	if r.kind != Flat {
		for _, p := range r.root.Parts {
			if !isCover(p) {
				size = job.First(size, p.Size)
			}
		}
	}
	r.page = plant.Size{Width: snap(size.Value.X), Height: snap(size.Value.Y)}
	if !size.Given || min(r.page.Width, r.page.Height) < leastSide {
		at := size.Place
		if !size.Given {
			at = r.root.Node.NamePlace()
		}
		return r.fail(sizeMissing, at, validate.F("product", label(r.root)))
	}
	// The spine lies along the height from here on.
	if s := r.root.Binding.Side.Value; r.kind != Flat && (s == "Top" || s == "Bottom") {
		r.page = r.page.Turned()
	}
	return true
}

// snap turns points into micrometres, and to the whole millimetre that is
// within the slack of tickets.
func snap(points float64) plant.Length {
	l := plant.FromTicket(value.Length(points))
	mm := (l + plant.Millimetre/2) / plant.Millimetre * plant.Millimetre
	if d := l - mm; d <= plant.Slack && -d <= plant.Slack {
		return mm
	}
	return l
}

// readParts takes a book apart: the parts of the product in their order, the
// cover first, or the product itself as its own cover. A glued book has a cover.
func (r *request) readParts() bool {
	products := slices.Clone(r.root.Parts)
	if len(products) == 0 {
		products = []*job.Product{r.root}
	}
	slices.SortStableFunc(products, func(a, b *job.Product) int { return boolRank(isCover(b)) - boolRank(isCover(a)) })
	for i, p := range products {
		name := job.First(p.Type, p.Name, p.ID).Or("Part" + strconv.Itoa(i+1))
		if p == r.root {
			name = "Body"
		}
		if i > 0 && isCover(p) && isCover(products[0]) {
			return r.fail(notPlanned, p.Node.NamePlace(), validate.F("work", "a book with two covers"))
		}
		next, ok := r.readPart(p, name)
		if !ok || !r.checkPages(next) {
			return false
		}
		r.parts = append(r.parts, next)
	}
	if r.kind == Glued && (!r.parts[0].cover || len(r.parts) < 2) {
		return r.fail(notPlanned, r.root.Binding.Type.Place,
			validate.F("work", "a soft-cover book without a cover and a body"))
	}
	return true
}

// checkPages reads the pages of a part: a stitched one comes in sheets that are
// folded at the spine, a glued one in leaves.
func (r *request) checkPages(p *part) bool {
	pages, of, binding := p.product.Pages, 4, "saddle stitching"
	if r.kind == Glued && !p.cover {
		of, binding = 2, "perfect binding"
	}
	name := validate.F("product", label(p.product))
	if p.cover && !pages.Given {
		p.pages = 4
		return true
	}
	switch {
	case !pages.Given:
		return r.fail(pagesMissing, p.product.Node.NamePlace(), name)
	case pages.Value <= 0 || pages.Value%of != 0:
		return r.fail(pagesNotMultiple, pages.Place, name, validate.F("pages", pages.Value), validate.F("of", of),
			validate.F("binding", binding), validate.F("next", max(of, (pages.Value+of-1)/of*of)))
	case p.cover && pages.Value != 4:
		return r.fail(notPlanned, pages.Place, validate.F("work", "a cover of "+strconv.Itoa(pages.Value)+" pages"))
	}
	p.pages = pages.Value
	return true
}

// readPart reads what flat work and the parts of a book have alike.
func (r *request) readPart(p *job.Product, name string) (*part, bool) {
	q := &part{
		name: name, product: p, cover: p != r.root && isCover(p), fold: p.Fold, pages: p.Pages.Value,
		numbered: r.kind == Flat && r.numbered(p),
	}
	bleed := job.First(p.Bleed, r.root.Bleed)
	q.bleed = r.plant.Bleed
	if bleed.Given {
		q.bleed = max(0, plant.FromTicket(bleed.Value))
	}
	if q.bleed > 0 {
		q.gutter = max(r.plant.Gutter, 2*q.bleed)
	}
	r.readFixes(q)
	r.readColors(q)
	if !r.readCoatings(q) || !r.readFilm(q) || !r.readDie(q) {
		return nil, false
	}
	if len(q.front.colors) == 0 {
		// One printed side is one printed side: the plan prints it as its front.
		q.front, q.back = q.back, q.front
		q.film.front, q.film.back = q.film.back, q.film.front
	}
	if len(q.front.colors) == 0 {
		return nil, r.fail(notPlanned, p.Node.NamePlace(), validate.F("work", "a part that is not printed"))
	}
	return q, r.readStocks(q)
}

// isCover goes by the type of a part, and by what the ticket calls it where it
// gives no type.
func isCover(p *job.Product) bool {
	return strings.Contains(strings.ToLower(job.First(p.Type, p.Name, p.ID).Value), "cover")
}

func boolRank(b bool) int {
	if b {
		return 1
	}
	return 0
}

// label names a product for a message.
func label(p *job.Product) string {
	return job.First(p.Name, p.Type, p.ID).Or("product")
}
