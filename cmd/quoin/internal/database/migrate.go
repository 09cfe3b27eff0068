package database

import (
	"context"
	"fmt"
	"slices"
)

// component is a part of the schema, with all its steps.
type component struct {
	name  string
	steps []string
}

const schemaTable = `CREATE TABLE IF NOT EXISTS quoin_schema (component TEXT PRIMARY KEY, version BIGINT NOT NULL)`

// Migrate brings the tables of one component to the last of its steps. Each step
// is run once, in its order, all of one call in one transaction; steps may only
// be added. A store that a newer Quoin has written is refused, for we do not
// know what it means. A step may be several statements, with {blob} for the
// type of bytes and {id} for the type of a column that numbers the rows.
func (d *DB) Migrate(ctx context.Context, name string, steps []string) error {
	err := d.Write(ctx, func(tx *Tx) error {
		if d.dialect == Postgres {
			// Instances that start together would both make the table.
			if _, err := tx.Exec("SELECT pg_advisory_xact_lock(7160811)"); err != nil {
				return err
			}
		}
		if _, err := tx.Exec(schemaTable); err != nil {
			return err
		}
		done := 0
		err := tx.Each(rowInto(&done), "SELECT version FROM quoin_schema WHERE component = ?", name)
		if err != nil {
			return err
		}
		if done > len(steps) {
			return fmt.Errorf("its tables of %s are of version %d, and this Quoin knows up to %d; use a newer one",
				name, done, len(steps))
		}
		for i, step := range steps[done:] {
			if _, err := tx.Exec(d.dialect.define(step)); err != nil {
				return fmt.Errorf("step %d of %s: %w", done+i+1, name, err)
			}
		}
		_, err = tx.Exec(`INSERT INTO quoin_schema (component, version) VALUES (?, ?)
			ON CONFLICT (component) DO UPDATE SET version = excluded.version`, name, len(steps))
		return err
	})
	if err != nil {
		return fmt.Errorf("prepare store %s: %w", d.name, err)
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	if !slices.ContainsFunc(d.components, func(c component) bool { return c.name == name }) {
		d.components = append(d.components, component{name, steps})
	}
	return nil
}
