package compose

import (
	"github.com/beevik/etree"

	"quoin/jdf/message"
)

// command begins a command. The URL is for JMF.
func (e *Envelope) command(kind, acknowledgeURL string) (*etree.Element, string) {
	m, id := e.message(about{family: message.Command, kind: kind})
	if e.first() {
		e.set(m, 0, "AcknowledgeURL", acknowledgeURL)
	}
	return m, id
}

// Submit writes a SubmitQueueEntry command. It gives the ID of the message, as
// all that write a question do: the answer refers to it.
func (e *Envelope) Submit(s Submission) string {
	m, id := e.command("SubmitQueueEntry", s.AcknowledgeURL)
	p := m.CreateElement("QueueSubmissionParams")
	switch {
	case s.Held && e.first():
		p.CreateAttr("Hold", "true")
	case s.Held:
		p.CreateAttr("Activation", "Held")
	}
	e.tokenSince(p, 3, "GangName", s.Gang)
	e.set(p, 3, "GangPolicy", s.Policy)
	e.token(p, "NextQueueEntryID", s.Next)
	e.token(p, "PrevQueueEntryID", s.Previous)
	e.whole(p, 0, "Priority", s.Priority)
	e.set(p, 2, "ReturnJMF", s.ReturnJMF)
	if e.first() {
		e.set(p, 2, "ReturnURL", s.ReturnURL)
	}
	e.set(p, 0, "URL", s.URL)
	return id
}

// Resubmit writes a ResubmitQueueEntry command.
func (e *Envelope) Resubmit(r Resubmission) string {
	m, id := e.command("ResubmitQueueEntry", "")
	p := m.CreateElement("ResubmissionParams")
	e.token(p, "QueueEntryID", r.Entry)
	if !e.first() {
		method := r.Method
		if method == "" {
			method = "Complete"
		}
		p.CreateAttr("UpdateMethod", method)
	}
	e.set(p, 0, "URL", r.URL)
	return id
}

// Return writes a ReturnQueueEntry command.
func (e *Envelope) Return(r Return) string {
	m, id := e.command("ReturnQueueEntry", "")
	p := m.CreateElement("ReturnQueueEntryParams")
	if e.first() {
		e.words(p, "Aborted", r.Aborted)
		e.words(p, "Completed", r.Completed)
	}
	e.token(p, "QueueEntryID", r.Entry)
	e.set(p, 0, "URL", r.URL)
	return id
}

// Request writes a RequestQueueEntry command.
func (e *Envelope) Request(r EntryRequest) string {
	m, id := e.command("RequestQueueEntry", "")
	p := m.CreateElement("RequestQueueEntryParams")
	e.set(p, 4, "Activation", r.Activation)
	e.token(p, "JobID", r.JobID)
	e.token(p, "JobPartID", r.PartID)
	e.set(p, 0, "QueueURL", r.QueueURL)
	e.part(p, r.Part)
	return id
}

// StopChannel writes a StopPersistentChannel command.
func (e *Envelope) StopChannel(s Stop) string {
	m, id := e.command("StopPersistentChannel", "")
	p := m.CreateElement("StopPersChParams")
	e.token(p, "ChannelID", s.Channel)
	if s.Type != "" {
		kind := s.Type
		if !e.first() {
			kind = "Signal" + kind
		}
		e.token(p, "MessageType", kind)
	}
	if e.first() {
		e.set(p, 0, "DeviceID", s.Device)
	}
	e.set(p, 0, "URL", s.URL)
	return id
}

// firstCommands are the types that JMF has for operations on entries. It has
// none for SetGang.
//
// Source: message types of the JDF schema.
var firstCommands = map[message.Operation]string{
	message.Abort: "AbortQueueEntry", message.Complete: "AbortQueueEntry", message.Hold: "HoldQueueEntry",
	message.Remove: "RemoveQueueEntry", message.Resume: "ResumeQueueEntry", message.Suspend: "SuspendQueueEntry",
	message.Move: "SetQueueEntryPosition", message.SetPriority: "SetQueueEntryPriority",
}

// Modify writes a command to entries. It gives "" for an operation that the
// generation does not have, and writes nothing.
func (e *Envelope) Modify(c Change) string {
	if !e.first() {
		return e.secondModify(c)
	}
	kind := firstCommands[c.Operation]
	if kind == "" {
		return ""
	}
	m, id := e.command(kind, c.AcknowledgeURL)
	switch c.Operation {
	case message.Move:
		p := m.CreateElement("QueueEntryPosParams")
		e.set(p, 0, "NextQueueEntryID", c.Next)
		e.whole(p, 0, "Position", c.Position)
		e.set(p, 0, "PrevQueueEntryID", c.Previous)
		e.set(p, 0, "QueueEntryID", firstOf(c.Entries))
		return id
	case message.SetPriority:
		p := m.CreateElement("QueueEntryPriParams")
		e.whole(p, 0, "Priority", c.Priority)
		if e.opt.Version.Minor >= 5 {
			e.filter(p, c.Filter, c.Entries)
		} else {
			e.set(p, 0, "QueueEntryID", firstOf(c.Entries))
		}
		return id
	}
	p := m
	if e.opt.Version.Minor >= 5 {
		p = m.CreateElement(kind + "Params")
	}
	if kind == "AbortQueueEntry" && p != m {
		end := "Aborted"
		if c.Operation == message.Complete {
			end = "Completed"
		}
		p.CreateAttr("EndStatus", end)
	}
	switch {
	case p == m && c.Filter == nil:
		if id := firstOf(c.Entries); id != "" {
			m.CreateElement("QueueEntryDef").CreateAttr("QueueEntryID", id)
		}
	default:
		e.filter(p, c.Filter, c.Entries)
	}
	return id
}

func (e *Envelope) secondModify(c Change) string {
	m, id := e.command("ModifyQueueEntry", "")
	p := m.CreateElement("ModifyQueueEntryParams")
	op := c.Operation
	if op == message.SetPriority {
		op = message.Move
	}
	e.token(p, "GangName", c.Gang)
	e.token(p, "NextQueueEntryID", c.Next)
	p.CreateAttr("Operation", string(op))
	e.whole(p, 0, "Position", c.Position)
	e.token(p, "PrevQueueEntryID", c.Previous)
	e.whole(p, 0, "Priority", c.Priority)
	e.filter(p, c.Filter, c.Entries)
	return id
}

func firstOf(values []string) string {
	if len(values) == 0 {
		return ""
	}
	return values[0]
}
