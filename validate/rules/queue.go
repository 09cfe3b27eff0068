package rules

import (
	"slices"

	"quoin/jdf"
	"quoin/jdf/message"
	"quoin/jdf/value"
	"quoin/validate"
)

var queueChecks = []check{
	{
		Rule: &validate.Rule{
			ID: "message/queue-entry-twice", Severity: validate.Error, Mends: validate.Sender,
			Say: "the queue lists the entry {id|q} twice",
			Do:  "give each entry a QueueEntryID of its own",
			Why: "Commands find an entry by its QueueEntryID (from memory: queue handling of both generations).",
		},
		kinds: messages, run: queueEntryTwice,
		Bad: `<XJMF><Header DeviceID="P" Time="2026-03-02T08:00:00Z"/><SignalQueueStatus>
  <Header DeviceID="P" Time="2026-03-02T08:00:00Z"/>
  <Queue><QueueEntry QueueEntryID="e1" Status="Waiting"/><QueueEntry QueueEntryID="e1" Status="Waiting"/></Queue>
</SignalQueueStatus></XJMF>`,
		Good: `<XJMF><Header DeviceID="P" Time="2026-03-02T08:00:00Z"/><SignalQueueStatus>
  <Header DeviceID="P" Time="2026-03-02T08:00:00Z"/>
  <Queue><QueueEntry QueueEntryID="e1" Status="Waiting"/><QueueEntry QueueEntryID="e2" Status="Waiting"/></Queue>
</SignalQueueStatus></XJMF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "message/activation", Severity: validate.Warning, Mends: validate.Sender,
			Say: "the entry is {status} and its Activation {got}; want {want}",
			Do:  "correct Status or Activation",
			Why: "An entry is held before it runs, and returned or removed after it has ended (the lists of the XJDF " +
				"schema; from memory for what belongs together).",
		},
		kinds: onlyXJMF, run: activation,
		Bad: `<XJMF><Header DeviceID="P" Time="2026-03-02T08:00:00Z"/><SignalQueueStatus>
  <Header DeviceID="P" Time="2026-03-02T08:00:00Z"/>
  <Queue><QueueEntry QueueEntryID="e1" Status="InProgress" Activation="Held"/></Queue>
</SignalQueueStatus></XJMF>`,
		Good: `<XJMF><Header DeviceID="P" Time="2026-03-02T08:00:00Z"/><SignalQueueStatus>
  <Header DeviceID="P" Time="2026-03-02T08:00:00Z"/>
  <Queue><QueueEntry QueueEntryID="e1" Status="Waiting" Activation="Held"/></Queue>
</SignalQueueStatus></XJMF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "message/move-target", Severity: validate.Error, Mends: validate.Sender,
			Say: "Operation is {operation}, and {got}; want {want}",
			Why: "To move an entry the device needs one place for it, to put it into a gang the name of the gang (the " +
				"attributes of the XJDF schema; from memory for which go with which operation).",
		},
		kinds: onlyXJMF, run: moveTarget,
		Bad: `<XJMF><Header DeviceID="M" Time="2026-03-02T08:00:00Z"/><CommandModifyQueueEntry>
  <Header DeviceID="M" ID="C1" Time="2026-03-02T08:00:00Z"/>
  <ModifyQueueEntryParams Operation="Move"><QueueFilter QueueEntryIDs="e1"/></ModifyQueueEntryParams>
</CommandModifyQueueEntry></XJMF>`,
		Good: `<XJMF><Header DeviceID="M" Time="2026-03-02T08:00:00Z"/><CommandModifyQueueEntry>
  <Header DeviceID="M" ID="C1" Time="2026-03-02T08:00:00Z"/>
  <ModifyQueueEntryParams Operation="Move" Position="0"><QueueFilter QueueEntryIDs="e1"/></ModifyQueueEntryParams>
</CommandModifyQueueEntry></XJMF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "message/filter-empty", Severity: validate.Error, Mends: validate.Sender,
			Say: "{operation} is for all entries of the queue, since QueueFilter chooses none",
			Do:  "name the entries, as in QueueEntryIDs=\"e1\"",
			Why: "A filter without conditions lets everything through (from memory: XJDF 2.x, ModifyQueueEntryParams).",
		},
		kinds: onlyXJMF, run: filterEmpty,
		Bad: `<XJMF><Header DeviceID="M" Time="2026-03-02T08:00:00Z"/><CommandModifyQueueEntry>
  <Header DeviceID="M" ID="C1" Time="2026-03-02T08:00:00Z"/>
  <ModifyQueueEntryParams Operation="Abort"><QueueFilter/></ModifyQueueEntryParams>
</CommandModifyQueueEntry></XJMF>`,
		Good: `<XJMF><Header DeviceID="M" Time="2026-03-02T08:00:00Z"/><CommandModifyQueueEntry>
  <Header DeviceID="M" ID="C1" Time="2026-03-02T08:00:00Z"/>
  <ModifyQueueEntryParams Operation="Abort"><QueueFilter GangNames="g1"/></ModifyQueueEntryParams>
</CommandModifyQueueEntry></XJMF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "message/queue-size", Severity: validate.Warning, Mends: validate.Sender,
			Say: "QueueSize is {got}, and the queue lists {want} entries that are not done",
			Do:  "count the entries again",
			Why: "QueueSize is the number of entries in the queue (from memory: Queue); a filter may list less of them, " +
				"never more.",
		},
		kinds: messages, run: queueSize,
		Bad: `<XJMF><Header DeviceID="P" Time="2026-03-02T08:00:00Z"/><SignalQueueStatus>
  <Header DeviceID="P" Time="2026-03-02T08:00:00Z"/><Queue QueueSize="1">
    <QueueEntry QueueEntryID="e1" Status="Waiting"/><QueueEntry QueueEntryID="e2" Status="Waiting"/></Queue>
</SignalQueueStatus></XJMF>`,
		Good: `<XJMF><Header DeviceID="P" Time="2026-03-02T08:00:00Z"/><SignalQueueStatus>
  <Header DeviceID="P" Time="2026-03-02T08:00:00Z"/><Queue QueueSize="1">
    <QueueEntry QueueEntryID="e1" Status="Waiting"/><QueueEntry QueueEntryID="e2" Status="Completed"/></Queue>
</SignalQueueStatus></XJMF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "message/queue-too-long", Severity: validate.Warning, Mends: validate.Sender,
			Say: "QueueSize is {got}, above MaxQueueSize, {want}",
			Do:  "correct the one that is wrong",
			Why: "MaxQueueSize is the number of entries that the queue takes (from memory: Queue).",
		},
		kinds: messages, run: queueTooLong,
		Bad: `<XJMF><Header DeviceID="P" Time="2026-03-02T08:00:00Z"/><SignalQueueStatus>
  <Header DeviceID="P" Time="2026-03-02T08:00:00Z"/><Queue QueueSize="12" MaxQueueSize="10"/>
