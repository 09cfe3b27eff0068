package service

import (
	"context"
	"errors"
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
	turned  time.Time // when a message was last turned away, for it could not be stored
	ending  bool
	running bool

	probing sync.Mutex // held by who writes to the store for all who ask
	probed  time.Time  // when the last probe ended
	found   error      // by it
}

// probes is how often the store is written to at most, for whoever asks.
const probes = 3 * time.Second

// stale is how long the last trouble with the store keeps the service from being ready.
const stale = 10 * time.Second

func (h *health) trouble(err error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.broken, h.at = err, time.Now()
}

// turnedAway notes that a message could not be stored.
func (h *health) turnedAway() {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.turned = time.Now()
}

// probe writes to the store, or gives what was found when somebody has just done so.
// Those who ask meanwhile wait for the same answer, so that strangers can not make the
// service write.
func (h *health) probe(ctx context.Context, write func(context.Context) error) error {
	h.probing.Lock()
	defer h.probing.Unlock()
	if !h.probed.IsZero() && time.Since(h.probed) < probes {
		return h.found
	}
	// Who asks may go away; what he has begun is for the others too.
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), patience)
	defer cancel()
	h.found = write(ctx)
	h.probed = time.Now()
	return h.found
}

// patience is how long the store may take for a probe.
const patience = 5 * time.Second

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

var errTurned = errors.New("one was answered with 503 just now")

// stuck is how long a chore that is due may wait for a worker before something must be
// wrong with them. Chores that wait for others of their lane are due and may wait.
const stuck = 10 * time.Minute

func (s *Service) isReady(ctx context.Context) error {
	s.health.mu.Lock()
	broken, at, ending, running := s.health.broken, s.health.at, s.health.ending, s.health.running
	turned := s.health.turned
	s.health.mu.Unlock()
	switch {
	case ending:
		return &unready{"the service is ending", context.Canceled}
	case !running:
		return &unready{"the service is starting", context.Canceled}
	case broken != nil && time.Since(at) < stale:
		return &unready{"chores can not be worked off", broken}
	case time.Since(turned) < stale:
		return &unready{"messages can not be stored", errTurned}
	}
	if err := s.health.probe(ctx, s.parts.Store.Probe); err != nil {
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
