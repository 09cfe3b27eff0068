package cost

import (
	"strconv"
	"time"

	"github.com/shopspring/decimal"

	"quoin/validate/plant"
)

// Said is all that one document says of time, material, events and orders. It
// is plain data, and does not hold on to the document but by Source.Place.
type Said struct {
	Records []Record    `json:"records,omitempty"`
	Uses    []UseRecord `json:"uses,omitempty"`
	Notices []Notice    `json:"notices,omitempty"`
	Orders  []Order     `json:"orders,omitempty"`
	Tasks   []Task      `json:"tasks,omitempty"`

	Supplies []Supply `json:"supplies,omitempty"`
}

// UseRecord is one report of what was used of a resource for a job, or made of
// it. An amount that is nil was not reported.
type UseRecord struct {
	Job    string `json:"job"`
	Part   string `json:"part"`
	Keys   string `json:"keys"` // partition, such as "SheetName=S1"
	Kind   string `json:"kind"` // Media, Component, Ink, …
	Usage  string `json:"usage"`
	Lot    string `json:"lot,omitempty"`
	Item   string `json:"item,omitempty"` // ProductID, or ExternalID of XJDF: which of the kind
	Name   string `json:"name,omitempty"` // Brand, or DescriptiveName
	Type   string `json:"type,omitempty"` // MediaType, ProductType or ComponentType, such as Paper
	Unit   string `json:"unit,omitempty"` // of the amounts; "" is sheets or pieces
	Device string `json:"device"`         // who says so
	Signal bool   `json:"signal,omitempty"`

	Seen    time.Time        `json:"seen,omitzero"`
	Good    *decimal.Decimal `json:"good,omitempty"`
	Waste   *decimal.Decimal `json:"waste,omitempty"`
	Planned *decimal.Decimal `json:"planned,omitempty"`
	Source  Source           `json:"source"`
}

// Key is the hash of all that is said, without the place: 32 hexadecimal digits.
func (u *UseRecord) Key() string {
	h := newHash("use")
	h.text(u.Job, u.Part, u.Keys, u.Kind, u.Usage, u.Lot, u.Item, u.Name, u.Type, u.Unit, u.Device)
	h.flag(u.Signal)
	h.time(u.Seen)
	h.amount(u.Good, u.Waste, u.Planned)
	return h.sum()
}

// Notice is an event that was reported, such as paper running low.
type Notice struct {
	ID       string    `json:"id,omitempty"` // of the audit or message
	Device   string    `json:"device"`
	Job      string    `json:"job"`
	Part     string    `json:"part"`
	Employee string    `json:"employee,omitempty"`
	Class    string    `json:"class"` // Event, Information, Warning, Error or Fatal
	Text     string    `json:"text"`
	Seen     time.Time `json:"seen,omitzero"`
	Source   Source    `json:"source"`
}

// Key is the hash of all that is said, with the ID, since two events may well
// be alike, and without the place: 32 hexadecimal digits.
func (n *Notice) Key() string {
	h := newHash("notice")
	h.text(n.ID, n.Device, n.Job, n.Part, n.Employee, n.Class, n.Text)
	h.time(n.Seen)
	return h.sum()
}

// Order is what a ticket says of who wants a job, and how much of it by when.
type Order struct {
	Job      string          `json:"job"`
	Name     string          `json:"name"`     // DescriptiveName
	Customer string          `json:"customer"` // name of the company, else its CustomerID
	Product  string          `json:"product"`  // type or name of the first delivered product
	Ordered  decimal.Decimal `json:"ordered"`  // copies; zero where none are given
	Due      time.Time       `json:"due,omitzero"`
	Stamp    time.Time       `json:"stamp,omitzero"` // when the ticket was last changed, as it says itself
	Source   Source          `json:"source"`
}

// Key is the hash of all that is said, without the place: 32 hexadecimal digits.
func (o *Order) Key() string {
	h := newHash("order")
	h.text(o.Job, o.Name, o.Customer, o.Product, o.Ordered.String())
	h.time(o.Due, o.Stamp)
	return h.sum()
}

// Task is what a plan expects of one job part on one device. Spans and amounts
// that are zero are not planned.
type Task struct {
	Job        string          `json:"job"`
	Part       string          `json:"part"`
	Device     string          `json:"device"`
	CostCentre string          `json:"costCentre,omitempty"`
	Process    string          `json:"process"` // Types of the ticket, or the step of the plan
	Makeready  Span            `json:"makeready"`
	Run        Span            `json:"run"`
	WashUp     Span            `json:"washUp"`
	In         decimal.Decimal `json:"in"` // sheets, pieces or blocks that go in
	Good       decimal.Decimal `json:"good"`
	Waste      decimal.Decimal `json:"waste"`           // in the unit of Good
	Setup      decimal.Decimal `json:"setup,omitzero"`  // of Waste, what the makeready takes
	Split      bool            `json:"split,omitempty"` // whether Setup is known; a ticket does not tell
	Cost       decimal.Decimal `json:"cost"`            // of the time, without material
	Class      Class           `json:"class"`
	Stamp      time.Time       `json:"stamp,omitzero"` // when the ticket was last changed, as it says itself
	Source     Source          `json:"source"`
}

// Class is what makes work like other work: what learned rates are kept by.
// What is not known is zero or "".
type Class struct {
	Grammage     decimal.Decimal `json:"grammage"` // g/m2
	Stock        string          `json:"stock"`    // coating or kind of the stock, such as gloss
	ColoursFront int             `json:"coloursFront"`
	ColoursBack  int             `json:"coloursBack"`
	Coating      string          `json:"coating"`  // laid in the press, such as uv
	Width        plant.Length    `json:"width"`    // of the sheet, micrometres
	Height       plant.Length    `json:"height"`   // of the sheet, micrometres
	Pages        int             `json:"pages"`    // of the finished piece
	Quantity     decimal.Decimal `json:"quantity"` // copies to be delivered
}

// Key is the hash of all that is planned, without the place: 32 hexadecimal digits.
func (t *Task) Key() string {
	h := newHash("task")
	h.text(t.Job, t.Part, t.Device, t.CostCentre, t.Process)
	h.span(&t.Makeready)
	h.span(&t.Run)
	h.span(&t.WashUp)
	h.amount(&t.In, &t.Good, &t.Waste, &t.Cost)
	if t.Split {
		h.amount(&t.Setup)
	}
	h.time(t.Stamp)
	c := &t.Class
	h.amount(&c.Grammage, &c.Quantity)
	h.text(c.Stock, c.Coating)
	for _, n := range []int{c.ColoursFront, c.ColoursBack, int(c.Width), int(c.Height), c.Pages} {
		h.text(strconv.Itoa(n))
	}
	return h.sum()
}
