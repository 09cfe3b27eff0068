package office

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"

	"quoin/cmd/quoin/internal/access"
	"quoin/cmd/quoin/internal/compose"
	"quoin/cmd/quoin/internal/dialog"
	"quoin/cmd/quoin/internal/queue"
	"quoin/cmd/quoin/internal/works"
	"quoin/jdf/message"
)

// Modify carries out a command on entries.
func (o *Office) Modify(ctx context.Context, from dialog.From, m *message.Modification) ([]queue.Result, error) {
	if err := may(ctx, access.Sender, access.Operator); err != nil {
		return nil, err
	}
	if m.Operation.Value == message.SetGang {
		return nil, dialog.Refuse(message.GangingNotSupported, "gangs are made by the plan; leave GangName out")
	}
	return once(ctx, o, from, func(tx *works.Tx) ([]queue.Result, error) {
		entries, err := o.changeable(ctx, tx, from, m)
		if err != nil {
			return nil, err
		}
		results, code, why := queue.Change(entries, m)
		if code != message.Success {
			return nil, dialog.Refuse(code, "%s", why)
		}
		for i := range results {
			if results[i].Code != message.Success || results[i].Along {
				continue
			}
			if err := o.change(tx, m, &results[i]); err != nil {
				return nil, err
			}
		}
		return results, nil
	})
}

// changeable lists the entries that a command can be about and that who asks may
// change. A Move needs all that wait, for the places between them.
func (o *Office) changeable(
	ctx context.Context, tx *works.Tx, from dialog.From, m *message.Modification,
) ([]queue.Entry, error) {
	var list []queue.Entry
	var err error
	if m.Operation.Value == message.Move {
		list, err = o.entries(ctx, tx, from, open)
	} else {
		list, err = o.chosen(ctx, tx, from, m.Filter)
	}
	if err != nil || all(ctx, access.Operator) {
		return list, err
	}
	return slices.DeleteFunc(list, func(e queue.Entry) bool {
		k, err := tx.TicketOfEntry(e.ID)
		return err != nil || k.Partner != from.Partner
	}), nil
}

// change stores what a command has done to one entry. What the store knows better
// than the queue is a refusal of that entry.
func (o *Office) change(tx *works.Tx, m *message.Modification, r *queue.Result) error {
	k, err := tx.TicketOfEntry(r.ID)
	if err != nil {
		return err
	}
	reason := "asked for with " + string(m.Operation.Value)
	switch m.Operation.Value {
	case message.Hold, message.Suspend, message.Resume:
		if _, err = tx.SetEntry(k.ID, works.Entry(r.Standing.State.String()), reason); err == nil {
			err = o.forward(tx, k, m.Operation.Value)
		}
	case message.Abort:
		_, err = tx.Move(k.ID, works.Aborted, reason)
	case message.Complete:
		_, err = tx.Move(k.ID, works.Done, reason)
	case message.Remove:
		_, err = tx.Move(k.ID, works.Removed, reason)
	case message.SetPriority:
		_, err = tx.SetPriority(k.ID, r.Priority)
	case message.Move:
		if err = o.moveTo(tx, k, m); err == nil && m.Priority.Given {
			_, err = tx.SetPriority(k.ID, m.Priority.Value)
		}
	}
	var state *works.StateError
	if errors.As(err, &state) {
		event, _ := queue.OfOperation(m.Operation.Value)
		r.Code, r.Entry = message.LateChange, r.Before
		r.Why = fmt.Sprintf("entry %q can not be changed by %s: %v", r.ID, strings.ToLower(event.String()), state)
		return nil
	}
	return err
}

// moveTo puts an entry where a Move wants it, among all that wait.
func (o *Office) moveTo(tx *works.Tx, k *works.Ticket, m *message.Modification) error {
	tickets, err := tx.Tickets(works.TicketFilter{Entries: waiting, Limit: mostOpen})
	if err != nil {
		return err
	}
	var entries []queue.Entry
	for i, other := range tickets {
		entries = append(entries, entryOf(other, int64(i)))
	}
	target := queue.Target{Next: m.Next.Value, Previous: m.Previous.Value}
	if m.Position.Given {
		target.Position = &m.Position.Value
	}
	moved, code := queue.Moved(entries, k.EntryID, target)
	if code != message.Success {
		return &works.StateError{What: "queue entry", ID: k.ID, Was: string(k.Entry), To: "moved"}
	}
	return place(tx, moved, k.EntryID)
}

