package works

import (
	"context"
	"crypto/rand"
	"database/sql"
	"encoding/base64"
	"errors"
	"fmt"
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

// probeSize is how much a probe writes, in bytes: as much as a large message, so that
// a disk with room for a page or two is not taken for one that can be written.
const probeSize = 64 << 10

// Probe writes to the store as a message would be written, in the place of what the
// last probe wrote. The error says why messages can not be stored now.
func (s *Store) Probe(ctx context.Context) error {
	data := make([]byte, probeSize*3/4)
	_, _ = rand.Read(data) // which never fails; text that can be packed would need no room
	err := s.Write(ctx, "", func(tx *Tx) error {
		return tx.SetValue("probe", base64.StdEncoding.EncodeToString(data))
	})
	if err != nil {
		return fmt.Errorf("write to the store: %w", err)
	}
	return nil
}
