package works

import (
	"errors"
	"fmt"
	"time"
)

// What can be wrong with what is asked of a store.
var (
	ErrUnknown = errors.New("not in the store")                // no such ticket, step, chore …
	ErrState   = errors.New("not possible in this state")      // see StateError
	ErrLost    = errors.New("the lease has passed to another") // of a chore
)

// StateError is a change that the state of a thing does not allow. It is
// ErrState.
type StateError struct {
	What string // ticket, queue entry, step, chore, delivery, alert
	ID   int64
	Was  string // the state it is in
	To   string // the state asked for
	Why  string // more, "" for nothing
}

// Error says which state it is in and which was asked for.
func (e *StateError) Error() string {
	text := fmt.Sprintf("%s %d is %s and cannot become %s", e.What, e.ID, e.Was, e.To)
	if e.Why != "" {
		text += ": " + e.Why
	}
	return text
}

// Is reports whether target is ErrState.
func (e *StateError) Is(target error) bool { return target == ErrState }

func unknown(what string, id any) error { return fmt.Errorf("%s %v is %w", what, id, ErrUnknown) }

// permanent is an error that no repetition mends.
type permanent struct{ error }

func (p permanent) Unwrap() error { return p.error }

// Permanent marks an error of a handler as one that no repetition mends: its
// chore is dead at once.
func Permanent(err error) error { return permanent{err} }

// later asks for another attempt that does not count.
type later struct {
	error
	after time.Duration
}

func (l later) Unwrap() error { return l.error }

// Later lets a handler put its chore off for a time, without counting the
// attempt: what it needs is not there yet, which err says.
func Later(after time.Duration, err error) error { return later{err, after} }
