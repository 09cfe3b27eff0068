package floor

import (
	"context"
	"sync"
	"time"

	"quoin/cmd/quoin/internal/rehearsal"
)

// letter is one message of a machine that is to be delivered.
type letter struct {
	id, job    string
	url, media string
	file       string // to be put there instead of being posted
	body       []byte
	wrong      []byte // the same with wrong counters, nil where it has none
	done       func() // after it was delivered or given up; may be nil
}

// outbox delivers the messages of one machine, in order but for the faults.
type outbox struct {
	floor  *Floor
	device string
	wake   chan struct{}

	lock    sync.Mutex
	letters []*letter
	unsent  int
}

func newOutbox(f *Floor, device string) *outbox {
	return &outbox{floor: f, device: device, wake: make(chan struct{}, 1)}
}

func (o *outbox) add(l *letter) {
	o.lock.Lock()
	defer o.lock.Unlock()
	o.letters = append(o.letters, l)
	o.unsent++
	signal(o.wake)
}

func (o *outbox) pending() int {
	o.lock.Lock()
	defer o.lock.Unlock()
	return o.unsent
}

func (o *outbox) next() *letter {
	o.lock.Lock()
	defer o.lock.Unlock()
	if len(o.letters) == 0 {
		return nil
	}
	l := o.letters[0]
	o.letters = o.letters[1:]
	return l
}

// How long faults hold a message back, in time of the works.
const (
	lateFrom = 5 * time.Minute
	lateTo   = 60 * time.Minute
	asideFor = 30 * time.Minute // for the next message to pass by, if one comes
)

// run delivers until the context ends.
func (o *outbox) run(ctx context.Context) {
	var wait sync.WaitGroup
	defer wait.Wait()
	var aside *letter
	for ctx.Err() == nil {
		l := o.next()
		if l == nil {
			if !o.pause(ctx, aside != nil) && aside != nil {
				o.deliver(ctx, aside)
				aside = nil
			}
			continue
		}
		d := rehearsal.Throw(o.floor.Seed, "send", o.device, l.id, l.url)
		switch {
		case o.strikes(d, OutOfOrder, l) && aside == nil:
			aside = l
			continue
		case o.strikes(d, Late, l):
			wait.Go(func() {
				o.floor.Clock.Wait(ctx, o.floor.Clock.Now().Add(time.Duration(d.Between(float64(lateFrom), float64(lateTo)))), nil)
				o.deliver(ctx, l)
			})
		default:
			o.deliver(ctx, l)
		}
		if aside != nil {
			o.deliver(ctx, aside)
			aside = nil
		}
	}
}

// pause waits for a message. It reports false when none came in the time that
// one which was put aside may wait.
func (o *outbox) pause(ctx context.Context, aside bool) bool {
	var over <-chan time.Time
	if aside {
		timer := time.NewTimer(o.floor.Clock.Wall(asideFor))
		defer timer.Stop()
		over = timer.C
	}
	select {
	case <-o.wake:
	case <-ctx.Done():
	case <-over:
		return false
	}
	return true
}

// strikes draws whether a fault strikes a message, and notes it.
func (o *outbox) strikes(d *rehearsal.Dice, kind Fault, l *letter) bool {
	if chance := o.floor.Faults[kind]; chance == 0 || !d.Chance(chance) {
		return false
	}
	o.floor.fault(kind, o.device, l.job, l.id)
	return true
}

func (o *outbox) finish(l *letter) {
	if l.done != nil {
		l.done()
	}
	o.lock.Lock()
	defer o.lock.Unlock()
	o.unsent--
}
