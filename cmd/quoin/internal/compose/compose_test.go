package compose_test

import (
	"bytes"
	"fmt"
	"testing"
	"time"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/compose"
	"quoin/cmd/quoin/internal/compose/judge"
	"quoin/cmd/quoin/internal/queue"
	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/jdf/message"
	"quoin/jdf/value"
)

var noon = time.Date(2026, 11, 25, 12, 0, 0, 0, time.FixedZone("", 3600))

// versions are those that messages are written in: the last, those where the
// schema changes what messages hold, and the first with return addresses.
var versions = []jdf.Version{{Major: 1, Minor: 2}, {Major: 1, Minor: 4}, {Major: 1, Minor: 5}, {Major: 1, Minor: 7},
	jdf.LastJDF, {Major: 2, Minor: 0}, {Major: 2, Minor: 2}, jdf.LastXJDF}

func begin(v jdf.Version) *compose.Envelope {
	n := 0
	return compose.New(compose.Options{
		Version: v, Sender: "Saltmarsh", AgentVersion: "1.0", Clock: func() time.Time { return noon },
		NewID: func() string { n++; return fmt.Sprint("M", n) },
	})
}

func number(n int64) decimal.NullDecimal { return decimal.NewNullDecimal(decimal.NewFromInt(n)) }

func at(i int) *int { return &i }

func text(s string) job.Fact[string] { return job.Of(s, jdf.Place{}) }

// phase is a phase with all there is to say.
var phase = compose.Phase{
	JobID: "J1", PartID: "P1", Entry: "q1", State: "InProgress", Details: "Good", JobStart: noon.Add(-time.Hour),
	Start: noon.Add(-time.Minute), End: noon, Good: number(180), Waste: number(3),
	JobGood: number(4100), JobWaste: number(90),
	Target: number(5000), Percent: number(82), CostCentre: "3100", WorkType: "Original",
	Part: job.NewPart("SheetName", "S1", "Side", "Front"),
}

var state = compose.DeviceState{
	Device: "press-1", State: "Production", Details: "Good", Operator: "anna", Speed: number(11000), Counter: number(4200),
	TotalCounter: number(8100200), CounterUnit: "count",
	Modules: []compose.Module{{ID: "unit-1", Type: "PrintModule", State: "Production", Details: "Good"}},
	Phases:  []compose.Phase{phase},
}

var reports = []compose.ResourceReport{
	{
		JobID: "J1", PartID: "P1", Entry: "q1", Scope: "Job", Kind: "Media", Usage: "Input", ProductID: "stock-7",
		Device: "press-1", Amounts: []compose.Amount{
			{Part: job.NewPart("SheetName", "S1"), Lot: "L1", Good: number(4100), Waste: number(90)},
			{Part: job.NewPart("SheetName", "S1"), Lot: "L2", Good: number(900)},
		},
	},
	{JobID: "J1", PartID: "P1", Entry: "q1", Device: "press-1", Scope: "Job", Kind: "Ink", Usage: "Input", Unit: "g",
		Amounts: []compose.Amount{{Good: number(2)}}},
	{JobID: "J1", PartID: "P1", Entry: "q1", Device: "press-1", Scope: "Job", Kind: "Component",
		Usage: "Output"},
}

