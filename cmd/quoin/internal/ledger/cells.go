package ledger

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"errors"
	"fmt"
	"slices"

	"quoin/cmd/quoin/internal/database"
	"quoin/convert/cost"
	"quoin/convert/cost/account"
	"quoin/jdf/job"
	"quoin/validate/plant"
)

// calendar is a hash of what the cells of a plant depend on: its zone, its
// holidays, its shifts, and the cost centres of its devices.
func calendar(p *plant.Plant) string {
	h := sha256.New()
	fmt.Fprintf(h, "%s %v\n", p.Zone, p.Holidays)
	for _, c := range p.CostCentres {
		fmt.Fprintf(h, "%q %q\n", c.ID, fmt.Sprintf("%+v", c.Shifts))
	}
	for _, m := range p.Machines() {
		centre := ""
		if m.CostCentre != nil {
			centre = m.CostCentre.ID
		}
		fmt.Fprintf(h, "%q %q\n", m.ID, centre)
	}
	return fmt.Sprintf("%x", h.Sum(nil)[:16])
}

// noteCalendar is the name under which the calendar of the cells is kept.
const noteCalendar = "calendar"

// recut marks all cells as missing where they were cut by another calendar.
func (l *Ledger) recut(ctx context.Context) error {
	now := calendar(l.plant)
	return l.db.Write(ctx, func(tx *database.Tx) error {
		var old string
		err := tx.QueryRow("SELECT value FROM ledger_notes WHERE name = ?", noteCalendar).Scan(&old)
		if err != nil && !errors.Is(err, sql.ErrNoRows) || old == now {
			return err
		}
		// No moment of an entry comes before the least number.
		if _, err := tx.Exec("UPDATE ledger_groups SET uncut = -9223372036854775807"); err != nil {
			return err
		}
		_, err = tx.Exec(`INSERT INTO ledger_notes (name, value) VALUES (?, ?)
			ON CONFLICT (name) DO UPDATE SET value = excluded.value`, noteCalendar, now)
		return err
	})
}

// cut makes the cells that are missing, a device at a time.
func (l *Ledger) cut(ctx context.Context) error {
	groups, err := l.numbers(ctx, "SELECT id FROM ledger_groups WHERE uncut < ? ORDER BY id", int64(clean))
	if err != nil {
		return err
	}
	for _, group := range groups {
		err := l.db.Write(ctx, func(tx *database.Tx) error { return l.cutGroup(tx, group) })
		if err != nil {
			return fmt.Errorf("cut device %d into shifts: %w", group, err)
		}
	}
	return nil
}

func (l *Ledger) cutGroup(tx *database.Tx, group int64) error {
	var uncut int64
	err := tx.QueryRow("SELECT uncut FROM ledger_groups WHERE id = ?", group).Scan(&uncut)
	if err != nil || uncut == clean {
		return err
	}
	c := newCutting(l, tx, group)
	defer c.close()
	from, err := c.begin(uncut)
	if err != nil {
		return err
	}
	for more := true; more; {
		var chunk []cost.Entry
		if chunk, from, more, err = l.nextChunk(tx, group, from); err != nil {
			return err
		}
		if err := c.chunk(chunk); err != nil {
			return err
		}
	}
	if err := c.end(); err != nil {
		return err
	}
	_, err = tx.Exec("UPDATE ledger_groups SET uncut = ? WHERE id = ?", int64(clean), group)
	return err
}

// nextChunk reads the entries from a moment on, and gives the moment at which
// the next chunk begins. Each chunk can be taken out and cut again by itself.
func (l *Ledger) nextChunk(tx *database.Tx, group, from int64) (
	chunk []cost.Entry, next int64, more bool, err error) {
	chunk, err = entriesIn(tx, "grp = ? AND at >= ? ORDER BY at LIMIT ?", group, from, l.chunk+1)
	if err != nil || len(chunk) <= l.chunk {
		return chunk, 0, false, err
	}
	next = deviceTime(&chunk[l.chunk])
	chunk = slices.DeleteFunc(chunk, func(e cost.Entry) bool { return deviceTime(&e) == next })
	if len(chunk) > 0 {
		return chunk, next, true, nil
	}
	// So many entries at one moment can only be cut together.
	chunk, err = entriesIn(tx, "grp = ? AND at = ?", group, next)
	return chunk, next + 1, true, err
}

const cellColumns = `day, shift, device, centre, operator, job, part, state, reason, work, counts, good, waste, entries`

// words keeps each word once, so that millions of cells do not hold as many copies.
type words map[string]string

func (w words) once(all ...*string) {
	for _, s := range all {
		known, have := w[*s]
		if !have {
			w[*s], known = *s, *s
		}
		*s = known
	}
}

func scanCell(rows *sql.Rows, known words) (account.Cell, error) {
	var c account.Cell
	var state, counted int64
	var good, waste string
	err := rows.Scan(&c.Day, &c.Shift, &c.Device, &c.Centre, &c.Operator, &c.Job, &c.Part, &state, &c.Reason, &c.Work,
		&counted, &good, &waste, &c.Entries)
	if err != nil {
		return c, err
	}
	c.State, c.Time = job.State(state), cost.Span(counted)
	known.once(&c.Day, &c.Shift, &c.Device, &c.Centre, &c.Operator, &c.Job, &c.Part, &c.Reason, &c.Work)
	if c.Good, err = exact(good); err == nil {
		c.Waste, err = exact(waste)
	}
	return c, err
}
