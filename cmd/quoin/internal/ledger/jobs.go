package ledger

import (
	"context"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"slices"

	"quoin/cmd/quoin/internal/database"
	"quoin/convert/cost"
	"quoin/validate"
)

// jobsAtOnce is how many jobs are looked at in one transaction.
const jobsAtOnce = 500

// words reads a column of text.
func (l *Ledger) words(ctx context.Context, query string, args ...any) ([]string, error) {
	var all []string
	err := l.db.Read(ctx, func(tx *database.Tx) error {
		all = all[:0]
		return tx.Each(func(rows *sql.Rows) error {
			var s string
			err := rows.Scan(&s)
			all = append(all, s)
			return err
		}, query, args...)
	})
	return all, err
}

// matchRuns finds the runs of dirty jobs that stand for phases, and reports
// whether that made a device dirty. What the other phases are does not depend on
// them, so that a second look finds the same.
func (l *Ledger) matchRuns(ctx context.Context) (again bool, err error) {
	jobs, err := l.words(ctx, `SELECT DISTINCT j.job FROM ledger_jobs j JOIN ledger_records r ON r.job = j.job
		WHERE r.kind = 2 AND j.dirty > 0 ORDER BY j.job`)
	if err != nil {
		return false, err
	}
	for batch := range slices.Chunk(jobs, jobsAtOnce) {
		changed := false
		err := l.db.Write(ctx, func(tx *database.Tx) error {
			changed = false
			for _, job := range batch {
				one, err := matchJob(tx, job)
				if err != nil {
					return err
				}
				changed = changed || one
			}
			return nil
		})
		if err != nil {
			return false, err
		}
		again = again || changed
	}
	return again, nil
}

// matchJob marks the runs of a job that stand for phases.
func matchJob(tx *database.Tx, job string) (changed bool, err error) {
	runs, err := runsOf(tx, job)
	if err != nil {
		return false, err
	}
	entries, err := entriesOf(tx, job)
	if err != nil {
		return false, err
	}
	records := make([]cost.Record, len(runs))
	for i := range runs {
		records[i] = runs[i].Record
	}
	alone, _ := cost.MatchRuns(records, entries)
	stands := map[string]bool{}
	for i := range alone {
		stands[alone[i].Key()] = true
	}
	for _, r := range runs {
		key := r.Key()
		if stands[key] == r.stands {
			continue
		}
		changed = true
		blob, err := hex.DecodeString(key)
		if err != nil {
			return false, err
		}
		if _, err := tx.Exec("UPDATE ledger_records SET stands = ? WHERE grp = ? AND since = ? AND key = ?",
			bit(stands[key]), r.group, r.Bounds().From.UnixMicro(), blob); err != nil {
			return false, err
		}
		if err := dirtyStrand(tx, r.group, &r.Record); err != nil {
			return false, err
		}
	}
	return changed, nil
}

// run is a record of a run, as it is kept.
type run struct {
	cost.Record
	group  int64
	stands bool
}

func runsOf(tx *database.Tx, job string) ([]run, error) {
	var all []run
	err := tx.Each(func(rows *sql.Rows) error {
		var r run
		var stands int64
		var body []byte
		if err := rows.Scan(&r.group, &stands, &body); err != nil {
			return err
		}
		r.stands = stands != 0
		record, err := cost.UnpackRecord(body)
		if err != nil {
			return fmt.Errorf("read run: %w", err)
		}
		r.Record = record
		all = append(all, r)
		return nil
	}, "SELECT grp, stands, body FROM ledger_records WHERE kind = 2 AND job = ?", job)
	return all, err
}

func entriesOf(tx *database.Tx, job string) ([]cost.Entry, error) {
	return entriesIn(tx, "job = ?", job)
}

