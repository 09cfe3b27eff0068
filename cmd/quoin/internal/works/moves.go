package works

import (
	"strconv"
	"strings"

	"quoin/cmd/quoin/internal/database"
	"quoin/cmd/quoin/internal/queue"
	"quoin/jdf/message"
)

// Move brings a ticket into another state, and its queue entry with it, or
// refuses with a StateError. What follows from the change is enqueued with it:
//
//	Submitted  ChoreCheck
//	Released   ChoreRelease
//	Done       ChoreReturn
//	Aborted    ChoreReturn
//
// Steps that are not done when a ticket ends, is resubmitted or is planned anew are
// cancelled, and ChoreRecall calls back those that are on their way to devices. A
// ticket that is held is not released, and one that has to be returned is not
// removed before.
func (t *Tx) Move(id int64, to State, reason string) (*Ticket, error) {
	k, err := t.Ticket(id)
	if err != nil {
		return nil, err
	}
	if !k.State.Can(to) {
		return nil, &StateError{What: "ticket", ID: id, Was: string(k.State), To: string(to)}
	}
	if to == Released && k.Entry == EntryHeld {
		return nil, &StateError{What: "ticket", ID: id, Was: "held", To: string(to), Why: "resume it first"}
	}
	return t.enter(k, to, reason)
}

// enter brings a locked ticket into a state that was found to be possible.
func (t *Tx) enter(k *Ticket, to State, reason string) (*Ticket, error) {
	reason = Scrub(reason)
	if k.Entry == EntryHeld && to == Running {
		if err := t.setEntry(k, EntryWaiting, "its device has begun though it was held"); err != nil {
			return nil, err
		}
	}
	was, before := k.State, strings.TrimSpace(string(k.State)+" "+string(k.Entry))
	entry, err := k.entering(to)
	if err != nil {
		return nil, err
	}
	if to == Done || to == Aborted {
		k.Outcome = to
	}
	k.State, k.Entry, k.Reason, k.Changed = to, entry, reason, t.now
	_, err = t.tx.Exec("UPDATE tickets SET state = ?, entry = ?, reason = ?, changed = ?, outcome = ? WHERE id = ?",
		string(k.State), string(k.Entry), k.Reason, database.Micros(k.Changed), string(k.Outcome), k.ID)
	if err != nil {
		return nil, err
	}
	turn, err := t.turned(k, before, reason)
	if err != nil {
		return nil, err
	}
	switch to {
	case Done, Aborted, Removed, Submitted, Accepted:
		return k, t.cancelSteps(k, turn, reason)
	case Planned:
		if was != Accepted {
			return k, t.cancelSteps(k, turn, reason)
		}
	}
	return k, nil
}

// entering is the status of the queue entry of a ticket that comes into a state,
// by the machine of package queue.
func (k *Ticket) entering(to State) (Entry, error) {
	events := map[State]queue.Event{
		Running: queue.Start, Done: queue.Complete, Aborted: queue.Abort, Returned: queue.Return, Removed: queue.Remove,
	}
	event, some := events[to]
	switch {
	case to == Refused:
		return NoEntry, nil
	case k.State == Refused && to == Submitted:
		return EntryWaiting, nil
	case !some, k.Entry == NoEntry, to == Returned && k.Entry != EntryPending:
		return k.Entry, nil // it stays in the queue as it is, or out of it
	}
	return k.after(event, string(to))
}

// after is the status of the queue entry after an event, or a StateError.
func (k *Ticket) after(event queue.Event, to string) (Entry, error) {
	state, _ := queue.ParseState(string(k.Entry))
	standing := queue.Standing{State: state, Returns: k.Returns()}
	switch k.Outcome {
	case Done:
		standing.End = queue.Completed
	case Aborted:
		standing.End = queue.Aborted
	}
	next, code := standing.After(event)
	if code != message.Success {
		return "", &StateError{What: "queue entry", ID: k.ID, Was: string(k.Entry), To: to}
	}
	return Entry(next.State.String()), nil
}

// turned writes the last change of a ticket into its history and enqueues what
// follows from it. It gives the number of the change.
func (t *Tx) turned(k *Ticket, before, reason string) (int64, error) {
	turn, err := t.turn(Turn{
		Ticket: k.ID, Name: k.Job, From: before, To: strings.TrimSpace(string(k.State) + " " + string(k.Entry)),
		Reason: reason,
	})
	if err != nil {
		return 0, err
	}
	t.Emit(Event{Kind: EventTicket, Ticket: k.ID, ID: k.ID, State: string(k.State), Text: reason})
	follows := map[State]string{
		Submitted: ChoreCheck, Released: ChoreRelease, Done: ChoreReturn, Aborted: ChoreReturn,
	}
	if kind := follows[k.State]; kind != "" {
		err = t.follow(kind, k.ID, turn)
	}
	return turn, err
}

// follow enqueues what follows from a change of a ticket.
func (t *Tx) follow(kind string, ticket, turn int64) error {
	retry := DefaultRetry()
	if kind == ChoreReturn || kind == ChoreRecall {
		retry = DeliveryRetry()
	}
	_, _, err := t.Enqueue(NewChore{
		Kind: kind, Subject: strconv.FormatInt(ticket, 10), Version: strconv.FormatInt(turn, 10), Retry: retry,
	})
	return err
}

// SetEntry holds, resumes or suspends a ticket: EntryHeld and EntrySuspended, and
// EntryWaiting and EntryRunning, which it had before. What is not possible is a
// StateError; other statuses come with Move. A ticket that goes on gets
// ChoreResume.
func (t *Tx) SetEntry(id int64, to Entry, reason string) (*Ticket, error) {
	k, err := t.Ticket(id)
	if err != nil {
		return nil, err
	}
	event := queue.Resume
	switch to {
	case EntryHeld:
		event = queue.Hold
	case EntrySuspended:
		event = queue.Suspend
	}
	next, err := k.after(event, string(to))
	if err == nil && next != to {
		err = &StateError{What: "queue entry", ID: id, Was: string(k.Entry), To: string(to)}
	}
	if err != nil {
		return nil, err
	}
	return k, t.setEntry(k, to, reason)
}

func (t *Tx) setEntry(k *Ticket, to Entry, reason string) error {
	reason = Scrub(reason)
	before := string(k.State) + " " + string(k.Entry)
	on := k.Entry == EntryHeld || k.Entry == EntrySuspended
	k.Entry, k.Reason, k.Changed = to, reason, t.now
	_, err := t.tx.Exec("UPDATE tickets SET entry = ?, reason = ?, changed = ? WHERE id = ?",
		string(k.Entry), k.Reason, database.Micros(k.Changed), k.ID)
	if err != nil {
		return err
	}
	turn, err := t.turn(Turn{
		Ticket: k.ID, Name: k.Job, From: before, To: string(k.State) + " " + string(k.Entry), Reason: reason,
	})
	if err != nil {
		return err
	}
	t.Emit(Event{Kind: EventTicket, Ticket: k.ID, ID: k.ID, State: string(k.State), Text: reason})
	if on {
		return t.follow(ChoreResume, k.ID, turn)
	}
	return nil
}

// SetReturn keeps what is returned to the sender of a ticket.
func (t *Tx) SetReturn(id int64, body []byte) error {
	blob, err := t.Keep(body)
	if err != nil {
		return err
	}
	n, err := t.tx.Exec("UPDATE tickets SET returned = ? WHERE id = ?", blob, id)
	if err == nil && n == 0 {
		err = unknown("ticket", id)
	}
	return err
}
