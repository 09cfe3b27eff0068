package office

import (
	"context"
	"fmt"
	"log/slog"
	"slices"
	"strings"
	"time"

	"github.com/shopspring/decimal"

	"quoin/cmd/quoin/internal/desk"
	"quoin/cmd/quoin/internal/ledger"
	"quoin/cmd/quoin/internal/works"
	"quoin/cmd/quoin/internal/works/flow"
	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/jdf/message"
	"quoin/jdf/value"
)

// Reader reads what devices say: their signals, and the tickets that they return.
type Reader struct {
	Zone *time.Location // of times without one; nil is UTC
}

// Read gives what a message says of devices and of steps, in the order in which it
// says it.
func (r Reader) Read(_ context.Context, m *works.Message, body []byte) (flow.News, error) {
	items, err := desk.Items(m.Name, m.Media, body)
	if err != nil {
		return flow.News{}, works.Permanent(fmt.Errorf("read message %d: %w", m.ID, err))
	}
	var n flow.News
	var bare, gone []desk.Item // tickets, and those that a message speaks of
	for _, item := range items {
		if !item.Document.Kind.Message() {
			bare = append(bare, item)
		}
	}
	for _, item := range items {
		if !item.Document.Kind.Message() {
			continue
		}
		e := message.Decode(item.Document)
		for _, one := range e.Messages {
			if one.Params.Return != nil {
				n.Steps = append(n.Steps, r.returned(one, bare, m.At)...)
				gone = bare
				continue
			}
			r.said(&n, one, m.At)
		}
	}
	if gone == nil { // tickets without a message, as from a folder
		for _, item := range bare {
			n.Steps = append(n.Steps, r.ticket(item, "", "", m.At)...)
		}
	}
	return n, nil
}

// said takes what a signal, response or acknowledge says.
func (r Reader) said(n *flow.News, m *message.Message, received time.Time) {
	at := r.when(m.Time, received)
	for _, a := range m.Audits {
		if a.Kind != job.AuditPhase || a.Phase == nil {
			continue
		}
		device := first(a.Phase.Device.Value, a.Device.Value, m.Sender.Value)
		f := a.Phase
		n.Devices = append(n.Devices, works.DeviceNews{
			ID: device, At: at, State: f.State.String(), Details: first(f.Details.Value, f.Status.Value),
			Job: a.JobID.Value, Part: a.PartID.Value, Counter: counter(f.Node), Speed: speed(f.Node),
		})
		if a.JobID.Value == "" {
			continue
		}
		s := flow.StepNews{
			StepRef:    works.StepRef{Device: device, Queued: entryID(f.Node), Job: a.JobID.Value, Part: a.PartID.Value},
			StepReport: works.StepReport{State: stepState(f), At: at, Reason: f.Details.Value},
		}
		if f.Total.Given {
			s.Good = &f.Total.Value
		}
		if f.TotalWaste.Given {
			s.Waste = &f.TotalWaste.Value
		}
		n.Steps = append(n.Steps, s)
	}
	for _, q := range m.QueueEntries {
		if s, tells := entryNews(q, m.Sender.Value, at); tells {
			n.Steps = append(n.Steps, s)
		}
	}
	if len(m.Audits) == 0 && m.Sender.Value != "" { // it is alive, whatever else it says
		n.Devices = append(n.Devices, works.DeviceNews{ID: m.Sender.Value, At: at})
	}
}

func first(words ...string) string {
	for _, w := range words {
		if w != "" {
			return w
		}
	}
	return ""
}

// when is the time that a message gives, or when it was received. A clock that is
// ahead of ours is not believed: what it says next would seem to be older.
func (r Reader) when(f job.Fact[value.DateTime], received time.Time) time.Time {
	if !f.Given || f.Value.Infinite != 0 {
		return received
	}
	t := f.Value.Time()
	if !f.Value.HasZone {
		zone := r.Zone
		if zone == nil {
			zone = time.UTC
		}
		t = time.Date(t.Year(), t.Month(), t.Day(), t.Hour(), t.Minute(), t.Second(), t.Nanosecond(), zone)
	}
	return t
}

// around finds an attribute of an element or of those around it.
func around(n jdf.Node, name string) string {
	for ; n.Valid(); n = n.Parent() {
		if v := n.Get(name); v != "" {
			return v
		}
	}
	return ""
}

func counter(n jdf.Node) string {
	return amount(first(around(n, "TotalProductionCounter"), around(n, "ProductionCounter")))
}
func speed(n jdf.Node) string   { return amount(around(n, "Speed")) }
func entryID(n jdf.Node) string { return around(n, "QueueEntryID") }

// amount is a number as the store keeps it, "" for none.
func amount(text string) string {
	d, err := decimal.NewFromString(strings.TrimSpace(text))
	if err != nil {
		return ""
	}
	return d.String()
}

// stepState is the state of a step by a phase of its job. A phase that only says that
// the device is idle or off says nothing of the step.
func stepState(f *job.Phase) works.StepState {
	switch f.State {
	case job.StateMakeready:
		return works.StepMakeready
	case job.StateRun, job.StateWash:
		return works.StepRunning
	case job.StateStopped:
		return works.StepStopped
	case job.StateDone:
		if strings.EqualFold(f.Status.Value, "Aborted") {
			return works.StepFailed
		}
		return works.StepDone
	}
	return ""
}