// place puts an entry where it stands in a list: before the next one that waits.
func place(tx *works.Tx, moved []queue.Entry, id string) error {
	moved = slices.DeleteFunc(slices.Clone(moved), func(e queue.Entry) bool {
		return e.Standing.State != queue.Waiting && e.Standing.State != queue.Held
	})
	slices.SortStableFunc(moved, queue.Compare)
	i := slices.IndexFunc(moved, func(e queue.Entry) bool { return e.ID == id })
	k, err := tx.TicketOfEntry(id)
	if err != nil || i < 0 {
		return err
	}
	var before int64
	if i+1 < len(moved) {
		next, err := tx.TicketOfEntry(moved[i+1].ID)
		if err != nil {
			return err
		}
		before = next.ID
	}
	_, err = tx.Place(k.ID, before)
	return err
}

// forward asks the devices that are at a ticket to stop at it, or to go on.
func (o *Office) forward(tx *works.Tx, k *works.Ticket, op message.Operation) error {
	if op != message.Suspend && op != message.Resume {
		return nil
	}
	steps, err := tx.Steps(k.ID)
	if err != nil {
		return err
	}
	for _, p := range steps {
		if !p.State.Begun() {
			continue
		}
		d, err := tx.Device(p.Device)
		if errors.Is(err, works.ErrUnknown) {
			continue
		}
		if err != nil {
			return err
		}
		key := fmt.Sprintf("%s/%d/%d", op, p.ID, tx.Now().UnixMicro())
		wire, err := o.Composer.Modify(works.MessageID(key), op, p, d, tx.Now())
		if err != nil || wire.Kind == "" {
			return err
		}
		_, err = tx.Send(works.NewDelivery{
			Key: key, Kind: wire.Kind, Device: d.ID, Address: wire.Address, Media: wire.Media, Body: wire.Body, Ticket: k.ID,
			Ordered: true,
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// queueValue is the name under which the store keeps the state of the queue.
const queueValue = "office.queue"

// gate is the state of the queue that is not in its entries.
type gate struct{ Closed, Held bool }

func readGate(tx *works.Tx) (g gate, err error) {
	text, err := tx.Value(queueValue)
	if err != nil || text == "" {
		return g, err
	}
	return g, json.Unmarshal([]byte(text), &g)
}

// queue is the state of the queue.
func (o *Office) queue(tx *works.Tx) (queue.Queue, error) {
	g, err := readGate(tx)
	if err != nil {
		return queue.Queue{}, err
	}
	q := queue.Queue{Closed: g.Closed, Held: g.Held, Max: o.Most}
	if q.Size, err = tx.CountTickets(works.TicketFilter{Entries: open}); err != nil {
		return q, err
	}
	q.Running, err = tx.CountTickets(works.TicketFilter{Entries: []works.Entry{works.EntryRunning}})
	return q, err
}

// Held reports whether nothing new is to begin.
func (o *Office) Held(ctx context.Context) (bool, error) {
	g, err := works.Ask(ctx, o.Store, readGate)
	return g.Held, err
}

// Control opens, closes, holds or resumes the queue.
func (o *Office) Control(ctx context.Context, from dialog.From, c queue.Control) error {
	if err := may(ctx, access.Operator); err != nil {
		return err
	}
	_, err := once(ctx, o, from, func(tx *works.Tx) (bool, error) {
		before, err := o.queue(tx)
		if err != nil {
			return false, err
		}
		after, code := before.After(c)
		if code != message.Success {
			return false, dialog.Refuse(code, "%s is not possible: the queue is %s", c, strings.ToLower(string(before.Status())))
		}
		text, err := json.Marshal(gate{after.Closed, after.Held})
		if err != nil {
			return false, err
		}
		if err := tx.SetValue(queueValue, string(text)); err != nil {
			return false, err
		}
		tx.Emit(works.Event{Kind: works.EventTicket, Text: "the queue is " + strings.ToLower(string(after.Status()))})
		return true, tx.Log("queue."+strings.ToLower(string(c)), "queue", "")
	})
	return err
}

// Queue tells the state of the queue with its entries.
func (o *Office) Queue(ctx context.Context, from dialog.From, f *message.QueueFilter) (compose.Queue, error) {
	return works.Ask(ctx, o.Store, func(tx *works.Tx) (compose.Queue, error) { return o.tellQueue(ctx, tx, from, f) })
}

func (o *Office) tellQueue(
	ctx context.Context, tx *works.Tx, from dialog.From, f *message.QueueFilter,
) (compose.Queue, error) {
	state, err := o.queue(tx)
	if err != nil {
		return compose.Queue{}, err
	}
	list, err := o.chosen(ctx, tx, from, f)
	return compose.Queue{
		Device: o.Composer.Sender, Status: state.Status(), Size: state.Size, Max: state.Max, Entries: queue.Select(list, f),
	}, err
}
