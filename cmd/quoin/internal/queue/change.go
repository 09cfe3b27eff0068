package queue

import (
	"fmt"
	"slices"

	"quoin/jdf/message"
)

// Result is what a command has done to one entry. Only what has the code Success
// is to be stored.
type Result struct {
	Entry        // as it is now
	Before Entry // as it was; the same when the command was refused
	Along  bool  // the command was not to it, but its place changed

	Code message.Code
	Why  string // of a refusal: what is wrong and what to do
}

// Change carries out a command on a queue. It gives a result for each entry
// that the command chooses, and for each that it names and that is not there;
// and, of a Move, for the others whose place or priority changed along with it,
// those last. A code other than Success says that the whole command is refused,
// with the reason; nothing changes then.
func Change(entries []Entry, m *message.Modification) ([]Result, message.Code, string) {
	if code, why := complete(m); code != message.Success {
		return nil, code, why
	}
	event, _ := OfOperation(m.Operation.Value)
	chosen := Select(entries, m.Filter)
	var all []Result
	for _, id := range m.Filter.Entries.Value {
		e := Entry{ID: id}
		if i := slices.IndexFunc(entries, func(e Entry) bool { return e.ID == id }); i >= 0 {
			e = entries[i]
		}
		if e.Standing.State == Absent || e.Standing.State == Removed {
			why := Refusal(id, Absent, event, message.EntryUnknown)
			all = append(all, Result{Entry: e, Before: e, Code: message.EntryUnknown, Why: why})
		}
	}
	if len(chosen)+len(all) == 0 {
		return nil, message.EmptySelection, "no entry of the queue fits the QueueFilter; ask with QueueStatus what is in it"
	}
	if event == Move {
		if len(chosen) == 0 {
			return all, message.Success, ""
		}
		return move(entries, chosen, m)
	}
	for _, e := range chosen {
		all = append(all, change(e, event, m))
	}
	return all, message.Success, ""
}

// change carries out a command other than Move on one entry.
func change(e Entry, event Event, m *message.Modification) Result {
	standing, code := e.Standing.After(event)
	r := Result{Entry: e, Before: e, Code: code}
	if code != message.Success {
		r.Why = Refusal(e.ID, e.Standing.State, event, code)
		return r
	}
	r.Standing = standing
	switch event {
	case SetPriority:
		r.Priority = m.Priority.Value
	case SetGang:
		r.Gang = m.Gang.Value
	}
	return r
}

func move(entries, chosen []Entry, m *message.Modification) ([]Result, message.Code, string) {
	if len(chosen) > 1 {
		return nil, message.InvalidParameters,
			fmt.Sprintf("%d entries fit the QueueFilter of a Move; name the one that is to move", len(chosen))
	}
	target := Target{Next: m.Next.Value, Previous: m.Previous.Value}
	if m.Position.Given {
		target.Position = &m.Position.Value
	}
	id := chosen[0].ID
	moved, code := Moved(entries, id, target)
	switch code {
	case message.Success:
	case message.InsufficientParams:
		return nil, code, "the Move says no place; give Position, NextQueueEntryID or PrevQueueEntryID"
	case message.InvalidParameters:
		return nil, code, "the place to move to is none; give just one of Position, from 0, NextQueueEntryID and " +
			"PrevQueueEntryID, the last two of an entry that waits"
	default:
		why := Refusal(id, chosen[0].Standing.State, Move, code)
		return []Result{{Entry: chosen[0], Before: chosen[0], Code: code, Why: why}}, message.Success, ""
	}
	first, rest := []Result{}, []Result{}
	for _, e := range moved {
		i := slices.IndexFunc(entries, func(b Entry) bool { return b.ID == e.ID })
		switch r := (Result{Entry: e, Before: entries[i]}); {
		case e.ID == id:
			if m.Priority.Given {
				r.Priority = m.Priority.Value
			}
			first = append(first, r)
		case r.Entry != r.Before:
			r.Along = true
			rest = append(rest, r)
		}
	}
	return append(first, rest...), message.Success, ""
}

// complete holds that a command says what to do, and to what.
func complete(m *message.Modification) (message.Code, string) {
	_, known := OfOperation(m.Operation.Value)
	switch op := m.Operation; {
	case !op.Given:
		return message.InsufficientParams, "ModifyQueueEntryParams/@Operation is missing; say what is to be done"
	case !known:
		return message.InvalidParameters, fmt.Sprintf("Operation is %q; want Abort, Complete, Hold, Move, Remove, Resume, "+
			"SetGang or Suspend", op.Value)
	case op.Value == message.SetPriority && !m.Priority.Given:
		return message.InsufficientParams, "Priority is missing; give one from 0 to 100"
	case m.Priority.Given && (m.Priority.Value < 0 || m.Priority.Value > 100):
		return message.InvalidParameters, fmt.Sprintf("Priority is %d; want 0 to 100", m.Priority.Value)
	case op.Value == message.SetGang && m.Gang.Value == "":
		return message.InsufficientParams, "GangName is missing; name the gang"
	case m.Filter.Empty():
		return message.InsufficientParams, "the command names no entry; give the QueueEntryID of each, or another " +
			"condition in QueueFilter"
	}
	return message.Success, ""
}