</SignalQueueStatus></XJMF>`,
		Good: `<XJMF><Header DeviceID="P" Time="2026-03-02T08:00:00Z"/><SignalQueueStatus>
  <Header DeviceID="P" Time="2026-03-02T08:00:00Z"/><Queue QueueSize="10" MaxQueueSize="10"/>
</SignalQueueStatus></XJMF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "message/queue-order", Severity: validate.Warning, Mends: validate.Sender,
			Say: "the entry has Priority {got}, and stands behind one of {want}",
			Do:  "list waiting entries from high to low Priority",
			Why: "Entries wait by Priority, high first (from memory: queue handling of both generations).",
		},
		kinds: messages, run: queueOrder,
		Bad: `<XJMF><Header DeviceID="P" Time="2026-03-02T08:00:00Z"/><SignalQueueStatus>
  <Header DeviceID="P" Time="2026-03-02T08:00:00Z"/><Queue>
    <QueueEntry QueueEntryID="e1" Status="Waiting" Priority="40"/>
    <QueueEntry QueueEntryID="e2" Status="Waiting" Priority="60"/></Queue>
</SignalQueueStatus></XJMF>`,
		Good: `<XJMF><Header DeviceID="P" Time="2026-03-02T08:00:00Z"/><SignalQueueStatus>
  <Header DeviceID="P" Time="2026-03-02T08:00:00Z"/><Queue>
    <QueueEntry QueueEntryID="e1" Status="InProgress" Priority="40"/>
    <QueueEntry QueueEntryID="e2" Status="Waiting" Priority="60"/></Queue>
</SignalQueueStatus></XJMF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "message/priority-range", Severity: validate.Warning, Mends: validate.Sender,
			Say: "{name} is {got}; want 0 to 100",
			Why: "Priorities run from 0, low, to 100, high (schema of JDF 1.x; from memory for XJDF, whose schema takes any " +
				"integer).",
		},
		kinds: secondGen, run: priorityRange,
		Bad: `<XJMF><Header DeviceID="M" Time="2026-03-02T08:00:00Z"/><CommandSubmitQueueEntry>
  <Header DeviceID="M" ID="C1" Time="2026-03-02T08:00:00Z"/>
  <QueueSubmissionParams URL="http://mis.example/4711.xjdf" Priority="500"/>
</CommandSubmitQueueEntry></XJMF>`,
		Good: `<XJMF><Header DeviceID="M" Time="2026-03-02T08:00:00Z"/><CommandSubmitQueueEntry>
  <Header DeviceID="M" ID="C1" Time="2026-03-02T08:00:00Z"/>
  <QueueSubmissionParams URL="http://mis.example/4711.xjdf" Priority="100"/>
