package compose

import (
	"slices"
	"strconv"
	"strings"

	"github.com/beevik/etree"

	"quoin/cmd/quoin/internal/queue"
	"quoin/jdf/message"
)

// Outcome is how a question was answered.
type Outcome struct {
	Code     message.Code
	Comments []string // what went wrong and what to do, a sentence each
	Class    string   // of the Notification; "" is Error, Information with Success, Warning with AlreadyInStatus
}

// Reply is a response to one question. What its type has no place for is left out.
type Reply struct {
	Type  string // that of the question
	RefID string // ID of the question
	Outcome

	Device       string // XJMF: who it is about, when that is not the sender
	Subscribed   bool   // the subscription was taken
	Acknowledged bool   // JMF: an Acknowledge follows

	Entries   []queue.Entry
	Queue     *Queue
	State     *DeviceState
	States    []DeviceState // JMF: several devices
	Resources []ResourceReport
	Devices   []Device
	Services  []Service
	Channels  []Channel
}

// Respond writes a response.
func (e *Envelope) Respond(r Reply) string { return e.reply(message.Response, r) }

// Acknowledge writes the Acknowledge that a response has promised, with the
// types it stands for, such as Completed. XJMF has none: "" is returned, and
// nothing written.
func (e *Envelope) Acknowledge(r Reply, types ...string) string {
	if !e.first() {
		return ""
	}
	id := e.reply(message.Acknowledge, r)
	messages := e.root.ChildElements()
	e.set(messages[len(messages)-1], 1, "AcknowledgeType", strings.Join(types, " "))
	return id
}

func (e *Envelope) reply(family message.Family, r Reply) string {
	m, id := e.message(about{family: family, kind: r.Type, refID: r.RefID, device: r.Device})
	m.CreateAttr("ReturnCode", strconv.Itoa(int(r.Code)))
	if e.first() && family == message.Response {
		if r.Acknowledged {
			m.CreateAttr("Acknowledged", "true")
		}
		if r.Subscribed {
			m.CreateAttr("Subscribed", "true")
		}
	}
	if !e.first() {
		e.failure(m, r.Outcome)
		e.secondContent(m, r)
		return id
	}
	e.firstContent(m, r)
	e.failure(m, r.Outcome)
	return id
}

func (e *Envelope) secondContent(m *etree.Element, r Reply) {
	switch r.Type {
	case "SubmitQueueEntry":
		for _, entry := range r.Entries[:min(1, len(r.Entries))] {
			e.entry(m, entry)
		}
	case "ModifyQueueEntry":
		for _, entry := range r.Entries {
			e.entry(m, entry)
		}
	case "QueueStatus":
		if r.Queue != nil {
			e.queue(m, *r.Queue)
		}
	case "Status":
		if r.State != nil {
			e.deviceInfo(m, *r.State)
		}
	case "Resource":
		for _, report := range r.Resources {
			e.resourceInfo(m, report)
		}
	case "KnownDevices":
		for _, d := range r.Devices {
			e.device(m, d)
		}
	case "KnownMessages":
		for _, s := range r.Services {
			e.secondService(m, s)
		}
	case "KnownSubscriptions", "StopPersistentChannel":
		for _, c := range r.Channels {
			e.channel(m, c)
		}
	}
}

// needs is what the schema wants in a response of JMF, whatever it says.
//
// Source: JDF schema, the cardinalities of responses.
var needs = map[string]string{
	"Status": "DeviceInfo", "WakeUp": "DeviceInfo", "ShutDown": "DeviceInfo",
	"QueueStatus": "Queue", "SetQueueEntryPosition": "Queue",
	"PipePull": "JobPhase", "PipePush": "JobPhase", "PipePause": "JobPhase", "ResourcePull": "QueueEntry",
}

// firstContent writes what a response of JMF holds. Before 1.5 the queue stands
// in the answers to all commands to it.
func (e *Envelope) firstContent(m *etree.Element, r Reply) {
	if r.State != nil {
		r.States = append([]DeviceState{*r.State}, r.States...)
	}
	switch r.Type {
	case "SubmitQueueEntry", "QueueEntryStatus":
		for _, entry := range r.Entries {
			e.entry(m, entry)
		}
	case "Status":
		for _, s := range r.States {
			e.deviceInfo(m, s)
		}
	case "Resource":
		for _, report := range r.Resources {
			e.resourceInfo(m, report)
		}
	case "KnownDevices":
		list := m.CreateElement("DeviceList")
		for _, d := range r.Devices {
			info := list.CreateElement("DeviceInfo")
			info.CreateAttr("DeviceStatus", e.state(d.State))
			e.device(info, d)
		}
	case "KnownMessages":
		for _, s := range r.Services {
			e.firstService(m, s)
		}
	case "KnownSubscriptions":
		for _, c := range r.Channels {
			e.channel(m, c)
		}
	case "SubmissionMethods":
		if r.Code == message.Success {
			el := m.CreateElement("SubmissionMethods")
			e.set(el, 3, "Packaging", "MIME")
			el.CreateAttr("URLSchemes", "cid")
		}
	}
	need := needs[r.Type]
	version := e.opt.Version.Minor
	if r.Queue != nil && (need == "Queue" || version < 5 && strings.Contains(r.Type, "Queue") ||
		version <= 5 && r.Type == "Status") {
		e.queue(m, *r.Queue)
	}
	e.need(m, need)
}

