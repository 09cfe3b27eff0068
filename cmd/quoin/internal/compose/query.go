package compose

import (
	"strconv"

	"github.com/beevik/etree"

	"quoin/jdf/message"
)

// Ask writes a query, with a subscription when Tell is set. It gives the ID of
// the message, which is the ChannelID of the subscription. A version that has no
// place for the question gets nothing, and the ID is "": notifications can be
// subscribed to in XJMF, and in JMF up to 1.4, where the query is called Events.
//
// Source: JDF schema, QueryEvents and QueryNotification.
func (e *Envelope) Ask(q Question) string {
	kind := q.Type
	if kind == "Notification" && q.Tell != nil && e.first() {
		if e.opt.Version.Minor > 4 {
			return ""
		}
		kind = "Events"
	}
	m, id := e.message(about{family: message.Query, kind: kind})
	if q.Tell != nil {
		e.subscription(m, *q.Tell)
	}
	switch q.Type {
	case "Status":
		e.askStatus(m, q)
	case "Resource":
		e.askResource(m, q)
	case "Notification":
		if len(q.Classes) > 0 {
			e.words(m.CreateElement("NotificationFilter"), "Classes", q.Classes)
		}
	case "QueueStatus":
		p := m
		if !e.first() && q.Filter != nil {
			p = m.CreateElement("QueueStatusParams")
			e.set(p, 0, "UpdateGranularity", q.Filter.Changes.Value)
		}
		if q.Filter != nil {
			e.filter(p, q.Filter, nil)
		}
	case "KnownDevices":
		if q.Details != "" {
			e.set(m.CreateElement("DeviceFilter"), 0, "DeviceDetails", q.Details)
		}
	case "KnownSubscriptions":
		if q.URL != "" || q.Device != "" {
			p := m.CreateElement("SubscriptionFilter")
			e.token(p, "DeviceID", q.Device)
			e.set(p, 0, "URL", q.URL)
		}
	}
	return id
}

func (e *Envelope) askStatus(m *etree.Element, q Question) {
	asked := q.JobID+q.PartID+q.Entry != "" || !q.Part.Empty()
	if !asked && !e.first() {
		return
	}
	p := m.CreateElement("StatusQuParams")
	if e.first() {
		e.set(p, 0, "JobDetails", q.Details)
	}
	e.token(p, "JobID", q.JobID)
	e.token(p, "JobPartID", q.PartID)
	e.tokenSince(p, 2, "QueueEntryID", q.Entry)
	e.part(p, q.Part)
}

func (e *Envelope) askResource(m *etree.Element, q Question) {
	p := m.CreateElement("ResourceQuParams")
	e.token(p, "JobID", q.JobID)
	e.token(p, "JobPartID", q.PartID)
	e.token(p, "QueueEntryID", q.Entry)
	e.token(p, "ResourceName", q.Kind)
	scope := q.Scope
	if scope == "" && !e.first() {
		scope = "Job"
	}
	e.set(p, 5, "Scope", scope)
	e.part(p, q.Part)
}

func (e *Envelope) subscription(to *etree.Element, s Subscription) {
	p := to.CreateElement("Subscription")
	if s.Reliable {
		e.set(p, 4, "ChannelMode", "Reliable")
	}
	if e.first() && s.RepeatStep > 0 {
		p.CreateAttr("RepeatStep", strconv.Itoa(s.RepeatStep))
	}
	e.seconds(p, "RepeatTime", s.RepeatTime)
	e.set(p, 0, "URL", s.URL)
}

// filter writes a QueueFilter; the entries count when there is no filter.
func (e *Envelope) filter(to *etree.Element, f *message.QueueFilter, entries []string) {
	p := to.CreateElement("QueueFilter")
	if f == nil {
		f = &message.QueueFilter{}
	} else if entries == nil {
		entries = f.Entries.Value
	}
	e.set(p, 6, "FirstEntry", f.First.Value)
	e.words(p, "GangNames", f.Gangs.Value)
	e.tokenSince(p, 4, "JobID", f.JobID.Value)
	e.tokenSince(p, 4, "JobPartID", f.PartID.Value)
	e.set(p, 6, "LastEntry", f.Last.Value)
	for _, n := range []struct {
		name  string
		since int
		given bool
		value int
	}{
		{"MaxEntries", 0, f.Most.Given, f.Most.Value},
		{"MaxPriority", 6, f.MaxPriority.Given, f.MaxPriority.Value},
		{"MinPriority", 6, f.MinPriority.Given, f.MinPriority.Value},
	} {
		if n.given {
			e.whole(p, n.since, n.name, &n.value)
		}
	}
	if f.NewerThan.Given {
		e.set(p, 0, "NewerThan", f.NewerThan.Value.String())
	}
	if f.OlderThan.Given {
		e.set(p, 0, "OlderThan", f.OlderThan.Value.String())
	}
	if e.first() {
		e.set(p, 0, "QueueEntryDetails", f.Details.Value)
	} else {
		e.words(p, "QueueEntryIDs", tokens(entries))
	}
	e.words(p, "StatusList", f.Status.Value)
	if e.first() {
		e.set(p, 4, "UpdateGranularity", f.Changes.Value)
		for _, id := range entries {
			p.CreateElement("QueueEntryDef").CreateAttr("QueueEntryID", id)
		}
		for _, id := range f.Devices.Value {
			p.CreateElement("Device").CreateAttr("DeviceID", id)
		}
	}
	for _, part := range f.Parts {
		e.part(p, part)
	}
}

func tokens(values []string) []string {
	var all []string
	for _, v := range values {
		all = append(all, nmtoken(v))
	}
	return all
}
