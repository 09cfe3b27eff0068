package works

import (
	"context"
	"errors"
	"strconv"
	"strings"

	"quoin/cmd/quoin/internal/database"
)

// Mark is a place in a list: behind the thing that gave it. A list that is asked for
// After a mark goes on there, whatever has come in or gone meanwhile. What has itself
// been moved in between, as by another priority, may be met twice or not at all. It
// holds for lists in the same order; "" is the beginning.
type Mark string

// ErrMark is a mark that was not given by such a list.
var ErrMark = errors.New("not the mark of such a list")

func mark(values ...int64) Mark {
	words := make([]string, len(values))
	for i, v := range values {
		words[i] = strconv.FormatInt(v, 10)
	}
	return Mark(strings.Join(words, " "))
}

// Mark is the place of a ticket in a list that is sorted by an order.
func (k *Ticket) Mark(o Order) Mark {
	switch o {
	case ByDue:
		due := database.Micros(k.Due)
		return mark(number(due == 0), due, k.ID)
	case ByChange:
		return mark(database.Micros(k.Changed), k.ID)
	}
	return mark(number(k.State != Running), -int64(k.Priority), k.place, k.ID)
}

// Mark is its place in the list of deliveries.
func (d *Delivery) Mark() Mark { return mark(d.ID) }

// Mark is its place in the list of chores.
func (c *Chore) Mark() Mark { return mark(c.ID) }

// Mark is its place in the list of alerts.
func (a *Alert) Mark() Mark { return mark(database.Micros(a.Last), a.ID) }

// sorting is what a list is sorted by: the columns all up, or all down.
type sorting struct {
	columns string // that a mark has the values of
	down    bool
	orderBy string // the same as ORDER BY says it, where a column may go down among others that go up
}

// sortings of tickets, by Order.
var sortings = map[Order]sorting{
	ByQueue: {
		columns: "CASE WHEN state = 'running' THEN 0 ELSE 1 END, -priority, place, id",
		orderBy: "CASE WHEN state = 'running' THEN 0 ELSE 1 END, priority DESC, place, id",
	},
	ByDue: {
		columns: "CASE WHEN due = 0 THEN 1 ELSE 0 END, due, id", orderBy: "CASE WHEN due = 0 THEN 1 ELSE 0 END, due, id",
	},
	ByChange: {columns: "changed, id", down: true, orderBy: "changed DESC, id DESC"},
}

// after adds that only what comes behind a mark is meant.
func (w *where) after(s sorting, m Mark) error {
	if m == "" {
		return nil
	}
	words := strings.Split(string(m), " ")
	if len(words) != strings.Count(s.columns, ",")+1 {
		return ErrMark
	}
	var values []any
	for _, word := range words {
		n, err := strconv.ParseInt(word, 10, 64)
		if err != nil {
			return ErrMark
		}
		values = append(values, n)
	}
	than := ") > ("
	if s.down {
		than = ") < ("
	}
	w.and("("+s.columns+than+marks(len(values))+")", values...)
	return nil
}

// foldCustomers fills in what customers are looked for by, where tickets are from before
// there was such a thing. Databases do not agree on small letters, so it is not done there.
func (s *Store) foldCustomers(ctx context.Context) error {
	for more := true; more; {
		err := s.Write(ctx, "", func(tx *Tx) error {
			type row struct {
				id       int64
				customer string
			}
			rows, err := all(tx, func(in scanner) (r row, err error) { return r, in.Scan(&r.id, &r.customer) },
				"SELECT id, customer FROM tickets WHERE customer_search = '' AND customer <> '' LIMIT 1000")
			for _, r := range rows {
				if err == nil {
					_, err = tx.tx.Exec("UPDATE tickets SET customer_search = ? WHERE id = ?", strings.ToLower(r.customer), r.id)
				}
			}
			more = len(rows) > 0
			return err
		})
		if err != nil {
			return err
		}
	}
	return nil
}
