package flow

import (
	"context"
	"errors"
	"strconv"

	"quoin/cmd/quoin/internal/works"
)

// check refuses or accepts a ticket.
func (f *Flow) check(ctx context.Context, c *works.Chore) error {
	k, body, err := f.ticket(ctx, c)
	if err != nil {
		return err
	}
	if k.State != works.Submitted {
		return nil
	}
	checked, err := f.Parts.Check(ctx, k, body)
	if err != nil {
		return err
	}
	checked.Version = k.Version
	return f.complete(ctx, c, func(tx *works.Tx) error {
		_, err := f.take(tx, k.ID, checked)
		return err
	})
}

// CheckNow checks a ticket while its sender waits for the answer. Its chore is
// there for when this breaks off. A ticket that is checked already is given as it
// is.
func (f *Flow) CheckNow(ctx context.Context, id int64) (k *works.Ticket, err error) {
	var body []byte
	err = f.Store.Read(ctx, func(tx *works.Tx) error {
		if k, err = tx.Ticket(id); err != nil {
			return err
		}
		body, err = tx.Blob(k.Blob)
		return err
	})
	if err != nil || k.State != works.Submitted {
		return k, err
	}
	checked, err := f.Parts.Check(ctx, k, body)
	if err != nil {
		return nil, err
	}
	checked.Version = k.Version
	err = f.Store.Write(ctx, "", func(tx *works.Tx) error {
		k, err = f.take(tx, id, checked)
		return err
	})
	if errors.Is(err, works.ErrState) { // its chore was quicker, or it was given another content
		return works.Ask(ctx, f.Store, func(tx *works.Tx) (*works.Ticket, error) { return tx.Ticket(id) })
	}
	return k, err
}

// take writes the result of a check, with what follows from it.
func (f *Flow) take(tx *works.Tx, id int64, checked works.Checked) (*works.Ticket, error) {
	k, err := tx.Check(id, checked)
	if err != nil {
		return nil, err
	}
	return k, f.onward(tx, k)
}

// onward enqueues what comes next for a ticket that nothing holds up, where that is
// not a person's to decide.
func (f *Flow) onward(tx *works.Tx, k *works.Ticket) error {
	if k.Entry == works.EntryHeld || k.Entry == works.EntrySuspended {
		return nil
	}
	switch {
	case k.State == works.Accepted && f.AutoPlan:
		return tx.Want(works.ChorePlan, k.ID)
	case k.State == works.Planned && f.AutoPlan:
		return tx.Want(works.ChoreEmit, k.ID)
	case k.State == works.Released, k.State == works.Running:
		return tx.Want(works.ChoreRelease, k.ID)
	}
	return nil
}

// plan lays the plan of a ticket.
func (f *Flow) plan(ctx context.Context, c *works.Chore) error {
	k, body, err := f.ticket(ctx, c)
	if err != nil {
		return err
	}
	if !k.State.Can(works.Planned) {
		return nil
	}
	laid, err := f.Parts.Plan(ctx, k, body)
	if none := (*Unplannable)(nil); errors.As(err, &none) {
		return f.complete(ctx, c, func(tx *works.Tx) error { return noPlan(tx, k, none) })
	}
	if err != nil {
		return err
	}
	laid.Version = k.Version
	return f.complete(ctx, c, func(tx *works.Tx) error {
		k, err := tx.Lay(k.ID, laid, "planned")
		if err != nil {
			return err
		}
		if _, err := tx.Lower("plan", strconv.FormatInt(k.ID, 10), "there is a plan"); err != nil {
			return err
		}
		return f.onward(tx, k)
	})
}

// noPlan tells people that a ticket can not be planned as it is.
func noPlan(tx *works.Tx, k *works.Ticket, why *Unplannable) error {
	if err := tx.Note(k.ID, 0, why.Error()); err != nil {
		return err
	}
	_, _, err := tx.Raise(works.Alert{
		Kind: "plan", Key: strconv.FormatInt(k.ID, 10), Severity: "error", Ticket: k.ID,
		Text: "job " + strconv.Quote(k.Job) + ": " + why.Error(),
	})
	return err
}

// emit writes the device tickets of a plan, and releases the ticket.
func (f *Flow) emit(ctx context.Context, c *works.Chore) error {
	k, body, err := f.ticket(ctx, c)
	if err != nil {
		return err
	}
	if k.State != works.Planned || k.Entry == works.EntryHeld {
		return nil // a ticket that is held gets ChoreResume
	}
	var plan []byte
	var steps []*works.Step
	err = f.Store.Read(ctx, func(tx *works.Tx) error {
		if plan, err = tx.Blob(k.Plan); err != nil {
			return gone(err)
		}
		steps, err = tx.Steps(k.ID)
		return err
	})
	if err != nil {
		return err
	}
	tickets, err := f.Parts.Emit(ctx, k, body, plan, steps)
	if err != nil {
		return err
	}
	return f.complete(ctx, c, func(tx *works.Tx) error {
		now, err := tx.Ticket(k.ID)
		if err != nil || now.Plan != k.Plan || now.Version != k.Version {
			return err // planned anew meanwhile, and that plan has its own chore
		}
		for _, p := range steps {
			ticket, some := tickets[p.Number]
			if !some {
				continue
			}
			if err := tx.SetDeviceTicket(p.ID, ticket); err != nil {
				return err
			}
		}
		_, err = tx.Move(k.ID, works.Released, "device tickets are written")
		return err
	})
}

// resume takes a ticket up where it was held or suspended.
func (f *Flow) resume(ctx context.Context, c *works.Chore) error {
	id, err := subject(c)
	if err != nil {
		return err
	}
	return f.complete(ctx, c, func(tx *works.Tx) error {
		k, err := tx.Ticket(id)
		if err != nil {
			return gone(err)
		}
		return f.onward(tx, k)
	})
}
