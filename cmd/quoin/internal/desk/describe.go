package desk

import (
	"cmp"
	"time"

	"github.com/shopspring/decimal"

	"quoin/cmd/quoin/internal/works"
	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/jdf/value"
)

// Describe says what a ticket is about, for lists: job, customer, product, amount,
// due time and priority. Times without a zone are those of the plant.
func (d *Desk) Describe(doc *jdf.Document) works.Submission {
	j := job.Decode(doc)
	s := works.Submission{
		Job: j.ID.Value, Part: j.PartID.Value, Name: cmp.Or(j.Name.Value, j.Customer.JobName.Value),
		Customer: cmp.Or(j.Customer.Name.Value, j.Customer.ID.Value), Generation: "jdf",
	}
	if doc.Kind.Second() {
		s.Generation = "xjdf"
	}
	var ordered decimal.Decimal
	for i, p := range j.RootProducts() {
		if i == 0 {
			s.Product = cmp.Or(p.Name.Value, p.Type.Value)
		}
		if p.Amount.Good.Given {
			ordered = ordered.Add(p.Amount.Good.Value)
		}
		if due := d.instant(p.Due); due.After(s.Due) {
			s.Due = due
		}
	}
	if ordered.IsPositive() {
		s.Ordered = ordered.String()
	}
	if s.Due.IsZero() {
		s.Due = d.instant(job.First(j.Schedule.LastEnd, j.Schedule.End))
	}
	if j.Schedule.Priority.Given {
		s.Priority = &j.Schedule.Priority.Value
	}
	return s
}

// instant is the moment that a ticket writes; the zero time when it gives none.
func (d *Desk) instant(f job.Fact[value.DateTime]) time.Time {
	if !f.Given || f.Value.Infinite != 0 {
		return time.Time{}
	}
	t := f.Value.Time().Truncate(time.Microsecond)
	if f.Value.HasZone {
		return t
	}
	zone := time.UTC
	if d.opt.Plant != nil && d.opt.Plant.Zone != nil {
		zone = d.opt.Plant.Zone
	}
	return time.Date(t.Year(), t.Month(), t.Day(), t.Hour(), t.Minute(), t.Second(), t.Nanosecond(), zone)
}