// settleJobs works out what the dirty jobs used, and where their runs and amounts
// do not add up. Most jobs have neither runs nor uses and nothing to compare.
func (l *Ledger) settleJobs(ctx context.Context, found *findings) (n int, err error) {
	dirty, err := l.numbers(ctx, "SELECT COUNT(*) FROM ledger_jobs WHERE dirty > 0")
	if err != nil {
		return 0, err
	}
	jobs, err := l.words(ctx, `SELECT j.job FROM ledger_jobs j WHERE j.dirty > 0 AND (
		EXISTS (SELECT 1 FROM ledger_records r WHERE r.kind = 2 AND r.job = j.job) OR
		EXISTS (SELECT 1 FROM ledger_uses u WHERE u.job = j.job)) ORDER BY j.job`)
	if err != nil {
		return 0, err
	}
	for batch := range slices.Chunk(jobs, jobsAtOnce) {
		var all []validate.Finding
		err := l.db.Write(ctx, func(tx *database.Tx) error {
			all = all[:0]
			for _, job := range batch {
				more, err := settleJob(tx, job)
				if err != nil {
					return err
				}
				all = append(all, more...)
			}
			return nil
		})
		if err != nil {
			return 0, err
		}
		found.add(all...)
	}
	return int(dirty[0]), l.db.Write(ctx, func(tx *database.Tx) error {
		_, err := tx.Exec("UPDATE ledger_jobs SET dirty = 0 WHERE dirty > 0")
		return err
	})
}

// noGroup is the group of findings that are about a job on all its devices.
const noGroup = 0

func settleJob(tx *database.Tx, job string) ([]validate.Finding, error) {
	runs, err := runsOf(tx, job)
	if err != nil {
		return nil, err
	}
	entries, err := entriesOf(tx, job)
	if err != nil {
		return nil, err
	}
	records := make([]cost.Record, len(runs))
	for i := range runs {
		records[i] = runs[i].Record
	}
	uses, err := settleUses(tx, job)
	if err != nil {
		return nil, err
	}
	_, found := cost.MatchRuns(records, entries)
	found = append(found, cost.CheckMade(entries, uses)...)
	if _, err := tx.Exec("DELETE FROM ledger_findings WHERE grp = ? AND job = ?", noGroup, job); err != nil {
		return nil, err
	}
	for _, f := range found {
		n := noteOf(f)
		body, err := json.Marshal(n)
		if err != nil {
			return nil, fmt.Errorf("write finding: %w", err)
		}
		if _, err := tx.Exec("INSERT INTO ledger_findings (grp, job, at, rule, body) VALUES (?, ?, 0, ?, ?)",
			noGroup, job, n.Rule, body); err != nil {
			return nil, err
		}
	}
	return found, nil
}

// settleUses works out what a job used, and keeps it.
func settleUses(tx *database.Tx, job string) ([]cost.Use, error) {
	var records []cost.UseRecord
	err := bodies(tx, func(u cost.UseRecord) { records = append(records, u) },
		"SELECT body FROM ledger_uses WHERE job = ?", job)
	if err != nil {
		return nil, err
	}
	uses := cost.SettleUses(records)
	if _, err := tx.Exec("DELETE FROM ledger_used WHERE job = ?", job); err != nil {
		return nil, err
	}
	for _, u := range uses {
		body, err := json.Marshal(u)
		if err != nil {
			return nil, fmt.Errorf("write use: %w", err)
		}
		if _, err := tx.Exec("INSERT INTO ledger_used (job, body) VALUES (?, ?)", job, body); err != nil {
			return nil, err
		}
	}
	return uses, nil
}

// bodies reads a column of JSON.
func bodies[T any](tx *database.Tx, f func(T), query string, args ...any) error {
	return tx.Each(func(rows *sql.Rows) error {
		var body []byte
		if err := rows.Scan(&body); err != nil {
			return err
		}
		var one T
		if err := json.Unmarshal(body, &one); err != nil {
			return fmt.Errorf("read %T: %w", one, err)
		}
		f(one)
		return nil
	}, query, args...)
}
