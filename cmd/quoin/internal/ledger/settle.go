package ledger

import (
	"context"
	"database/sql"
	"fmt"
	"maps"
	"slices"

	"quoin/cmd/quoin/internal/database"
)

// settle brings everything up to date that is noted as dirty: first the devices,
// then their runs, which may stand for phases and make devices dirty again, and
// then what jobs come to.
func (l *Ledger) settle(ctx context.Context, done *Imported, found *findings) (err error) {
	devices := map[int64]int64{} // from where each was settled
	for {
		groups, err := l.numbers(ctx, "SELECT id FROM ledger_groups WHERE dirty < ? ORDER BY id", int64(clean))
		if err != nil {
			return err
		}
		for _, group := range groups {
			from, err := l.settleGroup(ctx, group)
			if err != nil {
				return err
			}
			if old, known := devices[group]; !known || from < old {
				devices[group] = from
			}
		}
		again, err := l.matchRuns(ctx)
		if err != nil {
			return err
		}
		if !again {
			break
		}
	}
	if done.Devices, err = l.named(ctx, devices); err != nil {
		return err
	}
	for _, group := range slices.Sorted(maps.Keys(devices)) {
		if err := l.findingsOf(ctx, found, group, devices[group]); err != nil {
			return err
		}
	}
	jobs, err := l.settleJobs(ctx, found)
	if err != nil {
		return err
	}
	done.Jobs = jobs
	if l.plant != nil {
		if err := l.cut(ctx); err != nil {
			return err
		}
	}
	return l.db.Read(ctx, func(tx *database.Tx) error {
		return tx.QueryRow("SELECT COALESCE(SUM(entries), 0) FROM ledger_groups").Scan(&done.Entries)
	})
}

// named counts the devices among what was settled: work that names none keeps its own
// time too, and is no device.
func (l *Ledger) named(ctx context.Context, groups map[int64]int64) (n int, err error) {
	devices, err := l.numbers(ctx, "SELECT id FROM ledger_groups WHERE device <> ''")
	for _, id := range devices {
		if _, settled := groups[id]; settled {
			n++
		}
	}
	return n, err
}

// numbers reads a column of numbers.
func (l *Ledger) numbers(ctx context.Context, query string, args ...any) ([]int64, error) {
	var all []int64
	err := l.db.Read(ctx, func(tx *database.Tx) error {
		all = all[:0]
		return tx.Each(func(rows *sql.Rows) error {
			var n int64
			err := rows.Scan(&n)
			all = append(all, n)
			return err
		}, query, args...)
	})
	return all, err
}

// settleGroup settles one device, in one transaction, and tells from when on.
func (l *Ledger) settleGroup(ctx context.Context, group int64) (from int64, err error) {
	err = l.db.Write(ctx, func(tx *database.Tx) error {
		s := &settler{Ledger: l, tx: tx, group: group}
		if err := s.prepare(); err != nil {
			return err
		}
		defer s.close()
		err := s.run()
		from = s.from
		return err
	})
	if err != nil {
		return 0, fmt.Errorf("settle device %d: %w", group, err)
	}
	return from, nil
}
