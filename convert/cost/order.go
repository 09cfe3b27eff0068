package cost

import (
	"cmp"
	"slices"
	"time"

	"github.com/shopspring/decimal"

	"quoin/jdf"
	"quoin/jdf/job"
)

// ticket reads what a ticket wants: the order, and the tasks of its devices.
func (r *reader) ticket(doc *jdf.Document) {
	if doc.Kind != jdf.KindJDF && doc.Kind != jdf.KindXJDF {
		return
	}
	j := job.Decode(doc)
	if j.ID.Value == "" {
		return // nothing to put it to
	}
	stamp := r.stamp(j)
	if o, tells := r.order(j); tells {
		o.Stamp = stamp
		r.said.Orders = append(r.said.Orders, o)
	}
	for _, t := range r.tasks(j) {
		t.Stamp = stamp
		r.said.Tasks = append(r.said.Tasks, t)
	}
}

// stamp is when the ticket was last created or modified, by its audits.
func (r *reader) stamp(j *job.Job) time.Time {
	var last time.Time
	for _, a := range j.Audits {
		if a.Kind != job.AuditOther || !a.Time.Given {
			continue
		}
		if t := r.instant(a.Time); t.After(last) {
			last = t
		}
	}
	return last
}

// order is what the ticket says of who wants what. It tells something when it
// has more than the name of the job.
func (r *reader) order(j *job.Job) (o Order, tells bool) {
	o = Order{
		Job: j.ID.Value, Name: cmp.Or(j.Name.Value, j.Customer.JobName.Value),
		Customer: cmp.Or(j.Customer.Name.Value, j.Customer.ID.Value), Source: sourceAt(j.Root.Place()),
	}
	roots := j.RootProducts()
	for i, p := range roots {
		if i == 0 {
			o.Product = cmp.Or(p.Type.Value, p.Name.Value)
		}
		if p.Amount.Good.Given && !p.Amount.Good.Value.IsNegative() {
			o.Ordered = o.Ordered.Add(p.Amount.Good.Value)
		}
		if due := r.instant(p.Due); due.After(o.Due) {
			o.Due = due
		}
	}
	if o.Due.IsZero() && len(roots) > 0 {
		o.Due = r.instant(job.First(j.Schedule.LastEnd, j.Schedule.End))
	}
	return o, o.Customer != "" || len(roots) > 0
}

// MergeOrders makes one order of each job, sorted by job. Where tickets
// disagree, the one that was changed last is right; what it leaves out is that
// of the one before. Order and repetition of the input make no difference.
func MergeOrders(all []Order) []Order {
	sorted := slices.Clone(all)
	slices.SortFunc(sorted, func(a, b Order) int {
		return cmp.Or(cmp.Compare(a.Job, b.Job), b.Stamp.Compare(a.Stamp), cmp.Compare(a.Key(), b.Key()),
			a.Source.compare(b.Source))
	})
	var merged []Order
	for _, o := range sorted {
		if n := len(merged); n > 0 && merged[n-1].Job == o.Job {
			merged[n-1] = merged[n-1].with(o)
			continue
		}
		merged = append(merged, o)
	}
	return merged
}

// with takes from an older order what this one leaves out.
func (o Order) with(old Order) Order {
	o.Name, o.Customer = cmp.Or(o.Name, old.Name), cmp.Or(o.Customer, old.Customer)
	o.Product = cmp.Or(o.Product, old.Product)
	o.Ordered = either(o.Ordered, old.Ordered)
	if o.Due.IsZero() {
		o.Due = old.Due
	}
	return o
}

// either is the first of two amounts, or the other where that is zero.
func either(a, b decimal.Decimal) decimal.Decimal {
	if a.IsZero() {
		return b
	}
	return a
}
