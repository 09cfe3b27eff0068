package database

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// Backup writes all tables of the components that were migrated, as they are at
// one moment, to a new SQLite file, whichever kind of database this is. Others
// go on working meanwhile. The file appears only when it is whole; one that is
// there already is refused.
func (d *DB) Backup(ctx context.Context, path string) (err error) {
	if _, err := os.Lstat(path); err == nil {
		return fmt.Errorf("write backup %q: the file is there already; name a new one", path)
	}
	dir, err := os.MkdirTemp(filepath.Dir(path), ".quoin-backup-")
	if err != nil {
		return fmt.Errorf("write backup %q: %w", path, err)
	}
	defer func() { err = errors.Join(err, os.RemoveAll(dir)) }()
	part := filepath.Join(dir, "store")
	if err := d.copyTo(ctx, part); err != nil {
		return fmt.Errorf("write backup %q: %w", path, err)
	}
	if err := os.Link(part, path); err != nil { // fails where the file has come to be meanwhile
		return fmt.Errorf("write backup: %w", err)
	}
	return nil
}

func (d *DB) copyTo(ctx context.Context, path string) (err error) {
	to, err := openSQLite(ctx, path)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, to.Close()) }() // which also empties its log into the file
	if err := d.share(ctx, to); err != nil {
		return err
	}
	return d.Read(ctx, func(from *Tx) error {
		return to.Write(ctx, func(tx *Tx) error { return transfer(from, tx) })
	})
}

// Restore fills the database from a backup. It has to be empty: rows that are
// there already are never mixed with others. The components have to be
// migrated before.
func (d *DB) Restore(ctx context.Context, path string) (err error) {
	if _, err := os.Stat(path); err != nil {
		return fmt.Errorf("read backup: %w", err)
	}
	from, err := openSQLite(ctx, path)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, from.Close()) }()
	if err := d.share(ctx, from); err != nil {
		return fmt.Errorf("read backup %q: %w", path, err)
	}
	err = from.Read(ctx, func(source *Tx) error {
		return d.Write(ctx, func(tx *Tx) error {
			if err := empty(source, tx); err != nil {
				return err
			}
			return transfer(source, tx)
		})
	})
	if err != nil {
		return fmt.Errorf("restore store %s from %q: %w", d.name, path, err)
	}
	return nil
}

// share migrates the components of d in another database.
func (d *DB) share(ctx context.Context, to *DB) error {
	d.mu.Lock()
	all := slices.Clone(d.components)
	d.mu.Unlock()
	for _, c := range all {
		if err := to.Migrate(ctx, c.name, c.steps); err != nil {
			return err
		}
	}
	return nil
}

// tables lists the tables of the SQLite side, in the order they were made in,
// so that rows come after those they refer to.
func tables(a, b *Tx) ([]string, error) {
	lite := a
	if a.dialect != SQLite {
		lite = b
	}
	var names []string
	err := lite.Each(func(rows *sql.Rows) error {
		var name string
		err := rows.Scan(&name)
		names = append(names, name)
		return err
	}, `SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%' AND name <> 'quoin_schema' ORDER BY rowid`)
	return names, err
}

func empty(source, tx *Tx) error {
	names, err := tables(source, tx)
	if err != nil {
		return err
	}
	for _, name := range names {
		n := 0
		if err := tx.Each(rowInto(&n), "SELECT 1 FROM "+quoted(name)+" LIMIT 1"); err != nil {
			return err
		}
		if n > 0 {
			return fmt.Errorf("table %s has rows already; restore into a new store", name)
		}
	}
	return nil
}

// rowInto scans one number.
func rowInto(n *int) func(*sql.Rows) error {
	return func(rows *sql.Rows) error { return rows.Scan(n) }
}

func transfer(from, to *Tx) error {
	names, err := tables(from, to)
	if err != nil {
		return err
	}
	for _, name := range names {
		if err := transferTable(from, to, name); err != nil {
			return fmt.Errorf("table %s: %w", name, err)
		}
	}
	return nil
}

func transferTable(from, to *Tx, name string) error {
	rows, err := from.Query("SELECT * FROM " + quoted(name))
	if err != nil {
		return err
	}
	defer rows.Close()
	columns, err := rows.Columns()
	if err != nil {
		return err
	}
	fields := make([]string, len(columns))
	values, into := make([]any, len(columns)), make([]any, len(columns))
	for i, c := range columns {
		fields[i], into[i] = quoted(c), &values[i]
	}
	insert, err := to.Prepare("INSERT INTO " + quoted(name) + " (" + strings.Join(fields, ", ") + ") VALUES (" +
		strings.TrimSuffix(strings.Repeat("?, ", len(columns)), ", ") + ")")
	if err != nil {
		return err
	}
	defer insert.Close()
	for rows.Next() {
		if err := rows.Scan(into...); err != nil {
			return err
		}
		if _, err := insert.ExecContext(to.ctx, values...); err != nil {
			return err
		}
	}
	if err := rows.Err(); err != nil {
		return err
	}
	return renumber(to, name, columns)
}

// renumber lets PostgreSQL number new rows after those that were copied.
func renumber(to *Tx, name string, columns []string) error {
	if to.dialect != Postgres || !slices.Contains(columns, "id") {
		return nil
	}
	var sequence sql.NullString
	if err := to.QueryRow("SELECT pg_get_serial_sequence(?, 'id')", quoted(name)).Scan(&sequence); err != nil || !sequence.Valid {
		return err
	}
	return to.Each(func(*sql.Rows) error { return nil },
		"SELECT setval(?, COALESCE((SELECT MAX(id) FROM "+quoted(name)+"), 0) + 1, false)", sequence.String)
}

func quoted(name string) string { return `"` + strings.ReplaceAll(name, `"`, `""`) + `"` }
