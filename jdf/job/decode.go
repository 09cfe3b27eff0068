package job

import (
	"quoin/jdf"
)

// Decode reads the Job out of a ticket of either generation. What the ticket
// does not say is simply not given; values that are not of their data type are
// listed in Job.Faults. A message, or a document that is no ticket, gives an
// empty Job.
func Decode(doc *jdf.Document) *Job {
	d := &decoder{
		job: &Job{Document: doc, Root: doc.Root()},
	}
	switch doc.Kind {
	case jdf.KindJDF:
		d.jdf(doc.Root())
	case jdf.KindXJDF:
		d.xjdf(doc.Root())
	}
	return d.job
}

type decoder struct {
	job        *Job
	ids        map[string]jdf.Node // see byID
	media      map[int]*Media      // by index of the leaf
	components map[int]*Component  // by index of the leaf
	resources  map[int]*resource   // by index of the element
	amounts    []resourceAmount    // of an XJDF, in document order
	room       []Use               // for uses to come
	groups     []group             // of the node at hand
	walk       walk                // over the resources of a group
}

func (d *decoder) fault(f Fault) { d.job.Faults = append(d.job.Faults, f) }

// byID finds the first element with an ID. The table is made on the first
// question, since many tickets of an XJDF plant name nothing that a Job needs.
func (d *decoder) byID(id string) jdf.Node {
	if d.ids == nil {
		d.ids = map[string]jdf.Node{}
		for n := range d.job.Document.Elements() {
			if id := n.Attr("ID"); id.Valid() {
				if _, taken := d.ids[id.Value()]; !taken {
					d.ids[id.Value()] = n
				}
			}
		}
	}
	return d.ids[id]
}

// schedule reads a NodeInfo.
func (d *decoder) schedule(l *leaf) Schedule {
	at := func(name string) jdf.Node { return l.with(name) }
	status := "Status"
	if l.node().Space() == jdf.NamespaceJDF {
		status = "NodeStatus" // there, Status is that of the resource
	}
	return Schedule{
		Start:      moment(at("Start"), "Start", d.fault),
		End:        moment(at("End"), "End", d.fault),
		FirstStart: moment(at("FirstStart"), "FirstStart", d.fault),
		LastEnd:    moment(at("LastEnd"), "LastEnd", d.fault),
		Setup:      span(at("SetupDuration"), "SetupDuration", d.fault),
		Total:      span(at("TotalDuration"), "TotalDuration", d.fault),
		Cleanup:    span(at("CleanupDuration"), "CleanupDuration", d.fault),
		Priority:   whole(at("JobPriority"), "JobPriority", d.fault),
		Status:     Text(at(status), status),
	}
}

// customer reads a CustomerInfo; contact is where the company is named.
func (d *decoder) customer(l *leaf, contact jdf.Node) {
	c := &d.job.Customer
	c.ID = First(c.ID, Text(l.with("CustomerID"), "CustomerID"))
	c.JobName = First(c.JobName, Text(l.with("CustomerJobName"), "CustomerJobName"))
	c.Order = First(c.Order, Text(l.with("CustomerOrderID"), "CustomerOrderID"))
	company := l.child("Company")
	if !company.Valid() {
		company = contact.Child("Company")
	}
	c.Name = First(c.Name, Text(d.follow(company), "OrganizationName"))
}

// follow goes from a reference element such as MediaRef to what it names.
func (d *decoder) follow(n jdf.Node) jdf.Node {
	if ref := n.Attr("rRef"); ref.Valid() {
		return d.byID(ref.Value())
	}
	return n
}

// inner is the child element of a name, written in place or as a reference.
func (d *decoder) inner(l *leaf, local string) jdf.Node {
	return d.follow(l.child(local, local+"Ref"))
}
