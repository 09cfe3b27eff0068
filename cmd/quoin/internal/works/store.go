package works

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"sync"
	"time"

	"quoin/cmd/quoin/internal/database"
)

// Options are what a store needs beside its database.
type Options struct {
	Clock    func() time.Time // default time.Now
	Random   func() float64   // from 0 to 1, for the jitter of retries; default math/rand
	Instance string           // name of this process among those that share the store; default host and process id
}

// Store is what the service knows. It is safe for concurrent use.
type Store struct {
	db       *database.DB
	clock    func() time.Time
	random   func() float64
	instance string
	lock     string // ends a SELECT that locks its rows

	writer chan struct{} // holds one while a transaction is being written

	mu       sync.Mutex
	queue    []*writing    // changes that wait for a transaction
	enqueued chan struct{} // closed when a chore was enqueued here
	changed  chan struct{} // closed when an event was written here
}

// Open prepares the tables of a store.
func Open(ctx context.Context, db *database.DB, opt Options) (*Store, error) {
	if err := db.Migrate(ctx, "works", migrations()); err != nil {
		return nil, err
	}
	s := &Store{
		db: db, clock: opt.Clock, random: opt.Random, instance: opt.Instance,
		writer: make(chan struct{}, 1), enqueued: make(chan struct{}), changed: make(chan struct{}),
	}
	if s.clock == nil {
		s.clock = time.Now
	}
	if s.random == nil {
		s.random = rand.Float64
	}
	if s.instance == "" {
		host, err := os.Hostname()
		if err != nil {
			return nil, fmt.Errorf("name this instance: %w", err)
		}
		s.instance = fmt.Sprintf("%s-%d", host, os.Getpid())
	}
	if db.Dialect() == database.Postgres {
		s.lock = " FOR UPDATE"
	}
	if err := s.foldCustomers(ctx); err != nil {
		return nil, fmt.Errorf("open store: %w", err)
	}
	return s, nil
}

// DB is the database of the store.
func (s *Store) DB() *database.DB { return s.db }

// Instance is the name of this process among those that share the store.
func (s *Store) Instance() string { return s.instance }

// Tx is a transaction of the store, good until the function it was given to
// returns. In a Read it can only be asked.
type Tx struct {
	tx  *database.Tx
	s   *Store
	who string
	now time.Time

	lock     string // ends a SELECT that locks its rows
	events   []Event
	enqueued bool
}

// Now is the time of the transaction.
func (t *Tx) Now() time.Time { return t.now }

// Who acts in it: the name of a person or partner, or "" for the service itself.
func (t *Tx) Who() string { return t.who }

// Database is the transaction below, for those who keep more in the same store.
func (t *Tx) Database() *database.Tx { return t.tx }

// Read runs f in a transaction that sees one state of the store throughout.
func (s *Store) Read(ctx context.Context, f func(*Tx) error) error {
	return s.db.Read(ctx, func(tx *database.Tx) error {
		return f(&Tx{tx: tx, s: s, now: s.now()})
	})
}

// Ask gives what f finds in a Read.
func Ask[T any](ctx context.Context, s *Store, f func(*Tx) (T, error)) (T, error) {
	var found T
	err := s.Read(ctx, func(tx *Tx) (err error) {
		found, err = f(tx)
		return err
	})
	return found, err
}

// wake tells those who wait in this process what the transaction has brought.
func (s *Store) wake(t *Tx) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if t.enqueued {
		close(s.enqueued)
		s.enqueued = make(chan struct{})
	}
	if len(t.events) > 0 {
		close(s.changed)
		s.changed = make(chan struct{})
	}
}

// Enqueued is closed when this process enqueues its next chore.
func (s *Store) Enqueued() <-chan struct{} {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.enqueued
}

// Changed is closed when this process writes its next event. Those of other
// instances are seen by asking Since from time to time.
func (s *Store) Changed() <-chan struct{} {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.changed
}
