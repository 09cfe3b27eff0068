package ledger

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"iter"
	"time"

	"quoin/cmd/quoin/internal/database"
	"quoin/convert/cost"
	"quoin/validate"
)

// stopped says that whoever reads has had enough.
var errStopped = errors.New("stopped reading")

// stream turns a reading transaction into a sequence. An error ends it.
func stream[T any](ctx context.Context, l *Ledger, what string, read func(tx *database.Tx, yield func(T) error) error,
) iter.Seq2[T, error] {
	return func(yield func(T, error) bool) {
		err := l.db.Read(ctx, func(tx *database.Tx) error {
			return read(tx, func(one T) error {
				if !yield(one, nil) {
					return errStopped
				}
				return nil
			})
		})
		if err != nil && !errors.Is(err, errStopped) {
			var none T
			yield(none, fmt.Errorf("read %s of ledger: %w", what, err))
		}
	}
}

// Entries reads the entries that have a share in what the filter takes, whole,
// in the order of device and time. Times are in UTC.
func (l *Ledger) Entries(ctx context.Context, f Filter) iter.Seq2[cost.Entry, error] {
	return stream(ctx, l, "entries", func(tx *database.Tx, yield func(cost.Entry) error) error {
		c := f.entries()
		return entriesWhere(tx, yield, c.where()+" ORDER BY device, starts, job, part, keys, state, ends", c.args...)
	})
}

// Findings reads the findings on documents, devices and jobs: those on jobs and
// devices that the filter takes, and those on documents where it has no limits.
func (l *Ledger) Findings(ctx context.Context, f Filter) iter.Seq2[validate.Finding, error] {
	return stream(ctx, l, "findings", func(tx *database.Tx, yield func(validate.Finding) error) error {
		known := newRules()
		take := func(rows *sql.Rows) error {
			var body []byte
			if err := rows.Scan(&body); err != nil {
				return err
			}
			one, ok, err := known.finding(body)
			if err != nil || !ok {
				return err
			}
			return yield(one)
		}
		if f.all() {
			if err := tx.Each(take, "SELECT body FROM ledger_doubts ORDER BY file, key"); err != nil {
				return err
			}
		}
		c := &clause{}
		if !f.From.IsZero() {
			c.and("f.at >= ?", database.Micros(f.From))
		}
		if !f.To.IsZero() {
			c.and("f.at < ?", database.Micros(f.To))
		}
		c.in("g.device", f.Devices)
		c.in("f.job", f.Jobs)
		return tx.Each(take, `SELECT f.body FROM ledger_findings f LEFT JOIN ledger_groups g ON g.id = f.grp
			WHERE `+c.where()+" ORDER BY f.grp, f.at, f.job, f.rule", c.args...)
	})
}

func (f Filter) all() bool {
	return f.From.IsZero() && f.To.IsZero() && len(f.Jobs) == 0 && len(f.Devices) == 0
}

// Notices reads the events that were reported, in the order of time.
func (l *Ledger) Notices(ctx context.Context, f Filter) iter.Seq2[cost.Notice, error] {
	return stream(ctx, l, "notices", func(tx *database.Tx, yield func(cost.Notice) error) error {
		c := &clause{}
		if !f.From.IsZero() {
			c.and("seen >= ?", database.Micros(f.From))
		}
		if !f.To.IsZero() {
			c.and("seen < ?", database.Micros(f.To))
		}
		c.in("job", f.Jobs)
		c.in("device", f.Devices)
		var failed error
		err := bodies(tx, func(n cost.Notice) {
			if failed == nil {
				failed = yield(n)
			}
		}, "SELECT body FROM ledger_notices WHERE "+c.where()+" ORDER BY seen, key", c.args...)
		return errors.Join(failed, err)
	})
}

// Job is what the ledger knows of a job at a glance.
type Job struct {
	ID       string    `json:"id"` // "" is what was done for no job
	Name     string    `json:"name"`
	Customer string    `json:"customer"`
	Due      time.Time `json:"due,omitzero"`
	First    time.Time `json:"first,omitzero"` // when anything was first done for it
	Last     time.Time `json:"last,omitzero"`
	Time     cost.Span `json:"time"`
	Entries  int       `json:"entries"`
	Open     int       `json:"open"` // phases that have no end yet
}

// Jobs lists the jobs that something was done for in what the filter takes, by
// id. Their figures are those of what the filter takes.
func (l *Ledger) Jobs(ctx context.Context, f Filter) ([]Job, error) {
	var all []Job
	err := l.db.Read(ctx, func(tx *database.Tx) error {
		all = all[:0]
		c := f.entries()
		err := tx.Each(func(rows *sql.Rows) error {
			var j Job
			var first, last, counted int64
			err := rows.Scan(&j.ID, &first, &last, &counted, &j.Entries, &j.Open)
			j.First, j.Last, j.Time = micros(first), micros(last), cost.Span(counted)
			all = append(all, j)
			return err
		}, `SELECT job, MIN(starts), MAX(ends), SUM(counts), COUNT(*), SUM(CASE WHEN flags >= 4 THEN 1 ELSE 0 END)
			FROM ledger_entries WHERE `+c.where()+" GROUP BY job ORDER BY job", c.args...)
		if err != nil {
			return err
		}
		orders := map[string]cost.Order{}
		merged, err := mergedOrders(tx, "1 = 1")
		for _, o := range merged {
			orders[o.Job] = o
		}
		for i := range all {
			o := orders[all[i].ID]
			all[i].Name, all[i].Customer, all[i].Due = o.Name, o.Customer, o.Due
		}
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("read jobs of ledger: %w", err)
	}
	return all, nil
}

// findingsOf adds the findings on a device from a moment on.
func (l *Ledger) findingsOf(ctx context.Context, found *findings, group, from int64) error {
	known := newRules()
	return l.db.Read(ctx, func(tx *database.Tx) error {
		return tx.Each(func(rows *sql.Rows) error {
			var body []byte
			if err := rows.Scan(&body); err != nil {
				return err
			}
			f, ok, err := known.finding(body)
			if ok {
				found.add(f)
			}
			return err
		}, "SELECT body FROM ledger_findings WHERE grp = ? AND at >= ? ORDER BY at", group, from)
	})
}
