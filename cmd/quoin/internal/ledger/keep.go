package ledger

import (
	"context"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"time"

	"quoin/cmd/quoin/internal/database"
	"quoin/convert/cost"
	"quoin/validate"
)

// keep takes one batch in one transaction, and notes what it made dirty.
func (l *Ledger) keep(ctx context.Context, batch []batchItem) (*Imported, error) {
	var kept *Imported
	err := l.db.Write(ctx, func(tx *database.Tx) error {
		k, err := newKeeper(tx)
		if err != nil {
			return err
		}
		defer k.close()
		for _, item := range batch {
			if err := k.said(item.said, item.packed); err != nil {
				return err
			}
			if err := k.measured(item.measured); err != nil {
				return err
			}
			if err := k.doubts(item.found); err != nil {
				return err
			}
		}
		if err := k.flushRecords(); err != nil {
			return err
		}
		kept = &k.done
		return k.noteDirty()
	})
	return kept, err
}

// keeper keeps what documents say, in one transaction.
type keeper struct {
	tx      *database.Tx
	inserts map[string]*sql.Stmt // by table
	records *bulk
	held    []heldRecord // whose rows are in records
	earlier *sql.Stmt
	groups  map[string]int64
	done    Imported

	dirty   map[int64]int64   // by group: the earliest change of records that stand alone
	strands map[strand]bounds // of what is new in them
	heard   map[int64]int64   // by group
	jobs    map[string]struct{}
}

var insertions = map[string]string{
	"uses": `INSERT INTO ledger_uses (key, job, body) VALUES (?, ?, ?) ON CONFLICT (key) DO NOTHING`,
	"notices": `INSERT INTO ledger_notices (key, device, job, seen, body) VALUES (?, ?, ?, ?, ?)
		ON CONFLICT (key) DO NOTHING`,
	"measurements": `INSERT INTO ledger_measurements (key, job, device, seen, body) VALUES (?, ?, ?, ?, ?)
		ON CONFLICT (key) DO NOTHING`,
	"orders":    `INSERT INTO ledger_orders (key, job, body) VALUES (?, ?, ?) ON CONFLICT (key) DO NOTHING`,
	"tasks":     `INSERT INTO ledger_tasks (key, job, body) VALUES (?, ?, ?) ON CONFLICT (key) DO NOTHING`,
	"supplies":  `INSERT INTO ledger_supplies (key, job, body) VALUES (?, ?, ?) ON CONFLICT (key) DO NOTHING`,
	"purchases": `INSERT INTO ledger_purchases (key, job, day, body) VALUES (?, ?, ?, ?) ON CONFLICT (key) DO NOTHING`,
	"doubts":    `INSERT INTO ledger_doubts (key, file, rule, body) VALUES (?, ?, ?, ?) ON CONFLICT (key) DO NOTHING`,
}

func newKeeper(tx *database.Tx) (*keeper, error) {
	k := &keeper{
		tx: tx, inserts: map[string]*sql.Stmt{}, records: newRecordRows(tx), groups: map[string]int64{},
		dirty: map[int64]int64{}, strands: map[strand]bounds{}, heard: map[int64]int64{}, jobs: map[string]struct{}{},
	}
	for table, query := range insertions {
		stmt, err := tx.Prepare(query)
		if err != nil {
			return nil, err
		}
		k.inserts[table] = stmt
	}
	var err error
	k.earlier, err = tx.Prepare(`UPDATE ledger_records SET received = ? WHERE grp = ? AND since = ? AND key = ?
		AND (received = 0 OR received > ?)`)
	return k, err
}

func (k *keeper) close() {
	for _, stmt := range k.inserts {
		stmt.Close()
	}
	k.earlier.Close()
	k.records.close()
}

func (k *keeper) said(s *cost.Said, packs []*packed) error {
	for i := range s.Records {
		if err := k.record(&s.Records[i], packs[i]); err != nil {
			return err
		}
	}
	for i := range s.Uses {
		u := &s.Uses[i]
		isNew, err := k.insert("uses", u.Key(), u, u.Job)
		if err != nil {
			return err
		}
		k.done.Uses.add(isNew)
		if isNew {
			k.jobs[u.Job] = struct{}{}
		}
	}
	for i := range s.Notices {
		n := &s.Notices[i]
		isNew, err := k.insert("notices", n.Key(), n, n.Device, n.Job, database.Micros(n.Seen))
		if err != nil {
			return err
		}
		k.done.Notices.add(isNew)
	}
	return k.wanted(s)
}

// wanted keeps orders, tasks and what they need.
func (k *keeper) wanted(s *cost.Said) error {
	for i := range s.Orders {
		isNew, err := k.insert("orders", s.Orders[i].Key(), &s.Orders[i], s.Orders[i].Job)
		if err != nil {
			return err
		}
		k.done.Orders.add(isNew)
	}
	for i := range s.Tasks {
		isNew, err := k.insert("tasks", s.Tasks[i].Key(), &s.Tasks[i], s.Tasks[i].Job)
		if err != nil {
			return err
		}
		k.done.Tasks.add(isNew)
	}
	for i := range s.Supplies {
		isNew, err := k.insert("supplies", s.Supplies[i].Key(), &s.Supplies[i], s.Supplies[i].Job)
		if err != nil {
			return err
		}
		k.done.Supplies.add(isNew)
	}
	return nil
}