// need writes the least that a response must hold.
func (e *Envelope) need(m *etree.Element, name string) {
	if name == "" || m.SelectElement(name) != nil {
		return
	}
	switch name {
	case "Queue":
		e.queue(m, Queue{}).RemoveAttr("QueueSize") // which is not known
	case "DeviceInfo":
		e.deviceInfo(m, DeviceState{})
	case "JobPhase":
		m.CreateElement(name).CreateAttr("Status", "Waiting")
	case "QueueEntry":
		e.entry(m, queue.Entry{ID: "none", Standing: queue.Standing{State: queue.Aborted}})
	}
}

func (e *Envelope) device(to *etree.Element, d Device) {
	el := to.CreateElement("Device")
	e.token(el, "DeviceID", d.ID)
	e.set(el, 0, "DeviceType", d.Type)
	e.set(el, 0, "Manufacturer", d.Manufacturer)
	if e.first() {
		e.set(el, 0, "DescriptiveName", d.Name)
		e.set(el, 3, "JDFInputURL", d.Folder)
		first := slices.DeleteFunc(slices.Clone(d.MessageVersions), func(v string) bool {
			return !strings.HasPrefix(v,
				"1.")
		})
		e.set(el, 3, "JDFVersions", strings.Join(first, " "))
		e.set(el, 3, "JMFURL", d.URL)
		if d.CostCentre != "" {
			el.CreateElement("CostCenter").CreateAttr("CostCenterID", d.CostCentre)
		}
		return
	}
	e.token(el, "CostCenterID", d.CostCentre)
	e.set(el, 0, "DescriptiveName", d.Name)
	e.words(el, "DeviceClass", tokens(d.Class))
	e.words(el, "JDFVersions", d.MessageVersions)
	e.set(el, 0, "XJMFURL", d.URL)
}

func (e *Envelope) firstService(to *etree.Element, s Service) {
	el := to.CreateElement("MessageService")
	flag := func(since int, name string, on bool) {
		if on {
			e.set(el, since, name, "true")
		}
	}
	flag(1, "Acknowledge", s.Acknowledge)
	if s.Signal {
		e.set(el, 4, "ChannelMode", "FireAndForget Reliable")
	}
	flag(0, "Command", s.Command)
	e.set(el, 3, "JMFRole", "Receiver")
	flag(0, "Persistent", s.Signal)
	flag(0, "Query", s.Query)
	flag(3, "Registration", s.Registration)
	flag(0, "Signal", s.Signal)
	el.CreateAttr("Type", s.Type)
	e.set(el, 1, "URLSchemes", strings.Join(s.Schemes, " "))
}

func (e *Envelope) secondService(to *etree.Element, s Service) {
	for _, f := range []struct {
		family message.Family
		on     bool
	}{{message.Query, s.Query}, {message.Command, s.Command}, {message.Signal, s.Signal && !s.Query}} {
		if !f.on {
			continue
		}
		el := to.CreateElement("MessageService")
		modes := "Response"
		if s.Signal && f.family != message.Command {
			modes = "FireAndForget Reliable Response"
		}
		el.CreateAttr("ResponseModes", modes)
		el.CreateAttr("Type", string(f.family)+s.Type)
		e.words(el, "URLSchemes", s.Schemes)
	}
}

func (e *Envelope) channel(to *etree.Element, c Channel) {
	el := to.CreateElement("SubscriptionInfo")
	e.set(el, 0, "ChannelID", nmtoken(c.ID))
	if e.first() {
		e.set(el, 0, "Family", "Signal")
		e.set(el, 0, "MessageType", nmtoken(c.Type))
		e.set(el, 0, "SenderID", c.Sender)
	} else {
		e.token(el, "DeviceID", c.Sender)
		e.token(el, "MessageType", "Signal"+c.Type)
	}
	e.subscription(el, c.Subscription)
}
