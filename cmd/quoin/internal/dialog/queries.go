package dialog

import (
	"slices"
	"strings"
	"time"

	"quoin/cmd/quoin/internal/compose"
	"quoin/cmd/quoin/internal/queue"
	"quoin/jdf/message"
)

// subscription reads and judges what a query subscribes to.
func (x *exchange) subscription(c call, s *service) (Subscription, *Refusal) {
	p := c.Subscription
	switch {
	case !s.has(signals):
		return Subscription{}, Refuse(message.SubscriptionDenied, "there are no signals of type %s; take the Subscription "+
			"out to be answered once", c.Type)
	case c.ID.Value == "":
		return Subscription{}, Refuse(message.MessageIncomplete, "the query has no ID, by which the subscription could be "+
			"stopped; give it one")
	case !p.URL.Given:
		return Subscription{}, Refuse(message.InsufficientParams, "Subscription/@URL is missing; say where signals go")
	case p.RepeatTime.Given && !(p.RepeatTime.Value > 0 && p.RepeatTime.Value <= maxRepeat.Seconds()):
		return Subscription{}, Refuse(message.InvalidParameters, "RepeatTime is %v; want more than 0 seconds and at most a "+
			"year; leave it out to be told of changes only", p.RepeatTime.Value)
	case p.RepeatStep.Given && p.RepeatStep.Value <= 0:
		return Subscription{}, Refuse(message.InvalidParameters, "RepeatStep is %d; want more than 0", p.RepeatStep.Value)
	}
	if r := address(p.URL, "Subscription/@URL"); r != nil {
		return Subscription{}, r
	}
	modes := strings.Fields(p.Channel.Value)
	return Subscription{
		Channel: c.ID.Value, Type: c.Type, Message: c.Message,
		Subscription: compose.Subscription{
			URL: p.URL.Value, RepeatTime: time.Duration(p.RepeatTime.Value * float64(time.Second)),
			RepeatStep: p.RepeatStep.Value, Reliable: len(modes) > 0 && modes[0] == "Reliable",
		},
	}, nil
}

// maxRepeat is the longest time between two signals that is taken for meant.
const maxRepeat = 366 * 24 * time.Hour

func (x *exchange) queueStatus(c call) compose.Reply {
	q, err := x.Works.Queue(c.ctx, c.from, c.Params.Queue)
	r := x.done(c, err)
	if r.Code == message.Success {
		r.Queue = &q
	}
	return r
}

// entryStatus answers the query that JMF had before QueueStatus.
func (x *exchange) entryStatus(c call) compose.Reply {
	ids := c.Params.Entries
	if !ids.Given {
		return missing("QueueEntryDefList/QueueEntryDef")
	}
	q, err := x.Works.Queue(c.ctx, c.from, &message.QueueFilter{Node: c.Node, Entries: ids})
	r := x.done(c, err)
	if r.Code != message.Success {
		return r
	}
	r.Entries = q.Entries
	for _, id := range ids.Value {
		known := false
		for _, e := range q.Entries {
			known = known || e.ID == id
		}
		if !known && len(r.Comments) < mostComments {
			r.Code = message.EntryUnknown
			r.Comments = append(r.Comments, queue.Refusal(id, queue.Absent, queue.Update, r.Code))
		}
	}
	return r
}

func (x *exchange) status(c call) compose.Reply {
	second := x.envelope.Document.Kind.Second()
	if c.Subscription != nil && second {
		return compose.Reply{} // the signals tell it
	}
	states, err := x.Works.Status(c.ctx, c.from, c.Params.Status)
	r := x.done(c, err)
	if r.Code != message.Success || len(states) == 0 {
		return r
	}
	if second {
		// A response tells of one device: one each, this one last.
		for _, s := range states[:len(states)-1] {
			x.respond(c.Message, compose.Reply{State: &s, Device: s.Device})
		}
		last := states[len(states)-1]
		r.State, r.Device = &last, last.Device
		return r
	}
	r.States = states
	if p := c.Params.Status; p != nil && p.Queue.Value {
		if q, err := x.Works.Queue(c.ctx, c.from, nil); err == nil && x.envelope.Document.Version.Minor <= 5 {
			r.Queue = &q
		}
	}
	return r
}

func (x *exchange) resources(c call) compose.Reply {
	if c.Subscription != nil && x.envelope.Document.Kind.Second() {
		return compose.Reply{}
	}
	reports, err := x.Works.Resources(c.ctx, c.from, c.Params.Resource)
	r := x.done(c, err)
	r.Resources = reports
	return r
}

func (x *exchange) notices(c call) compose.Reply {
	if c.Subscription == nil {
		return refused(Refuse(message.InsufficientParams, "the Notification query has no Subscription, and there is nothing "+
			"to answer at once; add one"))
	}
	return compose.Reply{}
}

func (x *exchange) devices(c call) compose.Reply {
	devices, err := x.Works.Devices(c.ctx, c.from, c.Params.Devices)
	r := x.done(c, err)
	r.Devices = devices
	return r
}

func (x *exchange) channels(c call) compose.Reply {
	channels, err := x.Works.Channels(c.ctx, c.from, c.Params.Subscriptions)
	r := x.done(c, err)
	r.Channels = channels
	return r
}

func (x *exchange) methods(call) compose.Reply { return compose.Reply{} }

// messages lists what is answered, from the table that answers.
func (x *exchange) messages(c call) compose.Reply {
	f := c.Params.Services
	if f == nil {
		f = &message.ServiceFilter{}
	}
	schemes := x.Schemes
	if len(schemes) == 0 {
		schemes = []string{"http"}
	}
	r := compose.Reply{}
	for _, s := range services() {
		if !s.speaks(x.envelope.Document) {
			continue
		}
		one := compose.Service{
			Type: s.kind, Query: s.family == message.Query && f.Queries.Or(true),
			Command: s.family == message.Command && f.Commands.Or(true), Signal: s.offers(x.envelope.Document) && f.Signals.Or(true),
			Acknowledge: s.has(later) && x.envelope.Document.Kind.First(), Schemes: schemes,
		}
		if (one.Query || one.Command || one.Signal) && (!f.Persistent.Value || s.offers(x.envelope.Document)) {
			r.Services = append(r.Services, one)
		}
	}
	slices.SortStableFunc(r.Services, func(a, b compose.Service) int { return strings.Compare(a.Type, b.Type) })
	return r
}
