package queue

// State is where an entry stands.
type State uint8

// The states. Absent is that of an entry that was never submitted.
//
// Source: JDF schema, eQueueEntryStatus_.
const (
	Absent State = iota
	Waiting
	Held
	Running
	Suspended
	PendingReturn // the work has ended, and the ticket is on its way back
	Completed
	Aborted
	Removed
	stateCount
)

var stateWords = [stateCount]string{
	"", "Waiting", "Held", "Running", "Suspended", "PendingReturn", "Completed", "Aborted", "Removed",
}

// States lists the states, Absent first.
func States() []State {
	all := make([]State, stateCount)
	for i := range all {
		all[i] = State(i)
	}
	return all
}

// String is the word of JMF for the state, "" for Absent.
func (s State) String() string {
	if s < stateCount {
		return stateWords[s]
	}
	return ""
}

// ParseState reads the word of JMF. It reports false for any other.
func ParseState(word string) (State, bool) {
	for i, w := range stateWords {
		if i > 0 && w == word {
			return State(i), true
		}
	}
	return Absent, false
}

// Open reports whether the entry still is in the queue and not done.
func (s State) Open() bool { return s >= Waiting && s <= PendingReturn }

// Begun reports whether a device is at the entry, working or interrupted.
func (s State) Begun() bool { return s == Running || s == Suspended }

// Ended reports whether the work on the entry is over.
func (s State) Ended() bool { return s >= PendingReturn }

// Standing is all that decides what may happen to an entry next.
type Standing struct {
	State State

	// End is Completed or Aborted once the work has ended; else Absent. It is
	// what PendingReturn turns into, and what XJMF tells of a Removed entry.
	End State

	// Returns is set when the sender wants the ticket back, so that the end of
	// the work is PendingReturn first.
	Returns bool
}

// NodeStatus is what XJMF tells of a standing: Status and Activation of a
// QueueEntry. An entry that was removed before it ended counts as aborted.
//
// Source: XJDF schema, NodeStatus and Activation. From memory: which go together.
func (s Standing) NodeStatus() (status, activation string) {
	end := s.End
	if end == Absent {
		end = Aborted
	}
	switch s.State {
	case Waiting:
		return "Waiting", "Active"
	case Held:
		return "Waiting", "Held"
	case Running:
		return "InProgress", "Active"
	case Suspended:
		return "Suspended", "Active"
	case PendingReturn:
		return end.String(), "PendingReturn"
	case Removed:
		return end.String(), "Removed"
	case Completed, Aborted:
		return s.State.String(), "Active"
	}
	return "", ""
}

// OfNodeStatus reads what XJMF tells of an entry. An Informative entry is held:
// nothing is to be made. It reports false for a word that is no node status.
//
// Source: XJDF schema, NodeStatus and Activation. From memory: which go together.
func OfNodeStatus(status, activation string) (Standing, bool) {
	s := Standing{}
	switch status {
	case "Waiting":
		s.State = Waiting
		if activation == "Held" || activation == "Informative" {
			s.State = Held
		}
	case "Setup", "InProgress", "Cleanup", "Stopped":
		s.State = Running
	case "Suspended":
		s.State = Suspended
	case "Completed", "Aborted":
		s.State, _ = ParseState(status)
		s.End = s.State
	default:
		return s, false
	}
	switch {
	case activation == "Removed":
		s.State = Removed
	case activation == "PendingReturn" && s.End != Absent:
		s.State, s.Returns = PendingReturn, true
	}
	return s, true
}
