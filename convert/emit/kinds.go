package emit

import (
	"quoin/convert/plan"
)

// kind is one kind of piece on a sheet: all positions of one product, with the
// bindery signature that stands on them.
type kind struct {
	id      string      // of the signature
	product int         // index in Plan.Products
	size    plan.Format // upright
	at      []int       // indices of its positions
}

// kinds are the kinds of piece on a sheet, in the order of their first
// positions; mostly there is one.
func kinds(s *plan.Sheet) []kind {
	var all []kind
	for i, b := range s.Positions {
		k := -1
		for n := range all {
			if all[n].product == b.Product {
				k = n
			}
		}
		if k < 0 {
			k = len(all)
			size := upright(plan.Format{Width: b.Width, Height: b.Height}, b.Turned)
			all = append(all, kind{product: b.Product, size: size})
		}
		all[k].at = append(all[k].at, i)
	}
	if len(all) == 0 {
		all = []kind{{size: openPiece(s)}}
	}
	for i := range all {
		all[i].id = "B" + s.Name
		if len(all) > 1 {
			all[i].id += "-" + whole(all[i].product+1)
		}
	}
	return all
}

// ganged reports whether several products share a sheet.
func ganged(s *plan.Sheet) bool { return len(kinds(s)) > 1 }

// kindAt is the kind of a position.
func kindAt(s *plan.Sheet, box plan.Box) kind {
	all := kinds(s)
	for _, k := range all {
		if k.product == box.Product {
			return k
		}
	}
	return all[0]
}

// signatureID names the signature of a sheet that one product has for itself,
// as every sheet of a book is.
func signatureID(s *plan.Sheet) string { return kinds(s)[0].id }

// productOf names what a piece is a part of: the part of a book, or the product
// of a ganged sheet.
func (w *writer) productOf(s *plan.Sheet, k kind) string {
	if ganged(s) && k.product < len(w.plan.Products) {
		return w.plan.Products[k.product].Name
	}
	return s.Part
}

// partOf names what a component is a part of.
func (w *writer) partOf(t thing) string {
	for _, k := range kinds(t.sheet) {
		if k.id == t.piece {
			return w.productOf(t.sheet, k)
		}
	}
	return t.sheet.Part
}

// share is the part that a kind has of what comes out of cutting whole sheets.
func (k kind) share(pieces int, s *plan.Sheet) int {
	if len(s.Positions) == 0 {
		return pieces
	}
	return pieces * len(k.at) / len(s.Positions)
}
