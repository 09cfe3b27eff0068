package flow

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"quoin/cmd/quoin/internal/works"
)

// Kinds of deliveries whose answers move tickets.
const (
	kindSubmit = "SubmitQueueEntry"
	kindReturn = "ReturnQueueEntry"
)

// release gives the steps of a ticket to their devices whose turn it is.
func (f *Flow) release(ctx context.Context, c *works.Chore) error {
	id, err := subject(c)
	if err != nil {
		return err
	}
	return f.complete(ctx, c, func(tx *works.Tx) error {
		k, err := tx.Ticket(id)
		if err != nil {
			return gone(err)
		}
		if k.State != works.Released && k.State != works.Running {
			return nil
		}
		if k.Entry == works.EntryHeld || k.Entry == works.EntrySuspended {
			return nil // until it is resumed
		}
		steps, err := tx.Steps(id)
		if err != nil {
			return err
		}
		for _, p := range steps {
			if p.State == works.StepWaiting && (f.Ahead || turn(p, steps)) {
				p, err = tx.Report(p.ID, works.StepReport{State: works.StepReady, Reason: "it is its turn"})
			}
			if err == nil && p.State == works.StepReady {
				err = f.submit(tx, k, p)
			}
			if err != nil {
				return err
			}
		}
		return nil
	})
}

// turn reports whether all that a step waits for is done.
func turn(p *works.Step, steps []*works.Step) bool {
	return !slices.ContainsFunc(steps, func(before *works.Step) bool {
		return slices.Contains(p.Needs, before.Number) && before.State != works.StepDone
	})
}

// submit puts the ticket of a step into the outbox, once for each time that the
// step was made ready. Steps without a device or a ticket wait for a person.
func (f *Flow) submit(tx *works.Tx, k *works.Ticket, p *works.Step) error {
	if p.Device == "" || p.TicketBlob == "" {
		return nil
	}
	d, err := tx.Device(p.Device)
	if errors.Is(err, works.ErrUnknown) {
		_, err = tx.Report(p.ID, works.StepReport{
			State: works.StepFailed, Reason: fmt.Sprintf("device %q is not in the plant", p.Device),
		})
		return err
	}
	if err != nil {
		return err
	}
	body, err := tx.Blob(p.TicketBlob)
	if err != nil {
		return gone(err)
	}
	key := fmt.Sprintf("submit/%d/%d", p.ID, p.Tries)
	wire, err := f.Parts.Submit(works.MessageID(key), k, p, d, body)
	if err != nil {
		return fmt.Errorf("write the message for step %d: %w", p.ID, err)
	}
	return send(tx, wire, works.NewDelivery{Key: key, Device: p.Device, Ticket: k.ID, Step: p.ID, Ordered: true})
}

// send puts a message into the outbox.
func send(tx *works.Tx, wire Wire, n works.NewDelivery) error {
	if wire.Kind == "" {
		return nil
	}
	n.Kind, n.Address, n.Media, n.Name, n.Body = wire.Kind, wire.Address, wire.Media, wire.Name, wire.Body
	_, err := tx.Send(n)
	return err
}

// deliver sends what is in the outbox and takes the answer.
func (f *Flow) deliver(ctx context.Context, c *works.Chore) error {
	id, err := subject(c)
	if err != nil {
		return err
	}
	var d *works.Delivery
	var body []byte
	err = f.Store.Read(ctx, func(tx *works.Tx) error {
		if d, err = tx.Delivery(id); err != nil || d.State.Over() {
			return gone(err)
		}
		body, err = tx.Blob(d.Blob)
		return gone(err)
	})
	if err != nil || d.State.Over() {
		return err
	}
	sent, err := f.Parts.Send(ctx, d, body)
	if err != nil {
		missed := f.Store.Write(context.WithoutCancel(ctx), "", func(tx *works.Tx) error { return tx.Missed(id, err) })
		return errors.Join(err, missed)
	}
	return f.complete(ctx, c, func(tx *works.Tx) error {
		first, err := tx.Acknowledge(id, sent.Answer, sent.Refused)
		if err != nil || !first {
			return err
		}
		switch d.Kind {
		case kindSubmit:
			return f.submitted(tx, d, sent)
		case kindReturn:
			return f.returned(tx, d, sent)
		}
		return nil
	})
}

// submitted takes the answer of a device to a step.
func (f *Flow) submitted(tx *works.Tx, d *works.Delivery, sent Sent) error {
	if d.Step == 0 {
		return nil
	}
	p, err := tx.Step(d.Step)
	if err != nil {
		return gone(err)
	}
	r := works.StepReport{Queued: sent.Queued}
	switch {
	case p.State == works.StepCancelled && !sent.Refused: // called back while it was on its way
		if _, err := tx.Report(p.ID, r); err != nil {
			return err
		}
		_, _, err := tx.Enqueue(works.NewChore{
			Kind: works.ChoreRecall, Subject: fmt.Sprint(d.Ticket), Version: d.Key, Retry: works.DeliveryRetry(),
		})
		return err
	case p.State != works.StepReady: // it has said more already than that it takes the step
	case sent.Refused:
		r.State, r.Reason = works.StepFailed, "its device refused it: "+sent.Reason
	case sent.Taken:
		r.State, r.Reason = works.StepAccepted, "its device has taken it"
	default:
		r.State, r.Reason = works.StepSent, "delivered"
	}
	_, err = tx.Report(p.ID, r)
	return err
}

// returned takes the answer of the sender of a ticket to its return.
func (f *Flow) returned(tx *works.Tx, d *works.Delivery, sent Sent) error {
	k, err := tx.Ticket(d.Ticket)
	if err != nil {
		return gone(err)
	}
	if !k.State.Can(works.Returned) {
		return nil
	}
	reason := "its sender has it back"
	if sent.Refused { // asked again the sender would say the same: it ends, and people read why
		reason = "its sender refused to take it back: " + sent.Reason
		_, _, err := tx.Raise(works.Alert{
			Kind: "return", Key: fmt.Sprint(k.ID), Severity: "warning", Ticket: k.ID, Text: fmt.Sprintf("job %q: %s", k.Job,
				reason),
		})
		if err != nil {
			return err
		}
	}
	_, err = tx.Move(k.ID, works.Returned, reason)
	return err
}
