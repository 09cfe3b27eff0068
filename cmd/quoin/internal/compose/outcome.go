package compose

import (
	"quoin/jdf/message"
)

// OutcomeOf reads how a response or acknowledge answers: its code, and what its
// notifications say.
func OutcomeOf(m *message.Message) Outcome {
	o := Outcome{Code: message.Code(m.Returned())}
	for _, a := range m.Notifications {
		if a.Notice == nil {
			continue
		}
		if o.Class == "" {
			o.Class = a.Notice.Class.Value
		}
		for c := range a.Notice.Node.ChildrenNamed("Comment") {
			if text := c.Text(); text != "" {
				o.Comments = append(o.Comments, text)
			}
		}
	}
	return o
}

// AnswerTo finds the response to a question in a document. It is nil when there is none.
func AnswerTo(e *message.Envelope, id string) *message.Message {
	for _, m := range e.Messages {
		if (m.Family == message.Response || m.Family == message.Acknowledge) && m.RefID.Value == id && id != "" {
			return m
		}
	}
	return nil
}
