package plant

import (
	"slices"
	"time"

	"github.com/shopspring/decimal"
)

// Alerts says when people are to be told that something goes wrong, and how. A
// limit of zero tells nothing.
type Alerts struct {
	Late     time.Duration   // behind the plan, or behind what was promised
	Stop     time.Duration   // a machine stands for longer
	Waste    decimal.Decimal // beyond what the plan allows, percent of the good that is wanted
	Colour   ColourAlert
	Silent   time.Duration   // a machine at work says nothing for longer
	Refused  bool            // a ticket was not taken
	FreeDisk decimal.Decimal // less of the disk of the store is free, percent
	Delivery int             // something could not be delivered in so many attempts

	// Settle is how long what an alert is about has to have passed before it is
	// closed, so that what comes and goes is one alert. Back is the share of a
	// limit, in percent, that a value has to fall below for that.
	Settle time.Duration
	Back   decimal.Decimal

	Gather  time.Duration // alerts of so long go out in one notice
	Notices []*Notice
	Mail    Mail
}

// ColourAlert is what of colour people are told.
type ColourAlert string

// The choices: a run that is out of tolerance, or also one that drifts there.
const (
	ColourNever ColourAlert = ""
	ColourOut   ColourAlert = "out"
	ColourDrift ColourAlert = "drift"
)

// Notice is a way to tell people who do not look at the board.
type Notice struct {
	Mark
	ID      string
	Webhook string   // an address that notices are posted to as JSON, or
	Mail    []string // addresses that they are mailed to
	Kinds   []string // of alerts; nil for all
}

// Wants reports whether a notice is for alerts of a kind.
func (n *Notice) Wants(kind string) bool { return len(n.Kinds) == 0 || slices.Contains(n.Kinds, kind) }

// Mail is how mail leaves the house.
type Mail struct {
	Server   string // host and port; "" for no mail
	From     string
	User     string // "" for a server that asks for none
	Password string // where it is kept: env:NAME or file:PATH
}

// The kinds of alerts.
const (
	AlertLate     = "late"
	AlertStop     = "stop"
	AlertWaste    = "waste"
	AlertColour   = "colour"
	AlertSilent   = "silent"
	AlertRefused  = "refused"
	AlertDisk     = "disk"
	AlertDelivery = "delivery"
)

// AlertKinds lists the kinds of alerts.
func AlertKinds() []string {
	return []string{
		AlertLate, AlertStop, AlertWaste, AlertColour, AlertSilent, AlertRefused, AlertDisk, AlertDelivery,
	}
}
