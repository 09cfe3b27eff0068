package works

import (
	"time"

	"github.com/shopspring/decimal"
)

// StepState is how far one step of a ticket has come: one run of one device.
type StepState string

// The states of a step.
const (
	StepWaiting   StepState = "waiting" // for earlier steps, or for the release of its ticket
	StepReady     StepState = "ready"   // to be delivered
	StepSent      StepState = "sent"    // delivered, not answered for yet
	StepAccepted  StepState = "accepted"
	StepMakeready StepState = "makeready"
	StepRunning   StepState = "running"
	StepStopped   StepState = "stopped"
	StepDone      StepState = "done"
	StepFailed    StepState = "failed"
	StepCancelled StepState = "cancelled" // its ticket was aborted, removed or planned anew
)

// NewStep is a step of a plan.
type NewStep struct {
	Number     int    // its place in the plan, from 0; also in Needs
	Part       string // JobPartID in its device ticket
	Name       string // for people, such as "print S1"
	Process    string // such as print, cut, fold
	Device     string // DeviceID; "" when no device does it, and a person reports it
	CostCentre string
	Needs      []int // numbers of the steps before it
	Start, End time.Time
	Makeready  time.Duration // planned
	Run        time.Duration
	Target     decimal.Decimal // good copies to come out
	Waste      decimal.Decimal // allowed
	Unit       string          // of Target and Waste
}

// Step is one run of one device for a ticket.
type Step struct {
	NewStep // as planned

	ID      int64
	Ticket  int64
	Version int64 // of the ticket that it was planned for
	State   StepState
	Reason  string
	Changed time.Time // when State changed last
	Tries   int       // how often it was made ready

	TicketBlob string // the device ticket, "" before it is made
	TicketName string // of its file
	TicketType string // media type
	Queued     string // QueueEntryID that the device gave it; "" when it gave none

	Began  time.Time // first makeready or run; zero before
	Ended  time.Time // done or failed; zero before
	Good   decimal.Decimal
	Spoilt decimal.Decimal // waste so far
	Heard  time.Time       // the device's time of the last report that was taken
	Return string          // blob of the ticket that the device returned, "" before
}

// StepReport is what is known anew of a step: by its device, or by a person.
// Zero values say nothing.
type StepReport struct {
	State  StepState
	At     time.Time // by the device's clock, for what devices say; zero for what we know ourselves
	Reason string
	Good   *decimal.Decimal // in all
	Waste  *decimal.Decimal // in all
	Queued string           // QueueEntryID
	Return string           // blob
}

// StepRef says which step a device speaks of, as far as it says it.
type StepRef struct {
	Device string
	Queued string // the QueueEntryID that the device gave
	Job    string
	Part   string
}

// DeviceTicket is the ticket that is sent to the device of a step.
type DeviceTicket struct {
	Name  string
	Media string
	Body  []byte
}
