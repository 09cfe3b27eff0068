package job

import (
	"github.com/shopspring/decimal"

	"quoin/jdf"
	"quoin/jdf/value"
)

// Job is what one ticket says of one job, or of a part of it.
type Job struct {
	Document *jdf.Document
	Root     jdf.Node

	ID       Fact[string] // JobID
	PartID   Fact[string] // JobPartID of the root
	Project  Fact[string] // ProjectID
	Name     Fact[string] // DescriptiveName
	Customer Customer
	Schedule Schedule // of the whole ticket

	Products   []*Product   // in the order of the ticket
	Operations []*Operation // in the order of the ticket; combined ones taken apart
	Media      []*Media
	Components []*Component
	Layouts    []*Layout
	Signatures []*Signature
	Audits     []*Audit

	Faults []Fault // values that could not be read
}

// Customer is who the job is for.
type Customer struct {
	ID      Fact[string] // CustomerID
	Name    Fact[string] // of the company that the customer's contact names
	JobName Fact[string] // CustomerJobName
	Order   Fact[string] // CustomerOrderID
}

// Schedule is when something is to run, from NodeInfo.
type Schedule struct {
	Start, End          Fact[value.DateTime]
	FirstStart, LastEnd Fact[value.DateTime] // not before, not after
	Setup, Total        Fact[value.Duration]
	Cleanup             Fact[value.Duration]
	Priority            Fact[int]    // JobPriority, 0 to 100
	Status              Fact[string] // node status
}

// Amounts is what is wanted, or what came of it, in the unit of the resource:
// sheets, pieces, copies.
type Amounts struct {
	Good  Fact[decimal.Decimal] // Amount
	Waste Fact[decimal.Decimal]
	Min   Fact[decimal.Decimal]
	Max   Fact[decimal.Decimal]
}

// Root products are those that are delivered, not parts of another. A ticket
// that marks none has all its products at the root.
func (j *Job) RootProducts() []*Product {
	var roots []*Product
	for _, p := range j.Products {
		if p.Root {
			roots = append(roots, p)
		}
	}
	if roots == nil {
		return j.Products
	}
	return roots
}
