package dialog_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/compose"
	"quoin/cmd/quoin/internal/dialog"
	"quoin/cmd/quoin/internal/queue"
	"quoin/jdf"
	"quoin/jdf/message"
)

// TestRandomCommands sends random commands, written by compose, through an
// endpoint, and holds each answer and each state against the state machine.
func TestRandomCommands(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	operations := []message.Operation{
		message.Abort, message.Complete, message.Hold, message.Remove, message.Resume, message.Suspend, message.SetPriority,
		message.SetGang,
	}
	codes := map[message.Code]int{}
	versions := []jdf.Version{{Major: 1, Minor: 3}, jdf.LastJDF, jdf.LastXJDF}
	id := counter("C") // one for all: the same document again is not done again
	for round := range 60 {
		w := &memory{}
		p := endpoint(w)
		model := map[string]queue.Standing{}
		for range 30 {
			v := versions[(round+r.IntN(2))%3]
			e := compose.New(compose.Options{Version: v, Sender: "MIS", NewID: id})
			if r.IntN(4) == 0 || len(model) == 0 {
				submit(t, p, e, r.IntN(2) == 0, r.IntN(2) == 0, model)
				continue
			}
			entry := fmt.Sprint("entry-", 1+r.IntN(len(model)+1))
			start(w, model, r)
			op := operations[r.IntN(len(operations))]
			c := compose.Change{Operation: op, Entries: []string{entry}, Gang: "g1"}
			if op == message.SetPriority {
				priority := r.IntN(101)
				c.Priority = &priority
			}
			if e.Modify(c) == "" {
				continue
			}
			if op == message.Complete && v.Major == 1 && v.Minor < 5 {
				op = message.Abort
			}
			codes[hold(t, p, e, w, model, entry, op)]++
		}
	}
	for _, code := range []message.Code{
		message.Success, message.EntryUnknown, message.AlreadyExecuting, message.AlreadyInStatus, message.EntryEnded,
		message.EntryNotRunning,
	} {
		require.Positive(t, codes[code], code)
	}
}

// start lets a device begin an entry, or give its ticket back.
func start(w *memory, model map[string]queue.Standing, r *rand.Rand) {
	i := r.IntN(len(w.entries))
	event := []queue.Event{queue.Start, queue.Finish, queue.Return}[r.IntN(3)]
	if next, code := w.entries[i].Standing.After(event); code == message.Success {
		w.entries[i].Standing, model[w.entries[i].ID] = next, next
	}
}

func submit(t *testing.T, p *dialog.Endpoint, e *compose.Envelope, held, returns bool,
	model map[string]queue.Standing) {
	t.Helper()
	text := jdfTicket
	if e.Kind() == jdf.KindXJMF {
		text = xjdfTicket
	}
	file := compose.Attachment{ID: "t1", Name: "t1.xml", Data: []byte(text)}
	s := compose.Submission{URL: e.URL(file), Held: held}
	if returns {
		s.ReturnJMF = "http://mis.example/jmf"
	}
	e.Submit(s)
	body, media, err := compose.Package(e, file)
	require.NoError(t, err)
	answer := read(t, p.Answer(context.Background(), dialog.Incoming{Media: media, Body: body}))
	require.Equal(t, 0, answer.Messages[0].Returned(), "%s", body)
	event := queue.Submit
	if held {
		event = queue.SubmitHeld
	}
	standing, code := queue.Standing{Returns: returns}.After(event)
	require.Equal(t, message.Success, code)
	model[answer.Messages[0].QueueEntries[0].ID.Value] = standing
}

// hold posts a command and compares what it did with the state machine.
func hold(t *testing.T, p *dialog.Endpoint, e *compose.Envelope, w *memory, model map[string]queue.Standing, id string,
	op message.Operation) message.Code {
	t.Helper()
	body, err := e.Bytes()
	require.NoError(t, err)
	answer := read(t, p.Answer(context.Background(), dialog.Incoming{Media: e.MediaType(), Body: body}))
	require.Len(t, answer.Messages, 1)
	event, ok := queue.OfOperation(op)
	require.True(t, ok)
	next, code := model[id].After(event)
	require.Equal(t, int(code), answer.Messages[0].Returned(), "%s of %s in %v", op, id, model[id])
	if _, known := model[id]; known {
		model[id] = next
	}
	require.Len(t, w.entries, len(model))
	for _, entry := range w.entries {
		require.Equal(t, model[entry.ID], entry.Standing, entry.ID)
	}
	return code
}
