package message

import (
	"strings"

	"quoin/jdf"
	"quoin/jdf/job"
)

// params reads the particulars of a command, query or registration.
func (e *Envelope) params(n jdf.Node, m *Message) {
	if m.Space != "" || m.Family != Command && m.Family != Query && m.Family != Registration {
		return
	}
	m.AcknowledgeURL, m.AcknowledgeType = job.Text(n, "AcknowledgeURL"), tokens(n, "AcknowledgeType")
	for c := range n.Children() {
		switch {
		case c.Is("QueueSubmissionParams"):
			m.Params.Submission = e.submission(c)
		case c.Is("ResubmissionParams"):
			m.Params.Resubmission = &Resubmission{
				Node: c, Entry: job.Text(c, "QueueEntryID"), URL: job.Text(c, "URL"), Method: job.Text(c, "UpdateMethod"),
			}
		case c.Is("ReturnQueueEntryParams"):
			m.Params.Return = &Return{
				Node: c, Entry: job.Text(c, "QueueEntryID"), URL: job.Text(c, "URL"),
				Completed: tokens(c, "Completed"), Aborted: tokens(c, "Aborted"),
			}
		case c.Is("RequestQueueEntryParams"):
			m.Params.Request = entryRequest(c)
		case c.Is("StopPersChParams"):
			m.Params.Stop = &StopChannel{
				Node: c, Channel: job.Text(c, "ChannelID"), Type: job.Text(c, "MessageType"),
				Device: job.Text(c, "DeviceID"), URL: job.Text(c, "URL"),
			}
		case c.Is("QueueEntryDefList"):
			m.Params.Entries = entryDefs(c)
		default:
			e.filters(c, m)
		}
	}
	m.Params.Queue = e.queueOf(n)
	m.Params.Modification = e.modification(n, m.Type)
}

// filters reads what chooses the things that a query asks for.
func (e *Envelope) filters(c jdf.Node, m *Message) {
	switch {
	case c.Is("StatusQuParams"):
		m.Params.Status = &StatusQuery{
			Node: c, JobID: job.Text(c, "JobID"), PartID: job.Text(c, "JobPartID"), Entry: job.Text(c, "QueueEntryID"),
			Parts: partsOf(c), Queue: truth(c, "QueueInfo", e.fault),
		}
	case c.Is("ResourceQuParams"):
		m.Params.Resource = &ResourceQuery{
			Node: c, JobID: job.Text(c, "JobID"), PartID: job.Text(c, "JobPartID"), Entry: job.Text(c, "QueueEntryID"),
			Kinds: tokens(c, "ResourceName"), Scope: job.Text(c, "Scope"), Usage: job.Text(c, "Usage"),
			ProductID: job.First(job.Text(c, "ProductID"), job.Text(c, "ExternalID")), Parts: partsOf(c),
		}
	case c.Is("NotificationFilter"):
		m.Params.Notices = &NoticeFilter{
			Node: c, Classes: tokens(c, "Classes"), Milestones: tokens(c, "MilestoneTypes"),
			Device: job.Text(c, "DeviceID"), JobID: job.Text(c, "JobID"), Entry: job.Text(c, "QueueEntryID"),
		}
	case c.Is("DeviceFilter"):
		m.Params.Devices = &DeviceFilter{Node: c, Details: job.Text(c, "DeviceDetails"), Devices: devicesOf(c)}
	case c.Is("KnownMsgQuParams"):
		m.Params.Services = &ServiceFilter{
			Node: c, Commands: truth(c, "ListCommands", e.fault), Queries: truth(c, "ListQueries", e.fault),
			Signals: truth(c, "ListSignals", e.fault), Registrations: truth(c, "ListRegistrations", e.fault),
			Persistent: truth(c, "Persistent", e.fault),
		}
	case c.Is("SubscriptionFilter"):
		m.Params.Subscriptions = &SubscriptionFilter{
			Node: c, Channel: job.Text(c, "ChannelID"), Device: job.Text(c, "DeviceID"), URL: job.Text(c, "URL"),
			Types: tokens(c, "MessageTypes"),
		}
	}
}

func (e *Envelope) submission(n jdf.Node) *Submission {
	s := &Submission{
		Node: n, URL: job.Text(n, "URL"), Priority: whole(n, "Priority", e.fault),
		Held: truth(n, "Hold", e.fault), Activated: job.Text(n, "Activation"),
		ReturnJMF: job.Text(n, "ReturnJMF"), ReturnURL: job.Text(n, "ReturnURL"),
		Gang: job.Text(n, "GangName"), Policy: job.Text(n, "GangPolicy"),
		Next: job.Text(n, "NextQueueEntryID"), Previous: job.Text(n, "PrevQueueEntryID"), Request: job.Text(n, "refID"),
	}
	if s.Activated.Given {
		s.Held = job.Of(s.Activated.Value == "Held", s.Activated.Place)
	}
	return s
}

func entryRequest(n jdf.Node) *EntryRequest {
	return &EntryRequest{
		Node: n, QueueURL: job.Text(n, "QueueURL"), JobID: job.Text(n, "JobID"), PartID: job.Text(n, "JobPartID"),
		Activation: job.Text(n, "Activation"), Policy: job.Text(n, "SubmitPolicy"), Part: partOf(n.Child("Part")),
	}
}

// queueOf finds the filter that stands where each generation and version has it.
func (e *Envelope) queueOf(n jdf.Node) *QueueFilter {
	for _, home := range []jdf.Node{n.Child("QueueStatusParams"), n.Child("FlushQueueParams"), n} {
		if f := home.Child("QueueFilter"); f.Valid() {
			filter := e.queueFilter(f)
			filter.Changes = job.First(filter.Changes, job.Text(home, "UpdateGranularity"))
			return filter
		}
	}
	return nil
}

