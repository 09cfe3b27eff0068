package account

import (
	"fmt"
	"iter"
	"slices"

	"github.com/shopspring/decimal"

	"quoin/convert/cost"
	"quoin/validate"
	"quoin/validate/plant"
)

// Books is all that a statement is made of. Plant must not be nil; everything
// else may be left out. Cells, Uses and Tasks are to be whole for each job that
// they tell of: a period is cut out by the Filter, since the plan of a job is shared
// out over all that was done for it. The order of lists makes no difference.
type Books struct {
	Plant  *plant.Plant
	Cells  iter.Seq[Cell] // may be nil; read once
	Uses   []cost.Use
	Orders []cost.Order
	Tasks  []cost.Task // planned; those of jobs without a cell are left out

	Supplies  []Supply   // planned material
	Purchases []Purchase // from outside
	Shipped   []Shipment // what was delivered; without it, what the last operation made
	Colour    []Colour
}

// Supply is material that a plan reckons with.
type Supply = cost.Supply

// Purchase is work or goods bought from outside for a job.
type Purchase struct {
	Job      string          `json:"job"`
	Part     string          `json:"part"`
	Day      string          `json:"day"` // of the invoice or delivery, as in 2026-03-02; "" where unknown
	Supplier string          `json:"supplier"`
	What     string          `json:"what"`
	Cost     decimal.Decimal `json:"cost"`
	Planned  decimal.Decimal `json:"planned"` // 0 where no plan reckons with it
	Source   cost.Source     `json:"source"`
}

// Shipment is a quantity delivered to the customer.
type Shipment struct {
	Job      string          `json:"job"`
	Day      string          `json:"day"`
	Quantity decimal.Decimal `json:"quantity"`
}

// Colour is how the measurements of a job on a device came out, as counts.
type Colour struct {
	Job    string `json:"job"`
	Device string `json:"device"`
	Day    string `json:"day"`
	In     int    `json:"in"`   // in tolerance
	Near   int    `json:"near"` // in tolerance, near its edge
	Out    int    `json:"out"`
}

// By is the dimension of the rows of a statement.
type By string

// The dimensions. The key of a part is the job, a slash and the part.
const (
	ByJob      By = "job"
	ByPart     By = "part"
	ByCentre   By = "cost-centre"
	ByDevice   By = "device"
	ByOperator By = "operator"
	ByCustomer By = "customer"
	ByShift    By = "shift"
	ByDay      By = "day"
	ByWeek     By = "week"  // of ISO 8601, as in 2026-W10
	ByMonth    By = "month" // as in 2026-03
)

// Dimensions lists all values of By.
func Dimensions() []By {
	return []By{ByJob, ByPart, ByCentre, ByDevice, ByOperator, ByCustomer, ByShift, ByDay, ByWeek, ByMonth}
}

// ParseBy reads the word of a dimension. The error lists those that there are.
func ParseBy(word string) (By, error) {
	if all := Dimensions(); slices.Contains(all, By(word)) {
		return By(word), nil
	}
	var words []string
	for _, by := range Dimensions() {
		words = append(words, string(by))
	}
	return "", fmt.Errorf("there is no report by %q; want %s", word, validate.Choices(words))
}

// Below is the dimension that the rows of this one are looked into by, "" where
// only the entries are left.
func (by By) Below() By {
	switch by {
	case ByMonth:
		return ByWeek
	case ByWeek, ByOperator:
		return ByDay
	case ByDay:
		return ByShift
	case ByShift, ByCustomer:
		return ByJob
	case ByJob:
		return ByPart
	case ByCentre:
		return ByDevice
	case ByDevice:
		return ByMonth
	}
	return ""
}

// Filter narrows a statement. Days are inclusive, as in 2026-03-02; "" is no limit.
// An empty list takes all; a list with "" takes what has no such key, such as time
// for no job. Jobs narrows Parts, which are bare part ids.
type Filter struct {
	From      string   `json:"from,omitempty"`
	To        string   `json:"to,omitempty"`
	Jobs      []string `json:"jobs,omitempty"`
	Parts     []string `json:"parts,omitempty"`
	Devices   []string `json:"devices,omitempty"`
	Centres   []string `json:"centres,omitempty"`
	Customers []string `json:"customers,omitempty"`
	Operators []string `json:"operators,omitempty"`
	Shifts    []string `json:"shifts,omitempty"`
	Undated   bool     `json:"undated,omitempty"` // takes only what belongs to no day, such as work not done yet
}
