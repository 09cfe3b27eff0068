package flow

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"quoin/cmd/quoin/internal/works"
)

// Collect enqueues that what came in with a message goes to the ledger and to the
// steps. Those of one partner are taken in the order in which they came.
func Collect(tx *works.Tx, m *works.Message) error {
	_, _, err := tx.Enqueue(works.NewChore{
		Kind: works.ChoreCollect, Subject: strconv.FormatInt(m.ID, 10), Lane: "collect " + m.Partner,
	})
	return err
}

// collect takes what a device has said.
func (f *Flow) collect(ctx context.Context, c *works.Chore) error {
	id, err := subject(c)
	if err != nil {
		return err
	}
	var m *works.Message
	var body []byte
	err = f.Store.Read(ctx, func(tx *works.Tx) error {
		if m, err = tx.Message(id); err != nil {
			return gone(err)
		}
		body, err = tx.Blob(m.Blob)
		return gone(err)
	})
	if err != nil {
		return err
	}
	if err := f.book(ctx, Came{m, body}); err != nil {
		return err
	}
	news, err := f.Parts.Read(ctx, m, body)
	if err != nil {
		return err
	}
	err = f.Store.Complete(ctx, c, func(tx *works.Tx) error {
		for _, n := range news.Devices {
			if _, err := tx.Hear(n); err != nil && !errors.Is(err, works.ErrUnknown) {
				return err
			}
		}
		for _, n := range news.Steps {
			if err := stepNews(tx, n, m.Blob); err != nil {
				return err
			}
		}
		return nil
	})
	if err == nil {
		f.booking.Lock()
		delete(f.booked, id)
		f.booking.Unlock()
	}
	return err
}

// The most that goes into the books at once.
const (
	mostBooked = 250     // messages
	bookedSize = 8 << 20 // bytes
)

// book takes a message into the books, and with it those that wait to be collected
// after it: a device is settled once for all of them, which under load is most of
// the work. Which ones were taken is remembered by this process alone; after its end,
// or on another instance, they are taken once more, and change nothing.
func (f *Flow) book(ctx context.Context, first Came) error {
	f.booking.Lock()
	defer f.booking.Unlock()
	if f.booked[first.ID] {
		return nil
	}
	all := []Came{first}
	err := f.Store.Read(ctx, func(tx *works.Tx) (err error) {
		all, err = f.waiting(tx, all[:1])
		return err
	})
	if err != nil {
		return err
	}
	if err := f.Parts.Take(ctx, all); err != nil {
		return err
	}
	if f.booked == nil {
		f.booked = map[int64]bool{}
	}
	for _, m := range all {
		f.booked[m.ID] = true
	}
	return nil
}

// waiting adds the messages that wait to be collected and are not booked.
func (f *Flow) waiting(tx *works.Tx, all []Came) ([]Came, error) {
	chores, err := tx.Chores(works.ChoreFilter{
		Kinds: []string{works.ChoreCollect}, States: []works.ChoreState{works.ChoreWaiting}, Limit: 2 * mostBooked,
	})
	size := len(all[0].Body)
	for _, c := range chores {
		id, err := strconv.ParseInt(c.Subject, 10, 64)
		if err != nil || f.booked[id] || id == all[0].ID {
			continue
		}
		m, err := tx.Message(id)
		if errors.Is(err, works.ErrUnknown) {
			continue
		}
		if err != nil {
			return nil, err
		}
		if size += int(m.Size); len(all) == mostBooked || size > bookedSize {
			break
		}
		body, err := tx.Blob(m.Blob)
		if errors.Is(err, works.ErrUnknown) {
			continue
		}
		if err != nil {
			return nil, err
		}
		all = append(all, Came{m, body})
	}
	return all, err
}

// stepNews takes what is said of a step. What can not be, since it comes late or
// twice or is of a job that is not ours, is the device's business and no reason to
// ask again: the ledger has it all the same.
func stepNews(tx *works.Tx, n StepNews, blob string) error {
	p, err := tx.FindStep(n.StepRef)
	if errors.Is(err, works.ErrUnknown) {
		return nil
	}
	if err != nil {
		return err
	}
	if n.Returned {
		n.Return = blob
	}
	_, err = tx.Report(p.ID, n.StepReport)
	if !errors.Is(err, works.ErrState) {
		return err
	}
	if n.Returned && p.Return == "" { // its state can not be, but what came back came back
		_, err = tx.Report(p.ID, works.StepReport{Return: blob})
		return err
	}
	if n.State == "" || n.State == p.State {
		return nil
	}
	return tx.Note(p.Ticket, p.ID, fmt.Sprintf("its device says %s, which comes too late or can not be: %v", n.State, err))
}

// subscribe asks a device to be told.
func (f *Flow) subscribe(ctx context.Context, c *works.Chore) error {
	return f.complete(ctx, c, func(tx *works.Tx) error {
		d, err := tx.Device(c.Subject)
		if err != nil {
			return gone(err)
		}
		key := func(n int) string { return strings.Join([]string{"subscribe", d.ID, c.Version, strconv.Itoa(n)}, "/") }
		wires, err := f.Parts.Subscriptions(func(n int) string { return works.MessageID(key(n)) }, d)
		if err != nil {
			return fmt.Errorf("write the subscriptions of %q: %w", d.ID, err)
		}
		if _, err := tx.Unsubscribe(works.SubscriptionFilter{Side: works.Ours, Peer: d.ID}); err != nil {
			return err
		}
		for n, wire := range wires {
			if wire.Channel != nil {
				ours := *wire.Channel
				ours.Side, ours.Peer, ours.Channel = works.Ours, d.ID, works.MessageID(key(n))
				if _, err := tx.Subscribe(ours); err != nil {
					return err
				}
			}
			if err := send(tx, wire, works.NewDelivery{Key: key(n), Device: d.ID, Ordered: true}); err != nil {
				return err
			}
		}
		return nil
	})
}

// Begin enqueues what a service does from its start: today's retention.
func (f *Flow) Begin(ctx context.Context) error {
	return f.Store.Write(ctx, "", func(tx *works.Tx) error { return tidy(tx, tx.Now()) })
}

// tidy enqueues the retention of a day.
func tidy(tx *works.Tx, at time.Time) error {
	_, _, err := tx.Enqueue(works.NewChore{Kind: works.ChoreRetain, Subject: at.Format(time.DateOnly), Due: at})
	return err
}

// retain takes out what is older than the plant wants to keep, and comes again a day
// later.
func (f *Flow) retain(ctx context.Context, c *works.Chore) error {
	if _, err := f.Store.Prune(ctx, f.Retention); err != nil {
		return err
	}
	return f.complete(ctx, c, func(tx *works.Tx) error { return tidy(tx, tx.Now().AddDate(0, 0, 1)) })
}
