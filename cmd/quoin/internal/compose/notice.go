package compose

import (
	"strconv"

	"github.com/beevik/etree"

	"quoin/jdf/message"
)

// SignalNotification writes a Notification signal. The refID is as in SignalStatus.
func (e *Envelope) SignalNotification(refID string, n Notice) string {
	m, id := e.message(about{family: message.Signal, kind: "Notification", refID: refID})
	el := e.notification(m, n.Class, []string{n.Text})
	e.tokenSince(el, 3, "JobID", n.JobID)
	e.tokenSince(el, 3, "JobPartID", n.PartID)
	e.tokenSince(el, 4, "ModuleID", n.Module)
	if !e.first() {
		e.token(el, "QueueEntryID", n.Entry)
	}
	if n.Event != "" {
		ev := el.CreateElement("Event")
		e.token(ev, "EventID", n.Event)
		e.set(ev, 0, "EventValue", n.Value)
		if e.first() {
			el.CreateAttr("Type", "Event")
		}
	}
	e.part(el, n.Part)
	return id
}

// notification writes a Notification with its comments.
func (e *Envelope) notification(to *etree.Element, class string, comments []string) *etree.Element {
	n := to.CreateElement("Notification")
	if class == "" {
		class = "Information"
	}
	n.CreateAttr("Class", class)
	if e.first() {
		e.set(n, 2, "ID", e.opt.NewID())
		e.set(n, 0, "TimeStamp", moment(e.at))
	}
	for _, text := range comments {
		if text != "" {
			n.CreateElement("Comment").SetText(text)
		}
	}
	return n
}

// failure is the Notification of a response: what went wrong and what to do.
func (e *Envelope) failure(to *etree.Element, o Outcome) {
	if len(o.Comments) == 0 && o.Code == message.Success {
		return
	}
	class := "Error"
	switch o.Code {
	case message.Success:
		class = "Information"
	case message.AlreadyInStatus:
		class = "Warning" // what was asked for is so
	}
	if o.Class != "" {
		class = o.Class
	}
	comments := o.Comments
	if len(comments) == 0 {
		comments = []string{o.Code.String()}
	}
	n := e.notification(to, class, comments)
	if e.first() && o.Code != message.Success {
		n.CreateAttr("Type", "Error")
		el := n.CreateElement("Error")
		code := strconv.Itoa(int(o.Code))
		el.CreateAttr("ErrorID", code)
		e.set(el, 2, "ReturnCode", code)
	}
}
