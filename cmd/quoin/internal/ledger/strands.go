package ledger

import (
	"cmp"
	"database/sql"
	"maps"
	"slices"
	"time"

	"quoin/cmd/quoin/internal/database"
	"quoin/convert/cost"
)

// strand is what keeps records of a device together; see cost.Record.Strand.
type strand struct {
	group int64
	name  string
}

// bounds are those of cost.Bounds, in microseconds.
type bounds struct{ since, till, edge int64 }

func (k *keeper) widen(s strand, b bounds) {
	if old, known := k.strands[s]; known {
		b = bounds{min(b.since, old.since), max(b.till, old.till), max(b.edge, old.edge)}
	}
	k.strands[s] = b
}

// noteStrands widens the strands that something new is in, and notes that they have to
// be settled from their first record on.
func (k *keeper) noteStrands() error {
	rows := newBulk(k.tx, "INSERT INTO ledger_strands (grp, strand, since, till, edge) VALUES", 5, `
		ON CONFLICT (grp, strand) DO UPDATE SET
		since = CASE WHEN excluded.since < ledger_strands.since THEN excluded.since ELSE ledger_strands.since END,
		till = CASE WHEN excluded.till > ledger_strands.till THEN excluded.till ELSE ledger_strands.till END,
		edge = CASE WHEN excluded.edge > ledger_strands.edge THEN excluded.edge ELSE ledger_strands.edge END
		RETURNING grp, since`)
	defer rows.close()
	flush := func() error {
		if len(rows.values) == 0 {
			return nil
		}
		return rows.each(func(r *sql.Rows) error {
			var group, since int64
			err := r.Scan(&group, &since)
			k.change(group, since)
			return err
		})
	}
	all := slices.SortedFunc(maps.Keys(k.strands), func(a, b strand) int {
		return cmp.Or(cmp.Compare(a.group, b.group), cmp.Compare(a.name, b.name))
	})
	for _, s := range all {
		b := k.strands[s]
		rows.values = append(rows.values, s.group, s.name, b.since, b.till, b.edge)
		if len(rows.values) == bulkRows*rows.columns {
			if err := flush(); err != nil {
				return err
			}
		}
	}
	return flush()
}

// dirtyStrand marks a device as to be settled from the first record of the strand of a
// record on.
func dirtyStrand(tx *database.Tx, group int64, r *cost.Record) error {
	since := r.Bounds().From.UnixMicro()
	if name := r.Strand(); name != "" {
		err := tx.QueryRow("SELECT since FROM ledger_strands WHERE grp = ? AND strand = ?", group, name).Scan(&since)
		if err != nil {
			return err
		}
	}
	_, err := tx.Exec("UPDATE ledger_groups SET dirty = ? WHERE id = ? AND dirty > ?", since, group, since)
	return err
}

// strandsFrom reads the strands of a device that begin at a moment or later. None
// reaches over a quiet point.
func strandsFrom(tx *database.Tx, group, from int64) (map[string]cost.Bounds, error) {
	all := map[string]cost.Bounds{}
	err := tx.Each(func(rows *sql.Rows) error {
		var name string
		var b bounds
		err := rows.Scan(&name, &b.since, &b.till, &b.edge)
		all[name] = cost.Bounds{From: micros(b.since), To: micros(b.till), Edge: micros(b.edge)}
		return err
	}, "SELECT strand, since, till, edge FROM ledger_strands WHERE grp = ? AND since >= ?", group, from)
	return all, err
}

// micros is a moment of the bounds of a record, of which 1970 is none too early.
func micros(n int64) time.Time { return time.UnixMicro(n).UTC() }
