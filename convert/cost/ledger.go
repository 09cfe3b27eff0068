package cost

import (
	"time"

	"github.com/shopspring/decimal"

	"quoin/jdf"
	"quoin/jdf/job"
)

// Ledger is all that was reported, each phase and each use once, in the order
// of device and time.
type Ledger struct {
	Entries []Entry `json:"entries"`
	Uses    []Use   `json:"uses"`
}

// Source is the record that an entry rests on.
type Source struct {
	File   string    `json:"file"`
	Line   int       `json:"line"`
	Column int       `json:"column"`
	Place  jdf.Place `json:"-"`
}

func sourceAt(p jdf.Place) Source {
	pos := p.Pos()
	return Source{File: p.File(), Line: pos.Line, Column: pos.Column, Place: p}
}

// Entry is one phase of one device.
type Entry struct {
	Job        string    `json:"job"`  // JobID, "" when the device did it for no job
	Part       string    `json:"part"` // JobPartID
	Keys       string    `json:"keys"` // partition, such as "SheetName=S1"
	Device     string    `json:"device"`
	CostCentre string    `json:"costCentre"` // as reported; "" leaves it to the plant file
	Employee   string    `json:"employee"`
	State      job.State `json:"state"`
	Status     string    `json:"status"` // as reported
	Reason     string    `json:"reason"` // StatusDetails
	Work       string    `json:"work"`   // WorkType: Original, Alteration or Rework

	Start   time.Time       `json:"start"`
	End     time.Time       `json:"end"`
	Time    Span            `json:"time"` // counted; less than End - Start where other phases claim a share
	Good    decimal.Decimal `json:"good"`
	Waste   decimal.Decimal `json:"waste"`
	Counted bool            `json:"counted"` // whether amounts were reported at all

	Open    bool   `json:"open"`    // no end was reported; closed with the last word of the device
	FromRun bool   `json:"fromRun"` // made of a ProcessRun, for want of phases
	Source  Source `json:"source"`
}

// Use is what was used of a resource for a job, or made of it.
type Use struct {
	Job     string           `json:"job"`
	Part    string           `json:"part"`
	Keys    string           `json:"keys"`
	Kind    string           `json:"kind"` // Media, Component, Ink, …
	Usage   string           `json:"usage"`
	Lot     string           `json:"lot"`
	Good    decimal.Decimal  `json:"good"`
	Waste   decimal.Decimal  `json:"waste"`
	Planned *decimal.Decimal `json:"planned,omitempty"`
	Source  Source           `json:"source"`
}
