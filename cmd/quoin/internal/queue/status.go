package queue

import "quoin/jdf/message"

// Status is the state of a queue. XJMF has none.
type Status string

// The states of a queue.
//
// Source: JDF schema, eQueueStatus_.
const (
	QueueWaiting Status = "Waiting" // takes entries, and nothing runs
	QueueRunning Status = "Running" // takes entries, and some run
	QueueFull    Status = "Full"    // takes no more entries; those in it run
	QueueClosed  Status = "Closed"  // takes no entries; those in it run
	QueueHeld    Status = "Held"    // takes entries, and starts none
	QueueBlocked Status = "Blocked" // takes no entries, and starts none
)

// Statuses lists the states of a queue.
func Statuses() []Status {
	return []Status{QueueWaiting, QueueRunning, QueueFull, QueueClosed, QueueHeld, QueueBlocked}
}

// Control is a command to a whole queue. It is the type of a JMF message; XJMF
// has none of them.
type Control string

// The commands. That FlushQueue removes entries is no matter of these: see Remove.
const (
	OpenQueue   Control = "OpenQueue"
	CloseQueue  Control = "CloseQueue"
	HoldQueue   Control = "HoldQueue"
	ResumeQueue Control = "ResumeQueue"
)

// Queue is what decides the state of a queue.
type Queue struct {
	Closed  bool
	Held    bool
	Running int // entries that run
	Size    int // entries that are not done
	Max     int // most entries; 0 for no limit
}

// Status is the state of the queue.
//
// From memory: states of a queue in JDF 1.x.
func (q Queue) Status() Status {
	full := q.Max > 0 && q.Size >= q.Max
	switch {
	case q.Held && (q.Closed || full):
		return QueueBlocked
	case q.Held:
		return QueueHeld
	case q.Closed:
		return QueueClosed
	case full:
		return QueueFull
	case q.Running > 0:
		return QueueRunning
	}
	return QueueWaiting
}

// Admits is Success when the queue takes a new entry.
func (q Queue) Admits() message.Code {
	switch q.Status() {
	case QueueClosed, QueueFull, QueueBlocked:
		return message.QueueRefuses
	}
	return message.Success
}

// Starts reports whether the next entry may begin.
func (q Queue) Starts() bool { return !q.Held }

// After is the queue after a command. One that changes nothing is refused, as
// for an entry. An unknown command is not implemented.
func (q Queue) After(c Control) (Queue, message.Code) {
	next := q
	switch c {
	case OpenQueue:
		next.Closed = false
	case CloseQueue:
		next.Closed = true
	case HoldQueue:
		next.Held = true
	case ResumeQueue:
		next.Held = false
	default:
		return q, message.NotImplemented
	}
	if next == q {
		return q, message.AlreadyInStatus
	}
	return next, message.Success
}
