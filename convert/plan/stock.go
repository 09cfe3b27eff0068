package plan

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/validate"
	"quoin/validate/plant"
)

// weightSlack is how far the weight of a stock may be from the one wanted, in
// g/m2: weights are whole grams, and tickets round those converted from pounds.
const weightSlack = 0.5

// wantedStock is the stock that the ticket asks for a part, intent first, then
// the media of its press operations.
func (r *request) wantedStock(p *part) job.Stock {
	s := p.product.Media.Stock
	fill(&s, r.root.Media.Stock)
	if m := mediaOfPart(r.job, p.product); m != nil {
		fill(&s, m.Stock)
	}
	for _, op := range r.job.Operations {
		if isPress(op.Type) {
			for _, m := range paperOf(op) {
				fill(&s, m.Stock)
			}
		}
	}
	if m := onlyPaper(r.job); m != nil {
		fill(&s, m.Stock)
	}
	return s
}

func fill(s *job.Stock, t job.Stock) {
	if s.Weight.Given {
		return
	}
	s.Weight, s.FrontCoating, s.Quality, s.Brand = t.Weight,
		job.First(s.FrontCoating, t.FrontCoating), job.First(s.Quality, t.Quality), job.First(s.Brand, t.Brand)
}

// paperOf is the paper that a press operation takes.
func paperOf(op *job.Operation) []*job.Media {
	var all []*job.Media
	for _, u := range op.Inputs {
		m := u.Media
		if u.Component != nil {
			m = u.Component.Media
		}
		if m != nil && (!m.Type.Given || m.Type.Value == "Paper" || m.Type.Value == "Other") {
			all = append(all, m)
		}
	}
	return all
}

// readStocks finds the stocks of the plant that answer the ticket. A quality or
// brand that names a stock of the plant chooses it.
func (r *request) readStocks(p *part) bool {
	want := r.wantedStock(p)
	named := r.named(want)
	if !want.Weight.Given && len(named) == 0 {
		if q := job.First(want.Quality, want.Brand); q.Given {
			return r.fail(qualityUnknown, q.Place, validate.F("product", label(p.product)), validate.F("got", q.Value),
				validate.F("plant", r.plant.Name))
		}
		return r.fail(stockMissing, placeOf(p), validate.F("product", label(p.product)))
	}
	for _, s := range r.plant.Stocks {
		switch {
		case len(named) > 0 && !slices.Contains(named, s):
		case want.Weight.Given && math.Abs(s.Grammage-want.Weight.Value) > weightSlack:
		case !coatingFits(want.FrontCoating.Value, s.Coating):
		case s.Size.Width <= 0 || s.Size.Height <= 0 || s.Caliper <= 0:
		default:
			p.stocks = append(p.stocks, s)
		}
	}
	if len(p.stocks) > 0 {
		return true
	}
	at := want.Weight.Place
	if !want.Weight.Given {
		at = placeOf(p)
	}
	return r.fail(noStock, at, validate.F("plant", r.plant.Name),
		validate.F("want", strings.TrimSpace(grams(want.Weight.Value)+" "+strings.ToLower(want.FrontCoating.Value))),
		validate.F("have", r.stockList()))
}

// named is the stocks whose id the ticket names, else those whose name it names.
func (r *request) named(want job.Stock) []*plant.Stock {
	var ids, names []*plant.Stock
	for _, s := range r.plant.Stocks {
		for _, f := range []job.Fact[string]{want.Quality, want.Brand} {
			means := func(word string) bool { return strings.EqualFold(word, f.Value) }
			switch {
			case f.Given && (means(s.ID) || slices.ContainsFunc(s.Qualities, means)):
				ids = append(ids, s)
			case f.Given && strings.EqualFold(f.Value, s.Name):
				names = append(names, s)
			}
		}
	}
	if len(ids) > 0 {
		return ids
	}
	return names
}

func (r *request) stockList() string {
	if len(r.plant.Stocks) == 0 {
		return "none"
	}
	var have []string
	for _, s := range r.plant.Stocks {
		have = append(have, strings.TrimSpace(fmt.Sprintf("%s %s", grams(s.Grammage), s.Coating)))
	}
	return validate.Choices(have)
}

// placeOf is where the ticket speaks of the part's stock, or of the part.
func placeOf(p *part) jdf.Place {
	if n := p.product.Media.Node; n.Valid() {
		return n.NamePlace()
	}
	return p.product.Node.NamePlace()
}

func grams(g float64) string { return strconv.FormatFloat(g, 'f', -1, 64) + " g/m2" }

// coatingFits holds the standard's coating of paper against the plant's words.
func coatingFits(want, have string) bool {
	have = strings.ToLower(have)
	uncoated := have == "" || have == "none"
	switch want {
	case "":
		return true
	case "None", "Uncoated":
		return uncoated
	case "Coated":
		return !uncoated
	case "Gloss", "Glossy", "HighGloss":
		return have == "gloss"
	case "Satin", "SemiGloss", "Silk":
		return have == "silk" || have == "satin"
	case "Matte", "Matt":
		return have == "matt" || have == "matte" || have == "silk"
	}
	return strings.EqualFold(want, have)
}
