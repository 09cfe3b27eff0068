package plan

import (
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"quoin/jdf/job"
	"quoin/jdf/value"
	"quoin/validate/plant"
)

// made is how many good pieces of a thing come out of the last operation that
// tells; sheets count their positions.
func (r *request) made(sheet string, p standing) job.Fact[decimal.Decimal] {
	for _, op := range slices.Backward(r.job.Operations) {
		for _, u := range op.Outputs {
			if u.Component == nil || !u.Amounts.Good.Given || !ofSheet(u.Part, sheet) || !ofSignature(u.Part, p.id) {
				continue
			}
			n := u.Amounts.Good
			if isPress(op.Type) {
				n.Value = n.Value.Mul(decimal.NewFromInt(int64(p.positions)))
			}
			return n
		}
	}
	return job.Fact[decimal.Decimal]{}
}

func ofSignature(p job.Part, id string) bool {
	for _, key := range []string{"BinderySignatureID", "BinderySignatureName"} {
		if n := p.Get(key); n != "" && id != "" && n != id {
			return false
		}
	}
	return true
}

// flatProduct is the product behind a piece of a sheet.
func (r *request) flatProduct(s printed, p standing) *job.Product {
	q := r.productOf(s, p)
	q.Root = true
	q.Amount.Good = r.made(s.name, p)
	open := p.open()
	if pages := p.pages(); p.code.Given && pages > 2 && p.code.Value != "F2-1" {
		q.Fold, q.Pages = p.code, job.Of(pages, p.code.Place)
		q.Flat = open
		columns, rows := r.cellsOf(p)
		q.Size = job.First(shapeOf(p.trim), shapeOf(divided(open, columns, rows)))
		return q
	}
	q.Size = job.First(shapeOf(p.trim), shapeOf(open), r.finishedSize())
	return q
}

// cellsOf is the grid of pages of a fold: the ticket's, else that of the plant.
func (r *request) cellsOf(p standing) (columns, rows int) {
	if p.across > 0 && p.up > 0 {
		return p.across, p.up
	}
	for _, f := range r.plant.Folders {
		for _, s := range f.Catalog {
			if s.Code == p.code.Value {
				return s.Columns, s.Rows
			}
		}
	}
	return 1, 1
}

// open is the format of a piece upright, by its position.
func (p *standing) open() job.Fact[value.XYPair] {
	if !p.box.Given {
		return job.Fact[value.XYPair]{}
	}
	size := value.XYPair{X: p.box.Value.Width(), Y: p.box.Value.Height()}
	if p.turned {
		size.X, size.Y = size.Y, size.X
	}
	return job.Of(size, p.box.Place)
}

func shapeOf(p job.Fact[value.XYPair]) job.Fact[value.Shape] {
	return job.Fact[value.Shape]{Value: value.Shape{X: p.Value.X, Y: p.Value.Y}, Place: p.Place, Given: p.Given}
}

func divided(p job.Fact[value.XYPair], columns, rows int) job.Fact[value.XYPair] {
	p.Value.X, p.Value.Y = p.Value.X/float64(columns), p.Value.Y/float64(rows)
	return p
}

// finishedSize is that of the last component that the ticket makes.
func (r *request) finishedSize() job.Fact[value.Shape] {
	for _, op := range slices.Backward(r.job.Operations) {
		if isPress(op.Type) {
			break
		}
		for _, u := range op.Outputs {
			if u.Component != nil && u.Component.Size.Given {
				return u.Component.Size
			}
		}
	}
	return job.Fact[value.Shape]{}
}

// productOf holds what flat work and the parts of a book have alike.
func (r *request) productOf(s printed, p standing) *job.Product {
	q := &job.Product{Node: s.press.Node, Bleed: p.bleed}
	r.origins[q] = []origin{{s, p}}
	name := p.part
	if name == "" {
		name = p.id
	}
	if name == "" {
		name = s.name
	}
	q.Name = job.First(job.Fact[string]{Value: name, Place: s.press.TypeAt, Given: name != ""}, r.job.Name)
	if s.paper != nil {
		q.Media.Stock, q.Media.Node = s.paper.Stock, s.paper.Node
		if id := stockID(s.paper); r.plantStock(id) {
			q.Media.Brand = job.Of(id, s.paper.Node.Place())
		}
	}
	q.Front.Colors, q.Back.Colors = s.press.Front, s.press.Back
	r.sides(q, s)
	return q
}

// sides settles which sides are printed. A turned or tumbled form carries the
// colours of both sides, which its plates do not tell apart.
func (r *request) sides(q *job.Product, s printed) {
	switch Style(s.style.Value) {
	case WorkAndTurn, WorkAndTumble:
		if !q.Back.Colors.Given {
			q.Back.Colors = q.Front.Colors
			r.note("the plates of a turned form do not tell its sides apart; all its colours were planned for both")
		}
	case Simplex:
		q.Sides = job.Of(job.OneSided, s.style.Place)
	}
	if p := s.press.Printing; p != nil && p.Sides.Given {
		q.Sides = p.Sides
		if p.Sides.Value.Both() && !q.Back.Colors.Given {
			q.Back.Colors = q.Front.Colors
		}
	}
}

// stockID is the identification of a paper by its buyer.
func stockID(m *job.Media) string {
	if id := m.Node.Get("ProductID"); id != "" {
		return id
	}
	return m.Node.Parent().Get("ExternalID")
}

func (r *request) plantStock(id string) bool {
	return id != "" &&
		slices.ContainsFunc(r.plant.Stocks, func(s *plant.Stock) bool { return strings.EqualFold(s.ID, id) })
}
