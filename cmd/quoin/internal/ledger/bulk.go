package ledger

import (
	"database/sql"
	"strings"

	"quoin/cmd/quoin/internal/database"
)

// bulkRows is how many rows go into a table with one statement: most of the time
// of a statement of one row is spent on the way to it. Both databases take far
// more values than that.
const bulkRows = 40

// bulk puts many rows into a table within one transaction.
type bulk struct {
	tx      *database.Tx
	head    string // INSERT INTO … VALUES
	tail    string // such as ON CONFLICT DO NOTHING
	columns int
	many    *sql.Stmt // made when it is first needed
	values  []any
}

func newBulk(tx *database.Tx, head string, columns int, tail string) *bulk {
	return &bulk{tx: tx, head: head, columns: columns, tail: tail}
}

// query is the statement for so many rows.
func (b *bulk) query(rows int) string {
	row := "(?" + strings.Repeat(", ?", b.columns-1) + ")"
	return b.head + " " + row + strings.Repeat(", "+row, rows-1) + " " + b.tail
}

// add puts a row in, at the latest when flush is called.
func (b *bulk) add(values ...any) error {
	b.values = append(b.values, values...)
	if len(b.values) < bulkRows*b.columns {
		return nil
	}
	if err := b.prepare(); err != nil {
		return err
	}
	_, err := b.many.ExecContext(b.tx.Context(), b.values...)
	b.values = b.values[:0]
	return err
}

// each puts in the rows that values hold, bulkRows at most, and calls f for each that
// the statement returns.
func (b *bulk) each(f func(*sql.Rows) error) error {
	defer func() { b.values = b.values[:0] }()
	if len(b.values) < bulkRows*b.columns {
		return b.tx.Each(f, b.query(len(b.values)/b.columns), b.values...)
	}
	if err := b.prepare(); err != nil {
		return err
	}
	rows, err := b.many.QueryContext(b.tx.Context(), b.values...)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		if err := f(rows); err != nil {
			return err
		}
	}
	return rows.Err()
}

func (b *bulk) prepare() (err error) {
	if b.many == nil {
		b.many, err = b.tx.Prepare(b.query(bulkRows))
	}
	return err
}

// flush puts in what is left.
func (b *bulk) flush() error {
	if len(b.values) == 0 {
		return nil
	}
	_, err := b.tx.Exec(b.query(len(b.values)/b.columns), b.values...)
	b.values = b.values[:0]
	return err
}

func (b *bulk) close() {
	if b.many != nil {
		b.many.Close()
	}
}
