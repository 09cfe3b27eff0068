package queue

import (
	"fmt"

	"quoin/jdf/message"
)

// Refusal says why an event is refused for an entry, and what to do about it:
// two sentences in lower case without full stop, joined by a semicolon.
func Refusal(id string, s State, e Event, code message.Code) string {
	return fmt.Sprintf("entry %q is %s; %s", id, stands(s), advice(s, e, code))
}

func stands(s State) string {
	switch s {
	case Absent:
		return "not in the queue"
	case PendingReturn:
		return "PendingReturn: its work has ended, and its ticket is being returned"
	}
	return s.String()
}

// advice is what the sender of a refused command can do.
func advice(s State, e Event, code message.Code) string {
	switch code {
	case message.EntryUnknown:
		return "ask with QueueStatus for the entries of the queue"
	case message.AlreadyInStatus:
		return "nothing has to be done"
	case message.EntryExists:
		return "send its ticket again with ResubmitQueueEntry, or submit it under no QueueEntryID"
	case message.EntryEnded:
		return "submit the ticket again to have it made once more"
	case message.AlreadyExecuting:
		if e == Remove {
			return "abort it first"
		}
		if e == Hold && s == Running {
			return "suspend it instead"
		}
		return "wait until it has ended, or abort it"
	case message.LateChange:
		return "abort it and submit the new ticket, or send the change with UpdateMethod Incremental"
	case message.EntryNotRunning:
		if e == Suspend && s == Waiting {
			return "hold it instead"
		}
		return "only an entry that is running can be meant"
	}
	return "resume it first"
}
