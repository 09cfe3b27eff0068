package ledger

import (
	"database/sql"
	"maps"
	"slices"

	"quoin/cmd/quoin/internal/database"
	"quoin/convert/cost"
	"quoin/convert/cost/account"
	"quoin/jdf/job"
)

// cutting makes the cells of one device, from a moment on, a chunk of entries at a
// time. Each chunk can be taken out and cut again by itself.
type cutting struct {
	*Ledger
	tx    *database.Tx
	group int64
	cells *bulk
	sums  *bulk
	held  []cost.Entry // of the chunk that is not full yet
	spent map[string]*spent
}

func newCutting(l *Ledger, tx *database.Tx, group int64) *cutting {
	return &cutting{
		Ledger: l, tx: tx, group: group, spent: map[string]*spent{},
		cells: newBulk(tx, "INSERT INTO ledger_cells (grp, chunk, "+cellColumns+") VALUES", 16, ""),
		sums: newBulk(tx, `INSERT INTO ledger_sums (grp, chunk, dimension, key, device, state, counts, entries)
			VALUES`, 8, ""),
	}
}

func (c *cutting) close() {
	c.cells.close()
	c.sums.close()
}

// begin takes out the chunks that a moment or any later one falls into, and tells where
// the first of them begins.
func (c *cutting) begin(at int64) (from int64, err error) {
	var chunk sql.NullInt64
	err = c.tx.QueryRow("SELECT MAX(chunk) FROM ledger_cells WHERE grp = ? AND chunk <= ?", c.group, at).Scan(&chunk)
	if err != nil {
		return 0, err
	}
	if from = at; chunk.Valid {
		from = chunk.Int64
	}
	err = c.tx.Each(func(rows *sql.Rows) error {
		var name string
		var state, counts, entries int64
		err := rows.Scan(&name, &state, &counts, &entries)
		c.spend(name, job.State(state), -counts, -entries)
		return err
	}, `SELECT job, state, SUM(counts), SUM(entries) FROM ledger_cells WHERE grp = ? AND chunk >= ?
		GROUP BY job, state`, c.group, from)
	if err != nil {
		return 0, err
	}
	for _, table := range []string{"ledger_cells", "ledger_sums"} {
		if _, err := c.tx.Exec("DELETE FROM "+table+" WHERE grp = ? AND chunk >= ?", c.group, from); err != nil {
			return 0, err
		}
	}
	return from, nil
}

// add takes the next entry by the clock of the device.
func (c *cutting) add(e *cost.Entry) error {
	if n := len(c.held); n >= c.Ledger.chunk && deviceTime(e) > deviceTime(&c.held[n-1]) {
		if err := c.flush(); err != nil {
			return err
		}
	}
	c.held = append(c.held, *e)
	return nil
}

func (c *cutting) flush() error {
	err := c.chunk(c.held)
	clear(c.held)
	c.held = c.held[:0]
	return err
}

// chunk cuts entries together.
func (c *cutting) chunk(entries []cost.Entry) error {
	if len(entries) == 0 {
		return nil
	}
	chunk := deviceTime(&entries[0])
	for i := range entries {
		chunk = min(chunk, deviceTime(&entries[i]))
	}
	cells := account.Cells(slices.Values(entries), c.plant)
	for i := range cells {
		d := &cells[i]
		err := c.cells.add(c.group, chunk, d.Day, d.Shift, d.Device, d.Centre, d.Operator, d.Job,
			d.Part, int64(d.State), d.Reason, d.Work, int64(d.Time), d.Good.String(), d.Waste.String(), d.Entries)
		if err != nil {
			return err
		}
		c.spend(d.Job, d.State, int64(d.Time), int64(d.Entries))
	}
	return keepSums(c.sums, c.group, chunk, cells)
}

// end writes what is left.
func (c *cutting) end() error {
	if err := c.flush(); err != nil {
		return err
	}
	if err := c.cells.flush(); err != nil {
		return err
	}
	if err := c.sums.flush(); err != nil {
		return err
	}
	return c.flushSpent()
}

// spent is the change of what was spent on a job, by state.
type spent struct {
	counts  [job.StateOff + 1]int64
	entries int64
}

func (c *cutting) spend(name string, state job.State, counts, entries int64) {
	s := c.spent[name]
	if s == nil {
		s = &spent{}
		c.spent[name] = s
	}
	s.counts[state] += counts
	s.entries += entries
}

// flushSpent adds the changes to what is kept of each job.
func (c *cutting) flushSpent() error {
	rows := newBulk(c.tx, "INSERT INTO ledger_spent (job, s0, s1, s2, s3, s4, s5, s6, s7, entries) VALUES", 10, `
		ON CONFLICT (job) DO UPDATE SET s0 = ledger_spent.s0 + excluded.s0, s1 = ledger_spent.s1 + excluded.s1,
		s2 = ledger_spent.s2 + excluded.s2, s3 = ledger_spent.s3 + excluded.s3, s4 = ledger_spent.s4 + excluded.s4,
		s5 = ledger_spent.s5 + excluded.s5, s6 = ledger_spent.s6 + excluded.s6, s7 = ledger_spent.s7 + excluded.s7,
		entries = ledger_spent.entries + excluded.entries`)
	defer rows.close()
	for _, name := range slices.Sorted(maps.Keys(c.spent)) {
		s := c.spent[name]
		if *s == (spent{}) {
			continue
		}
		t := &s.counts
		if err := rows.add(name, t[0], t[1], t[2], t[3], t[4], t[5], t[6], t[7], s.entries); err != nil {
			return err
		}
	}
	clear(c.spent)
	return rows.flush()
}
