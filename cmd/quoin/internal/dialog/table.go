package dialog

import (
	"context"
	"slices"

	"quoin/cmd/quoin/internal/compose"
	"quoin/cmd/quoin/internal/queue"
	"quoin/jdf"
	"quoin/jdf/message"
	"quoin/schemas"
)

// service is a type of message that is answered. Both dispatching and
// KnownMessages go by the table of these.
type service struct {
	kind   string // type
	family message.Family
	is     traits
	answer func(x *exchange, c call) compose.Reply
}

// traits say where a service is known and what may come of it.
type traits uint8

const (
	inJMF traits = 1 << iota
	inXJMF
	signals // may be subscribed to
	later   // an Acknowledge may follow
	unsaid  // of JMF: that it may be subscribed to is not offered
	both    = inJMF | inXJMF
)

func (s service) has(t traits) bool { return s.is&t == t }

// call is one message on its way to an answer.
type call struct {
	ctx  context.Context
	from From
	*message.Message
}

// services is the table.
//
// Source: message types of both schemas.
func services() []service {
	entry := func(kind string) service { return service{kind, message.Command, inJMF | later, (*exchange).modify} }
	control := func(c queue.Control) service {
		return service{string(c), message.Command, inJMF, func(x *exchange, in call) compose.Reply {
			return x.control(in, c)
		}}
	}
	return []service{
		{"SubmitQueueEntry", message.Command, both | later, (*exchange).submit},
		{"ResubmitQueueEntry", message.Command, both | later, (*exchange).resubmit},
		{"ReturnQueueEntry", message.Command, both, (*exchange).returned},
		{"RequestQueueEntry", message.Command, both, (*exchange).request},
		{"ModifyQueueEntry", message.Command, inXJMF, (*exchange).modify},
		entry("AbortQueueEntry"), entry("HoldQueueEntry"), entry("RemoveQueueEntry"), entry("ResumeQueueEntry"),
		entry("SuspendQueueEntry"), entry("SetQueueEntryPosition"), entry("SetQueueEntryPriority"),
		control(queue.OpenQueue), control(queue.CloseQueue), control(queue.HoldQueue), control(queue.ResumeQueue),
		{"FlushQueue", message.Command, inJMF, (*exchange).flush},
		{"ShutDown", message.Command, both, (*exchange).shutDown},
		{"WakeUp", message.Command, both, (*exchange).wakeUp},
		{"StopPersistentChannel", message.Command, both, (*exchange).stop},
		{"QueueStatus", message.Query, both | signals, (*exchange).queueStatus},
		{"QueueEntryStatus", message.Query, inJMF, (*exchange).entryStatus},
		{"Status", message.Query, both | signals, (*exchange).status},
		{"Resource", message.Query, both | signals, (*exchange).resources},
		// JMF has no place for the Subscription of this query. Who writes it all the same is
		// told; it is not offered.
		{"Notification", message.Query, both | signals | unsaid, (*exchange).notices},
		{"KnownDevices", message.Query, both, (*exchange).devices},
		{"KnownMessages", message.Query, both, (*exchange).messages},
		{"KnownSubscriptions", message.Query, both, (*exchange).channels},
		{"SubmissionMethods", message.Query, inJMF, (*exchange).methods},
	}
}

// offers reports whether the generation of a document is offered to subscribe to it.
func (s service) offers(doc *jdf.Document) bool {
	return s.has(signals) && !(s.has(unsaid) && doc.Kind.First())
}

// find is the service of a message, nil for none.
func (x *exchange) find(m *message.Message) *service {
	all := services()
	i := slices.IndexFunc(all, func(s service) bool {
		return m.Space == "" && s.kind == m.Type && s.family == m.Family && s.speaks(x.envelope.Document)
	})
	if i < 0 {
		return nil
	}
	return &all[i]
}

// instead says what to do where a message is not answered.
func instead(m *message.Message) string {
	if m.Family == message.Command && m.Type == "Resource" && m.Space == "" {
		return "what is in stock stands in the plant file, and the amounts of a ticket are changed with ResubmitQueueEntry"
	}
	return "ask with KnownMessages for what is"
}

// speaks reports whether the generation of a document has the service.
func (s service) speaks(doc *jdf.Document) bool {
	return s.has(inJMF) && doc.Kind.First() || s.has(inXJMF) && doc.Kind.Second()
}

// says reports whether a response of the type of a message can be written.
// JMF names types in an attribute; XJMF has an element for each.
func (x *exchange) says(m *message.Message) bool {
	return x.out.Kind() == jdf.KindJMF && m.Type != "" || schemas.XJDF().Has("Response"+m.Type)
}

// answer answers one message, or takes note of it.
func (x *exchange) answer(ctx context.Context, i int, m *message.Message) {
	c := call{ctx, x.from(i, m), m}
	switch m.Family {
	case message.Signal, message.Response, message.Acknowledge:
		out := x.outcome(x.Works.Told(ctx, c.from, m))
		if asks(m) {
			x.respond(m, compose.Reply{Outcome: out})
		} else if out.Code != message.Success && x.code == message.Success {
			x.code = out.Code
		}
		return
	}
	s := x.find(m)
	if s == nil {
		x.respond(m, refused(Refuse(message.NotImplemented, "%s %q is not answered here; %s", m.Family, m.Type, instead(m))))
		return
	}
	if wrong := x.wrong(m); len(wrong) > 0 {
		x.respond(m, refused(&Refusal{message.ValidationError, told(wrong)}))
		return
	}
	x.respond(m, x.serve(c, s))
}

// serve answers a call, and keeps its subscription when there is nothing wrong
// with the question.
func (x *exchange) serve(c call, s *service) compose.Reply {
	if c.Subscription == nil {
		return s.answer(x, c)
	}
	sub, refusal := x.subscription(c, s)
	if refusal != nil {
		return refused(refusal)
	}
	r := s.answer(x, c)
	if r.Code != message.Success {
		return r
	}
	if err := x.Works.Subscribe(c.ctx, c.from, sub); err != nil {
		return x.done(c, err)
	}
	r.Subscribed = true
	return r
}
