package account

import (
	"github.com/shopspring/decimal"

	"quoin/convert/cost"
)

// Statement is the books of a plant by one dimension. All money is in Currency and
// rounded to Places; whatever is shown adds up to what is shown over it.
type Statement struct {
	Plant    string `json:"plant"`
	Currency string `json:"currency"`
	Places   int32  `json:"places"`
	By       By     `json:"by"`
	Filter   Filter `json:"filter"`
	From     string `json:"from"` // first day with time, or of the filter; "" when there is none
	To       string `json:"to"`

	Rows  []Row `json:"rows"`  // by key
	Total Row   `json:"total"` // of all rows; its Key is ""

	Materials  []Material  `json:"materials"`  // by job, kind and name
	Shifts     []Shift     `json:"shifts"`     // by device, day and shift
	Devices    []Device    `json:"devices"`    // by id
	Stops      []Stop      `json:"stops"`      // the longest first
	Deliveries []Delivery  `json:"deliveries"` // by job; of orders
	Deviations []Deviation `json:"deviations"` // the dearest first, a hundred at most
	Waiting    []string    `json:"waiting"`    // planned jobs of which nothing is reported yet
}

// Row is one job, device, day or the like.
type Row struct {
	Key     string `json:"key"`  // "" for what has none, such as time for no job
	Name    string `json:"name"` // in words, where the plant file or an order has some
	Figures `json:"figures"`
	Lines   []Line `json:"lines"` // by device; the row is their sum
	Colour  Colour `json:"colour"`
	// OEE is by the calendar of the shifts. Where the rows or the filter pick jobs,
	// parts, customers or operators, busy time is that which was reported of them.
	OEE cost.OEE `json:"oee"`

	// Below is the dimension to look into the row by, and Parts the keys of the rows
	// that Make gives with it and the filter Only. Where Below is "", Entries tells
	// what the row is made of.
	Below By       `json:"below,omitempty"`
	Parts []string `json:"parts,omitempty"`
	Only  Filter   `json:"only"`
}

// Line is the share of one device in a row.
type Line struct {
	Device  string `json:"device"` // "" for what belongs to none
	Name    string `json:"name"`   // in the plant file
	Figures `json:"figures"`
	// What the device made. It is not added up over several: the sheets of a press
	// and the copies of a folder have no sum.
	Good  decimal.Decimal `json:"good"`
	Waste decimal.Decimal `json:"waste"`
	// What the plan wants of it.
	PlannedGood  decimal.Decimal `json:"plannedGood"`
	PlannedWaste decimal.Decimal `json:"plannedWaste"`
}

// Figures is what is added up on every level.
type Figures struct {
	Times    cost.Times `json:"times"`
	Unpriced cost.Span  `json:"unpriced"` // time that has no rate
	Entries  int        `json:"entries"`  // phases that began
	Actual   Money      `json:"actual"`
	Extra    Extra      `json:"extra"`
	Plan     Plan       `json:"plan"`
	Variance Variance   `json:"variance"`
}

// Money is what was spent, by what on. Time, Material and Total are sums of the rest.
type Money struct {
	Makeready decimal.Decimal `json:"makeready"`
	Run       decimal.Decimal `json:"run"`
	WashUp    decimal.Decimal `json:"washUp"`
	Idle      decimal.Decimal `json:"idle"`
	Stopped   decimal.Decimal `json:"stopped"`
	Time      decimal.Decimal `json:"time"`
	Paper     decimal.Decimal `json:"paper"`
	Plates    decimal.Decimal `json:"plates"`
	Ink       decimal.Decimal `json:"ink"`
	Coating   decimal.Decimal `json:"coating"`
	Other     decimal.Decimal `json:"other"` // clicks, wire, glue and what else plans reckon with
	Material  decimal.Decimal `json:"material"`
	Purchases decimal.Decimal `json:"purchases"`
	Total     decimal.Decimal `json:"total"`
}

// Extra is shares of Money.Time that have a cause of their own.
type Extra struct {
	Rework   decimal.Decimal `json:"rework"`   // alterations and rework
	Premiums decimal.Decimal `json:"premiums"` // of shifts, and of time outside them
}

// Plan is what was planned for what was done. Known is false where no plan reckons
// with any of it.
type Plan struct {
	Known     bool            `json:"known"`
	Makeready cost.Span       `json:"makeready"`
	Run       cost.Span       `json:"run"`
	WashUp    cost.Span       `json:"washUp"`
	Time      decimal.Decimal `json:"time"` // what the time was to cost
	Material  decimal.Decimal `json:"material"`
	Purchases decimal.Decimal `json:"purchases"`
	Total     decimal.Decimal `json:"total"`
}

