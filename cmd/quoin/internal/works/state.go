package works

import "slices"

// next are the states that can follow on one. A ticket that did not run can be
// Done because its sender says that it is complete.
func (s State) next() []State {
	switch s {
	case Submitted:
		return []State{Accepted, Refused, Done, Aborted, Removed}
	case Refused:
		return []State{Submitted, Removed}
	case Accepted:
		return []State{Planned, Submitted, Done, Aborted, Removed}
	case Planned:
		return []State{Planned, Released, Accepted, Submitted, Done, Aborted, Removed}
	case Released:
		return []State{Running, Planned, Submitted, Done, Aborted, Removed}
	case Running:
		return []State{Done, Aborted}
	case Done, Aborted:
		return []State{Returned, Removed}
	case Returned:
		return []State{Removed}
	default:
		return nil
	}
}

// Can reports whether a ticket in this state can come into another.
func (s State) Can(to State) bool { return slices.Contains(s.next(), to) }

// Over reports whether nothing more happens to a ticket in this state, unless a
// person wants it.
func (s State) Over() bool { return s == Refused || s == Returned || s == Removed }

// States lists all states of tickets, in the order in which they come.
func States() []State {
	return []State{Submitted, Refused, Accepted, Planned, Released, Running, Done, Aborted, Returned, Removed}
}

// next are the states that can follow on that of a step. What a device says may
// come late or not at all, so that states in between can be passed over; back
// go only those that a person or a new attempt brings back.
func (s StepState) next() []StepState {
	begun := []StepState{StepMakeready, StepRunning, StepStopped, StepDone, StepFailed, StepCancelled}
	switch s {
	case StepWaiting:
		return append(begun, StepReady)
	case StepReady:
		return append(begun, StepSent, StepAccepted)
	case StepSent:
		return append(begun, StepAccepted, StepReady)
	case StepAccepted:
		return append(begun, StepReady)
	case StepMakeready, StepRunning, StepStopped:
		return slices.DeleteFunc(begun, func(to StepState) bool { return to == s })
	case StepFailed:
		return []StepState{StepReady, StepDone, StepCancelled}
	default:
		return nil
	}
}

// Can reports whether a step in this state can come into another.
func (s StepState) Can(to StepState) bool { return slices.Contains(s.next(), to) }

// Over reports whether nothing more happens to a step in this state.
func (s StepState) Over() bool { return s == StepDone || s == StepCancelled }

// Begun reports whether a device is at work on a step in this state.
func (s StepState) Begun() bool { return s == StepMakeready || s == StepRunning || s == StepStopped }

// StepStates lists all states of steps, in the order in which they come.
func StepStates() []StepState {
	return []StepState{StepWaiting, StepReady, StepSent, StepAccepted, StepMakeready, StepRunning, StepStopped,
		StepDone, StepFailed, StepCancelled}
}
