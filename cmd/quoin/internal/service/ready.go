package service

import (
	"context"
	"fmt"
	"sync"
	"time"

	"quoin/cmd/quoin/internal/works"
)

// health is what the parts at work have last said of themselves.
type health struct {
	mu      sync.Mutex
	broken  error // of the pool
	at      time.Time
	ending  bool
	running bool
}

// stale is how long the last trouble with the store keeps the service from being ready.
const stale = 10 * time.Second

func (h *health) trouble(err error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.broken, h.at = err, time.Now()
}

func (h *health) set(running, ending bool) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.running, h.ending = running, ending
}

// unready says why the service is not ready, in words for strangers.
type unready struct {
	reason string
	err    error
}

func (u *unready) Error() string { return fmt.Sprintf("%s: %v", u.reason, u.err) }
func (u *unready) Unwrap() error { return u.err }

// stuck is how long a chore that is due may wait for a worker before something must be
// wrong with them. Chores that wait for others of their lane are due and may wait.
const stuck = 10 * time.Minute

func (s *Service) isReady(ctx context.Context) error {
	s.health.mu.Lock()
	broken, at, ending, running := s.health.broken, s.health.at, s.health.ending, s.health.running
	s.health.mu.Unlock()
	switch {
	case ending:
		return &unready{"the service is ending", context.Canceled}
	case !running:
		return &unready{"the service is starting", context.Canceled}
	case broken != nil && time.Since(at) < stale:
		return &unready{"chores can not be worked off", broken}
	}
	if err := s.db.Ping(ctx); err != nil {
		return err
	}
	return s.parts.Store.Read(ctx, func(tx *works.Tx) error {
		var waiting int
		err := tx.Database().QueryRow(`SELECT COUNT(*) FROM chores
			WHERE state = ? AND lane = '' AND next IS NOT NULL AND next < ?`,
			string(works.ChoreWaiting), tx.Now().Add(-stuck).UnixMicro()).Scan(&waiting)
		if err == nil && waiting > 0 {
			return &unready{"chores wait too long", fmt.Errorf("%d have been due for more than %s", waiting, stuck)}
		}
		return err
	})
}