func (e *Envelope) queueFilter(n jdf.Node) *QueueFilter {
	return &QueueFilter{
		Node: n, Entries: job.First(tokens(n, "QueueEntryIDs"), entryDefs(n)),
		JobID: job.Text(n, "JobID"), PartID: job.Text(n, "JobPartID"), Parts: partsOf(n),
		Status: tokens(n, "StatusList"), Gangs: tokens(n, "GangNames"), Devices: devicesOf(n),
		Activation: job.Text(n, "Activation"), First: job.Text(n, "FirstEntry"), Last: job.Text(n, "LastEntry"),
		Most: whole(n, "MaxEntries", e.fault), MinPriority: whole(n, "MinPriority", e.fault),
		MaxPriority: whole(n, "MaxPriority", e.fault), NewerThan: moment(n, "NewerThan", e.fault),
		OlderThan: moment(n, "OlderThan", e.fault), Details: job.Text(n, "QueueEntryDetails"),
		Changes: job.Text(n, "UpdateGranularity"),
	}
}

// operations are the operations that JMF has as commands of their own.
//
// Source: message types of the JDF schema. From memory: which operation of XJMF each is.
var operations = map[string]Operation{
	"AbortQueueEntry": Abort, "HoldQueueEntry": Hold, "RemoveQueueEntry": Remove, "ResumeQueueEntry": Resume,
	"SuspendQueueEntry": Suspend, "SetQueueEntryPosition": Move, "SetQueueEntryPriority": SetPriority,
}

// modification reads a command to entries. JMF has them in parameters that are
// named after the command, before 1.5 in the message itself.
func (e *Envelope) modification(n jdf.Node, kind string) *Modification {
	if p := n.Child("ModifyQueueEntryParams"); kind == "ModifyQueueEntry" {
		return e.secondModification(p)
	}
	op, ok := operations[kind]
	if !ok {
		return nil
	}
	p := n
	for _, name := range []string{kind + "Params", "QueueEntryPosParams", "QueueEntryPriParams"} {
		if c := n.Child(name); c.Valid() {
			p = c
		}
	}
	m := &Modification{Node: p, Operation: job.Of(op, n.Attr("Type").Place())}
	if end := job.Text(p, "EndStatus"); op == Abort && end.Value == "Completed" {
		m.Operation = job.Of(Complete, end.Place)
	}
	m.Priority, m.Position = whole(p, "Priority", e.fault), whole(p, "Position", e.fault)
	m.Next, m.Previous = job.Text(p, "NextQueueEntryID"), job.Text(p, "PrevQueueEntryID")
	// The filter of a move says which part of the queue is told afterwards.
	if f := job.First(childOf(p, "QueueFilter"), childOf(n, "QueueFilter")); f.Given && op != Move {
		m.Filter = e.queueFilter(f.Value)
	}
	ids := entryDefs(n)
	if id := job.Text(p, "QueueEntryID"); id.Given {
		ids = job.Of([]string{id.Value}, id.Place)
	}
	if ids.Given {
		// Before 1.5 the filter beside the entry was about the answer alone.
		m.Filter = &QueueFilter{Node: p, Entries: ids}
	}
	return m
}

func (e *Envelope) secondModification(p jdf.Node) *Modification {
	op := job.Text(p, "Operation")
	m := &Modification{
		Node: p, Operation: job.Fact[Operation]{Value: Operation(op.Value), Place: op.Place, Given: op.Given},
		Priority: whole(p, "Priority", e.fault), Position: whole(p, "Position", e.fault),
		Next: job.Text(p, "NextQueueEntryID"), Previous: job.Text(p, "PrevQueueEntryID"), Gang: job.Text(p, "GangName"),
	}
	if f := p.Child("QueueFilter"); f.Valid() {
		m.Filter = e.queueFilter(f)
	}
	placed := m.Position.Given || m.Next.Given || m.Previous.Given
	if m.Operation.Value == Move && m.Priority.Given && !placed {
		m.Operation.Value = SetPriority
	}
	return m
}

// childOf is a child as a Fact.
func childOf(n jdf.Node, local string) job.Fact[jdf.Node] {
	c := n.Child(local)
	return job.Fact[jdf.Node]{Value: c, Place: c.Place(), Given: c.Valid()}
}

// entryDefs lists the entries that QueueEntryDef elements name.
func entryDefs(n jdf.Node) job.Fact[[]string] { return named(n, "QueueEntryDef", "QueueEntryID") }

// devicesOf lists the devices that Device elements name.
func devicesOf(n jdf.Node) job.Fact[[]string] { return named(n, "Device", "DeviceID") }

func named(n jdf.Node, child, attr string) job.Fact[[]string] {
	var all job.Fact[[]string]
	for c := range n.ChildrenNamed(child) {
		if id := job.Text(c, attr); id.Given {
			if !all.Given {
				all.Place = id.Place
			}
			all = job.Of(append(all.Value, id.Value), all.Place)
		}
	}
	return all
}

// tokens reads a list of words.
func tokens(n jdf.Node, name string) job.Fact[[]string] {
	t := job.Text(n, name)
	if !t.Given {
		return job.Fact[[]string]{}
	}
	return job.Of(strings.Fields(t.Value), t.Place)
}

// partsOf reads the Part elements.
func partsOf(n jdf.Node) []job.Part {
	var all []job.Part
	for c := range n.ChildrenNamed("Part") {
		all = append(all, partOf(c))
	}
	return all
}

// partOf reads one Part element.
func partOf(n jdf.Node) job.Part {
	var pairs []string
	for a := range n.Attrs() {
		if a.Name().Space == "" {
			pairs = append(pairs, a.Local(), strings.TrimSpace(a.Value()))
		}
	}
	return job.NewPart(pairs...)
}
