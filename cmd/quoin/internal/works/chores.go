package works

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"strconv"
	"time"

	"quoin/cmd/quoin/internal/database"
)

const choreColumns = `id, kind, subject, version, data, lane, state, attempts, retry_first, retry_most, retry_attempts,
	retry_until, next, created, finished, owner, fence, error`

func scanChore(row scanner) (*Chore, error) {
	c := &Chore{}
	var next, until time.Time
	err := row.Scan(&c.ID, &c.Kind, &c.Subject, &c.Version, &c.Data, &c.Lane, &c.State, &c.Attempts, span{&c.Retry.First},
		span{&c.Retry.Most}, &c.Retry.Attempts, micros{&until}, micros{&next}, micros{&c.Created}, micros{&c.Finished},
		&c.Owner, &c.Fence, &c.Error)
	if !until.IsZero() {
		c.Retry.Within = until.Sub(c.Created)
	}
	if c.State == ChoreLeased {
		c.Lease = next
	} else {
		c.Due = next
	}
	return c, err
}

// Enqueue adds a chore, or finds the one that has the same kind, subject and
// version, whatever its state; fresh says which.
func (t *Tx) Enqueue(c NewChore) (id int64, fresh bool, err error) {
	if c.Retry == (Retry{}) {
		c.Retry = DefaultRetry()
	}
	if c.Due.Before(t.now) {
		c.Due = t.now
	}
	var until int64
	if c.Retry.Within > 0 {
		until = database.Micros(t.now.Add(c.Retry.Within))
	}
	id, err = t.tx.Insert(`INSERT INTO chores (kind, subject, version, data, lane, state, retry_first, retry_most,
		retry_attempts, retry_until, next, created) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)
		ON CONFLICT (kind, subject, version) DO NOTHING`, c.Kind, c.Subject, c.Version, c.Data, c.Lane, string(ChoreWaiting),
		c.Retry.First.Microseconds(), c.Retry.Most.Microseconds(), c.Retry.Attempts, until, database.Micros(c.Due),
		database.Micros(t.now))
	if errors.Is(err, sql.ErrNoRows) {
		err = t.tx.QueryRow("SELECT id FROM chores WHERE kind = ? AND subject = ? AND version = ?",
			c.Kind, c.Subject, c.Version).Scan(&id)
		return id, false, err
	}
	t.enqueued = t.enqueued || err == nil
	return id, err == nil, err
}

// Want enqueues a chore of some kind for a ticket as it is now: asked for again
// before anything has happened to the ticket it is the same.
func (t *Tx) Want(kind string, ticket int64) error {
	if _, err := t.Ticket(ticket); err != nil {
		return err
	}
	var turn int64
	err := t.tx.QueryRow("SELECT COALESCE(MAX(id), 0) FROM turns WHERE ticket = ?", ticket).Scan(&turn)
	if err != nil {
		return err
	}
	_, _, err = t.Enqueue(NewChore{
		Kind: kind, Subject: strconv.FormatInt(ticket, 10), Version: "after " + strconv.FormatInt(turn, 10),
	})
	return err
}

// held changes a chore whose lease is still that of c, else it is ErrLost.
func (t *Tx) held(c *Chore, set string, args ...any) error {
	n, err := t.tx.Exec("UPDATE chores SET "+set+" WHERE id = ? AND fence = ? AND state = 'leased'",
		append(args, c.ID, c.Fence)...)
	if err == nil && n == 0 {
		err = fmt.Errorf("chore %d (%s %s): %w", c.ID, c.Kind, c.Subject, ErrLost)
	}
	return err
}

// Extend makes the lease of a chore longer, counted from now. It is ErrLost when
// the lease has passed to another.
func (s *Store) Extend(ctx context.Context, c *Chore, lease time.Duration) error {
	return s.Write(ctx, "", func(tx *Tx) error {
		return tx.held(c, "next = ?", database.Micros(tx.now.Add(lease)))
	})
}

// Complete marks a chore as done, in the same transaction as f writes what came of
// it; f may be nil. When the lease has passed to another it is ErrLost, and f has
// no effect.
func (s *Store) Complete(ctx context.Context, c *Chore, f func(*Tx) error) error {
	err := s.Write(ctx, "", func(tx *Tx) error {
		// First, so that nobody else can get the lease while f works.
		err := tx.held(c, "state = ?, next = NULL, finished = ?, error = ''", string(ChoreDone), database.Micros(tx.now))
		if err == nil && c.Lane != "" {
			tx.enqueued = true // the next of the lane has its turn
		}
		if err == nil && f != nil {
			err = f(tx)
		}
		return err
	})
	if err == nil {
		c.complete.Store(true)
	}
	return err
}

// Fail takes the error of an attempt: the chore waits for the next one, or is
// dead. It gives the state that the chore is in then, and is ErrLost when the
// lease has passed to another.
func (s *Store) Fail(ctx context.Context, c *Chore, why error) (ChoreState, error) {
	var state ChoreState
	err := s.Write(ctx, "", func(tx *Tx) error {
		state = ChoreWaiting
		attempts, due := c.Attempts, tx.now.Add(s.pause(c))
		if put, ok := errors.AsType[later](why); ok {
			attempts, due = attempts-1, tx.now.Add(put.after)
		} else if _, ok := errors.AsType[permanent](why); ok || c.spent(due) {
			state = ChoreDead
			if err := tx.held(c, "owner = owner"); err != nil {
				return err
			}
			return tx.die(c, why.Error())
		}
		return tx.held(c, "state = ?, next = ?, attempts = ?, error = ?", string(state), database.Micros(due), attempts,
			Scrub(why.Error()))
	})
	return state, err
}

