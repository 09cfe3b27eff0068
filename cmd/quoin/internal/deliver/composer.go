package deliver

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"quoin/cmd/quoin/internal/compose"
	"quoin/cmd/quoin/internal/works"
	"quoin/cmd/quoin/internal/works/flow"
	"quoin/jdf"
	"quoin/jdf/message"
	"quoin/validate/plant"
)

// Kinds of deliveries.
const (
	Submit    = "SubmitQueueEntry"
	Return    = "ReturnQueueEntry"
	Recall    = "AbortQueueEntry"
	Stop      = "StopPersistentChannel"
	Subscribe = "Subscribe"
)

// Composer writes messages to devices and to the senders of tickets.
type Composer struct {
	Sender       string        // SenderID or DeviceID of the service
	AgentVersion string        // of the program
	Public       string        // URL of the service, where devices send their messages to
	Repeat       time.Duration // between the signals that devices are asked for; default a minute
}

// envelope begins a message with one id. The time is that of what it is about, so
// that the message is the same when it is written again.
func (c *Composer) envelope(id, receiver string, version jdf.Version, at time.Time) *compose.Envelope {
	n := 0
	if version.Major < 2 {
		n = 1 // a document of JMF has no id, so that the first is that of the message
	}
	return compose.New(compose.Options{
		Version: version, Sender: c.Sender, Receiver: receiver, AgentVersion: c.AgentVersion,
		Clock: func() time.Time { return at },
		NewID: func() string {
			n++
			switch n {
			case 1:
				return id + "-0" // of the document
			case 2:
				return id
			}
			return id + "-" + strconv.Itoa(n)
		},
	})
}

// Version is the version of the standard that a dialect is written in.
func Version(dialect string) jdf.Version {
	if dialect == string(plant.JMF) {
		return jdf.LastJDF
	}
	return jdf.LastXJDF
}

// messages is where the service takes messages.
func (c *Composer) messages() string { return c.Public + "/jmf" }

// Submit gives a step to its device: in a package with its ticket, or as a file in
// its hot folder.
func (c *Composer) Submit(
	id string, k *works.Ticket, p *works.Step, d *works.Device, ticket []byte,
) (flow.Wire, error) {
	name := cleanName(p.TicketName)
	if d.URL == "" {
		if d.Folder == "" {
			return flow.Wire{}, nil
		}
		return flow.Wire{Kind: Submit, Address: d.Folder, Media: p.TicketType, Name: name, Body: ticket}, nil
	}
	e := c.envelope(id, d.ID, Version(d.Dialect), p.Changed)
	file := compose.Attachment{ID: "ticket", Name: name, Type: p.TicketType, Data: ticket}
	priority := k.Priority
	e.Submit(compose.Submission{URL: e.URL(file), Priority: &priority, ReturnJMF: c.messages()})
	return pack(Submit, d.URL, e, file)
}

func pack(kind, address string, e *compose.Envelope, files ...compose.Attachment) (flow.Wire, error) {
	body, media, err := compose.Package(e, files...)
	if err != nil {
		return flow.Wire{}, err
	}
	return flow.Wire{Kind: kind, Address: address, Media: media, Body: body}, nil
}

// cleanName is a file name without anything that leads elsewhere.
func cleanName(name string) string {
	name = strings.Map(func(c rune) rune {
		if c < 0x20 || c == 0x7f || strings.ContainsRune(`/\:*?"<>|`, c) {
			return '_'
		}
		return c
	}, name)
	if name = strings.TrimLeft(name, "."); name == "" {
		return "ticket"
	}
	return name
}

// Recall takes a step back from its device, when the device has given it an id.
func (c *Composer) Recall(id string, _ *works.Ticket, p *works.Step, d *works.Device) (flow.Wire, error) {
	if d.URL == "" || p.Queued == "" {
		return flow.Wire{}, nil
	}
	e := c.envelope(id, d.ID, Version(d.Dialect), p.Changed)
	e.Modify(compose.Change{Operation: message.Abort, Entries: []string{p.Queued}})
	return pack(Recall, d.URL, e)
}

// Modify asks the device of a step to hold or let go what it is at. The zero Wire
// says that the device can not be asked.
func (c *Composer) Modify(
	id string, op message.Operation, p *works.Step, d *works.Device, at time.Time,
) (flow.Wire, error) {
	if d.URL == "" || p.Queued == "" {
		return flow.Wire{}, nil
	}
	e := c.envelope(id, d.ID, Version(d.Dialect), at)
	e.Modify(compose.Change{Operation: op, Entries: []string{p.Queued}})
	return pack(string(op)+"QueueEntry", d.URL, e)
}

// Subscriptions ask a device to end what it may still tell of an earlier life, and
// to tell its status, its resources and its events from now on.
func (c *Composer) Subscriptions(id func(n int) string, d *works.Device) ([]flow.Wire, error) {
	if d.URL == "" {
		return nil, nil
	}
	every := c.Repeat
	if every <= 0 {
		every = time.Minute
	}
	var wires []flow.Wire
	at := d.Heard // a moment that stays the same when the message is written again
	e := c.envelope(id(0), d.ID, Version(d.Dialect), at)
	e.StopChannel(compose.Stop{URL: c.messages(), Device: d.ID})
	wire, err := pack(Stop, d.URL, e)
	if err != nil {
		return nil, err
	}
	wires = append(wires, wire)
	for _, q := range []compose.Question{
		{Type: "Status", Tell: &compose.Subscription{URL: c.messages(), RepeatTime: every}},
		{Type: "Resource", Tell: &compose.Subscription{URL: c.messages()}},
		{Type: "Notification", Tell: &compose.Subscription{URL: c.messages()}},
	} {
		e := c.envelope(id(len(wires)), d.ID, Version(d.Dialect), at)
		if e.Ask(q) == "" {
			continue // this generation has no such subscription
		}
		wire, err := pack(Subscribe, d.URL, e)
		if err != nil {
			return nil, fmt.Errorf("subscribe to %s: %w", q.Type, err)
		}
		wire.Channel = &works.Subscription{
			Query: q.Type, Dialect: d.Dialect, URL: d.URL, RepeatTime: q.Tell.RepeatTime,
		}
		wires = append(wires, wire)
	}
	return wires, nil
}

// Acknowledge writes the acknowledge of JMF that a response has promised.
func (c *Composer) Acknowledge(
	id, receiver string, at time.Time, r compose.Reply, types []string,
) (body []byte, media string, err error) {
	e := c.envelope(id, receiver, jdf.LastJDF, at)
	e.Acknowledge(r, types...)
	return compose.Package(e)
}

// Signal begins a signal to who subscribed with a message of a version.
func (c *Composer) Signal(id, receiver string, version jdf.Version, at time.Time) *compose.Envelope {
	return c.envelope(id, receiver, version, at)
}
