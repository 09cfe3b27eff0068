package dialog

import (
	"errors"
	"net/url"
	"slices"
	"strings"

	"quoin/cmd/quoin/internal/compose"
	"quoin/cmd/quoin/internal/queue"
	"quoin/jdf/job"
	"quoin/jdf/message"
)

// refused is the reply that a refusal makes.
func refused(r *Refusal) compose.Reply {
	return compose.Reply{Outcome: compose.Outcome{Code: r.Code, Comments: r.Comments}}
}

// missing refuses a message without its parameters.
func missing(name string) compose.Reply {
	return refused(Refuse(message.InsufficientParams, "%s is missing; say what is meant", name))
}

// done is the reply to a command, by the error of Works.
func (x *exchange) done(c call, err error) compose.Reply {
	r := compose.Reply{Outcome: x.outcome(err)}
	r.Acknowledged = errors.Is(err, ErrLater) && c.from.AcknowledgeURL != ""
	return r
}

// withQueue adds the queue, which JMF tells with the answer to a command to it.
func (x *exchange) withQueue(c call, r compose.Reply) compose.Reply {
	if x.envelope.Document.Kind.Second() || x.failed {
		return r
	}
	if doc := x.envelope.Document; doc.Version.Minor >= 5 && c.Type != "SetQueueEntryPosition" {
		return r
	}
	f := c.Params.Queue // in a command, what is to be told of the queue afterwards
	if f == nil {
		f = &message.QueueFilter{Node: c.Node, Most: job.Of(mostEntries, c.TypeAt)}
	}
	if q, err := x.Works.Queue(c.ctx, c.from, f); err == nil {
		r.Queue = &q
	}
	return r
}

// mostEntries is how many entries are told with the answer to a command that
// does not say how many it wants.
const mostEntries = 200

func (x *exchange) submit(c call) compose.Reply {
	p := c.Params.Submission
	if p == nil {
		return missing("QueueSubmissionParams")
	}
	if p.Priority.Given && (p.Priority.Value < 0 || p.Priority.Value > 100) {
		return refused(Refuse(message.InvalidParameters, "Priority is %d; want 0 to 100", p.Priority.Value))
	}
	if r := address(p.ReturnJMF, "ReturnJMF"); r != nil {
		return refused(r)
	}
	t, err := x.ticket(c, p.URL)
	if err != nil {
		return x.withQueue(c, x.done(c, err))
	}
	e, err := x.Works.Submit(c.ctx, c.from, Submission{p, t})
	r := x.done(c, err)
	if r.Code == message.Success {
		r.Entries = []queue.Entry{e}
	}
	return x.withQueue(c, r)
}

// address refuses what is given and no absolute URL of HTTP.
func address(f job.Fact[string], name string) *Refusal {
	if !f.Given {
		return nil
	}
	u, err := url.Parse(f.Value)
	if err == nil && (u.Scheme == "http" || u.Scheme == "https") && u.Host != "" {
		return nil
	}
	if err != nil { // which quotes it, and with it what may be a password
		return Refuse(message.InvalidParameters, "%s can not be read; want an absolute http or https URL", name)
	}
	u.User = nil // it is nobody's to read
	return Refuse(message.InvalidParameters, "%s is %q; want an absolute http or https URL", name, u)
}

// updates are the ways of changing the ticket of an entry.
//
// Source: XJDF schema, ResubmissionParams.
var updates = map[string]queue.Event{
	"": queue.Resubmit, "Complete": queue.Resubmit, "Incremental": queue.Update, "Remove": queue.Update,
}

func (x *exchange) resubmit(c call) compose.Reply {
	p := c.Params.Resubmission
	if p == nil {
		return missing("ResubmissionParams")
	}
	if p.Entry.Value == "" {
		return missing("ResubmissionParams/@QueueEntryID")
	}
	event, ok := updates[p.Method.Value]
	if !ok {
		return refused(Refuse(message.InvalidParameters, "UpdateMethod is %q; want Complete, Incremental or Remove",
			p.Method.Value))
	}
	t, err := x.ticket(c, p.URL)
	if err != nil {
		return x.withQueue(c, x.done(c, err))
	}
	_, err = x.Works.Resubmit(c.ctx, c.from, Resubmission{p, event, t})
	return x.withQueue(c, x.done(c, err))
}

