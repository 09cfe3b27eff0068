package message

import (
	"strings"

	"quoin/jdf"
	"quoin/jdf/job"
)

// Decode reads a JMF or XJMF document. What it does not say is not given, and
// values that are not of their data type are listed in Envelope.Faults. A
// document of another kind gives an Envelope without messages.
func Decode(doc *jdf.Document) *Envelope {
	e := &Envelope{Document: doc}
	root := doc.Root()
	switch doc.Kind {
	case jdf.KindJMF:
		e.Header = e.firstHeader(root, Header{})
		e.Header.Receiver = job.Text(root, "DeviceID")
	case jdf.KindXJMF:
		e.Header = e.secondHeader(root, Header{})
	default:
		return e
	}
	for n := range root.Children() {
		if m := e.message(n); m != nil {
			e.Messages = append(e.Messages, m)
		}
	}
	return e
}

func (e *Envelope) fault(f job.Fault) { e.Faults = append(e.Faults, f) }

// firstHeader reads the attributes that JMF has in place of a header. ID and
// refID are those of the message alone.
func (e *Envelope) firstHeader(n jdf.Node, outer Header) Header {
	return Header{
		ID:       job.Text(n, "ID"),
		RefID:    job.Text(n, "refID"),
		Sender:   job.First(job.Text(n, "SenderID"), outer.Sender),
		Receiver: outer.Receiver,
		Time:     job.First(moment(n, "TimeStamp", e.fault), moment(n, "Time", e.fault), outer.Time),
		Agent:    job.First(job.Text(n, "AgentName"), outer.Agent),
		Worker:   job.First(job.Text(n.Child("Employee"), "PersonalID"), outer.Worker),
	}
}

func (e *Envelope) secondHeader(n jdf.Node, outer Header) Header {
	h := n.Child("Header")
	return Header{
		ID:     job.Text(h, "ID"),
		RefID:  job.Text(h, "refID"),
		Sender: job.First(job.Text(h, "DeviceID"), outer.Sender),
		Time:   job.First(moment(h, "Time", e.fault), outer.Time),
		Agent:  job.First(job.Text(h, "AgentName"), outer.Agent),
		Worker: job.First(job.Text(h, "PersonalID"), outer.Worker),
	}
}

// message reads one child of the root, or gives nil for what is no message.
func (e *Envelope) message(n jdf.Node) *Message {
	m := &Message{Node: n}
	if e.Document.Kind == jdf.KindJMF {
		m.Family = familyOf(n.Local(), true)
		if n.Space() != jdf.NamespaceJDF || m.Family == "" {
			return nil
		}
		m.Header = e.firstHeader(n, e.Header)
		t := job.Text(n, "Type")
		m.Type, m.TypeAt = t.Value, t.Place
	} else {
		m.Family = familyOf(n.Local(), false)
		if m.Family == "" {
			return nil
		}
		m.Header = e.secondHeader(n, e.Header)
		m.Type, m.TypeAt = strings.TrimPrefix(n.Local(), string(m.Family)), n.NamePlace()
		if n.Space() != jdf.NamespaceXJDF {
			m.Space = n.Space()
		}
	}
	m.ReturnCode = whole(n, "ReturnCode", e.fault)
	m.Acknowledged = truth(n, "Acknowledged", e.fault)
	if m.Family == Signal {
		m.Channel = job.Text(n, "ChannelMode")
	}
	if s := n.Child("Subscription"); s.Valid() {
		m.Subscription = e.subscription(s)
	}
	e.params(n, m)
	e.answers(n, m)
	e.queue(n, m)
	e.reports(n, m)
	return m
}

// familyOf finds the family of an element: JMF elements are called as their
// family, XJMF elements begin with it and go on with a capital.
func familyOf(local string, whole bool) Family {
	for _, f := range families() {
		rest, found := strings.CutPrefix(local, string(f))
		switch {
		case !found:
		case whole && rest == "":
			return f
		case !whole && rest != "" && rest[0] >= 'A' && rest[0] <= 'Z':
			return f
		}
	}
	return ""
}

func (e *Envelope) subscription(n jdf.Node) *Subscription {
	s := &Subscription{
		Node:       n,
		URL:        job.Text(n, "URL"),
		Channel:    job.Text(n, "ChannelMode"),
		RepeatTime: double(n, "RepeatTime", e.fault),
		RepeatStep: whole(n, "RepeatStep", e.fault),
	}
	for c := range n.ChildrenNamed("ObservationTarget") {
		s.Observation = append(s.Observation, c)
	}
	return s
}

// queue gathers the entries that stand in the message or in a Queue inside it.
func (e *Envelope) queue(n jdf.Node, m *Message) {
	for c := range n.Children() {
		switch {
		case c.Is("QueueEntry"):
			m.QueueEntries = append(m.QueueEntries, e.queueEntry(c))
		case c.Is("Queue"):
			e.queue(c, m)
		}
	}
}

func (e *Envelope) queueEntry(n jdf.Node) *QueueEntry {
	return &QueueEntry{
		Node:       n,
		ID:         job.Text(n, "QueueEntryID"),
		JobID:      job.Text(n, "JobID"),
		PartID:     job.Text(n, "JobPartID"),
		Status:     job.Text(n, "Status"),
		Details:    job.Text(n, "StatusDetails"),
		Activation: job.Text(n, "Activation"),
		Gang:       job.Text(n, "GangName"),
		Priority:   whole(n, "Priority", e.fault),
		Submitted:  moment(n, "SubmissionTime", e.fault),
		Start:      moment(n, "StartTime", e.fault),
		End:        moment(n, "EndTime", e.fault),
	}
}

// reports reads what a message tells of the shop floor. A Notification in a
// response of another type is about the message, not about a job.
func (e *Envelope) reports(n jdf.Node, m *Message) {
	from := job.Origin{
		Node: n, Name: string(m.Family) + m.Type,
		ID: m.ID, Time: m.Time, Device: m.Sender, Worker: m.Worker,
	}
	tells := m.Space == "" && (m.Family == Signal || m.Family == Response || m.Family == Acknowledge)
	if !tells {
		return
	}
	if q := n.Child("ResourceQuParams"); q.Valid() {
		from.JobID, from.PartID = job.Text(q, "JobID"), job.Text(q, "JobPartID")
	}
	for c := range n.Children() {
		switch {
		case c.Is("DeviceInfo") && m.Type == "Status":
			m.Audits = append(m.Audits, job.DecodeStatus(c, from, e.fault)...)
		case c.Is("ResourceInfo") && m.Type == "Resource":
			m.Audits = append(m.Audits, job.DecodeResource(c, from, e.fault)...)
		case c.Is("Notification") && m.Type == "Notification" && m.Family == Signal:
			m.Audits = append(m.Audits, job.DecodeNotice(c, from, e.fault)...)
		case c.Is("Notification"):
			m.Notifications = append(m.Notifications, job.DecodeNotice(c, from, e.fault)...)
		}
	}
}