// pause is how long a chore waits after its last attempt.
func (s *Store) pause(c *Chore) time.Duration {
	pause := c.Retry.First
	for range c.Attempts - 1 {
		if pause >= c.Retry.Most {
			break
		}
		pause *= 2
	}
	pause = min(pause, max(c.Retry.Most, c.Retry.First))
	return pause - time.Duration(float64(pause)*s.random()/2)
}

// spent reports whether there are no more attempts.
func (c *Chore) spent(next time.Time) bool {
	return c.Retry.Attempts > 0 && c.Attempts >= c.Retry.Attempts ||
		c.Retry.Within > 0 && next.After(c.Created.Add(c.Retry.Within))
}

// die gives a chore up until a person takes it up.
func (t *Tx) die(c *Chore, why string) error {
	_, err := t.tx.Exec("UPDATE chores SET state = ?, next = NULL, finished = ?, error = ? WHERE id = ?",
		string(ChoreDead), database.Micros(t.now), Scrub(why), c.ID)
	if err != nil {
		return err
	}
	t.enqueued = t.enqueued || c.Lane != ""
	t.Emit(Event{Kind: EventChore, ID: c.ID, State: string(ChoreDead), Text: c.Kind + " " + c.Subject + ": " + why})
	return t.carry(c, DeliveryDead, why)
}

// carry makes the delivery that a chore is for go with it.
func (t *Tx) carry(c *Chore, to DeliveryState, why string) error {
	id, err := strconv.ParseInt(c.Subject, 10, 64)
	if c.Kind != ChoreDeliver || err != nil {
		return nil
	}
	d, err := t.Delivery(id)
	if errors.Is(err, ErrUnknown) || err == nil && d.State.Over() {
		return nil
	}
	if err != nil {
		return err
	}
	return t.setDelivery(d, to, why)
}

// Chore gives a chore, or ErrUnknown. In a Write it is locked until the end.
func (t *Tx) Chore(id int64) (*Chore, error) {
	return one(t, "chore", id, scanChore, "SELECT "+choreColumns+" FROM chores WHERE id = ?"+t.lock, id)
}

// Chores lists chores, oldest first.
func (t *Tx) Chores(f ChoreFilter) ([]*Chore, error) {
	var w where
	in(&w, "kind", f.Kinds)
	in(&w, "state", f.States)
	has(&w, "subject = ?", f.Subject)
	if f.Failing {
		w.and("next IS NOT NULL AND error <> ''")
	}
	if err := w.after(sorting{columns: "id"}, f.After); err != nil {
		return nil, err
	}
	return all(t, scanChore, "SELECT "+choreColumns+" FROM chores"+w.String()+" ORDER BY id"+
		w.page(f.Limit, 100, f.Offset), w.args...)
}

// Retry makes a chore that is dead, or that waits for its next attempt, due now,
// and counts its attempts anew. Others are a StateError.
func (t *Tx) Retry(chore int64) error {
	c, err := t.taken(chore, ChoreWaiting)
	if err != nil {
		return err
	}
	var until int64
	if c.Retry.Within > 0 {
		until = database.Micros(t.now.Add(c.Retry.Within))
	}
	_, err = t.tx.Exec(`UPDATE chores SET state = ?, next = ?, finished = 0, attempts = 0, retry_until = ?, created = ?
		WHERE id = ?`, string(ChoreWaiting), database.Micros(t.now), until, database.Micros(t.now), chore)
	if err != nil {
		return err
	}
	t.enqueued = true
	if err := t.carry(c, DeliveryWaiting, "tried again by "+t.who); err != nil {
		return err
	}
	return t.Log("chore.retry", strconv.FormatInt(chore, 10), c.Kind+" "+c.Subject)
}

// Discard gives up a chore that is dead or that waits. Others are a StateError.
func (t *Tx) Discard(chore int64, reason string) error {
	c, err := t.taken(chore, ChoreDiscarded)
	if err != nil {
		return err
	}
	_, err = t.tx.Exec("UPDATE chores SET state = ?, next = NULL, finished = ? WHERE id = ?",
		string(ChoreDiscarded), database.Micros(t.now), chore)
	if err != nil {
		return err
	}
	t.enqueued = t.enqueued || c.Lane != ""
	if err := t.carry(c, DeliveryCancelled, reason); err != nil {
		return err
	}
	return t.Log("chore.discard", strconv.FormatInt(chore, 10), c.Kind+" "+c.Subject+": "+reason)
}

// taken gives a locked chore for a person to decide about.
func (t *Tx) taken(chore int64, to ChoreState) (*Chore, error) {
	c, err := t.Chore(chore)
	if err != nil {
		return nil, err
	}
	if c.State != ChoreDead && c.State != ChoreWaiting {
		return nil, &StateError{What: "chore", ID: chore, Was: string(c.State), To: string(to)}
	}
	t.Emit(Event{Kind: EventChore, ID: chore, State: string(to), Text: c.Kind + " " + c.Subject})
	return c, nil
}
