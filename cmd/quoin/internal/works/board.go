package works

import "time"

// Device is a machine of the plant as it is now.
type Device struct {
	ID      string // DeviceID
	Name    string
	URL     string // of its message endpoint, "" for none
	Folder  string // hot folder, "" for none
	Dialect string // jmf or xjmf
	Removed bool   // no longer in the plant file

	Heard   time.Time // when it last said anything; zero for never
	State   string    // in the words of job.State, "" when unknown
	Details string    // StatusDetails
	Job     string    // JobID that it works on, "" for none
	Part    string
	Since   time.Time // when State changed last
	Counter string    // its production counter, as text
	Speed   string    // pieces an hour, as text
}

// DeviceNews is what a device says of itself. Empty values leave what is known,
// but for Job, Part and Details, which go with State.
type DeviceNews struct {
	ID      string
	At      time.Time // by its clock; news older than what is known only count as heard
	State   string
	Details string
	Job     string
	Part    string
	Counter string
	Speed   string
}

// AlertState is how far people have taken an alert.
type AlertState string

// The states of an alert.
const (
	AlertOpen         AlertState = "open"
	AlertAcknowledged AlertState = "acknowledged" // a person has seen it
	AlertClosed       AlertState = "closed"       // what it is about has passed
)

// Alert is something a person should know of. While it is not closed, there is
// one for each kind and key.
type Alert struct {
	ID       int64
	Kind     string // such as late, stop, waste, colour, silent, refused, disk, delivery
	Key      string // what it is about, such as a device or a job
	Severity string // note, warning, error
	Text     string
	Ticket   int64 // 0 for none
	Device   string
	State    AlertState
	First    time.Time
	Last     time.Time
	Count    int       // how often it was raised
	Who      string    // acknowledged it
	Acked    time.Time // when
	Closed   time.Time
}

// AlertFilter chooses alerts. Zero values choose all.
type AlertFilter struct {
	States []AlertState
	Kind   string
	Ticket int64
	After  Mark
	Limit  int // default 100
	Offset int
}

// Record is one line of the log of who did what. It is only ever added to.
type Record struct {
	ID       int64
	At       time.Time
	Who      string
	Instance string
	Action   string // such as ticket.abort, chore.retry
	Subject  string
	Detail   string
}

// RecordFilter chooses records, newest first. Zero values choose all.
type RecordFilter struct {
	Who     string
	Action  string
	Subject string
	Before  int64 // ids below, for paging
	Limit   int   // default 100
}

// Kinds of events.
const (
	EventTicket   = "ticket"
	EventStep     = "step"
	EventDevice   = "device"
	EventAlert    = "alert"
	EventDelivery = "delivery"
	EventChore    = "chore" // one is dead, or a person has taken it up
)

// Event says that something has changed, for boards. Events are numbered without
// gaps in the order in which the changes were committed.
type Event struct {
	Seq    int64     `json:"seq"`
	At     time.Time `json:"at"`
	Kind   string    `json:"kind"`
	Ticket int64     `json:"ticket,omitempty"`
	Device string    `json:"device,omitempty"`
	ID     int64     `json:"id,omitempty"`    // of the step, alert, delivery…
	State  string    `json:"state,omitempty"` // it has now
	Text   string    `json:"text,omitempty"`
}

// Counts are numbers of rows by state, for health and metrics.
type Counts struct {
	Tickets    map[State]int
	Chores     map[string]map[ChoreState]int // by kind, without those that are done
	Deliveries map[DeliveryState]int
	Alerts     map[AlertState]int
	Messages   int64     // in the inbox
	Events     int64     // number of the last
	Oldest     time.Time // when the chore that waits longest was due; zero for none
}