// insert keeps a thing by its key, unless it is there.
func (k *keeper) insert(table, key string, thing any, columns ...any) (isNew bool, err error) {
	blob, err := hex.DecodeString(key)
	if err != nil {
		return false, err
	}
	body, err := json.Marshal(thing)
	if err != nil {
		return false, fmt.Errorf("write %s: %w", table, err)
	}
	args := append(append([]any{blob}, columns...), body)
	res, err := k.inserts[table].ExecContext(k.tx.Context(), args...)
	if err != nil {
		return false, err
	}
	n, err := res.RowsAffected()
	return n > 0, err
}

const (
	kindPhase = 1
	kindRun   = 2
)

// record keeps a record of time. A mere word of a device is kept as the moment.
func (k *keeper) record(r *cost.Record, p *packed) error {
	group, err := k.group(r)
	if err != nil {
		return err
	}
	if heard := database.Micros(r.Heard()); heard > k.heard[group] {
		k.heard[group] = heard
	}
	kind := kindPhase
	switch r.Kind {
	case cost.KindWord:
		return nil
	case cost.KindRun:
		kind = kindRun
	}
	return k.hold(r, p, group, kind)
}

// received notes an earlier arrival of a record, and that the clock of its
// device has to be looked at again on that day.
func (k *keeper) received(h *heldRecord, isNew bool) error {
	at := receivedMicros(h.Record)
	if at == 0 {
		return nil
	}
	if !isNew {
		res, err := k.earlier.ExecContext(k.tx.Context(), at, h.group, h.since, []byte(h.key), at)
		if err != nil {
			return err
		}
		if n, err := res.RowsAffected(); err != nil || n == 0 {
			return err
		}
	}
	k.change(h.group, dayStart(h.Seen))
	return nil
}

// receivedMicros is 0 for what tells nothing of the clock of its device.
func receivedMicros(r *cost.Record) int64 {
	if !r.Signal {
		return 0
	}
	return database.Micros(r.Received)
}

// dayStart is the begin of the day of UTC that the clock of a device is judged by.
func dayStart(t time.Time) int64 {
	return time.Unix(cost.DayNumber(t)*24*60*60, 0).UnixMicro()
}

func bit(b bool) int64 {
	if b {
		return 1
	}
	return 0
}

func (k *keeper) change(group, at int64) {
	if old, known := k.dirty[group]; !known || at < old {
		k.dirty[group] = at
	}
}

// group finds the number of what keeps its own time, and makes it when missing.
func (k *keeper) group(r *cost.Record) (int64, error) {
	name := r.Group()
	if id, known := k.groups[name]; known {
		return id, nil
	}
	var id int64
	// A text of PostgreSQL holds no NUL, with which the groups without a device are made.
	stored := fmt.Sprintf("%q", name)
	_, err := k.tx.Exec(`INSERT INTO ledger_groups (name, device, dirty, uncut) VALUES (?, ?, ?, ?)
		ON CONFLICT (name) DO NOTHING`, stored, r.Device, int64(clean), int64(clean))
	if err != nil {
		return 0, err
	}
	err = k.tx.QueryRow("SELECT id FROM ledger_groups WHERE name = ?", stored).Scan(&id)
	k.groups[name] = id
	return id, err
}

// noteDirty writes down what has to be settled.
func (k *keeper) noteDirty() error {
	if err := k.noteStrands(); err != nil {
		return err
	}
	for _, group := range slices.Sorted(maps.Keys(k.heard)) {
		if err := k.noteHeard(group); err != nil {
			return err
		}
	}
	for _, group := range slices.Sorted(maps.Keys(k.dirty)) {
		at := k.dirty[group]
		if _, err := k.tx.Exec("UPDATE ledger_groups SET dirty = ? WHERE id = ? AND dirty > ?", at, group, at); err != nil {
			return err
		}
	}
	return noteJobs(k.tx, slices.Sorted(maps.Keys(k.jobs)))
}

// noteHeard notes a later word of a device, which ends its open phases later.
func (k *keeper) noteHeard(group int64) error {
	heard := k.heard[group]
	n, err := k.tx.Exec("UPDATE ledger_groups SET heard = ? WHERE id = ? AND heard < ?", heard, group, heard)
	if err != nil || n == 0 {
		return err
	}
	var open sql.NullInt64
	err = k.tx.QueryRow("SELECT MIN(at) FROM ledger_entries WHERE grp = ? AND flags >= 4", group).Scan(&open)
	if open.Valid {
		k.change(group, open.Int64)
	}
	return err
}

// noteJobs notes jobs whose runs, uses and amounts have to be compared again.
func noteJobs(tx *database.Tx, jobs []string) error {
	if len(jobs) == 0 {
		return nil
	}
	stmt, err := tx.Prepare(`INSERT INTO ledger_jobs (job, dirty) VALUES (?, 1) ON CONFLICT (job) DO UPDATE SET dirty = 1`)
	if err != nil {
		return err
	}
	defer stmt.Close()
	for _, job := range jobs {
		if _, err := stmt.ExecContext(tx.Context(), job); err != nil {
			return err
		}
	}
	return nil
}

// doubts keeps the findings of documents.
func (k *keeper) doubts(found []validate.Finding) error {
	for _, f := range found {
		n := noteOf(f)
		if _, err := k.insert("doubts", n.key(), n, n.Source.File, f.Rule.ID); err != nil {
			return err
		}
	}
	return nil
}
