package plan

import (
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"quoin/jdf/job"
	"quoin/jdf/value"
)

// boundProduct is the book behind the sheets of a ticket: its sections are put
// together into parts by name, in the order in which they are printed.
func (r *request) boundProduct(sheets []printed, binding string) *job.Product {
	book := &job.Product{Node: r.job.Root, Root: true, Name: r.job.Name, Amount: job.Amounts{Good: r.bound()}}
	book.Size = r.trimmed(sheets)
	for _, op := range r.job.Operations {
		if bindingStep(op) {
			book.Binding.Type = job.Of(binding, op.TypeAt)
			if op.Stitching != nil {
				book.Binding.Stitches = op.Stitching.Count
			}
			break
		}
	}
	for _, s := range sheets {
		for _, p := range s.pieces {
			r.addSection(book, s, p)
		}
	}
	pages := 0
	for _, part := range book.Parts {
		pages += part.Pages.Value
	}
	book.Pages = job.Of(pages, r.job.Root.NamePlace())
	return book
}

func bindingStep(op *job.Operation) bool {
	return slices.Contains([]string{"Stitching", "SaddleStitching", "CoverApplication", "AdhesiveBinding"}, op.Type)
}

// addSection adds a section to its part of a book.
func (r *request) addSection(book *job.Product, s printed, p standing) {
	q := r.productOf(s, p)
	name := p.part
	if r.around(s.name) || strings.Contains(strings.ToLower(name), "cover") {
		name = "Cover"
	}
	if name == "" {
		name = "Body"
	}
	q.Type = job.Of(name, s.press.TypeAt)
	place := p.code.Place
	if !p.code.Given {
		place = s.press.TypeAt
	}
	i := slices.IndexFunc(book.Parts, func(have *job.Product) bool { return have.Type.Value == name })
	if i >= 0 {
		have := book.Parts[i]
		r.origins[have] = append(r.origins[have], origin{s, p})
		have.Pages.Value += p.pages() * r.copies(s, p)
		return
	}
	q.Pages = job.Of(p.pages()*r.copies(s, p), place)
	book.Parts = append(book.Parts, q)
}

// copies is how many pieces of a sheet go into one book: more than one where all
// leaves of a part are printed in one run.
func (r *request) copies(s printed, p standing) int {
	books := r.bound()
	if !books.Given || books.Value.Sign() <= 0 {
		return 1
	}
	for _, op := range r.job.Operations {
		for _, u := range op.Inputs {
			gathers := op.Type == "Gathering" || op.Type == "Collecting"
			if !gathers || u.Component == nil || u.Part.Get("SheetName") != s.name || !ofSignature(u.Part, p.id) {
				continue
			}
			if n := u.Amounts.Good; n.Given && measured(n.Value) && p.pages() == 2 {
				return max(1, int(n.Value.Div(r.sets(op, books.Value)).Round(0).IntPart()))
			}
		}
	}
	return 1
}

// sets is how many books go into the binding line: as many as there are covers,
// else as come out.
func (r *request) sets(op *job.Operation, books decimal.Decimal) decimal.Decimal {
	for _, other := range r.job.Operations {
		if other.Node != op.Node {
			continue
		}
		for _, u := range other.Inputs {
			if u.Role == "Cover" && u.Amounts.Good.Given && u.Amounts.Good.Value.Sign() > 0 {
				return u.Amounts.Good.Value
			}
		}
	}
	return books
}

// around reports whether a sheet is the cover that a block is glued into.
func (r *request) around(sheet string) bool {
	for _, op := range r.job.Operations {
		for _, u := range op.Inputs {
			if u.Role == "Cover" && sheet != "" && u.Part.Get("SheetName") == sheet {
				return true
			}
		}
	}
	return false
}

// bound is how many copies the ticket binds.
func (r *request) bound() job.Fact[decimal.Decimal] {
	for _, op := range slices.Backward(r.job.Operations) {
		for _, u := range op.Outputs {
			if u.Component != nil && u.Amounts.Good.Given && u.Part.Get("SheetName") == "" {
				return u.Amounts.Good
			}
		}
	}
	return job.Fact[decimal.Decimal]{}
}

// trimmed is the finished format of a book: what it is trimmed to, else the pages
// of its sections.
func (r *request) trimmed(sheets []printed) job.Fact[value.Shape] {
	for _, op := range r.job.Operations {
		if t := op.Trimming; t != nil && t.Width.Given && t.Height.Given {
			return job.Of(value.Shape{X: float64(t.Width.Value), Y: float64(t.Height.Value)}, t.Width.Place)
		}
	}
	for _, s := range sheets {
		for _, p := range s.pieces {
			if p.trim.Given {
				return shapeOf(p.trim)
			}
		}
	}
	return r.finishedSize()
}

// mediaOfPart is the paper that the ticket gives a part of a product through its
// bindery signatures, or nil.
func mediaOfPart(j *job.Job, p *job.Product) *job.Media {
	for _, s := range j.Signatures {
		if !p.ID.Given || s.Part.Get("ProductPart") != p.ID.Value {
			continue
		}
		for _, op := range j.Operations {
			for _, u := range slices.Concat(op.Inputs, op.Outputs) {
				at := u.Part.Get("BinderySignatureID")
				if u.Component != nil && u.Component.Media != nil && at != "" && at == s.ID.Value {
					return u.Component.Media
				}
			}
		}
	}
	return nil
}

// onlyPaper is the paper of a ticket that has but one, or nil.
func onlyPaper(j *job.Job) *job.Media {
	var only *job.Media
	for _, m := range j.Media {
		switch {
		case !isPaper(m) || !m.Weight.Given:
		case only != nil && only.Weight.Value != m.Weight.Value:
			return nil
		default:
			only = m
		}
	}
	return only
}
