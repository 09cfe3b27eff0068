package message

import (
	"quoin/jdf"
	"quoin/jdf/job"
)

// Answers are the particulars of a response. What it does not tell is empty.
type Answers struct {
	Queue         *Queue
	Devices       []*Device
	Services      []*Service
	Subscriptions []*SubscriptionInfo
	Subscribed    job.Fact[bool] // JMF: the subscription was taken
}

// Queue is the state of a queue; its entries are Message.QueueEntries.
type Queue struct {
	Node   jdf.Node
	Device job.Fact[string] // JMF
	Status job.Fact[string] // JMF: Blocked, Closed, Full, Running, Waiting or Held
	Size   job.Fact[int]
	Max    job.Fact[int]
}

// Device is a machine that a KnownDevices message names.
type Device struct {
	Node    jdf.Node
	ID      job.Fact[string]
	Name    job.Fact[string] // DescriptiveName or FriendlyName
	Type    job.Fact[string] // DeviceType
	Classes job.Fact[[]string]
	URL     job.Fact[string] // XJMFURL or JMFURL
	Status  job.Fact[string] // JMF: DeviceStatus
}

// Service is a type of message that the sender understands. JMF gives the type
// and the families apart; XJMF writes them together, and here they are apart.
type Service struct {
	Node                                          jdf.Node
	Type                                          string
	Query, Command, Signal, Registration, Persist bool
}

// SubscriptionInfo is a subscription that the sender keeps or has ended.
type SubscriptionInfo struct {
	Node         jdf.Node
	Channel      job.Fact[string] // ChannelID
	Type         job.Fact[string] // MessageType
	Sender       job.Fact[string] // SenderID of JMF, DeviceID of XJMF
	Subscription *Subscription
}

// answers reads the particulars of a response or signal.
func (e *Envelope) answers(n jdf.Node, m *Message) {
	if m.Space != "" || m.Family != Response && m.Family != Signal && m.Family != Acknowledge {
		return
	}
	m.Answers.Subscribed = truth(n, "Subscribed", e.fault)
	for c := range n.Children() {
		switch {
		case c.Is("Queue"):
			m.Answers.Queue = &Queue{
				Node: c, Device: job.Text(c, "DeviceID"), Status: job.Text(c, "Status"),
				Size: whole(c, "QueueSize", e.fault), Max: whole(c, "MaxQueueSize", e.fault),
			}
		case c.Is("Device") && m.Type == "KnownDevices":
			m.Answers.Devices = append(m.Answers.Devices, device(c))
		case c.Is("DeviceList"):
			for info := range c.ChildrenNamed("DeviceInfo") {
				d := device(info.Child("Device"))
				d.ID = job.First(d.ID, job.Text(info, "DeviceID"))
				d.Status = job.Text(info, "DeviceStatus")
				m.Answers.Devices = append(m.Answers.Devices, d)
			}
		case c.Is("MessageService"):
			m.Answers.Services = append(m.Answers.Services, e.service(c))
		case c.Is("SubscriptionInfo"):
			s := &SubscriptionInfo{
				Node: c, Channel: job.Text(c, "ChannelID"), Type: job.Text(c, "MessageType"),
				Sender: job.First(job.Text(c, "SenderID"), job.Text(c, "DeviceID")),
			}
			if sub := c.Child("Subscription"); sub.Valid() {
				s.Subscription = e.subscription(sub)
			}
			m.Answers.Subscriptions = append(m.Answers.Subscriptions, s)
		}
	}
}

func device(n jdf.Node) *Device {
	return &Device{
		Node: n, ID: job.Text(n, "DeviceID"), Type: job.Text(n, "DeviceType"), Classes: tokens(n, "DeviceClass"),
		Name: job.First(job.Text(n, "DescriptiveName"), job.Text(n, "FriendlyName")),
		URL:  job.First(job.Text(n, "XJMFURL"), job.Text(n, "JMFURL")),
	}
}

func (e *Envelope) service(n jdf.Node) *Service {
	if n.Space() == jdf.NamespaceXJDF {
		name := n.Get("Type")
		family := familyOf(name, false)
		return &Service{
			Node: n, Type: name[len(family):],
			Query: family == Query, Command: family == Command, Signal: family == Signal,
		}
	}
	said := func(name string) bool { return truth(n, name, e.fault).Value }
	return &Service{
		Node: n, Type: n.Get("Type"), Query: said("Query"), Command: said("Command"), Signal: said("Signal"),
		Registration: said("Registration"), Persist: said("Persistent"),
	}
}
