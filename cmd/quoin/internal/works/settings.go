package works

import (
	"database/sql"
	"errors"
)

// Value gives what SetValue kept under a name, "" for nothing.
func (t *Tx) Value(name string) (value string, err error) {
	err = t.tx.QueryRow("SELECT value FROM settings WHERE name = ?"+t.lock, name).Scan(&value)
	if errors.Is(err, sql.ErrNoRows) {
		err = nil
	}
	return value, err
}

// SetValue keeps a small value under a name, for parts of the service that have to
// remember something between starts, or share it between instances.
func (t *Tx) SetValue(name, value string) error {
	_, err := t.tx.Exec(`INSERT INTO settings (name, value) VALUES (?, ?)
		ON CONFLICT (name) DO UPDATE SET value = excluded.value`, name, value)
	return err
}
