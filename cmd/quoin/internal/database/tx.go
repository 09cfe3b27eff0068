package database

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"math/rand/v2"
	"time"

	"github.com/jackc/pgx/v5/pgconn"
	"modernc.org/sqlite"
	lib "modernc.org/sqlite/lib"
)

// ErrUnsure says that the connection broke while a transaction was being
// committed: it may have happened or not. Who asked for it has to ask again,
// with what makes a repetition known as one.
var ErrUnsure = errors.New("the connection to the store broke during the commit; it is not known whether it happened")

// Tx is a transaction. It is good until the function it was given to returns,
// and not safe for concurrent use.
type Tx struct {
	ctx     context.Context
	tx      *sql.Tx
	dialect Dialect
}

// Write runs f in a transaction that sees and leaves the database as if no
// other ran beside it, and commits when f returns nil. When it clashes with
// another it is run again, so f must have no effect outside of it; other errors
// of f are returned as they are.
func (d *DB) Write(ctx context.Context, f func(*Tx) error) error {
	return d.retry(ctx, d.write, &sql.TxOptions{Isolation: sql.LevelSerializable}, f)
}

// WriteCommitted is Write at the level of what is committed: for statements that
// lock the rows they choose, see Tx.SkipLocked.
func (d *DB) WriteCommitted(ctx context.Context, f func(*Tx) error) error {
	return d.retry(ctx, d.write, &sql.TxOptions{Isolation: sql.LevelReadCommitted}, f)
}

// Read runs f in a transaction that sees one state of the database throughout.
func (d *DB) Read(ctx context.Context, f func(*Tx) error) error {
	return d.retry(ctx, d.read, &sql.TxOptions{Isolation: sql.LevelRepeatableRead, ReadOnly: true}, f)
}

// attempts is how often a transaction is tried that clashes with others.
const attempts = 40

func (d *DB) retry(ctx context.Context, pool *sql.DB, opt *sql.TxOptions, f func(*Tx) error) error {
	if d.dialect == SQLite {
		opt = nil // its transactions are serializable, and the pool decides about writing
	}
	for n := 1; ; n++ {
		err := d.once(ctx, pool, opt, f)
		if err == nil || n == attempts || !clash(err) {
			return err
		}
		pause := time.Millisecond << min(n, 7)
		select {
		case <-ctx.Done():
			return errors.Join(err, ctx.Err())
		case <-time.After(pause/2 + rand.N(pause)):
		}
	}
}

func (d *DB) once(ctx context.Context, pool *sql.DB, opt *sql.TxOptions, f func(*Tx) error) (err error) {
	tx, err := pool.BeginTx(ctx, opt)
	if err != nil {
		return fmt.Errorf("begin in store %s: %w", d.name, err)
	}
	over := false
	defer func() {
		if !over { // f panicked, or ended its goroutine
			_ = tx.Rollback() // what went wrong in f tells more
		}
	}()
	err = f(&Tx{ctx: ctx, tx: tx, dialect: d.dialect})
	over = true
	if err != nil {
		if undo := tx.Rollback(); undo != nil && !errors.Is(undo, sql.ErrTxDone) {
			return errors.Join(err, undo)
		}
		return err
	}
	if err := tx.Commit(); err != nil {
		if d.dialect == Postgres && !answered(err) {
			return fmt.Errorf("commit in store %s: %w: %w", d.name, ErrUnsure, err)
		}
		return fmt.Errorf("commit in store %s: %w", d.name, err)
	}
	return nil
}

// clash reports whether an error only says that another transaction was in the way.
func clash(err error) bool {
	var pg *pgconn.PgError
	if errors.As(err, &pg) {
		return pg.Code == "40001" || pg.Code == "40P01" // serialization failure, deadlock
	}
	var lite *sqlite.Error
	if errors.As(err, &lite) {
		return lite.Code()&0xff == lib.SQLITE_BUSY || lite.Code()&0xff == lib.SQLITE_LOCKED
	}
	return false
}

// answered reports whether the server itself sent the error.
func answered(err error) bool {
	var pg *pgconn.PgError
	return errors.As(err, &pg)
}

// Context is the one that the transaction runs under.
func (t *Tx) Context() context.Context { return t.ctx }

// Exec runs a statement and gives the number of rows that it changed.
func (t *Tx) Exec(query string, args ...any) (int64, error) {
	res, err := t.tx.ExecContext(t.ctx, t.dialect.rebind(query), args...)
	if err != nil {
		return 0, err
	}
	return res.RowsAffected()
}

// Insert runs an INSERT into a table with a column id {id}, and gives its id.
func (t *Tx) Insert(query string, args ...any) (id int64, err error) {
	err = t.QueryRow(query+" RETURNING id", args...).Scan(&id)
	return id, err
}

// Query runs a query. The rows have to be closed before the next statement.
func (t *Tx) Query(query string, args ...any) (*sql.Rows, error) {
	return t.tx.QueryContext(t.ctx, t.dialect.rebind(query), args...)
}

// QueryRow runs a query of one row.
func (t *Tx) QueryRow(query string, args ...any) *sql.Row {
	return t.tx.QueryRowContext(t.ctx, t.dialect.rebind(query), args...)
}

// Prepare prepares a statement for many runs in this transaction.
func (t *Tx) Prepare(query string) (*sql.Stmt, error) {
	return t.tx.PrepareContext(t.ctx, t.dialect.rebind(query))
}

// SkipLocked ends a SELECT that claims rows: on PostgreSQL it locks them and
// passes over those that another transaction has locked. SQLite has one writer
// and needs nothing.
func (t *Tx) SkipLocked() string {
	if t.dialect == Postgres {
		return " FOR UPDATE SKIP LOCKED"
	}
	return ""
}

// Each runs a query and calls f for each row, which scans it.
func (t *Tx) Each(f func(*sql.Rows) error, query string, args ...any) error {
	rows, err := t.Query(query, args...)
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
