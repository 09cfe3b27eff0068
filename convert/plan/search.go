package plan

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/shopspring/decimal"

	"quoin/jdf/job"
	"quoin/validate"
	"quoin/validate/plant"
)

// Options are what planning needs beside the ticket and the plant file.
type Options struct {
	// Alternatives is how many ways beside the best are kept. Default 3.
	Alternatives int
}

func (o Options) orDefault() Options {
	if o.Alternatives <= 0 {
		o.Alternatives = 3
	}
	return o
}

// Make plans a job in a plant. The plan is nil when there is none; the findings
// of Rules say why, at the place in the ticket that stands against it. Findings
// beside a plan are warnings. The same job and plant give the same plan.
func Make(j *job.Job, p *plant.Plant, opt Options) (*Plan, []validate.Finding) {
	opt = opt.orDefault()
	r := &request{job: j, plant: p, coverage: p.Coverage}
	if !r.read() {
		return nil, r.errors()
	}
	s := &search{request: r, count: tally{}, best: map[string]way{}}
	switch {
	case len(r.items) > 1:
		s.several()
	case r.kind == Stitched:
		s.stitched()
	case r.kind == Glued:
		s.glued()
	default:
		s.flat()
	}
	ranked := s.ranked()
	if len(ranked) == 0 {
		r.fail(noPlan, r.root.Node.NamePlace(), validate.F("plant", p.Name),
			validate.F("product", label(r.root)), validate.F("reasons", s.reasons()))
		return nil, r.errors()
	}
	return s.plan(ranked, opt.Alternatives), r.findings
}

// errors are the findings without warnings, which say how something was planned.
func (r *request) errors() []validate.Finding {
	return slices.DeleteFunc(r.findings, func(f validate.Finding) bool { return f.Severity != validate.Error })
}

// noRun is the reason for a form that comes to no end.
const noRun = "waste and speeds of the plant file leave no run"

// way is one costed way of making the whole job.
type way struct {
	key    string // ways of one key are the same to the reader; the cheapest is kept
	order  int    // of trying, which decides between equal costs
	title  string
	forms  []form
	ops    []*Operation // of all forms, and of what follows them
	mats   []*Material
	cost   decimal.Decimal
	places int32 // of money
	spine  plant.Length
}

// search gathers what was tried.
type search struct {
	*request
	count tally
	best  map[string]way
	tried int // ways
	bars  []string
	item  int    // of several products, that which is laid
	own   []*way // best of each of several products by itself, nil for none
	sub   bool   // one of several products by itself: no work on the whole job
}

// bar counts a reason that stands against the whole job, and not against one
// layout of many; it is named first.
func (s *search) bar(reason string) {
	s.count.add(reason)
	if !slices.Contains(s.bars, reason) {
		s.bars = append(s.bars, reason)
	}
}

// offer takes a way when it is the cheapest of its key.
func (s *search) offer(w way) {
	s.tried++
	if !s.sub {
		var ok bool
		if w, ok = s.handed(w); !ok {
			return
		}
	}
	w.order, w.places = s.tried, s.plant.Places
	if have, ok := s.best[w.key]; !ok || w.cost.LessThan(have.cost) {
		s.best[w.key] = w
	}
}

// ranked is the cheapest way of each key, cheapest first.
func (s *search) ranked() []way {
	all := make([]way, 0, len(s.best))
	for _, w := range s.best {
		all = append(all, w)
	}
	slices.SortFunc(all, func(a, b way) int { return cmp.Or(a.cost.Cmp(b.cost), cmp.Compare(a.order, b.order)) })
	return all
}

// rejections lists what was not possible, most frequent first.
func (s *search) rejections() []Rejection {
	all := make([]Rejection, 0, len(s.count))
	for reason, n := range s.count {
		all = append(all, Rejection{reason, n})
	}
	slices.SortFunc(all, func(a, b Rejection) int {
		return cmp.Or(cmp.Compare(b.Count, a.Count), cmp.Compare(a.Reason, b.Reason))
	})
	return all
}

// reasons puts the rejections into a sentence, eight at most, first those of the
// whole job.
func (s *search) reasons() string {
	all := s.rejections()
	if len(all) == 0 {
		return "it has no press"
	}
	slices.SortStableFunc(all, func(a, b Rejection) int {
		return boolRank(slices.Contains(s.bars, b.Reason)) - boolRank(slices.Contains(s.bars, a.Reason))
	})
	const most = 8
	var parts []string
	for _, r := range all[:min(most, len(all))] {
		parts = append(parts, fmt.Sprintf("%s (%d)", r.Reason, r.Count))
	}
	text := strings.Join(parts, ", ")
	if more := len(all) - most; more > 0 {
		text += " and " + strconv.Itoa(more) + " more"
	}
	return text
}

// flat tries every way of making a single sheet.
func (s *search) flat() {
	p := s.parts[0]
	for _, piece := range s.flatPieces(p, s.count) {
		piece.item = s.item
		for _, stock := range p.stocks {
			for _, press := range s.plant.Presses {
				for _, l := range s.lays(piece, stock, press, s.count) {
					s.offerFlat(l)
				}
			}
		}
	}
}

func (s *search) offerFlat(l lay) {
	f, ok := s.make(l, s.quantity, true)
	if !ok {
		s.count.add(noRun)
		return
	}
	title := fmt.Sprintf("%s on %s, %s, %d-up, %s",
		f.sheet.Size, l.press.ID, stockWord(f.sheet.Stock), f.sheet.Ups(), styleWord(f.sheet.Style))
	key := fmt.Sprintf("%s|%s|%d|%s", l.press.ID, l.stock.ID, f.sheet.Stock.Parts(), f.sheet.Style)
	if l.scheme != nil {
		title += ", folded " + l.scheme.Code
		key += "|" + l.scheme.Code
	}
	title, key = title+l.besideWords(), key+l.besideWords()
	f = named(f, 1)
	s.offer(way{key: key, title: title, forms: []form{f}, ops: f.ops, mats: f.mats, cost: f.cost})
}

func stockWord(s StockUse) string {
	switch s.Parts() {
	case 1:
		return s.ID
	case 2:
		return "half of " + s.ID
	}
	return "quarter of " + s.ID
}

var styleWords = map[Style]string{
	Simplex: "one side", WorkAndBack: "work and back", WorkAndTurn: "work and turn",
	WorkAndTumble: "work and tumble", Perfecting: "perfecting", Duplex: "duplex",
}

func styleWord(s Style) string { return styleWords[s] }
