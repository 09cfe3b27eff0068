package works

import "strconv"

// Action is something that a person can do to a ticket, on the board or through the API.
type Action struct {
	Name   string // in addresses, and in the log behind "ticket."
	Label  string
	Says   string // what follows from it
	Grave  bool   // can not be taken back
	Number bool   // wants a priority

	can func(*Ticket) bool
	do  func(*Tx, *Ticket, Asked) error
}

// Asked is what a person says with an action.
type Asked struct {
	Reason   string // for the history
	Priority int    // 0 to 100, for an action that wants a Number
}

// Can reports whether a ticket is in a state in which it can be done.
func (a Action) Can(k *Ticket) bool { return a.can(k) }

// Act does an action to a ticket, and notes in the log who did it and why. It is a
// StateError when the ticket is no longer in a state for it.
func (t *Tx) Act(a Action, k *Ticket, said Asked) error {
	if err := a.do(t, k, said); err != nil {
		return err
	}
	return t.Log("ticket."+a.Name, itoa(k.ID), said.Reason)
}

// Actions lists them in the order in which they are shown.
func Actions() []Action {
	return []Action{
		{Name: "check", Label: "Check again", Says: "It is checked as if it had just come in. A plan it has is given up.",
			can: canMove(Submitted), do: moveTo(Submitted)},
		{Name: "plan", Label: "Plan",
			Says: "It is planned on the machines of the plant, in the background. A plan it has is replaced.",
			can:  canMove(Planned), do: wantPlan},
		{Name: "release", Label: "Release",
			Says: "Its device tickets are written and go out to the devices, each in its turn.",
			can:  func(k *Ticket) bool { return k.State.Can(Released) && k.Entry != EntryHeld }, do: moveTo(Released)},
		{Name: "hold", Label: "Hold", Says: "It stays where it is until somebody resumes it. What runs is suspended.",
			can: entered(EntryWaiting, EntryRunning), do: enterAs(EntryRunning, EntrySuspended, EntryHeld)},
		{Name: "resume", Label: "Resume", Says: "It goes on from where it was held.",
			can: entered(EntryHeld, EntrySuspended), do: enterAs(EntrySuspended, EntryRunning, EntryWaiting)},
		{Name: "priority", Label: "Change priority", Says: "Jobs of a higher priority come first in the queue.", Number: true,
			can: entered(EntryWaiting, EntryHeld), do: prefer},
		{Name: "abort", Label: "Abort", Grave: true,
			Says: "Everything that is not done is cancelled and called back from the devices. The sender is told.",
			can:  canMove(Aborted), do: moveTo(Aborted)},
		{Name: "remove", Label: "Remove", Grave: true, Says: "It is taken out of the queue. Its history stays.",
			can: func(k *Ticket) bool { return k.State.Can(Removed) && k.State != Running }, do: moveTo(Removed)},
	}
}

func canMove(to State) func(*Ticket) bool { return func(k *Ticket) bool { return k.State.Can(to) } }

func entered(as ...Entry) func(*Ticket) bool {
	return func(k *Ticket) bool { return k.Entry == as[0] || k.Entry == as[1] }
}

func moveTo(to State) func(*Tx, *Ticket, Asked) error {
	return func(tx *Tx, k *Ticket, said Asked) error {
		_, err := tx.Move(k.ID, to, said.Reason)
		return err
	}
}

// enterAs brings a queue entry into a status: one for those that run, another for those
// that wait.
func enterAs(running, then, other Entry) func(*Tx, *Ticket, Asked) error {
	return func(tx *Tx, k *Ticket, said Asked) error {
		to := other
		if k.Entry == running {
			to = then
		}
		_, err := tx.SetEntry(k.ID, to, said.Reason)
		return err
	}
}

func wantPlan(tx *Tx, k *Ticket, said Asked) error {
	if !k.State.Can(Planned) {
		return &StateError{What: "ticket", ID: k.ID, Was: string(k.State), To: string(Planned)}
	}
	if err := tx.Note(k.ID, 0, "planning asked for: "+said.Reason); err != nil {
		return err
	}
	return tx.Want(ChorePlan, k.ID)
}

func prefer(tx *Tx, k *Ticket, said Asked) error {
	if err := tx.Note(k.ID, 0, said.Reason); err != nil {
		return err
	}
	_, err := tx.SetPriority(k.ID, said.Priority)
	return err
}

// RetryStep makes a step of a ticket ready again, which gives it to its device again, and
// notes that in the log. A step of another ticket is ErrUnknown.
func (t *Tx) RetryStep(ticket, step int64, reason string) error {
	p, err := t.Step(step)
	if err == nil && p.Ticket != ticket {
		err = unknown("step of this ticket", step)
	}
	if err != nil {
		return err
	}
	if _, err := t.Report(step, StepReport{State: StepReady, Reason: reason}); err != nil {
		return err
	}
	return t.Log("ticket.retry", itoa(ticket), reason)
}

// ChoreOf is the chore that sends a delivery, nil when there is none that a person could
// do anything about.
func (t *Tx) ChoreOf(delivery int64) (*Chore, error) {
	list, err := t.Chores(ChoreFilter{
		Kinds: []string{ChoreDeliver}, Subject: itoa(delivery), States: []ChoreState{ChoreDead, ChoreWaiting},
	})
	if err != nil || len(list) == 0 {
		return nil, err
	}
	return list[len(list)-1], nil
}

func itoa(n int64) string { return strconv.FormatInt(n, 10) }
