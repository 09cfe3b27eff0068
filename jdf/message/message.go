package message

import (
	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/jdf/value"
)

// Family is the part that a message plays between two sides.
type Family string

// The families. XJMF has the first four.
const (
	Query        Family = "Query"
	Command      Family = "Command"
	Signal       Family = "Signal"
	Response     Family = "Response"
	Acknowledge  Family = "Acknowledge"
	Registration Family = "Registration"
)

// families lists all families in the order of their names in an error message.
func families() []Family {
	return []Family{Query, Command, Signal, Response, Acknowledge, Registration}
}

// Envelope is one JMF or XJMF document.
type Envelope struct {
	Document *jdf.Document
	Header   Header
	Messages []*Message  // in the order written
	Faults   []job.Fault // values that could not be read
}

// Header is what a document, or one message in it, says of itself.
type Header struct {
	ID       job.Fact[string]
	RefID    job.Fact[string] // the message that it answers, or the subscription it comes from
	Sender   job.Fact[string] // SenderID of JMF, DeviceID of XJMF
	Receiver job.Fact[string] // DeviceID of JMF: who it is for
	Time     job.Fact[value.DateTime]
	Agent    job.Fact[string]
	Worker   job.Fact[string] // PersonalID
}

// Message is one query, command, signal, response, acknowledge or registration.
type Message struct {
	Header // with what the document says where the message is silent

	Node   jdf.Node
	Family Family
	Type   string    // without the family, such as Status or SubmitQueueEntry
	TypeAt jdf.Place // where the name stands
	Space  string    // namespace of a message that is not of the standard, else ""

	AcknowledgeURL  job.Fact[string]   // JMF: of a command or query, where an acknowledge may go
	AcknowledgeType job.Fact[[]string] // JMF: when one is wanted: Received, Applied, Completed
	Params          Params             // of a command, query or registration
	Answers         Answers            // of a response, acknowledge or signal

	ReturnCode    job.Fact[int]    // of a response; not given means 0
	Acknowledged  job.Fact[bool]   // an acknowledge is to follow
	Channel       job.Fact[string] // of a signal, ChannelMode: FireAndForget or Reliable
	Subscription  *Subscription    // asks for signals
	QueueEntries  []*QueueEntry    // in the order written
	Audits        []*job.Audit     // of Status, Resource and Notification signals and responses
	Notifications []*job.Audit     // what a response or acknowledge of any type says went wrong
}

// Returned is the return code, 0 where a response gives none.
func (m *Message) Returned() int { return m.ReturnCode.Or(0) }

// Subscription asks to be told again, to a URL, as things change.
type Subscription struct {
	Node        jdf.Node
	URL         job.Fact[string]
	Channel     job.Fact[string]  // ChannelMode: FireAndForget or Reliable; XJMF lists those that are liked
	RepeatTime  job.Fact[float64] // seconds
	RepeatStep  job.Fact[int]     // JMF: amount between two signals
	Observation []jdf.Node        // JMF: ObservationTarget
}

// QueueEntry is the state of one entry of a device's queue.
type QueueEntry struct {
	Node       jdf.Node
	ID         job.Fact[string] // QueueEntryID
	JobID      job.Fact[string]
	PartID     job.Fact[string]
	Status     job.Fact[string]
	Details    job.Fact[string]
	Activation job.Fact[string]
	Gang       job.Fact[string]
	Priority   job.Fact[int]
	Submitted  job.Fact[value.DateTime]
	Start, End job.Fact[value.DateTime]
}
