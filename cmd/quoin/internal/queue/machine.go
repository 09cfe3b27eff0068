package queue

import "quoin/jdf/message"

// Event is something that happens to an entry.
type Event uint8

// The events. The first are commands of the sender, those from Start on are
// what the device does.
const (
	Submit      Event = iota // a new entry that may start at once
	SubmitHeld               // a new entry that waits for Resume
	Resubmit                 // the ticket is replaced
	Update                   // the ticket is changed in part
	Hold                     // keep it from starting
	Resume                   // let it go on
	Suspend                  // interrupt it, so that others can run
	Abort                    // end it as aborted
	Complete                 // end it as completed
	Remove                   // take it out of the queue
	Move                     // another place in the queue
	SetPriority              //
	SetGang                  //
	Start                    // the device begins
	Finish                   // the device is done
	Fail                     // the device gives up
	Return                   // the ticket is back with its sender, or the return was given up
	eventCount
)

var eventWords = [eventCount]string{
	"Submit", "SubmitHeld", "Resubmit", "Update", "Hold", "Resume", "Suspend", "Abort", "Complete", "Remove", "Move",
	"SetPriority", "SetGang", "Start", "Finish", "Fail", "Return",
}

// Events lists the events.
func Events() []Event {
	all := make([]Event, eventCount)
	for i := range all {
		all[i] = Event(i)
	}
	return all
}

// String names the event.
func (e Event) String() string {
	if e < eventCount {
		return eventWords[e]
	}
	return ""
}

// OfOperation is the event of a command to entries. It reports false for an
// operation that is none.
func OfOperation(op message.Operation) (Event, bool) {
	for e := Hold; e <= SetGang; e++ {
		if eventWords[e] == string(op) {
			return e, true
		}
	}
	return 0, false
}

// cell is what follows from an event in a state: the next state, or a refusal.
type cell struct {
	to   State
	code message.Code
}

func to(s State) cell           { return cell{to: s} }
func no(code message.Code) cell { return cell{code: code} }

// The refusals, short so that the table is readable.
var (
	unknown = no(message.EntryUnknown)     // 105
	runs    = no(message.AlreadyExecuting) // 106
	late    = no(message.LateChange)       // 107
	already = no(message.AlreadyInStatus)  // 113
	ended   = no(message.EntryEnded)       // 114
	idle    = no(message.EntryNotRunning)  // 115
	exists  = no(message.EntryExists)      // 116
	general = no(message.GeneralError)     // 1
	stays   = cell{to: Absent}             // allowed, and the state stays
)

// machine says what follows from each event in each state. Completed and
// Aborted stand for the end of the work, by way of PendingReturn where the
// sender wants the ticket back.
//
// From memory: queue entry life cycle and return codes of JDF 1.x, the commands
// one by one; XJDF 2.x took them over as operations.
var machine = [eventCount][stateCount]cell{
	// Absent, Waiting, Held, Running, Suspended, PendingReturn, Completed, Aborted, Removed
	Submit:      {to(Waiting), exists, exists, exists, exists, exists, exists, exists, exists},
	SubmitHeld:  {to(Held), exists, exists, exists, exists, exists, exists, exists, exists},
	Resubmit:    {unknown, stays, stays, late, late, ended, ended, ended, unknown},
	Update:      {unknown, stays, stays, stays, stays, ended, ended, ended, unknown},
	Hold:        {unknown, to(Held), already, runs, runs, ended, ended, ended, unknown},
	Resume:      {unknown, already, to(Waiting), already, to(Running), ended, ended, ended, unknown},
	Suspend:     {unknown, idle, idle, to(Suspended), already, ended, ended, ended, unknown},
	Abort:       {unknown, to(Aborted), to(Aborted), to(Aborted), to(Aborted), ended, ended, already, unknown},
	Complete:    {unknown, to(Completed), to(Completed), to(Completed), to(Completed), ended, already, ended, unknown},
	Remove:      {unknown, to(Removed), to(Removed), runs, runs, ended, to(Removed), to(Removed), unknown},
	Move:        {unknown, stays, stays, runs, runs, ended, ended, ended, unknown},
	SetPriority: {unknown, stays, stays, runs, runs, ended, ended, ended, unknown},
	SetGang:     {unknown, stays, stays, runs, runs, ended, ended, ended, unknown},
	Start:       {unknown, to(Running), general, already, to(Running), ended, ended, ended, unknown},
	Finish:      {unknown, idle, idle, to(Completed), idle, ended, already, ended, unknown},
	Fail:        {unknown, idle, idle, to(Aborted), to(Aborted), ended, ended, already, unknown},
	Return:      {unknown, idle, idle, runs, runs, to(Completed), already, already, unknown},
}

// After is where an entry stands after an event. With a code other than Success
// the event is refused, and the standing is the one before.
func (s Standing) After(e Event) (Standing, message.Code) {
	if e >= eventCount || s.State >= stateCount {
		return s, message.InternalError
	}
	c := machine[e][s.State]
	if c.code != message.Success || c == stays && s.State != Absent {
		return s, c.code
	}
	next := Standing{State: c.to, End: s.End, Returns: s.Returns}
	switch {
	case e == Return:
		next.State = s.ending()
		next.End = next.State
	case c.to == Completed, c.to == Aborted:
		next.End = c.to
		if s.Returns {
			next.State = PendingReturn
		}
	}
	return next, message.Success
}

// ending is how the work ended; an entry that does not know was aborted.
func (s Standing) ending() State {
	if s.End == Completed {
		return Completed
	}
	return Aborted
}

// Allowed lists the events that an entry in a state can have.
func Allowed(s State) []Event {
	var all []Event
	for _, e := range Events() {
		if s < stateCount && machine[e][s].code == message.Success {
			all = append(all, e)
		}
	}
	return all
}
