package works

import "time"

// DeliveryState is how far a delivery has come.
type DeliveryState string

// The states of a delivery.
const (
	DeliveryWaiting   DeliveryState = "waiting"
	DeliveryDone      DeliveryState = "delivered" // and answered for
	DeliveryRefused   DeliveryState = "refused"   // by the receiver, who will not take it when asked again
	DeliveryDead      DeliveryState = "dead"      // given up; a person may retry it
	DeliveryCancelled DeliveryState = "cancelled" // before it went out
)

// NewDelivery is something to be sent.
type NewDelivery struct {
	// Key says what it is, such as "submit/17/2/press-1": sending the same key
	// again is the same delivery. See MessageID for the id that goes with it.
	Key     string
	Kind    string // type of the message, such as SubmitQueueEntry, Status
	Device  string // DeviceID of the receiver, or
	Partner string // the partner, or neither
	Address string // URL or folder
	Media   string
	Name    string // of the file, for folders
	Body    []byte
	Ticket  int64 // that it belongs to, 0 for none
	Step    int64
	Channel int64 // subscription that it is a signal of, 0 for none
	Ordered bool  // goes out after those to the same address that are ordered and came before it
	Due     time.Time
	Retry   Retry // the zero Retry is DeliveryRetry
}

// Delivery is something that goes out: to a device, to a partner, into a folder.
type Delivery struct {
	ID        int64
	Key       string
	MessageID string // stays the same however often it is sent
	Kind      string
	Device    string
	Partner   string
	Address   string
	Media     string
	Name      string
	Blob      string
	Ticket    int64
	Step      int64
	Channel   int64
	Ordered   bool
	State     DeliveryState
	Attempts  int
	Error     string // of the last attempt
	Created   time.Time
	Changed   time.Time
	Answer    *Answer // nil before it is answered
}

// Bare is the address as people may read it: without user, password and query.
func (d *Delivery) Bare() string { return Bare(d.Address) }

// DeliveryFilter chooses deliveries. Zero values choose all.
type DeliveryFilter struct {
	States []DeliveryState
	Device string
	Ticket int64
	Kind   string
	After  Mark
	Limit  int // default 100
	Offset int
}
