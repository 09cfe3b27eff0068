package works

import (
	"context"
	"database/sql"
	"errors"
	"slices"
	"strings"

	"quoin/cmd/quoin/internal/database"
)

// Emit adds an event to the feed. Its Seq and At are set when the transaction ends.
func (t *Tx) Emit(e Event) {
	e.Text = Scrub(e.Text)
	t.events = append(t.events, e)
}

// writeEvents numbers the events of a transaction and writes them. It is the last
// that a transaction does: from the numbering to the commit others wait, so that
// events become visible in the order of their numbers and no reader can miss one.
func (t *Tx) writeEvents() error {
	if len(t.events) == 0 {
		return nil
	}
	var last int64
	err := t.tx.QueryRow(`INSERT INTO counters (name, n) VALUES ('events', ?)
		ON CONFLICT (name) DO UPDATE SET n = counters.n + excluded.n RETURNING n`, len(t.events)).Scan(&last)
	if err != nil {
		return err
	}
	seq := last - int64(len(t.events))
	for chunk := range slices.Chunk(t.events, 100) { // few statements, for others wait
		var args []any
		for _, e := range chunk {
			seq++
			args = append(args, seq, database.Micros(t.now), e.Kind, e.Ticket, e.Device, e.ID, e.State, e.Text)
		}
		rows := strings.TrimSuffix(strings.Repeat("("+marks(8)+"), ", len(chunk)), ", ")
		_, err := t.tx.Exec("INSERT INTO events (seq, at, kind, ticket, device, id, state, text) VALUES "+rows, args...)
		if err != nil {
			return err
		}
	}
	return nil
}

// Since gives up to limit events after a number, oldest first. gap says that some
// of those after the number were pruned already, so that who follows the feed has
// to look at everything anew.
func (s *Store) Since(ctx context.Context, seq int64, limit int) (events []Event, gap bool, err error) {
	err = s.Read(ctx, func(tx *Tx) error {
		last, err := tx.LastEvent()
		if err != nil {
			return err
		}
		events, err = all(tx, func(row scanner) (e Event, err error) {
			return e, row.Scan(&e.Seq, micros{&e.At}, &e.Kind, &e.Ticket, &e.Device, &e.ID, &e.State, &e.Text)
		}, `SELECT seq, at, kind, ticket, device, id, state, text FROM events WHERE seq > ? ORDER BY seq LIMIT ?`, seq, limit)
		first := last + 1
		if len(events) > 0 {
			first = events[0].Seq
		}
		gap = first > seq+1
		return err
	})
	return events, gap, err
}

// LastEvent is the number of the last event, 0 for none yet.
func (t *Tx) LastEvent() (last int64, err error) {
	err = t.tx.QueryRow("SELECT n FROM counters WHERE name = 'events'").Scan(&last)
	if errors.Is(err, sql.ErrNoRows) {
		err = nil
	}
	return last, err
}
