package render

import (
	"iter"
	"slices"

	"quoin/convert/cost"
	"quoin/convert/cost/account"
)

const (
	// mostBranches is how many rows Dig goes into.
	mostBranches = 2500
	// mostLeaves is how many entries it lists.
	mostLeaves = 6000
)

// Branch is what a row is made of: rows of the dimension below it or, at the end,
// entries.
type Branch struct {
	By       account.By
	Rows     []account.Row
	Branches []Branch // of the rows in order; shorter where Dig had to stop
	Entries  []cost.Entry
}

// Left is what Dig left out, since a page must stay one that can be opened.
type Left struct {
	Rows    int // that were not looked into
	Entries int
}

// digger looks into rows with what is left of its measure.
type digger struct {
	books   account.Books
	cells   []account.Cell
	entries map[string][]cost.Entry // by job
	left    Left
	rows    int
	leaves  int
}

// Dig looks into each row of a statement, down to jobs and their entries. Its size is
// bounded; Left tells what that left out. Cells are those of the books, whose own are
// not read; entries are those of the period, each source with them.
func Dig(s *account.Statement, b account.Books, cells []account.Cell, entries iter.Seq[cost.Entry]) ([]Branch, Left) {
	d := &digger{books: b, cells: cells, entries: map[string][]cost.Entry{}, rows: mostBranches, leaves: mostLeaves}
	for e := range entries {
		d.entries[e.Job] = append(d.entries[e.Job], e)
	}
	return d.under(s.By, s.Rows), d.left
}

// under looks into rows of one dimension, as far as the measure goes.
func (d *digger) under(by account.By, rows []account.Row) []Branch {
	var all []Branch
	for i := range rows {
		if d.rows == 0 {
			d.left.Rows += len(rows) - i
			break
		}
		d.rows--
		all = append(all, d.into(by, &rows[i]))
	}
	return all
}

// into looks into one row. A job has few parts, which its entries name.
func (d *digger) into(by account.By, r *account.Row) Branch {
	if by == account.ByJob || by == account.ByPart || r.Below == "" {
		return Branch{Entries: d.take(r.Only)}
	}
	books := d.books
	books.Cells = slices.Values(d.cells)
	below, _ := account.Make(books, r.Below, r.Only)
	return Branch{By: r.Below, Rows: below.Rows, Branches: d.under(r.Below, below.Rows)}
}

// take lists the entries of a filter. Those of one job are found without a search.
func (d *digger) take(f account.Filter) []cost.Entry {
	from := func(yield func(cost.Entry) bool) {
		for _, job := range f.Jobs {
			for _, e := range d.entries[job] {
				if !yield(e) {
					return
				}
			}
		}
	}
	var all []cost.Entry
	for e := range account.Entries(from, d.books, f) {
		if d.leaves == 0 {
			d.left.Entries++
			continue
		}
		d.leaves--
		all = append(all, e)
	}
	return all
}
