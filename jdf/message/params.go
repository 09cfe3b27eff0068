package message

import (
	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/jdf/value"
)

// Params are the particulars of a command or query. Those that the message does
// not have are nil.
type Params struct {
	Submission    *Submission
	Resubmission  *Resubmission
	Return        *Return
	Request       *EntryRequest
	Modification  *Modification
	Entries       job.Fact[[]string] // QueueEntryIDs of a QueueEntryStatus query
	Status        *StatusQuery
	Resource      *ResourceQuery
	Notices       *NoticeFilter
	Devices       *DeviceFilter
	Services      *ServiceFilter
	Subscriptions *SubscriptionFilter
	Stop          *StopChannel

	// Queue is the filter of a QueueStatus query or of FlushQueue. In the other
	// commands of JMF it says what is to be told of the queue afterwards.
	Queue *QueueFilter
}

// Submission is a ticket for a queue: QueueSubmissionParams.
type Submission struct {
	Node      jdf.Node
	URL       job.Fact[string]
	Priority  job.Fact[int]
	Held      job.Fact[bool]   // Hold of JMF; Activation Held of XJMF
	Activated job.Fact[string] // Activation of XJMF
	ReturnJMF job.Fact[string]
	ReturnURL job.Fact[string] // JMF
	Gang      job.Fact[string]
	Policy    job.Fact[string] // GangPolicy
	Next      job.Fact[string] // NextQueueEntryID
	Previous  job.Fact[string] // PrevQueueEntryID
	Request   job.Fact[string] // JMF: refID of the RequestQueueEntry that it answers
}

// Resubmission is a ticket for an entry that is in the queue: ResubmissionParams.
type Resubmission struct {
	Node   jdf.Node
	Entry  job.Fact[string]
	URL    job.Fact[string]
	Method job.Fact[string] // UpdateMethod of XJMF: Complete, Incremental or Remove
}

// Return is a ticket that comes back: ReturnQueueEntryParams.
type Return struct {
	Node      jdf.Node
	Entry     job.Fact[string]
	URL       job.Fact[string]
	Completed job.Fact[[]string] // JMF: nodes by ID
	Aborted   job.Fact[[]string] // JMF
}

// EntryRequest asks for work: RequestQueueEntryParams.
type EntryRequest struct {
	Node       jdf.Node
	QueueURL   job.Fact[string]
	JobID      job.Fact[string]
	PartID     job.Fact[string]
	Activation job.Fact[string]
	Policy     job.Fact[string] // SubmitPolicy of JMF: Standard, Late or Force
	Part       job.Part
}

// Operation is what is done to entries of a queue.
type Operation string

// The operations: those of ModifyQueueEntryParams, to which the queue entry
// commands of JMF come down, and SetPriority, which XJMF writes as a Move that
// has a Priority and no place.
//
// Source: XJDF schema, ModifyQueueEntryParams.
const (
	Abort       Operation = "Abort"
	Complete    Operation = "Complete"
	Hold        Operation = "Hold"
	Move        Operation = "Move"
	Remove      Operation = "Remove"
	Resume      Operation = "Resume"
	SetGang     Operation = "SetGang"
	SetPriority Operation = "SetPriority"
	Suspend     Operation = "Suspend"
)

// Modification is a command to entries of a queue, of either generation.
type Modification struct {
	Node      jdf.Node
	Operation job.Fact[Operation]
	Filter    *QueueFilter // the entries; nil when the message names none
	Priority  job.Fact[int]
	Position  job.Fact[int]
	Next      job.Fact[string]
	Previous  job.Fact[string]
	Gang      job.Fact[string]
}

// QueueFilter chooses entries of a queue. What is not given chooses all.
type QueueFilter struct {
	Node        jdf.Node
	Entries     job.Fact[[]string] // QueueEntryIDs
	JobID       job.Fact[string]
	PartID      job.Fact[string]
	Parts       []job.Part
	Status      job.Fact[[]string] // StatusList, in the words of the generation
	Gangs       job.Fact[[]string]
	Devices     job.Fact[[]string] // JMF: DeviceIDs
	Activation  job.Fact[string]   // JMF
	First, Last job.Fact[string]   // FirstEntry and LastEntry: QueueEntryIDs
	Most        job.Fact[int]      // MaxEntries
	MinPriority job.Fact[int]
	MaxPriority job.Fact[int]
	NewerThan   job.Fact[value.DateTime]
	OlderThan   job.Fact[value.DateTime]
	Details     job.Fact[string] // JMF: QueueEntryDetails: None, Brief, JobPhase, JDF or Full
	Changes     job.Fact[string] // UpdateGranularity: All or ChangesOnly
}

// Empty reports whether the filter chooses all entries.
func (f *QueueFilter) Empty() bool {
	return f == nil || !f.Entries.Given && !f.JobID.Given && !f.PartID.Given && f.Parts == nil && !f.Status.Given &&
		!f.Gangs.Given && !f.Devices.Given && !f.Activation.Given && !f.First.Given && !f.Last.Given &&
		!f.MinPriority.Given && !f.MaxPriority.Given && !f.NewerThan.Given && !f.OlderThan.Given
}

// StatusQuery says of what a Status query asks: StatusQuParams.
type StatusQuery struct {
	Node   jdf.Node
	JobID  job.Fact[string]
	PartID job.Fact[string]
	Entry  job.Fact[string]
	Parts  []job.Part
	Queue  job.Fact[bool] // QueueInfo of JMF: the queue as well
}

// ResourceQuery says of what a Resource query asks: ResourceQuParams.
type ResourceQuery struct {
	Node      jdf.Node
	JobID     job.Fact[string]
	PartID    job.Fact[string]
	Entry     job.Fact[string]
	Kinds     job.Fact[[]string] // ResourceName
	Scope     job.Fact[string]   // Allowed, Device, Estimate, Job or Present
	Usage     job.Fact[string]   // JMF
	ProductID job.Fact[string]   // ExternalID of XJMF
	Parts     []job.Part
}

// NoticeFilter chooses notifications: NotificationFilter.
type NoticeFilter struct {
	Node       jdf.Node
	Classes    job.Fact[[]string]
	Milestones job.Fact[[]string]
	Device     job.Fact[string] // JMF, as the next two
	JobID      job.Fact[string]
	Entry      job.Fact[string]
}

// DeviceFilter says how much of devices is to be told.
type DeviceFilter struct {
	Node    jdf.Node
	Details job.Fact[string] // DeviceDetails: None, Brief, Modules, Details, …, Full
	Devices job.Fact[[]string]
}

// ServiceFilter chooses messages: KnownMsgQuParams of JMF. What is not given is
// true, but for Persistent.
type ServiceFilter struct {
	Node                                      jdf.Node
	Commands, Queries, Signals, Registrations job.Fact[bool]
	Persistent                                job.Fact[bool]
}

// SubscriptionFilter chooses subscriptions.
type SubscriptionFilter struct {
	Node    jdf.Node
	Channel job.Fact[string]
	Device  job.Fact[string]
	URL     job.Fact[string]
	Types   job.Fact[[]string] // MessageTypes of JMF
}

// StopChannel ends subscriptions: StopPersChParams.
type StopChannel struct {
	Node    jdf.Node
	Channel job.Fact[string]
	Type    job.Fact[string] // MessageType
	Device  job.Fact[string] // JMF
	URL     job.Fact[string]
}
