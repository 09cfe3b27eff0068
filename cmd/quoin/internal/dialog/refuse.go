package dialog

import (
	"bytes"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strings"

	"quoin/cmd/quoin/internal/compose"
	"quoin/jdf"
	"quoin/jdf/message"
	"quoin/validate"
	"quoin/validate/structure"
)

// mostComments is how many findings are told in one answer.
const mostComments = 40

// told puts findings in words: what is wrong and where, and what to do.
func told(findings []validate.Finding) []string {
	var all []string
	for i, f := range findings {
		if i == mostComments {
			return append(all, fmt.Sprintf("and %d more", len(findings)-i))
		}
		text := f.Message()
		if f.Place.Known() {
			text = fmt.Sprintf("%d:%d: %s", f.Place.Pos().Line, f.Place.Pos().Column, text)
		}
		if advice := f.Advice(); advice != "" {
			text += "; " + advice
		}
		all = append(all, text+" ("+f.Rule.ID+")")
	}
	return all
}

// malformed answers a document as a whole: each question that could be read, or
// nobody's question with a notification.
func (p *Endpoint) malformed(in Incoming, o *opened, wrong *malformed) Reply {
	out := p.compose(in, o)
	x := &exchange{Endpoint: p, opened: o, in: in, out: out}
	if o.envelope != nil && o.envelope.Document.Kind.Message() {
		for i, m := range o.envelope.Messages {
			if asks(m) && i < mostComments {
				x.respond(m, compose.Reply{Outcome: wrong.outcome})
			}
		}
	}
	status := wrong.status
	if out.Empty() {
		// Nobody may read this answer: who sends signals looks at the status alone.
		status = max(status, http.StatusBadRequest)
		out.Respond(compose.Reply{Type: "Notification", Outcome: wrong.outcome})
	}
	reply := x.reply()
	reply.Status, reply.Code = status, wrong.outcome.Code
	return reply
}

// versionOf is the version to answer in: that of the document, the last one of
// its generation, or what the bytes look like.
func versionOf(in Incoming, o *opened) jdf.Version {
	if o.envelope != nil {
		doc := o.envelope.Document
		if doc.Kind.Known(doc.Version) {
			return doc.Version
		}
		if doc.Kind.First() {
			return jdf.LastJDF
		}
		if doc.Kind.Second() {
			return jdf.LastXJDF
		}
	}
	media := strings.ToLower(in.Media)
	switch {
	case strings.Contains(media, "xjmf"), strings.Contains(media, "xjdf"), bytes.HasPrefix(in.Body, []byte("PK")),
		bytes.Contains(in.Body, []byte(jdf.NamespaceXJDF)):
		return jdf.LastXJDF
	}
	return jdf.LastJDF
}

// asks reports whether a message is to be answered: a question, or a signal
// whose sender waits for the answer.
func asks(m *message.Message) bool {
	switch m.Family {
	case message.Query, message.Command, message.Registration:
		return true
	case message.Signal:
		return m.Channel.Value == "Reliable"
	}
	return false
}

// outcome turns an error of Works into an answer. It notes a failure of ours.
func (x *exchange) outcome(err error) compose.Outcome {
	var refusal *Refusal
	switch {
	case err == nil, errors.Is(err, ErrLater):
		return compose.Outcome{}
	case errors.As(err, &refusal):
		return compose.Outcome{Code: refusal.Code, Comments: refusal.Comments}
	}
	x.failed = true
	return compose.Outcome{Code: message.InternalError, Comments: []string{
		"the message could not be stored, and nothing was done; send it again in a while",
	}}
}

// check looks for what makes messages unfit to be understood.
func (x *exchange) check() {
	if !slices.ContainsFunc(x.envelope.Messages, asks) {
		return // what was told is taken as it is; nobody would hear of what is wrong with it
	}
	find := x.Check
	if find == nil {
		find = func(doc *jdf.Document) (all []validate.Finding) {
			structure.Check(doc, structure.Options{}, func(f validate.Finding) { all = append(all, f) })
			return all
		}
	}
	for _, f := range find(x.envelope.Document) {
		if f.Severity >= validate.Error && f.Silenced == nil {
			x.found = append(x.found, f)
		}
	}
}

// wrong lists the findings inside a message.
func (x *exchange) wrong(m *message.Message) []validate.Finding {
	var all []validate.Finding
	for _, f := range x.found {
		// The schema has no place for the Subscription of this query of JMF,
		// which is what it is for.
		if s := m.Subscription; s != nil && m.Type == "Notification" && f.Place.Start == s.Node.NamePlace().Start {
			continue
		}
		if f.Place.Start >= m.Node.Place().Start && f.Place.Start < m.Node.End() {
			all = append(all, f)
		}
	}
	return all
}
