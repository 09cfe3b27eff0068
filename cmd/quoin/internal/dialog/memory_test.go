package dialog_test

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/compose"
	"quoin/cmd/quoin/internal/dialog"
	"quoin/cmd/quoin/internal/queue"
	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/jdf/message"
)

// noon is when all is written and answered.
var noon = time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)

// counter makes IDs in turn.
func counter(prefix string) func() string {
	n := 0
	var lock sync.Mutex
	return func() string {
		lock.Lock()
		defer lock.Unlock()
		n++
		return fmt.Sprint(prefix, n)
	}
}

// memory is a Works that keeps all in memory, and does what queue says.
type memory struct {
	entries  []queue.Entry
	queue    queue.Queue
	channels []compose.Channel
	kept     []dialog.Document
	answered map[string]dialog.Reply
	told     []*message.Message
	returned []string
	requests []string
	from     []dialog.From
	tickets  []dialog.Ticket
	fetch    map[string]string // tickets that may be fetched
	later    bool
	broken   error // what every method returns
	unkept   error // what Keep returns
}

func (w *memory) Keep(_ context.Context, d dialog.Document) (dialog.Receipt, error) {
	if w.unkept != nil {
		return dialog.Receipt{}, w.unkept
	}
	w.kept = append(w.kept, d)
	r := dialog.Receipt{ID: int64(len(w.kept))}
	if before, ok := w.answered[string(d.Body)]; ok {
		r.Before = &before
	}
	return r, nil
}

func (w *memory) Answered(_ context.Context, r dialog.Receipt, reply dialog.Reply) error {
	if w.answered == nil {
		w.answered = map[string]dialog.Reply{}
	}
	w.answered[string(w.kept[r.ID-1].Body)] = reply
	return nil
}

func (w *memory) Submit(_ context.Context, from dialog.From, s dialog.Submission) (queue.Entry, error) {
	w.from, w.tickets = append(w.from, from), append(w.tickets, s.Ticket)
	if w.broken != nil {
		return queue.Entry{}, w.broken
	}
	if code := w.queue.Admits(); code != message.Success {
		return queue.Entry{}, dialog.Refuse(code, "the queue is %s; submit again when it is open", w.queue.Status())
	}
	event := queue.Submit
	if s.Params.Held.Value {
		event = queue.SubmitHeld
	}
	standing, _ := queue.Standing{Returns: s.Params.ReturnJMF.Given}.After(event)
	e := queue.Entry{
		ID: fmt.Sprint("entry-", len(w.entries)+1), JobID: s.Ticket.Document.Root().Get("JobID"), Standing: standing,
		Priority: s.Params.Priority.Or(50), Place: int64(len(w.entries)), Submitted: noon,
	}
	w.entries = append(w.entries, e)
	if w.later {
		return e, dialog.ErrLater
	}
	return e, nil
}

func (w *memory) Resubmit(_ context.Context, _ dialog.From, r dialog.Resubmission) (queue.Entry, error) {
	for _, e := range w.entries {
		if e.ID == r.Params.Entry.Value {
			if _, code := e.Standing.After(r.Event); code != message.Success {
				return e, dialog.Refuse(code, "%s", queue.Refusal(e.ID, e.Standing.State, r.Event, code))
			}
			w.tickets = append(w.tickets, r.Ticket)
			return e, w.broken
		}
	}
	return queue.Entry{}, dialog.Refuse(message.EntryUnknown, "entry %q is not in the queue", r.Params.Entry.Value)
}

func (w *memory) Modify(_ context.Context, _ dialog.From, m *message.Modification) ([]queue.Result, error) {
	if w.broken != nil {
		return nil, w.broken
	}
	results, code, why := queue.Change(w.entries, m)
	if code != message.Success {
		return nil, dialog.Refuse(code, "%s", why)
	}
	for _, r := range results {
		for i := range w.entries {
			if w.entries[i].ID == r.ID {
				w.entries[i] = r.Entry
			}
		}
	}
	return results, nil
}

func (w *memory) Control(_ context.Context, _ dialog.From, c queue.Control) error {
	next, code := w.queue.After(c)
	if code != message.Success {
		return dialog.Refuse(code, "the queue is %s already; nothing has to be done", w.queue.Status())
	}
	w.queue = next
	return w.broken
}

func (w *memory) Queue(_ context.Context, _ dialog.From, f *message.QueueFilter) (compose.Queue, error) {
	q := compose.Queue{Device: "Saltmarsh", Entries: queue.Select(w.entries, f)}
	state := w.queue
	for _, e := range w.entries {
		if e.Standing.State.Open() {
			state.Size++
		}
		if e.Standing.State == queue.Running {
			state.Running++
		}
	}
	q.Status, q.Size, q.Max = state.Status(), state.Size, state.Max
	return q, w.broken
}

func (w *memory) Return(_ context.Context, _ dialog.From, r dialog.Return) error {
	w.returned, w.tickets = append(w.returned, r.Params.Entry.Value), append(w.tickets, r.Ticket)
	return w.broken
}

func (w *memory) Request(_ context.Context, _ dialog.From, r *message.EntryRequest) error {
	w.requests = append(w.requests, r.QueueURL.Value)
	return w.broken
}

