package cost

import (
	"strings"
	"time"

	"github.com/shopspring/decimal"

	"quoin/jdf/job"
)

// Kind is what a Record tells of.
type Kind string

// The kinds of record.
const (
	KindPhase Kind = "phase" // a stretch of time of a device
	KindRun   Kind = "run"   // a ProcessRun: a whole process, from start to end
	KindWord  Kind = "word"  // nothing but that the device was heard of
)

// Record is one report of a device's time, with its values made plain. A time
// that is zero, and an amount or length that is nil, was not reported.
type Record struct {
	Kind   Kind   `json:"kind"`
	Signal bool   `json:"signal,omitempty"` // of a message, rather than of an audit pool
	ID     string `json:"id,omitempty"`     // of the audit or message

	Device string `json:"device"`
	Job    string `json:"job"`
	Part   string `json:"part"`
	Keys   string `json:"keys"` // partition, such as "SheetName=S1"

	CostCentre string    `json:"costCentre,omitempty"`
	Employee   string    `json:"employee,omitempty"`
	Modules    string    `json:"modules,omitempty"` // at work, divided by spaces
	State      job.State `json:"state"`
	Status     string    `json:"status,omitempty"` // as reported
	Reason     string    `json:"reason,omitempty"` // StatusDetails
	Work       string    `json:"work,omitempty"`   // WorkType

	Seen   time.Time `json:"seen"` // when it was said, by the clock of the device
	Start  time.Time `json:"start,omitzero"`
	End    time.Time `json:"end,omitzero"`
	Length *Span     `json:"length,omitempty"` // of a run: time at work, where that is told apart

	Good       *decimal.Decimal `json:"good,omitempty"` // since the start of the phase
	Waste      *decimal.Decimal `json:"waste,omitempty"`
	Total      *decimal.Decimal `json:"total,omitempty"` // good since the start of the job
	TotalWaste *decimal.Decimal `json:"totalWaste,omitempty"`

	// Received is when it came in, by the clock of the receiver; zero where nobody
	// noted it. It is no part of the Key.
	Received time.Time `json:"received,omitzero"`
	Source   Source    `json:"source"`
}

// Group is what keeps its own time: the device, or the work where none is named.
func (r *Record) Group() string {
	if r.Device != "" {
		return r.Device
	}
	return strings.Join([]string{"", r.Job, r.Part, r.Keys}, "\x00")
}

// Key is the hash of all that is said, without the place and the ID: 32
// hexadecimal digits. What two records of one Key say is one thing.
func (r *Record) Key() string {
	h := newHash(string(r.Kind))
	h.flag(r.Signal)
	h.text(r.Device, r.Job, r.Part, r.Keys, r.CostCentre, r.Employee, r.Modules,
		r.State.String(), r.Status, r.Reason, r.Work)
	h.time(r.Seen, r.Start, r.End)
	h.span(r.Length)
	h.amount(r.Good, r.Waste, r.Total, r.TotalWaste)
	return h.sum()
}
