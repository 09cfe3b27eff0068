package office

import (
	"context"

	"quoin/cmd/quoin/internal/access"
	"quoin/cmd/quoin/internal/dialog"
	"quoin/cmd/quoin/internal/works"
	"quoin/jdf/message"
)

// Told takes a signal, or the response or acknowledge to what was sent. It is taken up
// once the document is answered for.
func (o *Office) Told(ctx context.Context, from dialog.From, _ *message.Message) error {
	if err := may(ctx, access.Device); err != nil {
		return err
	}
	o.tell(from.Receipt)
	return nil
}

// Return takes a ticket back from a device. It is stored with its message; the step is
// found when it is taken up.
func (o *Office) Return(ctx context.Context, from dialog.From, _ dialog.Return) error {
	if err := may(ctx, access.Device); err != nil {
		return err
	}
	o.tell(from.Receipt)
	return nil
}

// Request takes note that a device wants work: what waits to be sent to it goes out
// now. It goes to the address that the plant file has, whatever the message says.
func (o *Office) Request(ctx context.Context, from dialog.From, _ *message.EntryRequest) error {
	if err := may(ctx, access.Device); err != nil {
		return err
	}
	_, err := once(ctx, o, from, func(tx *works.Tx) (int, error) {
		if _, err := tx.Device(from.Sender); err != nil {
			return 0, dialog.Refuse(message.DeviceIDUnknown,
				"device %q is not in the plant; send the DeviceID that it has there", from.Sender)
		}
		return Nudge(tx, from.Sender)
	})
	return err
}

// Nudge makes what waits to be sent to a device due now, and gives how much that is:
// the device is there again.
func Nudge(tx *works.Tx, device string) (n int, err error) {
	waiting, err := tx.Deliveries(works.DeliveryFilter{States: []works.DeliveryState{works.DeliveryWaiting},
		Device: device, Limit: 1000})
	if err != nil {
		return 0, err
	}
	for _, d := range waiting {
		if d.Attempts == 0 {
			continue // it only waits for its turn
		}
		chores, err := tx.Chores(works.ChoreFilter{
			Kinds: []string{works.ChoreDeliver}, Subject: itoa(d.ID), States: []works.ChoreState{works.ChoreWaiting},
		})
		if err != nil {
			return n, err
		}
		for _, c := range chores {
			if err := tx.Retry(c.ID); err != nil {
				return n, err
			}
			n++
		}
	}
	return n, nil
}

// Fetch refuses every address that leads out of a message: a ticket comes with it.
func (o *Office) Fetch(_ context.Context, _ dialog.From, url string) (dialog.Ticket, error) {
	return dialog.Ticket{}, dialog.RefuseURL(url)
}
