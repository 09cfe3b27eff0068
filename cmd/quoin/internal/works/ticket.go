package works

import "time"

// State is how far a ticket has come in the house.
type State string

// The states of a ticket.
const (
	Submitted State = "received" // stored, not checked yet
	Refused   State = "refused"  // checked, and not taken
	Accepted  State = "accepted" // checked, and in the queue
	Planned   State = "planned"
	Released  State = "released" // its device tickets are made and on their way to the devices
	Running   State = "running"  // a device has begun
	Done      State = "done"     // every step is done
	Aborted   State = "aborted"
	Returned  State = "returned" // given back to its sender
	Removed   State = "removed"  // taken out of the queue
)

// Entry is the status of a queue entry as JMF names it: what the sender of a
// ticket is told. Package queue says what can follow on what.
type Entry string

// The statuses.
const (
	NoEntry        Entry = "" // of a refused ticket, which never came into the queue
	EntryWaiting   Entry = "Waiting"
	EntryHeld      Entry = "Held"
	EntryRunning   Entry = "Running"
	EntrySuspended Entry = "Suspended"
	EntryPending   Entry = "PendingReturn" // done or aborted, and on its way back to the sender who wants it
	EntryCompleted Entry = "Completed"
	EntryAborted   Entry = "Aborted"
	EntryRemoved   Entry = "Removed"
)

// Ticket is a job as it was submitted, and how far it has come.
type Ticket struct {
	ID      int64
	EntryID string // QueueEntryID: ours, unique, the same for its whole life
	Version int64  // counts its contents, from 1; a resubmission is the next

	Job      string // JobID
	Part     string // JobPartID, "" for none
	Name     string
	Customer string
	Product  string
	Ordered  string    // amount ordered, exact, as text; "" when not said
	Due      time.Time // zero when not said
	Priority int       // 0 to 100, higher first; 50 when not said

	Partner    string // who submitted it
	ReturnURL  string // where the ticket is to be returned to; "" for none
	ReturnJMF  string // where the ReturnQueueEntry message goes to; "" for none
	Generation string // jdf or xjdf: of the ticket
	Dialect    string // jmf or xjmf: of the message it came with; "" without a message

	Inbox int64  // the message it came with
	Blob  string // the ticket, or the package that holds it
	Media string
	File  string // name of the ticket: of its file, or in its package

	State    State
	Entry    Entry
	Reason   string    // of the last change
	Received time.Time // when it was submitted
	Changed  time.Time // when State or Entry changed last
	Outcome  State     // Done or Aborted, once it is either; "" before

	Errors   int    // findings of its last check
	Warnings int    //
	Findings string // blob of the report as JSON, "" before it is checked
	Plan     string // blob of the plan as JSON, "" before it is planned
	Start    time.Time
	End      time.Time // when the steps are planned to begin and end; zero without times
	Return   string    // blob of what was returned to the sender

	place int64 // in the queue, among those of its priority
}

// Submission is a ticket to be taken into the store.
type Submission struct {
	Job, Part, Name, Customer, Product, Ordered string

	Due        time.Time
	Priority   *int // 0 to 100; nil for 50
	Partner    string
	ReturnURL  string
	ReturnJMF  string
	Generation string
	Dialect    string
	Inbox      int64 // a message gives one ticket for each File; submitting it again gives the same
	File       string
	Media      string
	Body       []byte // the ticket or package; nil takes the body of the message in the inbox
	Held       bool   // hold it in the queue until it is resumed
}

// Turn is one change of a ticket or of one of its steps.
type Turn struct {
	ID       int64
	Ticket   int64
	Step     int64 // 0 for the ticket itself
	Name     string
	At       time.Time
	From, To string // State and Entry of a ticket, such as "released Waiting"; StepState of a step
	Reason   string
	Who      string
	Instance string
}

// TicketFilter chooses tickets. Zero values choose all.
type TicketFilter struct {
	States  []State
	Entries []Entry
	Partner string
	Job     string
	Device  string    // that have a step on it
	Since   time.Time // changed at or after
	Search  string    // in job, name or customer, whatever the case
	// Customer is a part of the customer's name, whatever the case.
	Customer string
	Order    Order
	After    Mark // of a ticket, in this Order
	Limit    int  // default 1000
	Offset   int
}

// Returns reports whether the sender wants the ticket back.
func (k *Ticket) Returns() bool { return k.ReturnURL != "" || k.ReturnJMF != "" }

// Order is how a list of tickets is sorted.
type Order uint8

// The orders.
const (
	ByQueue  Order = iota // running first, then priority, then position
	ByDue                 // earliest first, those without a date last
	ByChange              // last change first
)

// Checked is what the check of a ticket found.
type Checked struct {
	Version          int64  // of the ticket that was checked; 0 for whatever it is
	Refused          bool   // it is not taken
	Reason           string // for people
	Errors, Warnings int
	Report           []byte // the report as JSON
}

// Laid is a plan that is to be kept with a ticket.
type Laid struct {
	Version int64  // of the ticket that was planned; 0 for whatever it is
	Plan    []byte // as JSON
	Start   time.Time
	End     time.Time // zero without times
	Steps   []NewStep
}
