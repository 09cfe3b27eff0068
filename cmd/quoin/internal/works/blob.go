package works

import (
	"crypto/sha256"
	"encoding/hex"
	"time"

	"quoin/cmd/quoin/internal/database"
)

// Keep stores bytes under the name of their content, and gives that name. The
// same bytes are kept once. Bytes that nothing in the store refers to are
// pruned a day later.
func (t *Tx) Keep(data []byte) (blob string, err error) {
	return t.keep(hash(data), data)
}

func hash(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}

// keep stores bytes whose name is known. An old blob that is wanted again is
// made young, so that it is not pruned before this transaction refers to it.
func (t *Tx) keep(name string, data []byte) (string, error) {
	if data == nil {
		data = []byte{}
	}
	_, err := t.tx.Exec(`INSERT INTO blobs (hash, size, stored, data) VALUES (?, ?, ?, ?)
		ON CONFLICT (hash) DO UPDATE SET stored = excluded.stored WHERE blobs.stored < excluded.stored - ?`,
		name, len(data), database.Micros(t.now), data, time.Hour.Microseconds())
	return name, err
}

// Blob gives the bytes of a name that Keep gave, or ErrUnknown.
func (t *Tx) Blob(blob string) ([]byte, error) {
	return one(t, "blob", blob, func(row scanner) (data []byte, err error) {
		return data, row.Scan(&data)
	}, "SELECT data FROM blobs WHERE hash = ?", blob)
}
