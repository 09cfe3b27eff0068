package works

import (
	"time"

	"github.com/shopspring/decimal"
)

// Side says who asked to be told.
type Side string

// The sides.
const (
	Theirs Side = "theirs" // a partner asked us
	Ours   Side = "ours"   // we asked a device
)

// Subscription is a persistent channel, of either side.
type Subscription struct {
	ID         int64
	Side       Side
	Peer       string // the partner, or the DeviceID
	Channel    string // ID of the query that made it; unique for side and peer
	Query      string // type of the query, such as Status, Resource, QueueStatus
	Dialect    string // jmf or xjmf
	URL        string // where the signals go
	RepeatTime time.Duration
	RepeatStep int64
	Reliable   bool
	Filter     []byte // what was asked for, as its owner writes it
	Since      time.Time

	// What was last told.
	Last   time.Time       // zero before the first
	Next   time.Time       // when it is due by RepeatTime; zero when only changes make one
	Amount decimal.Decimal // of the last signal, for RepeatStep
	Count  int64           // signals so far
	State  string          // what the last signal said, as its owner writes it, to see changes
}

// SubscriptionFilter chooses subscriptions. Zero values choose all.
type SubscriptionFilter struct {
	Side    Side
	Peer    string
	Channel string
	Query   string
	URL     string
	Due     time.Time // whose Next is at or before
}

// Told is what a signal of a subscription has said.
type Told struct {
	At     time.Time // zero for the present
	Next   time.Time
	Amount decimal.Decimal
	State  string
}
