package ledger

import (
	"database/sql"
	"encoding/hex"
	"fmt"

	"quoin/cmd/quoin/internal/database"
	"quoin/convert/cost"
)

const insertRecords = `INSERT INTO ledger_records
	(key, grp, kind, signal, job, strand, since, till, edge, seen, received, body) VALUES`

// heldRecord is a record on its way into the table.
type heldRecord struct {
	*cost.Record
	*packed
	group int64
	kind  int
}

// packed is a record made ready for its table.
type packed struct {
	key    string // as bytes
	body   []byte
	strand string
	bounds
}

func newPacked(r *cost.Record) (*packed, error) {
	key, err := hex.DecodeString(r.Key())
	if err != nil {
		return nil, fmt.Errorf("write records: %w", err)
	}
	b := r.Bounds()
	return &packed{
		string(key), r.Pack(), r.Strand(), bounds{b.From.UnixMicro(), b.To.UnixMicro(), b.Edge.UnixMicro()},
	}, nil
}

// hold puts a record into the table, at the latest when flushRecords is called.
func (k *keeper) hold(r *cost.Record, p *packed, group int64, kind int) error {
	k.held = append(k.held, heldRecord{r, p, group, kind})
	k.records.values = append(k.records.values, []byte(p.key), group, kind, bit(r.Signal), r.Job, p.strand, p.since,
		p.till, p.edge, r.Seen.UnixMicro(), receivedMicros(r), p.body)
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
		k.widen(strand{h.group, h.strand}, bounds{h.since, h.till, h.edge})
	}
	return k.received(h, isNew)
}

func newRecordRows(tx *database.Tx) *bulk {
	return newBulk(tx, insertRecords, 12, "ON CONFLICT (grp, since, key) DO NOTHING RETURNING key")
}
