// Package flow brings tickets through the house: from the check to the plan, to
// the devices, along with what the devices say, and back to the sender.
//
// Each step of the way is a chore of package works, and a Handler here. A handler
// looks at the state, does its work outside of any transaction, and writes what
// came of it in the same transaction that ends the chore, where the state still
// allows it. So it can break off at any point and be run again, by any instance.
// What is done by others (the engine, the planner, the wire, the ledger) comes in
// through the interfaces of Parts.
package flow

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"sync"

	"quoin/cmd/quoin/internal/works"
)

// Parts do what the flow does not do itself. Their methods are called by many
// goroutines, and again for the same thing when an attempt broke off.
type Parts struct {
	Checker
	Planner
	Emitter
	Composer
	Sender
	Reader
	Ledger
}

// Checker checks tickets.
type Checker interface {
	// Check says what is wrong with a ticket. Checked.Refused decides whether it is
	// taken; an error is that it could not be checked, and is tried again.
	Check(ctx context.Context, k *works.Ticket, body []byte) (works.Checked, error)
}

// Planner plans tickets.
type Planner interface {
	// Plan gives the plan with its steps. When there is no way to make the job it is a
	// *Unplannable; other errors are tried again.
	Plan(ctx context.Context, k *works.Ticket, body []byte) (works.Laid, error)
}

// Unplannable says why there is no plan for a ticket.
type Unplannable struct{ Reason string }

// Error is the reason.
func (u *Unplannable) Error() string { return "there is no plan: " + u.Reason }

// Emitter writes device tickets.
type Emitter interface {
	// Emit gives the device tickets of a plan by the numbers of its steps. Steps
	// without one are done by hand.
	Emit(ctx context.Context, k *works.Ticket, body, plan []byte, steps []*works.Step) (map[int]works.DeviceTicket, error)
}

// Wire is a message as it goes out. The zero Wire says that there is nothing to
// send.
type Wire struct {
	Kind    string // type of the message
	Address string // URL or folder
	Media   string
	Name    string // of the file, for folders
	Body    []byte
	Channel *works.Subscription // that the message asks for, of a subscription
}

// Composer writes messages. Its methods must give the same for the same; id is
// the id that the message has to have.
type Composer interface {
	// Submit gives a step to its device.
	Submit(id string, k *works.Ticket, p *works.Step, d *works.Device, ticket []byte) (Wire, error)

	// Recall takes a step back from its device.
	Recall(id string, k *works.Ticket, p *works.Step, d *works.Device) (Wire, error)

	// Return gives a ticket back to its sender, with what the devices returned by the
	// numbers of the steps. Its own body, for the ticket page, is the second.
	Return(id string, k *works.Ticket, body []byte, steps []*works.Step, returned map[int][]byte) (Wire, []byte, error)

	// Subscriptions are what we want to be told by a device; id numbers each.
	Subscriptions(id func(n int) string, d *works.Device) ([]Wire, error)
}

// Sent is what became of a delivery.
type Sent struct {
	Answer  works.Answer
	Refused bool   // for good: asked again, the receiver says the same
	Reason  string // of the refusal
	Taken   bool   // the receiver has said that it takes it; false for a folder, which says nothing
	Queued  string // QueueEntryID that the device gave
}

// Sender sends.
type Sender interface {
	// Send delivers, with what d says of where and how. An error is tried again, unless
	// it is works.Permanent.
	Send(ctx context.Context, d *works.Delivery, body []byte) (Sent, error)
}

// News is what a message says of devices and steps.
type News struct {
	Devices []works.DeviceNews
	Steps   []StepNews
}

// StepNews is what is said of one step.
type StepNews struct {
	works.StepRef
	works.StepReport // Return is set by the flow where Returned is
	Returned         bool
}

// Reader reads what came in from devices.
type Reader interface {
	Read(ctx context.Context, m *works.Message, body []byte) (News, error)
}

// Came is a message that came in, with its body.
type Came struct {
	*works.Message
	Body []byte
}

// Ledger takes what came in from devices into the books. The same again must change
// nothing. The error is of the first message, or of all; what can not be read of the
// others is left out, for they come again by themselves.
type Ledger interface {
	Take(ctx context.Context, all []Came) error
}

// Flow is the handlers of the chores that make up the way of a ticket.
type Flow struct {
	Store *works.Store
	Parts Parts

	AutoPlan  bool // plan and release what was accepted, without a person
	Ahead     bool // give all steps to their devices at once, and not each in its turn
	Retention works.Retention

	booking sync.Mutex
	booked  map[int64]bool // messages that went into the books ahead of their chores
}

// Handlers are those for works.Pool.
func (f *Flow) Handlers() map[string]works.Handler {
	return map[string]works.Handler{
		works.ChoreCheck: f.check, works.ChorePlan: f.plan, works.ChoreEmit: f.emit, works.ChoreRelease: f.release,
		works.ChoreResume: f.resume, works.ChoreDeliver: f.deliver, works.ChoreRecall: f.recall,
		works.ChoreCollect: f.collect, works.ChoreReturn: f.giveBack, works.ChoreSubscribe: f.subscribe,
		works.ChoreRetain: f.retain,
	}
}

// subject is the number that a chore is about. One that has none is no chore that
// could ever be done.
func subject(c *works.Chore) (int64, error) {
	id, err := strconv.ParseInt(c.Subject, 10, 64)
	if err != nil {
		return 0, works.Permanent(fmt.Errorf("%s chore %d: subject %q is no number", c.Kind, c.ID, c.Subject))
	}
	return id, nil
}

// ticket gives the ticket that a chore is about, with its content.
func (f *Flow) ticket(ctx context.Context, c *works.Chore) (k *works.Ticket, body []byte, err error) {
	id, err := subject(c)
	if err != nil {
		return nil, nil, err
	}
	err = f.Store.Read(ctx, func(tx *works.Tx) error {
		if k, err = tx.Ticket(id); err != nil {
			return gone(err)
		}
		body, err = tx.Blob(k.Blob)
		return gone(err)
	})
	return k, body, err
}

// gone makes it final that something is not in the store: retention has taken it.
func gone(err error) error {
	if errors.Is(err, works.ErrUnknown) {
		return works.Permanent(err)
	}
	return err
}

// complete ends a chore with its effect. Where the state does not allow the effect
// any more (the ticket was aborted meanwhile, or an earlier attempt has done it)
// the chore ends without.
func (f *Flow) complete(ctx context.Context, c *works.Chore, effect func(*works.Tx) error) error {
	err := f.Store.Complete(ctx, c, effect)
	var state *works.StateError
	if errors.As(err, &state) {
		return f.Store.Complete(ctx, c, nil)
	}
	return err
}