func (w *memory) Devices(context.Context, dialog.From, *message.DeviceFilter) ([]compose.Device, error) {
	return []compose.Device{
		{ID: "press-1", Name: "Press 1", Class: []string{"Printing"}, URL: "http://press-1.example/jmf", State: "Production"},
		{ID: "cutter-1", Name: "Cutter 1", CostCentre: "4100", MessageVersions: []string{"1.6", "2.2"}},
	}, w.broken
}

func (w *memory) Status(_ context.Context, _ dialog.From, q *message.StatusQuery) ([]compose.DeviceState, error) {
	if q != nil && q.JobID.Value == "nobody" {
		return nil, dialog.Refuse(message.JobIDUnknown, "job %q is not known here", q.JobID.Value)
	}
	return []compose.DeviceState{pressState(), {Device: "cutter-1", State: "Idle", IdleSince: noon}}, w.broken
}

// pressState is what a press is doing.
func pressState() compose.DeviceState {
	number := func(n int64) decimal.NullDecimal { return decimal.NewNullDecimal(decimal.NewFromInt(n)) }
	return compose.DeviceState{
		Device: "press-1", State: "Production", Details: "Good", Operator: "anna", Speed: number(11000),
		Counter: number(4200), TotalCounter: number(8100200), CounterUnit: "count",
		Modules: []compose.Module{{ID: "unit-1", Type: "PrintModule", State: "Production"}},
		Phases: []compose.Phase{{
			JobID: "J1", PartID: "P1", Entry: "q1", State: "InProgress", JobStart: noon.Add(-time.Hour),
			Start: noon.Add(-time.Minute), Good: number(180), Waste: number(3), JobGood: number(4100), JobWaste: number(90),
			Target: number(5000), Percent: number(82), CostCentre: "3100", WorkType: "Original",
			Part: job.NewPart("SheetName", "S1"),
		}},
	}
}

func (w *memory) Resources(context.Context, dialog.From, *message.ResourceQuery) ([]compose.ResourceReport, error) {
	return []compose.ResourceReport{paper()}, w.broken
}

// paper is what a press has used.
func paper() compose.ResourceReport {
	return compose.ResourceReport{
		JobID: "J1", PartID: "P1", Entry: "q1", Scope: "Job", Kind: "Media", Usage: "Input", ProductID: "stock-7",
		Device: "press-1",
		Amounts: []compose.Amount{{
			Part: job.NewPart("SheetName", "S1"), Lot: "L1", Good: decimal.NewNullDecimal(decimal.NewFromInt(4100)),
			Waste: decimal.NewNullDecimal(decimal.NewFromInt(90)),
		}},
	}
}

func (w *memory) Subscribe(_ context.Context, from dialog.From, s dialog.Subscription) error {
	if strings.Contains(s.URL, "denied") {
		return dialog.Refuse(message.SubscriptionDenied, "signals are not sent to %q; ask to have it allowed", s.URL)
	}
	w.channels = append(w.channels, compose.Channel{
		ID: s.Channel, Type: s.Type, Sender: from.Sender, Subscription: s.Subscription,
	})
	return w.broken
}

func (w *memory) Channels(context.Context, dialog.From, *message.SubscriptionFilter) ([]compose.Channel, error) {
	return w.channels, w.broken
}

func (w *memory) Stop(_ context.Context, _ dialog.From, s *message.StopChannel) (ended []compose.Channel, _ error) {
	var kept []compose.Channel
	for _, c := range w.channels {
		if s.Channel.Given && s.Channel.Value != c.ID || s.Type.Value != "" && s.Type.Value != c.Type ||
			s.URL.Given && s.URL.Value != c.Subscription.URL {
			kept = append(kept, c)
			continue
		}
		ended = append(ended, c)
	}
	w.channels = kept
	return ended, w.broken
}

func (w *memory) Told(_ context.Context, from dialog.From, m *message.Message) error {
	w.told, w.from = append(w.told, m), append(w.from, from)
	return w.broken
}

func (w *memory) Fetch(_ context.Context, _ dialog.From, url string) (dialog.Ticket, error) {
	if text, ok := w.fetch[url]; ok {
		return dialog.Ticket{Name: url, Data: []byte(text)}, nil
	}
	return dialog.Ticket{}, dialog.RefuseURL(url)
}

var errDisk = errors.New("write page 7 of the store: no space left on device")

// endpoint makes an endpoint whose answers are always the same.
func endpoint(w *memory) *dialog.Endpoint {
	return &dialog.Endpoint{
		Works: w, Sender: "Saltmarsh", Schemes: []string{"http", "https"},
		Clock: func() time.Time { return noon }, NewID: counter("A"),
	}
}

// read decodes an answer.
func read(t testing.TB, r dialog.Reply) *message.Envelope {
	t.Helper()
	require.NotEmpty(t, r.Body, "there is an answer")
	return envelope(t, string(r.Body))
}

func envelope(t testing.TB, text string) *message.Envelope {
	t.Helper()
	doc, faults, err := jdf.Read("answer", strings.NewReader(text), jdf.Limits{})
	require.NoError(t, err)
	require.Empty(t, faults, text)
	return message.Decode(doc)
}

// post answers a document that came alone.
func post(t testing.TB, w *memory, text string) (*message.Envelope, dialog.Reply) {
	t.Helper()
	r := endpoint(w).Answer(context.Background(), dialog.Incoming{Media: "application/vnd.cip4-jmf+xml",
		Body: []byte(text)})
	return read(t, r), r
}