// Variance is actual less planned cost, split by cause; above zero is dearer than
// planned. Total is the sum of the parts, and Money.Total less Plan.Total.
//
// Standard is what the plan grants: its rates, its time and its input a good piece.
//
//   - Quantity: granted for the good that was made, less planned.
//   - Waste: pieces made beyond what the plan grants for the good ones, at the planned
//     time and the planned price of material.
//   - Time: run time beyond what the plan grants for all that was made, and idle and
//     stopped time, which no plan has; at the standard rate.
//   - Changeover: makeready and wash-up beyond the plan, at the standard rate; plates
//     beyond the plan.
//   - Rate: actual less standard rate for the actual time, premiums among them, and
//     the same for the prices of material and purchases.
//   - Scope: work, material and purchases that no plan has, less planned ones that
//     nothing is reported of.
//
// Without amounts, planned or reported, Quantity and Waste have no meaning; run
// time against the plan is then all Time.
//
// From memory: the usual definitions of standard costing. Source: none at hand; the
// sum of the parts is arithmetic.
type Variance struct {
	Quantity   decimal.Decimal `json:"quantity"`
	Time       decimal.Decimal `json:"time"`
	Rate       decimal.Decimal `json:"rate"`
	Waste      decimal.Decimal `json:"waste"`
	Changeover decimal.Decimal `json:"changeover"`
	Scope      decimal.Decimal `json:"scope"`
	Total      decimal.Decimal `json:"total"`
}

// Material is what a job used of one material, within the filter.
type Material struct {
	Job      string          `json:"job"`
	Part     string          `json:"part"`
	Device   string          `json:"device"` // that it is charged to, "" for none
	Kind     string          `json:"kind"`   // as in Supply
	Name     string          `json:"name"`
	Lots     []string        `json:"lots,omitempty"`
	Quantity decimal.Decimal `json:"quantity"`
	Unit     string          `json:"unit"`
	Kilos    decimal.Decimal `json:"kilos"` // 0 where unknown
	Cost     decimal.Decimal `json:"cost"`
	Planned  decimal.Decimal `json:"planned"`  // quantity
	PlanCost decimal.Decimal `json:"planCost"` // of it
	Reported bool            `json:"reported"` // else worked out, see the package comment
}

// Shift is the effectiveness of one device in one shift, one in which nothing is
// reported of it too, in periods up to three years.
type Shift struct {
	Device string    `json:"device"`
	Day    string    `json:"day"`
	Shift  string    `json:"shift"` // "" for time outside all shifts
	Busy   cost.Span `json:"busy"`  // planned busy time, by the calendar; outside shifts, that reported
	Run    cost.Span `json:"run"`
	// Standard is the planned time of all that was made, 0 where nothing tells it.
	Standard cost.Span       `json:"standard"`
	Good     decimal.Decimal `json:"good"`
	Waste    decimal.Decimal `json:"waste"`
	OEE      cost.OEE        `json:"oee"`
}

// Device is the effectiveness of one device in all its shifts together.
type Device struct {
	ID       string          `json:"id"`
	Name     string          `json:"name"`
	Busy     cost.Span       `json:"busy"`
	Run      cost.Span       `json:"run"`
	Standard cost.Span       `json:"standard"`
	Good     decimal.Decimal `json:"good"`
	Waste    decimal.Decimal `json:"waste"`
	OEE      cost.OEE        `json:"oee"`
}

// Stop is why devices stopped. The ranks are from 1, the greatest first; equal
// figures have the same rank.
type Stop struct {
	Reason  string          `json:"reason"` // "" where none was given
	Devices []string        `json:"devices"`
	Time    cost.Span       `json:"time"`
	Count   int             `json:"count"`
	Cost    decimal.Decimal `json:"cost"`
	ByTime  int             `json:"byTime"`
	ByCount int             `json:"byCount"`
	ByCost  int             `json:"byCost"`
}

// Outcome is how a delivery stands to its order.
type Outcome string

// The outcomes.
const (
	Inside Outcome = "inside" // the tolerance, its edges included
	Short  Outcome = "short"
	Over   Outcome = "over"
)

// Delivery is what was made or delivered of an order. While a job is running it is
// short by what is still to come.
type Delivery struct {
	Job       string          `json:"job"`
	Customer  string          `json:"customer"`
	Ordered   decimal.Decimal `json:"ordered"`
	Delivered decimal.Decimal `json:"delivered"`
	Shipped   bool            `json:"shipped"` // by Books.Shipped; else as the last operation counted
	Least     decimal.Decimal `json:"least"`   // that the tolerance takes
	Most      decimal.Decimal `json:"most"`
	Outcome   Outcome         `json:"outcome"`
	Bill      decimal.Decimal `json:"bill"` // quantity to bill; what is short or over needs an agreement
}

// Deviation is why one piece of work cost other than planned.
type Deviation struct {
	Job      string          `json:"job"`
	Part     string          `json:"part"`
	Customer string          `json:"customer"`
	Device   string          `json:"device"`
	Plan     decimal.Decimal `json:"plan"`
	Actual   decimal.Decimal `json:"actual"`
	Variance Variance        `json:"variance"`
	Causes   []Cause         `json:"causes"` // the greatest first
	Words    string          `json:"words"`  // all of it in a sentence
	Only     Filter          `json:"only"`   // to look into it
}

// Cause is one part of a deviation in words.
type Cause struct {
	Part   string          `json:"part"` // of Variance, such as "changeover"
	Amount decimal.Decimal `json:"amount"`
	Words  string          `json:"words"`
}
