package queue

import (
	"cmp"
	"slices"
	"time"

	"quoin/jdf/message"
)

// Entry is one entry of a queue, as it is told to others.
type Entry struct {
	ID       string // QueueEntryID
	JobID    string
	PartID   string
	Device   string // that it is for, "" when that is open
	Standing Standing
	Doing    string // node status while it runs, when more is known: Setup, InProgress, Cleanup or Stopped
	Details  string // StatusDetails
	Priority int    // 0 to 100, high first
	Place    int64  // orders entries of one priority, low first
	Gang     string

	Submitted  time.Time
	Start, End time.Time // zero while not known
}

// Compare orders entries as they are told and worked on: those that have begun,
// then those that wait by priority, place and time of submission, then those
// that are done.
//
// From memory: queue handling of both generations, for priority before place.
func Compare(a, b Entry) int {
	return cmp.Or(
		cmp.Compare(rank(a.Standing.State), rank(b.Standing.State)),
		cmp.Compare(b.Priority, a.Priority),
		cmp.Compare(a.Place, b.Place),
		a.Submitted.Compare(b.Submitted),
		cmp.Compare(a.ID, b.ID),
	)
}

func rank(s State) int {
	switch {
	case s.Begun():
		return 0
	case s == Waiting || s == Held:
		return 1
	}
	return 2
}

// Target is the place that an entry is to move to; exactly one is given.
type Target struct {
	Position *int   // among the entries that wait, 0 the first
	Next     string // the entry that is to stand behind it
	Previous string // the entry that is to stand before it
}

// Moved gives the entries in their new order, with Place set anew for those
// that wait, and the moved one with the priority of its neighbours where its
// own would lead it elsewhere. The given entries stay as they are. A refusal
// gives nil and its code: InsufficientParams for no place, InvalidParameters
// for two or one that is not in the queue or below 0, EntryUnknown for an entry that is
// not there, and what the state machine says of the entry itself.
//
// From memory: SetQueueEntryPosition of JDF 1.x, a position beyond the end is
// the end; the moved entry takes the priority of the place.
func Moved(entries []Entry, id string, t Target) ([]Entry, message.Code) {
	sorted := slices.SortedFunc(slices.Values(entries), Compare)
	at := slices.IndexFunc(sorted, func(e Entry) bool { return e.ID == id })
	if at < 0 {
		return nil, message.EntryUnknown
	}
	moved := sorted[at]
	if _, code := moved.Standing.After(Move); code != message.Success {
		return nil, code
	}
	var begun, waiting, done []Entry
	for i, e := range sorted {
		switch r := rank(e.Standing.State); {
		case i == at:
		case r == 0:
			begun = append(begun, e)
		case r == 1:
			waiting = append(waiting, e)
		default:
			done = append(done, e)
		}
	}
	to, code := t.index(waiting)
	if code != message.Success {
		return nil, code
	}
	waiting = slices.Insert(waiting, to, moved)
	settle(waiting, to)
	return slices.Concat(begun, waiting, done), message.Success
}

// index finds the place among the entries that wait.
func (t Target) index(waiting []Entry) (int, message.Code) {
	given := 0
	for _, is := range []bool{t.Position != nil, t.Next != "", t.Previous != ""} {
		if is {
			given++
		}
	}
	switch {
	case given == 0:
		return 0, message.InsufficientParams
	case given > 1, t.Position != nil && *t.Position < 0:
		return 0, message.InvalidParameters
	case t.Position != nil:
		return min(*t.Position, len(waiting)), message.Success
	}
	i := slices.IndexFunc(waiting, func(e Entry) bool { return e.ID == t.Next+t.Previous })
	switch {
	case i < 0:
		return 0, message.InvalidParameters
	case t.Previous != "":
		i++
	}
	return i, message.Success
}

// settle numbers the places, and gives the moved entry a priority that keeps it
// where it is.
func settle(waiting []Entry, moved int) {
	if moved > 0 {
		waiting[moved].Priority = min(waiting[moved].Priority, waiting[moved-1].Priority)
	}
	if moved+1 < len(waiting) {
		waiting[moved].Priority = max(waiting[moved].Priority, waiting[moved+1].Priority)
	}
	for i := range waiting {
		waiting[i].Place = int64(i)
	}
}
