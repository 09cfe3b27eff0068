package compose

import (
	"time"

	"github.com/shopspring/decimal"

	"quoin/cmd/quoin/internal/queue"
	"quoin/jdf/job"
	"quoin/jdf/message"
)

// Submission asks a device or controller to take a ticket into its queue.
type Submission struct {
	URL       string // of the ticket: cid: and the ID of an Attachment, or an address that the receiver can read
	Priority  *int   // 0 to 100, high first; nil leaves it to the receiver
	Held      bool   // waits until it is resumed
	ReturnJMF string // address for the ReturnQueueEntry
	ReturnURL string // JMF: address for the bare ticket
	Gang      string
	Policy    string // GangPolicy: Gang, GangAndForce or NoGang
	Next      string // QueueEntryID of the entry that is to stand behind it
	Previous  string // QueueEntryID of the entry that is to stand before it

	AcknowledgeURL string // JMF: where an Acknowledge may go when the work takes long
}

// Resubmission sends the ticket of an entry again.
type Resubmission struct {
	Entry  string // QueueEntryID
	URL    string
	Method string // XJMF: Complete (the default), Incremental or Remove
}

// Return gives the ticket of an entry back to who submitted it.
type Return struct {
	Entry     string // QueueEntryID
	URL       string
	Completed []string // JMF: IDs of the nodes that were completed
	Aborted   []string // JMF: IDs of the nodes that were aborted
}

// EntryRequest asks a controller to submit work.
type EntryRequest struct {
	QueueURL   string // where it is to be submitted to
	JobID      string
	PartID     string
	Activation string // such as Active or Held; "" leaves it to the controller
	Part       job.Part
}

// Subscription asks to be told again.
type Subscription struct {
	URL        string
	RepeatTime time.Duration // between two signals; 0 for changes only
	RepeatStep int           // JMF: amount between two signals; 0 for none
	Reliable   bool          // signals are to be repeated until they are answered
}

// Question is a query. Which of the fields count depends on the Type.
type Question struct {
	Type string // Status, Resource, Notification, QueueStatus, KnownDevices, KnownMessages, KnownSubscriptions

	JobID   string   // Status, Resource
	PartID  string   // Status, Resource
	Entry   string   // Status, Resource: QueueEntryID
	Part    job.Part // Status, Resource
	Device  string   // JMF: DeviceID, of KnownSubscriptions
	Kind    string   // Resource: ResourceName, such as Media
	Scope   string   // Resource: Allowed, Device, Estimate, Job or Present; Job when empty
	Classes []string // Notification: Event, Information, Warning, Error, Fatal
	Details string   // KnownDevices: DeviceDetails; Status of JMF: JobDetails
	URL     string   // KnownSubscriptions

	Filter *message.QueueFilter // QueueStatus
	Tell   *Subscription        // nil asks once
}

// Change is a command to entries of a queue.
type Change struct {
	Operation message.Operation
	Entries   []string             // QueueEntryIDs; Move and SetPriority of JMF take the first
	Filter    *message.QueueFilter // instead of Entries
	Priority  *int
	Position  *int   // Move: 0 is the head of the waiting entries
	Next      string // Move: the entry that is to stand behind it
	Previous  string // Move: the entry that is to stand before it
	Gang      string // XJMF: SetGang

	AcknowledgeURL string // JMF
}

// Stop ends subscriptions: one Channel, or all to a URL.
type Stop struct {
	Channel string // ID of the query that made it
	Type    string // of the signals, such as Status; "" for any
	URL     string // JMF needs it
	Device  string // JMF
}

// Device is what is known of a machine.
type Device struct {
	ID, Name, Type  string
	Class           []string // XJMF: DeviceClass
	URL             string   // at which it takes messages
	State           string   // XJDF word; JMF only; "" for unknown
	Folder          string   // JMF: JDFInputURL, its hot folder
	Manufacturer    string
	CostCentre      string
	MessageVersions []string // JDFVersions, such as 1.7 or 2.2; JMF: those of 1.x
}

// DeviceState is what a machine is doing.
type DeviceState struct {
	Device       string // DeviceID; XJMF has it in the header of the message
	State        string // XJDF word: Idle, Setup, Production, Cleanup, NonProductive, Stopped, Offline; "" is Offline
	Details      string // StatusDetails
	Operator     string // PersonalID
	Speed        decimal.NullDecimal
	Counter      decimal.NullDecimal // since it was switched on
	TotalCounter decimal.NullDecimal // since it was built
	CounterUnit  string              // such as count
	IdleSince    time.Time           // while Idle
	End          time.Time           // of a state that has passed
	Modules      []Module
	Phases       []Phase
}

// Module is a part of a machine, such as a printing unit.
type Module struct {
	ID, Type string
	State    string // as that of DeviceState
	Details  string
}

// Phase is what a machine does for one job.
type Phase struct {
	JobID, PartID, Entry string
	State                string // of the job: Waiting, Setup, InProgress, Cleanup, Stopped, Suspended, Completed, Aborted
	Details              string
	JobStart             time.Time           // JMF: when the work on the job began
	Start                time.Time           // of the phase
	End                  time.Time           // zero while it runs
	Good, Waste          decimal.NullDecimal // in this phase
	JobGood, JobWaste    decimal.NullDecimal // JMF: since JobStart
	Target               decimal.NullDecimal // TotalAmount, asked for
	Percent              decimal.NullDecimal // completed; XJMF: only without Good and Target
	CostCentre           string
	WorkType             string // Original, Alteration or Rework
	Part                 job.Part
}

// ResourceReport is what was used or made of one resource, or is there.
type ResourceReport struct {
	JobID, PartID, Entry string
	Scope                string // Allowed, Device, Estimate, Job or Present
	Kind                 string // Media, Component, Ink, ExposedMedia, …
	Usage                string // Input, Output or ""
	Unit                 string
	ProductID            string // ExternalID of XJDF
	Device               string // JMF
	Module               string
	Level                string // Empty, Low, OK, High or Full
	Operator             string // JMF; XJMF has it in the header
	Amounts              []Amount
}

// Amount is one quantity of a resource.
type Amount struct {
	Part        job.Part
	Lot         string
	Good, Waste decimal.NullDecimal
}

// Notice is an event.
type Notice struct {
	Class  string // Event, Information, Warning, Error or Fatal
	Text   string
	Event  string // EventID; "" for none
	Value  string // EventValue
	JobID  string
	PartID string
	Entry  string // XJMF: QueueEntryID
	Module string
	Part   job.Part
}

// Queue is the state of a queue with some or all of its entries.
type Queue struct {
	Device  string       // JMF
	Status  queue.Status // JMF
	Size    int          // entries that are not done
	Max     int          // 0 for no limit
	Entries []queue.Entry
}

// Channel is a subscription as it is listed.
type Channel struct {
	ID           string // ChannelID
	Type         string // of the signals, such as Status
	Sender       string // who subscribed; XJMF: the device
	Subscription Subscription
}

// Service is one type of message that is understood.
type Service struct {
	Type         string // without the family
	Query        bool
	Command      bool
	Signal       bool // is sent when subscribed to
	Registration bool
	Acknowledge  bool
	Schemes      []string // of URLs, such as http and https
}