</CommandSubmitQueueEntry></XJMF>`,
	},
}

func queueEntryTwice(p *pass) {
	for queue := range p.named("Queue") {
		first := map[string]jdf.Attr{}
		for entry := range queue.ChildrenNamed("QueueEntry") {
			id := entry.Attr("QueueEntryID")
			if !id.Valid() {
				continue
			}
			if before, taken := first[id.Value()]; taken {
				p.atWith(id.Place(), before.Place(), "the first is here", fact("id", id.Value()))
				continue
			}
			first[id.Value()] = id
		}
	}
}

// activations lists the states that go with an Activation.
// Source: XJDF schema for the values. From memory: which go together.
var activations = map[string][]string{
	"Held": {"Waiting"}, "PendingReturn": {"Completed", "Aborted"}, "Removed": {"Completed", "Aborted"},
}

func activation(p *pass) {
	for a := range p.having("Activation") {
		status := a.Owner().Attr("Status")
		want := activations[a.Value()]
		if a.Owner().Is("QueueEntry") && status.Valid() && want != nil && !slices.Contains(want, status.Value()) {
			p.atWith(a.Place(), status.Place(), "the status is here", fact("status", status.Value()),
				fact("got", a.Value()), fact("want", "one that goes with it, or Status "+validate.Choices(want)))
		}
	}
}

func moveTarget(p *pass) {
	for n := range p.named("ModifyQueueEntryParams") {
		operation := n.Attr("Operation")
		targets := 0
		for _, name := range []string{"Position", "NextQueueEntryID", "PrevQueueEntryID"} {
			if n.Has(name) {
				targets++
			}
		}
		got, want := "", ""
		switch {
		case operation.Value() == "Move" && targets == 0 && !n.Has("Priority"):
			got, want = "no place is given", "Position, NextQueueEntryID or PrevQueueEntryID"
		case operation.Value() == "Move" && targets > 1:
			got, want = plural(targets, "place")+" are given", "one of Position, NextQueueEntryID and PrevQueueEntryID"
		case operation.Value() == "SetGang" && !n.Has("GangName"):
			got, want = "no gang is named", "GangName"
		default:
			continue
		}
		p.at(operation.Place(), fact("operation", operation.Value()), fact("got", got), fact("want", want))
	}
}

func filterEmpty(p *pass) {
	for n := range p.named("ModifyQueueEntryParams") {
		filter := n.Child("QueueFilter")
		empty := filter.Valid() && !filter.FirstContent().Valid()
		for range filter.Attrs() {
			empty = false
		}
		if empty {
			p.at(filter.NamePlace(), fact("operation", n.Get("Operation")))
		}
	}
}

// finished are the states of entries that are no longer in the queue.
var finished = set("Completed", "Aborted", "Removed")

func queueSize(p *pass) {
	for queue := range p.named("Queue") {
		size := queue.Attr("QueueSize")
		got, err := value.ParseInteger(size.Value())
		open := int64(0)
		for entry := range queue.ChildrenNamed("QueueEntry") {
			if !finished[entry.Get("Status")] {
				open++
			}
		}
		if err == nil && open > got {
			p.at(size.Place(), fact("got", got), fact("want", open))
		}
	}
}

func queueTooLong(p *pass) {
	for a := range p.having("MaxQueueSize") {
		most, errMost := value.ParseInteger(a.Value())
		size := a.Owner().Attr("QueueSize")
		got, err := value.ParseInteger(size.Value())
		if err == nil && errMost == nil && got > most {
			p.atWith(size.Place(), a.Place(), "the limit is here", fact("got", got), fact("want", most))
		}
	}
}

func queueOrder(p *pass) {
	for _, m := range p.mail() {
		if m.Node.Child("Queue").Valid() {
			p.queueOrder(m.QueueEntries)
		}
	}
}

func (p *pass) queueOrder(entries []*message.QueueEntry) {
	var last *message.QueueEntry
	for _, e := range entries {
		if e.Status.Value != "Waiting" || !e.Priority.Given || e.Activation.Value == "Held" {
			continue
		}
		if last != nil && e.Priority.Value > last.Priority.Value {
			p.atWith(e.Priority.Place, last.Priority.Place, "the one before",
				fact("got", e.Priority.Value), fact("want", last.Priority.Value))
		}
		last = e
	}
}

func priorityRange(p *pass) {
	for a := range p.having("Priority", "JobPriority") {
		if v, err := value.ParseInteger(a.Value()); err == nil && (v < 0 || v > 100) {
			p.at(a.Place(), fact("name", attrName(a)), fact("got", a.Value()))
		}
	}
}