var filter = &message.QueueFilter{
	JobID: text("J1"), PartID: text("P1"), Most: job.Of(5, jdf.Place{}), MinPriority: job.Of(10, jdf.Place{}),
	NewerThan: job.Of(must(value.ParseDateTime("2026-11-01T00:00:00Z")), jdf.Place{}), Changes: text("All"),
	Status: job.Of([]string{"Waiting"}, jdf.Place{}),
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

var entries = []queue.Entry{
	{
		ID: "q1", JobID: "J1", PartID: "P1", Device: "press-1", Standing: queue.Standing{State: queue.Running},
		Doing:   "Setup",
		Details: "Good", Priority: 80, Gang: "g1", Submitted: noon.Add(-time.Hour), Start: noon,
	},
	{ID: "q2", JobID: "J2", Standing: queue.Standing{State: queue.Held}, Priority: 50, Submitted: noon},
	{
		ID: "q3", JobID: "J3", Standing: queue.Standing{State: queue.PendingReturn, End: queue.Completed}, Priority: 50,
		Submitted: noon, Start: noon, End: noon,
	},
}

// cases are all that can be written.
var cases = map[string]func(e *compose.Envelope) string{
	"submit": func(e *compose.Envelope) string {
		return e.Submit(compose.Submission{
			URL: "cid:ticket", Priority: at(60), Held: true, ReturnJMF: "http://mis.example/jmf",
			ReturnURL: "http://mis.example/tickets", Gang: "g1", Policy: "Gang", Previous: "q1",
			AcknowledgeURL: "http://mis.example/ack",
		})
	},
	"resubmit": func(e *compose.Envelope) string {
		return e.Resubmit(compose.Resubmission{Entry: "q1", URL: "cid:ticket", Method: "Incremental"})
	},
	"return": func(e *compose.Envelope) string {
		return e.Return(compose.Return{Entry: "q1", URL: "cid:ticket", Completed: []string{"n1", "n2"}})
	},
	"request": func(e *compose.Envelope) string {
		return e.Request(compose.EntryRequest{
			QueueURL: "http://press-1.example/jmf", JobID: "J1", PartID: "P1", Activation: "Held",
			Part: job.NewPart("SheetName", "S1"),
		})
	},
	"stop": func(e *compose.Envelope) string {
		return e.StopChannel(compose.Stop{Channel: "M7", Type: "Status", URL: "http://mis.example/jmf", Device: "press-1"})
	},
	"subscribe status": func(e *compose.Envelope) string {
		return e.Ask(compose.Question{Type: "Status", Tell: &compose.Subscription{
			URL: "http://mis.example/jmf", RepeatTime: 30 * time.Second, RepeatStep: 500, Reliable: true,
		}})
	},
	"ask status": func(e *compose.Envelope) string {
		return e.Ask(compose.Question{
			Type: "Status", JobID: "J1", PartID: "P1", Entry: "q1", Part: job.NewPart("SheetName", "S1"), Details: "Full",
		})
	},
	"subscribe resource": func(e *compose.Envelope) string {
		return e.Ask(compose.Question{
			Type: "Resource", JobID: "J1", Kind: "Media", Scope: "Job",
			Tell: &compose.Subscription{URL: "http://mis.example/jmf", RepeatTime: 1500 * time.Millisecond},
		})
	},
	"ask resource": func(e *compose.Envelope) string { return e.Ask(compose.Question{Type: "Resource"}) },
	"subscribe notification": func(e *compose.Envelope) string {
		return e.Ask(compose.Question{
			Type: "Notification", Classes: []string{"Warning",
				"Error"}, Tell: &compose.Subscription{URL: "http://mis.example/jmf"},
		})
	},
	"queue status": func(e *compose.Envelope) string { return e.Ask(compose.Question{Type: "QueueStatus"}) },
	"queue filter": func(e *compose.Envelope) string {
		return e.Ask(compose.Question{Type: "QueueStatus",
			Filter: filter})
	},
	"devices": func(e *compose.Envelope) string {
		return e.Ask(compose.Question{Type: "KnownDevices", Details: "Full"})
	},
	"messages": func(e *compose.Envelope) string { return e.Ask(compose.Question{Type: "KnownMessages"}) },
	"subscriptions": func(e *compose.Envelope) string {
		return e.Ask(compose.Question{Type: "KnownSubscriptions", Device: "press-1"})
	},
	"signal status": func(e *compose.Envelope) string { return e.SignalStatus("Q1", state) },
	"signal idle": func(e *compose.Envelope) string {
		return e.SignalStatus("", compose.DeviceState{Device: "press-1", State: "Idle", IdleSince: noon})
	},
	"signal silent": func(e *compose.Envelope) string {
		return e.SignalStatus("",
			compose.DeviceState{Device: "press 1"})
	},
	"signal resource": func(e *compose.Envelope) string { return e.SignalResource("Q1", reports...) },
	"signal queue": func(e *compose.Envelope) string {
		return e.SignalQueue("Q1", compose.Queue{Device: "press-1", Status: queue.QueueRunning, Size: 3, Max: 9,
			Entries: entries})
	},
	"signal nothing": func(e *compose.Envelope) string { return e.SignalResource("Q1") },
	"signal event": func(e *compose.Envelope) string {
		return e.SignalNotification("Q1", compose.Notice{
			Class: "Event", Text: "pallet full & moved", Event: "pallet", Value: "P-17", JobID: "J1", PartID: "P1", Entry: "q1",
			Module: "delivery", Part: job.NewPart("SheetName", "S1"),
		})
	},
	"signal warning": func(e *compose.Envelope) string {
		return e.SignalNotification("", compose.Notice{Class: "Warning", Text: "ink low"})
	},
}

func all() map[string]func(e *compose.Envelope) string {
	every := map[string]func(e *compose.Envelope) string{}
	for name, write := range cases {
		every[name] = write
	}
	for _, op := range []message.Operation{
		message.Abort, message.Complete, message.Hold, message.Remove, message.Resume, message.Suspend, message.SetGang,
		message.Move, message.SetPriority,
	} {
		c := compose.Change{Operation: op, Entries: []string{"q1"}}
		switch op {
		case message.SetGang:
			c.Gang = "g1"
		case message.Move:
			c.Previous = "q2"
		case message.SetPriority:
			c.Priority = at(70)
		}
		every["modify "+string(op)] = func(e *compose.Envelope) string { return e.Modify(c) }
	}
	every["modify many"] = func(e *compose.Envelope) string {
		return e.Modify(compose.Change{Operation: message.Hold, Filter: filter})
	}
	return every
}

// written is every case in every version.
func written(t *testing.T) map[string][]byte {
	t.Helper()
	docs := map[string][]byte{}
	for name, write := range all() {
		for _, v := range versions {
			e := begin(v)
			require.True(t, e.Empty())
			id := write(e)
			if id == "" {
				require.True(t, e.Empty())
				require.EqualValues(t, 1, v.Major)
				if name == "subscribe notification" {
					require.Greater(t, int(v.Minor), 4, "it is Events before")
					continue
				}
				require.Equal(t, "modify SetGang", name, "JMF has all else")
				continue
			}
			require.False(t, e.Empty())
			body, err := e.Bytes()
			require.NoError(t, err)
			docs[name+" "+v.String()] = body
			m := decode(t, body)
			require.Len(t, m.Messages, 1)
			require.Equal(t, id, m.Messages[0].ID.Value)
			require.Empty(t, m.Faults)
		}
	}
	return docs
}

func decode(t testing.TB, body []byte) *message.Envelope {
	t.Helper()
	doc, faults, err := jdf.Read("message", bytes.NewReader(body), jdf.Limits{})
	require.NoError(t, err)
	require.Empty(t, faults, string(body))
	return message.Decode(doc)
}

// TestWritten holds all that can be written against the checks of Quoin and
// the published schemas, in all versions.
func TestWritten(t *testing.T) {
	docs := written(t)
	require.Greater(t, len(docs), 200)
	judge.Published(t, docs)
	judge.Sound(t, docs)
}
