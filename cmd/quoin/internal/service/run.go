package service

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"net/http"
	"os"
	"path/filepath"
	"strconv"
	"sync"
	"time"

	"quoin/cmd/quoin/internal/access"
	"quoin/cmd/quoin/internal/folders"
	"quoin/cmd/quoin/internal/works"
)

// Run does the work until the context ends: then it stops listening, lets requests and
// chores that have begun end, and gives back what it holds. The error is of a part
// without which the service can not go on. The service is closed when it returns.
func (s *Service) Run(ctx context.Context) error {
	err := s.run(ctx)
	return errors.Join(err, s.Close())
}

func (s *Service) run(ctx context.Context) error {
	if err := s.introduce(ctx); err != nil {
		return fmt.Errorf("make the devices known: %w", err)
	}
	if err := s.parts.Flow.Begin(ctx); err != nil {
		return err
	}
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	behind, stop := context.WithCancel(context.WithoutCancel(ctx)) // what goes on until requests are through
	defer stop()
	var working sync.WaitGroup
	start := func(name string, f func(context.Context) error) {
		working.Go(func() {
			if err := f(behind); err != nil && behind.Err() == nil {
				cancel(fmt.Errorf("%s: %w", name, err))
			}
		})
	}
	start("chores", func(ctx context.Context) error { s.parts.Store.Work(ctx, s.pool()); return nil })
	start("signals", s.office.Tell)
	start("housekeeping", s.keep)
	for _, folder := range s.Hot {
		start("hot folder "+folder, func(ctx context.Context) error { return folders.Watch(ctx, s.hot(folder)) })
	}
	for _, a := range s.Additions {
		if a.Run != nil {
			start(a.Name, func(ctx context.Context) error { return a.Run(ctx, s.parts) })
		}
	}
	served := make(chan error, 1)
	go func() { served <- s.server.Serve(s.listener) }()
	s.health.set(true, false)
	s.Log.Info("ready", "address", s.Address(), "public", s.parts.Public, "store", s.db.Name(), "plant", s.Plant.Name)
	var failed error
	select {
	case <-ctx.Done():
		if cause := context.Cause(ctx); !errors.Is(cause, context.Canceled) {
			failed = cause
		}
	case err := <-served:
		failed = fmt.Errorf("serve: %w", err)
	}
	s.health.set(true, true)
	s.Log.Info("ending", "reason", failed)
	last, done := context.WithTimeout(context.WithoutCancel(ctx), s.Grace)
	defer done()
	if err := s.server.Shutdown(last); err != nil {
		s.Log.Warn("requests are broken off", "error", err)
		_ = s.server.Close() // its error is that of the listener, which is closed
	}
	stop()
	working.Wait()
	if errors.Is(failed, http.ErrServerClosed) {
		failed = nil
	}
	return failed
}

// pool says how chores are worked off.
func (s *Service) pool() works.Pool {
	handlers := s.parts.Flow.Handlers()
	handlers[works.ChoreRelease] = s.unlessHeld(handlers[works.ChoreRelease])
	handlers[works.ChoreReturn] = s.onceAudited(handlers[works.ChoreReturn])
	maps.Copy(handlers, s.office.Handlers())
	for _, a := range s.Additions {
		if a.Handlers != nil {
			maps.Copy(handlers, a.Handlers(s.parts))
		}
	}
	return works.Pool{
		Handlers: handlers, Workers: s.Workers, Poll: s.Poll, Grace: s.Grace / 2,
		Failed: func(c *works.Chore, err error) {
			s.metrics.failures.WithLabelValues(c.Kind).Inc()
			s.Log.Warn("chore failed", "chore", c.ID, "kind", c.Kind, "subject", c.Subject, "attempt", c.Attempts, "error", err)
		},
		Broken: func(err error) {
			s.health.trouble(err)
			s.Log.Error("the store can not be reached", "error", err)
		},
	}
}

// heldPause is how often it is looked whether the queue is let go.
const heldPause = 5 * time.Second

