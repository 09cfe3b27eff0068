package compose

import (
	"strconv"

	"github.com/beevik/etree"

	"quoin/cmd/quoin/internal/queue"
	"quoin/jdf/message"
)

// SignalQueue writes a QueueStatus signal. The refID is as in SignalStatus.
func (e *Envelope) SignalQueue(refID string, q Queue) string {
	m, id := e.message(about{family: message.Signal, kind: "QueueStatus", refID: refID, device: q.Device})
	e.queue(m, q)
	return id
}

func (e *Envelope) queue(to *etree.Element, q Queue) *etree.Element {
	el := to.CreateElement("Queue")
	if e.first() {
		device, status := q.Device, q.Status
		if device == "" {
			device = e.opt.Sender
		}
		if status == "" {
			status = queue.QueueWaiting
		}
		el.CreateAttr("DeviceID", device)
		el.CreateAttr("Status", string(status))
	}
	if q.Max > 0 {
		e.set(el, 6, "MaxQueueSize", strconv.Itoa(q.Max))
	}
	e.set(el, 2, "QueueSize", strconv.Itoa(q.Size))
	for _, entry := range q.Entries {
		e.entry(el, entry)
	}
	return el
}

func (e *Envelope) entry(to *etree.Element, entry queue.Entry) {
	el := to.CreateElement("QueueEntry")
	status, activation := entry.Standing.NodeStatus()
	switch {
	case e.first():
		status, activation = entry.Standing.State.String(), ""
		e.set(el, 2, "DeviceID", entry.Device)
	case entry.Standing.State == queue.Running && entry.Doing != "":
		status = entry.Doing
	}
	e.set(el, 0, "Activation", activation)
	e.time(el, 2, "EndTime", entry.End)
	e.tokenSince(el, 3, "GangName", entry.Gang)
	e.token(el, "JobID", entry.JobID)
	e.token(el, "JobPartID", entry.PartID)
	e.set(el, 0, "Priority", strconv.Itoa(entry.Priority))
	e.token(el, "QueueEntryID", entry.ID)
	e.time(el, 1, "StartTime", entry.Start)
	e.set(el, 0, "Status", status)
	e.tokenSince(el, 5, "StatusDetails", entry.Details)
	e.time(el, 0, "SubmissionTime", entry.Submitted)
}
