package dialog

import (
	"context"
	"net/http"
	"slices"
	"time"

	"quoin/cmd/quoin/internal/compose"
	"quoin/jdf"
	"quoin/jdf/message"
	"quoin/jdf/pack"
	"quoin/validate"
)

// Endpoint is an address at which messages are taken. It is immutable, and safe
// for concurrent use as far as its Works is.
type Endpoint struct {
	Works Works

	// Sender is the SenderID or DeviceID of the answers. Default "Quoin".
	Sender string

	// AgentVersion is the version of the program. Default "", which leaves it out.
	AgentVersion string

	// Schemes are the URL schemes by which it is reached. Default http.
	Schemes []string

	// XML and Pack bound what is taken on; the zero values are their defaults.
	XML  jdf.Limits
	Pack pack.Limits

	// MaxMessages is the most messages of one document. Default 500.
	MaxMessages int

	// Check finds what is wrong with a document; findings of severity Error
	// inside a command or query refuse it. Default the structure of the standard.
	Check func(doc *jdf.Document) []validate.Finding

	// Clock and NewID are for tests; the defaults are those of compose.Options.
	Clock func() time.Time
	NewID func() string
}

// Incoming is a document as it was posted.
type Incoming struct {
	Partner string // as access knows the sender; "" when it does not
	Origin  string // address that it came from, for people
	Media   string // Content-Type
	Body    []byte
}

// Reply is what is sent back.
type Reply struct {
	Status int          // of HTTP
	Media  string       // Content-Type; "" without a body
	Body   []byte       // nil when there is nothing to answer, as to signals
	Code   message.Code // the first return code that is not Success
}

// Answer answers a document. Bad input gives a reply that says what is wrong;
// when Works fails, the status is 503, and the sender has to ask again.
func (p *Endpoint) Answer(ctx context.Context, in Incoming) Reply {
	o, bad := p.open(in)
	if bad != nil {
		return p.malformed(in, o, bad)
	}
	x := &exchange{Endpoint: p, opened: o, in: in}
	if keeps(o.envelope) {
		receipt, err := p.Works.Keep(ctx, Document{in, o.messageID(), o.envelope.Header.Sender.Value})
		if err != nil {
			wrong := &malformed{http.StatusOK, x.outcome(err)}
			if x.failed {
				wrong.status = http.StatusServiceUnavailable
			}
			return p.malformed(in, o, wrong)
		}
		if receipt.Before != nil {
			return *receipt.Before
		}
		x.receipt = receipt
	}
	x.out = p.compose(in, o)
	x.check()
	for i, m := range o.envelope.Messages {
		x.answer(ctx, i, m)
	}
	reply := x.reply()
	if x.receipt.ID != 0 && !x.failed {
		// What was done is stored. Without this, the same answer is made again.
		if err := p.Works.Answered(ctx, x.receipt, reply); err != nil {
			reply.Status = http.StatusServiceUnavailable
		}
	}
	return reply
}

// keeps reports whether a document does more than ask.
func keeps(e *message.Envelope) bool {
	return slices.ContainsFunc(e.Messages, func(m *message.Message) bool {
		return m.Family != message.Query || m.Subscription != nil
	})
}

// compose begins the answer to a document, in its generation and version.
func (p *Endpoint) compose(in Incoming, o *opened) *compose.Envelope {
	opt := compose.Options{
		Version: versionOf(in, o), Sender: p.Sender, AgentVersion: p.AgentVersion, Clock: p.Clock, NewID: p.NewID,
	}
	if o.envelope != nil && o.envelope.Document.Kind == jdf.KindJMF {
		opt.Receiver = o.envelope.Header.Sender.Value
	}
	return compose.New(opt)
}

// exchange is one document and the answer to it in the making.
type exchange struct {
	*Endpoint
	*opened
	in      Incoming
	receipt Receipt
	out     *compose.Envelope
	found   []validate.Finding // of severity Error
	code    message.Code       // the first that is not Success
	failed  bool               // Works has failed
}

func (x *exchange) reply() Reply {
	r := Reply{Status: http.StatusOK, Code: x.code}
	if x.failed {
		r.Status = http.StatusServiceUnavailable
	}
	if x.out.Empty() {
		return r
	}
	body, err := x.out.Bytes()
	if err != nil {
		return Reply{Status: http.StatusInternalServerError, Code: message.InternalError}
	}
	r.Media, r.Body = x.out.MediaType(), body
	return r
}

// respond writes a response to a message.
func (x *exchange) respond(m *message.Message, r compose.Reply) {
	r.Type, r.RefID = m.Type, m.ID.Value
	if m.Space != "" || !x.says(m) {
		r.Type = "Notification"
	}
	if r.Code != message.Success && x.code == message.Success {
		x.code = r.Code
	}
	x.out.Respond(r)
}

// from says whose message it is.
func (x *exchange) from(i int, m *message.Message) From {
	f := From{
		Partner: x.in.Partner, Origin: x.in.Origin, Receipt: x.receipt.ID, Index: i,
		Version: x.envelope.Document.Version, Sender: m.Sender.Value, MessageID: m.ID.Value,
		AcknowledgeURL: m.AcknowledgeURL.Value, Acknowledge: m.AcknowledgeType.Value,
	}
	if m.Time.Given {
		f.Time = m.Time.Value.Time()
	}
	return f
}
