package plan

import (
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"quoin/jdf/job"
	"quoin/validate"
)

// black is the separation that a black click is charged for.
const black = "Black"

// processColors is what is planned where a ticket does not name colours.
var processColors = []string{"Cyan", "Magenta", "Yellow", black}

// readColors finds the separations of both sides: those of the product, else of
// the press operation of the ticket, else the process colours, with a warning.
func (r *request) readColors(p *part) {
	front := job.First(p.product.Front.Colors, r.root.Front.Colors)
	back := job.First(p.product.Back.Colors, r.root.Back.Colors)
	sides := job.First(p.product.Sides, r.root.Sides)
	for _, op := range r.job.Operations {
		if !isPress(op.Type) {
			continue
		}
		front, back = job.First(front, op.Front), job.First(back, op.Back)
		if op.Printing != nil {
			sides = job.First(sides, op.Printing.Sides)
		}
	}
	both := sides.Value.Both()
	if !sides.Given {
		both = back.Given && len(back.Value) > 0 || !back.Given && r.kind != Flat
	}
	if !front.Given && !back.Given {
		front = job.Of(processColors, p.product.Node.NamePlace())
		r.findings = append(r.findings, colorsMissing.At(p.product.Node.NamePlace(),
			validate.F("product", label(p.product)), validate.F("colors", strings.Join(processColors, ", "))))
		r.note("the ticket names no colours; " + strings.Join(processColors, ", ") + " were assumed")
	}
	if both && !back.Given {
		back = front
	}
	if both && !front.Given {
		front = back
	}
	if sides.Given && !both {
		if sides.Value == job.OneSidedBack {
			front, back = job.Fact[[]string]{}, job.First(back, front)
		} else {
			back.Value = nil
		}
	}
	p.front = r.side(front.Value, p.product.Front)
	p.back = r.side(back.Value, p.product.Back)
}

func (r *request) side(colors []string, s job.Surface) side {
	unique := unite(nil, colors)
	unique = slices.DeleteFunc(unique, func(c string) bool { return c == "" || c == "None" })
	if len(unique) == 0 {
		return side{coverage: decimal.Zero}
	}
	if !s.Coverage.Given {
		r.note("ink coverage is not stated; " + r.coverage.String() + " % of each colour was assumed")
		return side{colors: unique, coverage: r.coverage}
	}
	coverage := s.Coverage.Value
	if !measured(coverage) {
		coverage = decimal.Zero
		r.note("ink coverage of the ticket is no measurable number and was taken for none")
	}
	// From memory: the Coverage of an intent counts all colours of the side
	// together, so that four full solids are 400 %.
	share := coverage.DivRound(decimal.NewFromInt(int64(len(unique))), 4)
	if share.Sign() < 0 || share.GreaterThan(hundred) {
		share = decimal.Min(decimal.Max(share, decimal.Zero), hundred)
		r.note("ink coverage of the ticket is outside 0 to 100 % of each colour and was cut to that")
	}
	return side{colors: unique, coverage: share, told: measured(s.Coverage.Value)}
}

// readCoatings names the coatings that the press has to lay. Spot coatings and
// effects need forms and machines that a plant file does not describe.
func (r *request) readCoatings(p *part) bool {
	for _, s := range []struct {
		from *job.Surface
		to   *side
	}{{&p.product.Front, &p.front}, {&p.product.Back, &p.back}} {
		for _, c := range s.from.Coatings.Value {
			kind := coatingKind(c)
			switch {
			case kind == "" || s.to.coating != "" && kind != "none" && kind != s.to.coating:
				return r.fail(notPlanned, s.from.Coatings.Place, validate.F("work", "coating "+c))
			case kind != "none":
				s.to.coating = kind
			}
		}
	}
	if p.coating() == "" && !r.varnished(p) {
		return false
	}
	if f, b := p.front.coating, p.back.coating; f != "" && b != "" && f != b {
		return r.fail(notPlanned, p.product.Back.Coatings.Place, validate.F("work", "two kinds of coating on one sheet"))
	}
	return true
}

// coatingKind is the kind of coater for a coating of a ticket, "none", or ""
// for one that is not known.
func coatingKind(name string) string {
	lower := strings.ToLower(name)
	switch {
	case lower == "none":
		return "none"
	case strings.Contains(lower, "spot"):
		return ""
	case strings.Contains(lower, "uv"):
		return "UV"
	case strings.Contains(lower, "aqueous"), strings.Contains(lower, "dispersion"),
		strings.HasPrefix(lower, "full"), lower == "protective", lower == "varnish":
		return "aqueous"
	}
	return ""
}

func isPress(operation string) bool {
	return operation == "ConventionalPrinting" || operation == "DigitalPrinting"
}
