package flow

import (
	"context"
	"errors"
	"fmt"
	"time"

	"quoin/cmd/quoin/internal/works"
)

// recallPause is how long a recall waits for a delivery that is on its way.
const recallPause = 2 * time.Second

// recall takes back the steps of a ticket that were cancelled after they were given
// to their devices.
func (f *Flow) recall(ctx context.Context, c *works.Chore) error {
	id, err := subject(c)
	if err != nil {
		return err
	}
	return f.complete(ctx, c, func(tx *works.Tx) error {
		k, err := tx.Ticket(id)
		if err != nil {
			return gone(err)
		}
		steps, err := tx.AllSteps(id)
		if err != nil {
			return err
		}
		for _, p := range steps {
			if p.State != works.StepCancelled || p.Tries == 0 || p.Device == "" {
				continue
			}
			if err := f.recallStep(tx, k, p); err != nil {
				return err
			}
		}
		return nil
	})
}

// recallStep cancels what has not gone out for a step, and asks the device to give
// back what has.
func (f *Flow) recallStep(tx *works.Tx, k *works.Ticket, p *works.Step) error {
	deliveries, err := tx.Deliveries(works.DeliveryFilter{Ticket: k.ID, Kind: kindSubmit, Limit: 1000})
	if err != nil {
		return err
	}
	reached := false
	for _, d := range deliveries {
		if d.Step != p.ID {
			continue
		}
		chores, err := tx.Chores(works.ChoreFilter{Kinds: []string{works.ChoreDeliver}, Subject: fmt.Sprint(d.ID)})
		if err != nil {
			return err
		}
		if len(chores) > 0 && chores[0].State == works.ChoreLeased {
			return works.Later(recallPause, errors.New("it is being sent just now"))
		}
		reached = reached || d.Attempts > 0 && d.State != works.DeliveryRefused
	}
	if _, err := tx.CancelDeliveries(p.ID, "called back"); err != nil || !reached {
		return err
	}
	d, err := tx.Device(p.Device)
	if err != nil {
		return gone(err)
	}
	key := fmt.Sprintf("recall/%d/%d", p.ID, p.Tries)
	wire, err := f.Parts.Recall(works.MessageID(key), k, p, d)
	if err != nil {
		return fmt.Errorf("write the recall of step %d: %w", p.ID, err)
	}
	if wire.Kind == "" {
		return tx.Note(k.ID, p.ID, "can not be called back from "+p.Device+"; take it out there by hand")
	}
	return send(tx, wire, works.NewDelivery{Key: key, Device: p.Device, Ticket: k.ID, Ordered: true})
}

// giveBack returns a ticket to its sender.
func (f *Flow) giveBack(ctx context.Context, c *works.Chore) error {
	k, body, err := f.ticket(ctx, c)
	if err != nil {
		return err
	}
	if !k.State.Can(works.Returned) {
		return nil
	}
	var steps []*works.Step
	returned := map[int][]byte{}
	err = f.Store.Read(ctx, func(tx *works.Tx) error {
		if steps, err = tx.Steps(k.ID); err != nil {
			return err
		}
		for _, p := range steps {
			if p.Return == "" {
				continue
			}
			if returned[p.Number], err = tx.Blob(p.Return); err != nil {
				return gone(err)
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	key := fmt.Sprintf("return/%d", k.ID)
	wire, whole, err := f.Parts.Return(works.MessageID(key), k, body, steps, returned)
	if err != nil {
		return fmt.Errorf("write the return of ticket %d: %w", k.ID, err)
	}
	return f.complete(ctx, c, func(tx *works.Tx) error {
		if err := tx.SetReturn(k.ID, whole); err != nil {
			return err
		}
		if !k.Returns() || wire.Kind == "" {
			_, err := tx.Move(k.ID, works.Returned, "its sender wants nothing back")
			return err
		}
		return send(tx, wire, works.NewDelivery{Key: key, Partner: k.Partner, Ticket: k.ID, Ordered: true})
	})
}
