package ledger

import (
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"fmt"

	"quoin/cmd/quoin/internal/database"
	"quoin/convert/cost"
)

const insertRecords = `INSERT INTO ledger_records
	(key, grp, kind, signal, job, strand, since, till, edge, seen, received, body) VALUES`

// heldRecord is a record on its way into the table.
type heldRecord struct {
	*cost.Record
	key    string // as bytes
	group  int64
	kind   int
	strand string
	since  int64
}

// hold puts a record into the table, at the latest when flushRecords is called.
func (k *keeper) hold(r *cost.Record, group int64, kind int) error {
	key, err := hex.DecodeString(r.Key())
	if err != nil {
		return err
	}
	body, err := json.Marshal(r)
	if err != nil {
		return fmt.Errorf("write records: %w", err)
	}
	b, name := r.Bounds(), r.Strand()
	since := b.From.UnixMicro()
	k.held = append(k.held, heldRecord{r, string(key), group, kind, name, since})
	k.records.values = append(k.records.values, key, group, kind, bit(r.Signal), r.Job, name, since,
		b.To.UnixMicro(), b.Edge.UnixMicro(), r.Seen.UnixMicro(), receivedMicros(r), body)
	if len(k.held) < bulkRows {
		return nil
	}
	return k.flushRecords()
}

// flushRecords puts in what is held, and notes what of it is new.
func (k *keeper) flushRecords() error {
	if len(k.held) == 0 {
		return nil
	}
	fresh := make(map[string]bool, len(k.held))
	err := k.records.each(func(rows *sql.Rows) error {
		var key []byte
		err := rows.Scan(&key)
		fresh[string(key)] = true
		return err
	})
	if err != nil {
		return err
	}
	for i := range k.held {
		h := &k.held[i]
		isNew := fresh[h.key]
		delete(fresh, h.key) // the next of the same key is known
		if err := k.kept(h, isNew); err != nil {
			return err
		}
	}
	clear(k.held)
	k.held = k.held[:0]
	return nil
}

// kept notes what a record that is in the table now makes dirty.
func (k *keeper) kept(h *heldRecord, isNew bool) error {
	k.done.Records.add(isNew)
	if isNew && h.kind == kindRun {
		k.jobs[h.Job] = struct{}{}
	}
	switch {
	case isNew && h.strand == "":
		k.change(h.group, h.since)
	case isNew:
		k.strands[strand{h.group, h.strand}] = struct{}{}
	}
	return k.received(h.Record, h.key, h.group, isNew)
}

func newRecordRows(tx *database.Tx) *bulk {
	return newBulk(tx, insertRecords, 12, "ON CONFLICT (key) DO NOTHING RETURNING key")
}