// entryWords are the states of steps by those of queue entries on devices, in the
// words of both generations.
var entryWords = map[string]works.StepState{
	"Waiting": works.StepAccepted, "Held": works.StepAccepted, "Running": works.StepRunning, "Setup": works.StepMakeready,
	"InProgress": works.StepRunning, "Cleanup": works.StepRunning, "Stopped": works.StepStopped,
	"Suspended": works.StepStopped,
	"Completed": works.StepDone, "Aborted": works.StepFailed,
}

// entryNews is what a device says of an entry of its queue.
func entryNews(q *message.QueueEntry, device string, at time.Time) (flow.StepNews, bool) {
	s := flow.StepNews{
		StepRef:    works.StepRef{Device: device, Queued: q.ID.Value, Job: q.JobID.Value, Part: q.PartID.Value},
		StepReport: works.StepReport{State: entryWords[q.Status.Value], At: at, Queued: q.ID.Value},
	}
	return s, q.ID.Value != ""
}

// returned is what a ReturnQueueEntry says, with the tickets in its package.
func (r Reader) returned(m *message.Message, tickets []desk.Item, received time.Time) (all []flow.StepNews) {
	p := m.Params.Return
	at := r.when(m.Time, received)
	for _, item := range tickets {
		all = append(all, r.ticket(item, m.Sender.Value, p.Entry.Value, at)...)
	}
	if len(all) == 0 { // the ticket could not be read as one; that it came back counts
		all = append(all, flow.StepNews{
			StepRef:    works.StepRef{Device: m.Sender.Value, Queued: p.Entry.Value},
			StepReport: works.StepReport{State: works.StepDone, At: at}, Returned: true,
		})
	}
	if len(p.Aborted.Value) > 0 && len(p.Completed.Value) == 0 {
		for i := range all {
			all[i].State = works.StepFailed
		}
	}
	return all
}

// ticket is what a returned ticket says of its step, in its audits.
func (r Reader) ticket(item desk.Item, device, entry string, at time.Time) []flow.StepNews {
	j := job.Decode(item.Document)
	s := flow.StepNews{
		StepRef:    works.StepRef{Device: device, Queued: entry, Job: j.ID.Value, Part: j.PartID.Value},
		StepReport: works.StepReport{State: works.StepDone, At: at}, Returned: true,
	}
	var good, waste decimal.Decimal
	var counted, ended bool
	for _, a := range j.Audits {
		switch {
		case a.Kind == job.AuditRun && a.Run != nil && a.Run.EndStatus.Given:
			ended = true
			if strings.EqualFold(a.Run.EndStatus.Value, "Aborted") {
				s.State = works.StepFailed
			}
		case a.Kind == job.AuditPhase && a.Phase != nil:
			if !ended && strings.EqualFold(a.Phase.Status.Value, "Aborted") {
				s.State = works.StepFailed
			}
			if a.Phase.Good.Given || a.Phase.Waste.Given {
				counted = true
				good, waste = good.Add(a.Phase.Good.Value), waste.Add(a.Phase.Waste.Value)
			}
		}
		if s.Part == "" || item.Document.Kind.First() {
			s.Part = first(a.PartID.Value, s.Part)
		}
		s.Device = first(s.Device, a.Device.Value)
	}
	if counted && !good.IsNegative() && !waste.IsNegative() {
		s.Good, s.Waste = &good, &waste
	}
	return []flow.StepNews{s}
}

// Books takes what comes in into the ledger.
type Books struct {
	Ledger  *ledger.Ledger
	Untimed bool // when messages came in says nothing of the clocks of devices: they are rehearsed
	Log     *slog.Logger
}

// Take imports the documents of messages.
func (b Books) Take(ctx context.Context, all []flow.Came) error {
	var docs []ledger.Document
	for i, m := range all {
		items, err := desk.Items(m.Name, m.Media, m.Body)
		if err != nil && i == 0 {
			return works.Permanent(fmt.Errorf("read message %d: %w", m.ID, err))
		}
		at := m.At
		if b.Untimed {
			at = time.Time{}
		}
		for _, item := range items {
			docs = append(docs, ledger.Document{Document: item.Document, Received: at})
		}
	}
	return b.enter(ctx, docs)
}

// Import takes documents into the ledger that were received at a moment; the
// zero time is that it is not known.
func (b Books) Import(ctx context.Context, docs []*jdf.Document, received time.Time) error {
	var all []ledger.Document
	for _, d := range docs {
		all = append(all, ledger.Document{Document: d, Received: received})
	}
	return b.enter(ctx, all)
}

func (b Books) enter(ctx context.Context, docs []ledger.Document) error {
	got, findings, err := b.Ledger.Import(ctx, func(yield func(ledger.Document, error) bool) {
		for _, d := range docs {
			if !yield(d, nil) {
				return
			}
		}
	})
	if err != nil {
		return err
	}
	for _, f := range slices.Clip(findings)[:min(len(findings), 20)] {
		b.Log.DebugContext(ctx, "finding of the ledger", "rule", f.Rule.ID, "finding", f.Message())
	}
	b.Log.DebugContext(ctx, "ledger", "documents", got.Documents, "records", got.Records.New, "devices", got.Devices)
	return nil
}
