package works

import (
	"context"
	"sync/atomic"
	"time"
)

// Kinds of chores that the service does. Others may name their own.
const (
	ChoreCheck     = "check"     // subject: ticket
	ChorePlan      = "plan"      // subject: ticket
	ChoreEmit      = "emit"      // subject: ticket
	ChoreRelease   = "release"   // subject: ticket; makes the steps ready whose turn it is
	ChoreDeliver   = "deliver"   // subject: delivery
	ChoreSubscribe = "subscribe" // subject: device
	ChoreCollect   = "collect"   // subject: message of the inbox, whose reports go to the ledger
	ChoreRecall    = "recall"    // subject: ticket; aborts its steps on the devices
	ChoreReturn    = "return"    // subject: ticket
	ChoreResume    = "resume"    // subject: ticket that was held or suspended
	ChoreAlert     = "alert"
	ChoreRetain    = "retain"
)

// ChoreState is how far a chore has come.
type ChoreState string

// The states of a chore. Waiting again after an attempt that went wrong, with
// Chore.Error set, is what people see as failing.
const (
	ChoreWaiting   ChoreState = "waiting"
	ChoreLeased    ChoreState = "leased"
	ChoreDone      ChoreState = "done"
	ChoreDead      ChoreState = "dead"      // a person has to retry or discard it
	ChoreDiscarded ChoreState = "discarded" // by a person
)

// NewChore is background work to be done.
type NewChore struct {
	Kind    string
	Subject string // what it is about, such as the number of a ticket
	Version string // with Kind and Subject makes its key: the same is enqueued once
	Data    []byte // what its handler needs beside the subject; may be nil
	Lane    string // chores of one lane are done one after the other, in the order enqueued; "" for none
	Due     time.Time
	Retry   Retry // how often it is tried; the zero Retry is DefaultRetry
}

// Retry is how failed attempts are repeated: after First, then twice as long each
// time up to Most, each pause shortened by up to half by chance. After Attempts,
// or once Within has passed since the chore was enqueued, it is dead; zero is no
// such limit.
type Retry struct {
	First    time.Duration
	Most     time.Duration
	Attempts int
	Within   time.Duration
}

// DefaultRetry tries twelve times, over about an hour.
func DefaultRetry() Retry {
	return Retry{First: time.Second, Most: 10 * time.Minute, Attempts: 12}
}

// DeliveryRetry is patient: a device may be away for a day.
func DeliveryRetry() Retry {
	return Retry{First: 2 * time.Second, Most: 5 * time.Minute, Within: 24 * time.Hour}
}

// Chore is a piece of background work.
type Chore struct {
	ID       int64
	Kind     string
	Subject  string
	Version  string
	Data     []byte
	Lane     string
	State    ChoreState
	Attempts int // that have begun
	Retry    Retry
	Due      time.Time // not before
	Created  time.Time
	Finished time.Time // done, dead or discarded
	Owner    string    // who holds the lease, or held the last
	Lease    time.Time // until when
	Fence    int64     // counts the leases: who holds an older one can not complete it
	Error    string    // of the last attempt

	complete atomic.Bool // by its handler
}

// ChoreFilter chooses chores. Zero values choose all.
type ChoreFilter struct {
	Kinds   []string
	States  []ChoreState
	Subject string
	Failing bool // whose last attempt went wrong, and that are not over
	After   Mark
	Limit   int // default 100
	Offset  int
}

// Handler does a chore. It must be safe to run again from the start after it
// broke off at any point. What it changes in the store belongs into
// Store.Complete, which marks the chore as done in the same transaction; a
// handler that returns nil without that has its chore marked by the pool.
// Errors are retried, unless they are Permanent; see also Later.
type Handler func(ctx context.Context, c *Chore) error

// Pool says how chores are worked off.
type Pool struct {
	Handlers map[string]Handler  // by kind; others are left to other instances
	Workers  int                 // at once; default 4
	Lease    time.Duration       // default 20 s; extended while a handler runs
	Poll     time.Duration       // how often an idle pool looks for work of others; default 1 second
	Grace    time.Duration       // what running handlers get after the context ends; default 20 seconds
	Failed   func(*Chore, error) // told of every attempt that went wrong; default nil
	Broken   func(error)         // told when the store itself could not be reached; default nil
}
