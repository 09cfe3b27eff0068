package works

import (
	"context"
	"errors"
	"slices"
	"time"

	"quoin/cmd/quoin/internal/database"
)

// writing is a change that waits for its transaction.
type writing struct {
	ctx  context.Context
	who  string
	f    func(*Tx) error
	done chan struct{}

	t     *Tx // once its f has run in the transaction of a batch
	alone bool
	err   error
}

// batchSize is how many changes share a transaction at most.
const batchSize = 64

// Write runs f in a transaction in the name of who ("" for the service itself).
// It is durable when Write returns nil. When f returns an error nothing has
// changed; the error is returned as it is. f may run more than once, and must not
// write to the store but through its Tx.
//
// Changes that come while others are being written share the next transaction, so
// that many wait for the disk together and not one after the other: an instance has
// one transaction at a time, on PostgreSQL too, where two of half the size were
// measured to be slower. A change that goes wrong in the company of others is taken
// back by itself and run again alone.
func (s *Store) Write(ctx context.Context, who string, f func(*Tx) error) error {
	w := &writing{ctx: ctx, who: who, f: f, done: make(chan struct{})}
	s.mu.Lock()
	s.queue = append(s.queue, w)
	s.mu.Unlock()
	for {
		select {
		case <-w.done:
			if w.alone {
				return s.writeAlone(ctx, who, f)
			}
			return w.err
		case <-ctx.Done():
			if s.withdraw(w) {
				return ctx.Err()
			}
			<-w.done // its f is running, or has
			if w.alone {
				return ctx.Err()
			}
			return w.err
		case s.writer <- struct{}{}:
			s.writeNext(w)
		}
	}
}

// withdraw takes a change out of the queue; false when somebody has begun it.
func (s *Store) withdraw(w *writing) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	i := slices.Index(s.queue, w)
	if i >= 0 {
		s.queue = slices.Delete(s.queue, i, i+1)
	}
	return i >= 0
}

// writeNext writes the changes that wait, and gives up the writer that its caller
// took. When its caller's is the only one, it is written alone.
func (s *Store) writeNext(own *writing) {
	defer func() { <-s.writer }() // also when f panics
	s.mu.Lock()
	n := min(len(s.queue), batchSize)
	batch := slices.Clone(s.queue[:n])
	s.queue = slices.Delete(s.queue, 0, n)
	s.mu.Unlock()
	if len(batch) == 1 && batch[0] == own {
		defer close(own.done)
		own.err = s.writeAlone(own.ctx, own.who, own.f)
		return
	}
	if len(batch) == 0 {
		return
	}
	s.writeBatch(batch)
	for _, w := range batch {
		close(w.done)
	}
}

// writeBatch runs changes in one transaction, each in a part of it that can be taken
// back by itself.
func (s *Store) writeBatch(batch []*writing) {
	ctx, cancel := context.WithTimeout(context.WithoutCancel(batch[0].ctx), time.Minute)
	defer cancel()
	err := s.db.WriteCommitted(ctx, func(tx *database.Tx) error {
		events := &Tx{tx: tx, s: s, now: s.now()}
		for _, w := range batch {
			if err := s.writePart(tx, w); err != nil {
				return err
			}
			if !w.alone {
				events.events = append(events.events, w.t.events...)
			}
		}
		return events.writeEvents()
	})
	for _, w := range batch {
		switch {
		case w.alone:
		case errors.Is(err, database.ErrUnsure):
			w.err = err
		case err != nil:
			w.alone = true
			continue
		}
		if w.t != nil && !w.alone {
			s.wake(w.t)
		}
	}
}

// writePart runs one change of a batch. What goes wrong in it is left to be run
// again alone; an error is that the transaction as a whole can not go on.
func (s *Store) writePart(tx *database.Tx, w *writing) error {
	w.alone = true
	if w.ctx.Err() != nil {
		return nil
	}
	if _, err := tx.Exec("SAVEPOINT part"); err != nil {
		return err
	}
	w.t = &Tx{tx: tx, s: s, who: w.who, lock: s.lock, now: s.now()}
	if w.run() {
		w.alone = false
		_, err := tx.Exec("RELEASE SAVEPOINT part")
		return err
	}
	_, err := tx.Exec("ROLLBACK TO SAVEPOINT part")
	if err == nil {
		_, err = tx.Exec("RELEASE SAVEPOINT part")
	}
	return err
}

// run runs f and reports whether it went well. It has a goroutine of its own: when it
// panics, or ends its goroutine as a test does, it does so again where its caller
// can see it, and takes nobody else with it.
func (w *writing) run() bool {
	ended := make(chan bool)
	go func() {
		well := false
		defer func() {
			if recover() != nil {
				well = false
			}
			ended <- well
		}()
		well = w.f(w.t) == nil && w.ctx.Err() == nil
	}()
	return <-ended
}

// writeAlone runs f in a transaction of its own.
func (s *Store) writeAlone(ctx context.Context, who string, f func(*Tx) error) error {
	var t *Tx
	err := s.db.WriteCommitted(ctx, func(tx *database.Tx) error {
		t = &Tx{tx: tx, s: s, who: who, lock: s.lock, now: s.now()}
		if err := f(t); err != nil {
			return err
		}
		return t.writeEvents()
	})
	if err == nil || errors.Is(err, database.ErrUnsure) {
		s.wake(t)
	}
	return err
}

// now is the time as the store keeps it.
func (s *Store) now() time.Time { return s.clock().UTC().Truncate(time.Microsecond) }
