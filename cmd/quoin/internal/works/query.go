package works

import (
	"database/sql"
	"errors"
	"strings"
	"time"

	"quoin/cmd/quoin/internal/database"
)

// scanner is a row of a query.
type scanner interface{ Scan(into ...any) error }

// all reads the rows of a query.
func all[T any](t *Tx, scan func(scanner) (T, error), query string, args ...any) ([]T, error) {
	var list []T
	err := t.tx.Each(func(rows *sql.Rows) error {
		row, err := scan(rows)
		if err == nil {
			list = append(list, row)
		}
		return err
	}, query, args...)
	return list, err
}

// one reads the row of a query, or says that what was asked for is unknown.
func one[T any](t *Tx, what string, id any, scan func(scanner) (T, error), query string, args ...any) (T, error) {
	row, err := scan(t.tx.QueryRow(query, args...))
	if errors.Is(err, sql.ErrNoRows) {
		err = unknown(what, id)
	}
	return row, err
}

// where gathers the conditions of a query.
type where struct {
	conditions []string
	args       []any
}

func (w *where) and(condition string, args ...any) {
	w.conditions = append(w.conditions, condition)
	w.args = append(w.args, args...)
}

// has adds a condition when there is a value to compare with.
func has[T comparable](w *where, condition string, value T) {
	var zero T
	if value != zero {
		w.and(condition, value)
	}
}

// in adds that a column is one of some words; none of them chooses all.
func in[T ~string](w *where, column string, words []T) {
	if len(words) == 0 {
		return
	}
	args := make([]any, len(words))
	for i, word := range words {
		args[i] = string(word)
	}
	w.and(column+" IN ("+marks(len(words))+")", args...)
}

func marks(n int) string { return strings.TrimSuffix(strings.Repeat("?, ", n), ", ") }

// String is the WHERE of the query, "" without conditions.
func (w *where) String() string {
	if len(w.conditions) == 0 {
		return ""
	}
	return " WHERE " + strings.Join(w.conditions, " AND ")
}

// page is the end of a query that is read in pages.
func (w *where) page(limit, usual, offset int) string {
	if limit <= 0 {
		limit = usual
	}
	w.args = append(w.args, limit, max(offset, 0))
	return " LIMIT ? OFFSET ?"
}

// micros reads a column with a time.
type micros struct{ into *time.Time }

func (m micros) Scan(value any) error {
	var n sql.NullInt64
	if err := n.Scan(value); err != nil {
		return err
	}
	*m.into = database.Time(n.Int64)
	return nil
}

// span reads a column with a duration in microseconds.
type span struct{ into *time.Duration }

func (s span) Scan(value any) error {
	var n sql.NullInt64
	if err := n.Scan(value); err != nil {
		return err
	}
	*s.into = time.Duration(n.Int64) * time.Microsecond
	return nil
}

// number is yes or no as the tables keep it.
func number(yes bool) int64 {
	if yes {
		return 1
	}
	return 0
}