func (x *exchange) returned(c call) compose.Reply {
	p := c.Params.Return
	if p == nil {
		return missing("ReturnQueueEntryParams")
	}
	if p.Entry.Value == "" {
		return missing("ReturnQueueEntryParams/@QueueEntryID")
	}
	t, err := x.ticket(c, p.URL)
	if err != nil {
		return x.done(c, err)
	}
	return x.done(c, x.Works.Return(c.ctx, c.from, Return{p, t}))
}

func (x *exchange) request(c call) compose.Reply {
	p := c.Params.Request
	if p == nil {
		return missing("RequestQueueEntryParams")
	}
	if !p.QueueURL.Given {
		return missing("RequestQueueEntryParams/@QueueURL")
	}
	if r := address(p.QueueURL, "QueueURL"); r != nil {
		return refused(r)
	}
	return x.done(c, x.Works.Request(c.ctx, c.from, p))
}

func (x *exchange) modify(c call) compose.Reply {
	if c.Params.Modification == nil || !c.Params.Modification.Node.Valid() {
		return missing("ModifyQueueEntryParams")
	}
	results, err := x.Works.Modify(c.ctx, c.from, c.Params.Modification)
	return x.withQueue(c, x.changed(x.done(c, err), results, nil))
}

// changed tells what became of each entry. The code is that of the first
// refusal, for one answer has one code; the comments name the entries.
func (x *exchange) changed(r compose.Reply, results []queue.Result, lenient []message.Code) compose.Reply {
	for _, result := range results {
		if result.Along {
			continue
		}
		if result.Code == message.Success {
			r.Entries = append(r.Entries, result.Entry)
			continue
		}
		if slices.Contains(lenient, result.Code) {
			continue
		}
		if r.Code == message.Success {
			r.Code = result.Code
		}
		if len(r.Comments) < mostComments {
			r.Comments = append(r.Comments, result.Why)
		}
	}
	return r
}

// flush removes all entries that can be removed, or those of a filter.
func (x *exchange) flush(c call) compose.Reply {
	f := c.Params.Queue
	if f.Empty() {
		q, err := x.Works.Queue(c.ctx, c.from, nil)
		if err != nil {
			return x.done(c, err)
		}
		f = &message.QueueFilter{Node: c.Node}
		for _, e := range q.Entries {
			f.Entries = job.Of(append(f.Entries.Value, e.ID), c.Node.Place())
		}
		if !f.Entries.Given {
			return x.withQueue(c, x.done(c, nil))
		}
	}
	op := message.Modification{Node: c.Node, Operation: job.Of(message.Remove, c.TypeAt), Filter: f}
	results, err := x.Works.Modify(c.ctx, c.from, &op)
	// What runs stays, which is no error of a flush.
	stays := []message.Code{message.AlreadyExecuting, message.EntryEnded, message.EntryUnknown}
	r := x.changed(x.done(c, err), results, stays)
	if r.Code == message.EmptySelection {
		r.Outcome = compose.Outcome{}
	}
	return x.withQueue(c, r)
}

func (x *exchange) control(c call, command queue.Control) compose.Reply {
	return x.withQueue(c, x.done(c, x.Works.Control(c.ctx, c.from, command)))
}

func (x *exchange) stop(c call) compose.Reply {
	p := c.Params.Stop
	if p == nil {
		return missing("StopPersChParams")
	}
	if !p.Channel.Given && !p.URL.Given {
		return missing("StopPersChParams/@ChannelID or @URL")
	}
	p.Type.Value = strings.TrimPrefix(p.Type.Value, "Signal")
	channels, err := x.Works.Stop(c.ctx, c.from, p)
	r := x.done(c, err)
	if r.Code == message.Success && len(channels) == 0 {
		return refused(Refuse(message.EmptySelection, "no subscription fits; ask with KnownSubscriptions which there are"))
	}
	r.Channels = channels
	return r
}
