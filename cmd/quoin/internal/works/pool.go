package works

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"runtime/debug"
	"slices"
	"sync"
	"time"

	"quoin/cmd/quoin/internal/database"
)

// Work works off chores until the context ends; then it takes no more, and
// returns when those begun are through. A handler that is still at work after
// Pool.Grace has its context ended, and its chore goes back to the others. What
// keeps the store from being reached is told to Pool.Broken and tried again.
func (s *Store) Work(ctx context.Context, p Pool) {
	p.usual()
	ended, cancel := context.WithCancel(context.WithoutCancel(ctx))
	defer cancel()
	w := &workers{s: s, p: p, kinds: slices.Sorted(maps.Keys(p.Handlers)), free: make(chan struct{}, p.Workers)}
	for range p.Workers {
		w.free <- struct{}{}
	}
	for ctx.Err() == nil {
		w.round(ctx, ended)
	}
	timer := time.AfterFunc(p.Grace, cancel)
	defer timer.Stop()
	w.running.Wait()
}

// usual sets what a pool does not say.
func (p *Pool) usual() {
	for into, usual := range map[*time.Duration]time.Duration{
		&p.Lease: 20 * time.Second, &p.Poll: time.Second, &p.Grace: 20 * time.Second,
	} {
		if *into <= 0 {
			*into = usual
		}
	}
	if p.Workers < 1 {
		p.Workers = 4
	}
	if p.Failed == nil {
		p.Failed = func(*Chore, error) {}
	}
	if p.Broken == nil {
		p.Broken = func(error) {}
	}
}

// workers are the handlers of a pool at work.
type workers struct {
	s       *Store
	p       Pool
	kinds   []string
	free    chan struct{} // holds one for each worker that has nothing to do
	running sync.WaitGroup
	idle    time.Duration // pause after the last round that found nothing
}

// round waits for a worker, claims chores for all that are free, and starts them;
// when there is nothing to do it waits for something to come.
func (w *workers) round(ctx, ended context.Context) {
	select {
	case <-ctx.Done():
		return
	case <-w.free:
	}
	n := 1
	for len(w.free) > 0 { // only this loop takes from it
		<-w.free
		n++
	}
	enqueued := w.s.Enqueued() // before looking, so that nothing slips through between
	chores, err := w.s.Claim(ctx, w.kinds, w.p.Lease, n)
	if err != nil && ctx.Err() == nil {
		w.p.Broken(fmt.Errorf("look for work: %w", err))
	}
	for range n - len(chores) {
		w.free <- struct{}{}
	}
	for _, c := range chores {
		w.running.Add(1)
		go func() {
			defer w.running.Done()
			w.do(ended, c)
			w.free <- struct{}{}
		}()
	}
	if len(chores) > 0 {
		w.idle = 0
		return
	}
	if err != nil {
		enqueued = nil // a store that can not be reached is not asked again at once
	}
	w.idle = min(max(2*w.idle, w.p.Poll/64), w.p.Poll)
	select {
	case <-ctx.Done():
	case <-enqueued:
		w.idle = 0
	case <-time.After(w.idle):
	}
}

// do does one chore, and sees that its lease holds meanwhile.
func (w *workers) do(ended context.Context, c *Chore) {
	ctx, cancel := context.WithCancel(ended)
	stopped := make(chan struct{})
	go func() {
		defer close(stopped)
		w.hold(ctx, cancel, c)
	}()
	err := w.handle(ctx, c)
	cancel()
	<-stopped
	// What is said of the chore now has to reach the store though the pool may be ending.
	last, done := context.WithTimeout(context.WithoutCancel(ended), 10*time.Second)
	defer done()
	if c.complete.Load() {
		return
	}
	if err == nil {
		err = w.s.Complete(last, c, nil)
	} else {
		if ended.Err() != nil && errors.Is(err, context.Canceled) {
			err = Later(0, fmt.Errorf("the service was stopped: %w", err))
		}
		w.p.Failed(c, err)
		_, err = w.s.Fail(last, c, err)
	}
	if err != nil && !errors.Is(err, ErrLost) { // else somebody has it already
		w.p.Broken(fmt.Errorf("chore %d (%s %s): %w", c.ID, c.Kind, c.Subject, err))
	}
}

// handle runs the handler of a chore. One that panics has its attempt go wrong.
func (w *workers) handle(ctx context.Context, c *Chore) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("its handler panicked: %v\n%s", p, debug.Stack())
		}
	}()
	return w.p.Handlers[c.Kind](ctx, c)
}

// hold extends the lease of a chore until its context ends. When the lease is lost
// the handler is told to stop.
func (w *workers) hold(ctx context.Context, lost context.CancelFunc, c *Chore) {
	ticker := time.NewTicker(w.p.Lease / 3)
	defer ticker.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-ticker.C:
		}
		err := w.s.Extend(ctx, c, w.p.Lease)
		if errors.Is(err, ErrLost) {
			lost()
			return
		}
		if err != nil && ctx.Err() == nil && !errors.Is(err, database.ErrUnsure) {
			w.p.Broken(fmt.Errorf("hold chore %d: %w", c.ID, err))
		}
	}
}
