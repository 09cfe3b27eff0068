package ledger

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"

	"quoin/cmd/quoin/internal/database"
	"quoin/convert/cost"
	"quoin/convert/cost/account"
	"quoin/jdf/job"
)

// Total is what was spent on one thing, without prices: what a board shows at a
// glance, and what a statement of account is too much for.
type Total struct {
	Key     string                  `json:"key"`
	Times   map[job.State]cost.Span `json:"times"`   // those that are not 0
	Entries int                     `json:"entries"` // phases that began in it
}

// totalColumns are the columns of cells by which totals are made.
var totalColumns = map[account.By]string{
	account.ByJob: "job", account.ByDevice: "device", account.ByCentre: "centre", account.ByOperator: "operator",
	account.ByShift: "shift", account.ByDay: "day", account.ByWeek: "day", account.ByMonth: "substr(day, 1, 7)",
}

// Totals adds up the time of what the filter takes, in whole days, by job, device,
// cost-centre, operator, shift, day, week or month. It needs the plant.
func (l *Ledger) Totals(ctx context.Context, by account.By, f Filter) ([]Total, error) {
	_, known := totalColumns[by]
	switch {
	case !known:
		return nil, fmt.Errorf(
			"there are no totals by %q; want job, device, cost-centre, operator, shift, day, week or month", by)
	case l.plant == nil:
		return nil, errors.New("add up ledger: no plant is known; open the ledger with a plant file")
	}
	if err := l.cut(ctx); err != nil {
		return nil, fmt.Errorf("add up ledger: %w", err)
	}
	if by == account.ByJob && l.choiceOf(f).all() {
		return l.spentOnJobs(ctx)
	}
	query, args := l.totalQuery(by, f)
	var all []Total
	err := l.db.Read(ctx, func(tx *database.Tx) error {
		all = all[:0]
		return tx.Each(func(rows *sql.Rows) error {
			var key string
			var state, counted int64
			var entries int
			if err := rows.Scan(&key, &state, &counted, &entries); err != nil {
				return err
			}
			if by == account.ByWeek && len(key) == len(time.DateOnly) {
				key = weekOf(key) // days in their order stay in the order of weeks
			}
			if n := len(all); n == 0 || all[n-1].Key != key {
				all = append(all, Total{Key: key, Times: map[job.State]cost.Span{}})
			}
			t := &all[len(all)-1]
			if counted != 0 {
				t.Times[job.State(state)] += cost.Span(counted)
			}
			t.Entries += entries
			return nil
		}, query, args...)
	})
	if err != nil {
		return nil, fmt.Errorf("add up ledger: %w", err)
	}
	return all, nil
}

// spentOnJobs reads what is kept of each job.
func (l *Ledger) spentOnJobs(ctx context.Context) ([]Total, error) {
	var all []Total
	err := l.db.Read(ctx, func(tx *database.Tx) error {
		all = all[:0]
		return tx.Each(func(rows *sql.Rows) error {
			var t Total
			var s [job.StateOff + 1]int64
			err := rows.Scan(&t.Key, &s[0], &s[1], &s[2], &s[3], &s[4], &s[5], &s[6], &s[7], &t.Entries)
			t.Times = make(map[job.State]cost.Span, 4)
			for state, counts := range s {
				if counts != 0 {
					t.Times[job.State(state)] = cost.Span(counts)
				}
			}
			all = append(all, t)
			return err
		}, `SELECT job, s0, s1, s2, s3, s4, s5, s6, s7, entries FROM ledger_spent WHERE entries > 0 ORDER BY job`)
	})
	if err != nil {
		return nil, fmt.Errorf("add up ledger: %w", err)
	}
	return all, nil
}

// totalQuery adds up the sums that are kept, as far as they tell what the filter
// asks, and else the cells.
func (l *Ledger) totalQuery(by account.By, f Filter) (query string, args []any) {
	c, table, column := l.choiceOf(f).cells, "ledger_cells", totalColumns[by]
	dated := !f.From.IsZero() || !f.To.IsZero()
	if _, kept := sumKeys[by]; kept && !dated && len(f.Jobs) == 0 {
		c, table, column = &clause{}, "ledger_sums", "key"
		c.and("dimension = ?", string(by))
		c.in("device", f.Devices)
	}
	return "SELECT " + column + " AS k, state, SUM(counts), SUM(entries) FROM " + table + " WHERE " + c.where() +
		" GROUP BY k, state ORDER BY k, state", c.args
}