// unlessHeld puts off what would begin something while the queue is held.
func (s *Service) unlessHeld(do works.Handler) works.Handler {
	return func(ctx context.Context, c *works.Chore) error {
		held, err := s.office.Held(ctx)
		if err != nil {
			return err
		}
		if held {
			return works.Later(heldPause, errors.New("the queue is held"))
		}
		return do(ctx, c)
	}
}

// audits is how long a ticket waits for what its devices return before it goes back to
// its sender without: a device that has said that it is done may still write it up.
const audits = time.Minute

// onceAudited puts off the return of a ticket until the tickets of its devices are
// back, but not for long.
func (s *Service) onceAudited(do works.Handler) works.Handler {
	return func(ctx context.Context, c *works.Chore) error {
		id, err := strconv.ParseInt(c.Subject, 10, 64)
		if err != nil {
			return works.Permanent(fmt.Errorf("return ticket %q: %w", c.Subject, err))
		}
		missing, err := works.Ask(ctx, s.parts.Store, func(tx *works.Tx) (string, error) { return unaudited(tx, id) })
		if err != nil && !errors.Is(err, works.ErrUnknown) {
			return err
		}
		if missing != "" {
			return works.Later(500*time.Millisecond, fmt.Errorf("the ticket of step %q is not back", missing))
		}
		return do(ctx, c)
	}
}

// unaudited names a step whose device is still to return its ticket, "" for none.
func unaudited(tx *works.Tx, ticket int64) (string, error) {
	k, err := tx.Ticket(ticket)
	if err != nil || !k.Returns() || tx.Now().Sub(k.Changed) > audits {
		return "", err
	}
	steps, err := tx.Steps(ticket)
	if err != nil {
		return "", err
	}
	for _, p := range steps {
		if p.State != works.StepDone || p.Return != "" || p.Queued == "" {
			continue
		}
		if d, err := tx.Device(p.Device); err == nil && d.URL != "" {
			return p.Part, nil
		}
	}
	return "", nil
}

// Pauses of the housekeeping.
const (
	partnersPause  = 2 * time.Second
	subscribePause = time.Minute
)

// keep reads the file of partners again when it has changed, and asks devices that have
// fallen silent to speak.
func (s *Service) keep(ctx context.Context) error {
	ticker := time.NewTicker(partnersPause)
	defer ticker.Stop()
	stamp, asked := "", time.Now() // the file may have changed since it was first read
	for {
		select {
		case <-ctx.Done():
			return nil
		case <-ticker.C:
		}
		if now := fileStamp(s.PartnersFile); now != stamp {
			stamp = now
			s.reload()
		}
		if time.Since(asked) >= subscribePause {
			asked = time.Now()
			if err := s.resubscribe(ctx); err != nil && ctx.Err() == nil {
				s.Log.Warn("devices are not asked anew", "error", err)
			}
		}
	}
}

// fileStamp tells versions of a file apart.
func fileStamp(path string) string {
	if path == "" {
		return ""
	}
	info, err := os.Stat(path)
	if err != nil {
		return ""
	}
	return fmt.Sprint(info.ModTime().UnixNano(), " ", info.Size())
}

// reload puts the file of partners in force again. One that can not be used leaves the
// old settings in force; nobody is let in who was not, and nobody who is, is shut out.
func (s *Service) reload() {
	settings, findings, err := access.Load(s.PartnersFile)
	log := s.Log.With("file", filepath.Base(s.PartnersFile))
	switch {
	case err != nil:
		log.Error("the file of partners can not be read; the old settings stay in force", "error", err)
	case settings == nil:
		for _, f := range findings {
			at := f.Place.Pos()
			log.Error("the file of partners has mistakes; the old settings stay in force", "line", at.Line, "column", at.Column,
				"finding", f.Message())
		}
	case len(settings.Partners) == 0 && !access.Loopback(s.Address()):
		log.Error("the file of partners names nobody; the old settings stay in force")
	default:
		s.parts.Guard.Set(settings)
		log.Info("the file of partners is read again", "partners", len(settings.Partners))
	}
}
