package cost

import (
	"cmp"
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

// Source is where something was said. Place is known while the document is at
// hand; the rest can be kept.
type Source struct {
	File   string    `json:"file"`
	Line   int       `json:"line"`   // from 1
	Column int       `json:"column"` // from 1, in code points
	Path   string    `json:"path,omitempty"`
	Place  jdf.Place `json:"-"`
}

func sourceAt(p jdf.Place) Source {
	pos := p.Pos()
	return Source{File: p.File(), Line: pos.Line, Column: pos.Column, Path: p.Path(), Place: p}
}

// place is that of the document, or else one that knows no more than the Source.
func (s Source) place() jdf.Place {
	if s.Place.Known() || s.File == "" {
		return s.Place
	}
	return jdf.PlaceIn(s.File, jdf.Pos{Line: s.Line, Column: s.Column}, s.Path)
}

func (s Source) compare(t Source) int {
	return cmp.Or(cmp.Compare(s.File, t.File), cmp.Compare(s.Line, t.Line), cmp.Compare(s.Column, t.Column))
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
	Status     string    `json:"status"`            // as reported
	Reason     string    `json:"reason"`            // StatusDetails
	Work       string    `json:"work"`              // WorkType: Original, Alteration or Rework
	Modules    string    `json:"modules,omitempty"` // that were at work, divided by spaces

	Start   time.Time       `json:"start"`
	End     time.Time       `json:"end"`
	Time    Span            `json:"time"` // counted; less than End - Start where other phases claim a share
	Good    decimal.Decimal `json:"good"`
	Waste   decimal.Decimal `json:"waste"`
	Counted bool            `json:"counted"` // whether amounts were reported at all

	Open    bool `json:"open"`    // no end was reported; closed with the last word of the device
	FromRun bool `json:"fromRun"` // made of a ProcessRun, for want of phases
	// Shifted is what was added to Start and End, since the clock of the device was
	// off; see the package comment.
	Shifted Span   `json:"shifted,omitempty"`
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
	Item    string           `json:"item,omitempty"`   // ProductID, or ExternalID of XJDF
	Name    string           `json:"name,omitempty"`   // Brand, or DescriptiveName
	Type    string           `json:"type,omitempty"`   // such as Paper or Plate
	Unit    string           `json:"unit,omitempty"`   // of the amounts; "" is sheets or pieces
	Device  string           `json:"device,omitempty"` // who says so, where it is just one
	Seen    time.Time        `json:"seen,omitzero"`    // when it was last told
	Good    decimal.Decimal  `json:"good"`
	Waste   decimal.Decimal  `json:"waste"`
	Planned *decimal.Decimal `json:"planned,omitempty"`
	Source  Source           `json:"source"`
}
