package queue_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/queue"
	"quoin/jdf/message"
)

func TestStatusOfQueue(t *testing.T) {
	for _, c := range []struct {
		queue.Queue
		want   queue.Status
		admits message.Code
	}{
		{queue.Queue{}, queue.QueueWaiting, message.Success},
		{queue.Queue{Running: 1, Size: 1}, queue.QueueRunning, message.Success},
		{queue.Queue{Running: 1, Size: 2, Max: 2}, queue.QueueFull, message.QueueRefuses},
		{queue.Queue{Running: 1, Size: 1, Max: 2}, queue.QueueRunning, message.Success},
		{queue.Queue{Closed: true, Running: 1}, queue.QueueClosed, message.QueueRefuses},
		{queue.Queue{Held: true, Running: 1}, queue.QueueHeld, message.Success},
		{queue.Queue{Held: true, Closed: true}, queue.QueueBlocked, message.QueueRefuses},
		{queue.Queue{Held: true, Size: 3, Max: 3}, queue.QueueBlocked, message.QueueRefuses},
	} {
		require.Equal(t, c.want, c.Status(), c.Queue)
		require.Equal(t, c.admits, c.Admits(), c.Queue)
		require.Equal(t, !c.Held, c.Starts(), c.Queue)
	}
}

func TestControlOfQueue(t *testing.T) {
	q := queue.Queue{}
	for _, c := range []struct {
		do   queue.Control
		code message.Code
		want queue.Status
	}{
		{queue.OpenQueue, message.AlreadyInStatus, queue.QueueWaiting},
		{queue.CloseQueue, message.Success, queue.QueueClosed},
		{queue.CloseQueue, message.AlreadyInStatus, queue.QueueClosed},
		{queue.HoldQueue, message.Success, queue.QueueBlocked},
		{queue.OpenQueue, message.Success, queue.QueueHeld},
		{queue.ResumeQueue, message.Success, queue.QueueWaiting},
		{queue.ResumeQueue, message.AlreadyInStatus, queue.QueueWaiting},
		{"FlushQueue", message.NotImplemented, queue.QueueWaiting},
	} {
		var code message.Code
		q, code = q.After(c.do)
		require.Equal(t, c.code, code, c.do)
		require.Equal(t, c.want, q.Status(), c.do)
	}
}

func entry(id string, s queue.State, priority int, place int64) queue.Entry {
	return queue.Entry{ID: id, Standing: queue.Standing{State: s}, Priority: priority, Place: place}
}

func ids(entries []queue.Entry) (all []string) {
	for _, e := range entries {
		all = append(all, e.ID)
	}
	return all
}

func TestMoved(t *testing.T) {
	entries := []queue.Entry{
		entry("done", queue.Completed, 90, 0), entry("low", queue.Waiting, 20, 0), entry("held", queue.Held, 50, 1),
		entry("high", queue.Waiting, 80, 0), entry("mid", queue.Waiting, 50, 0), entry("runs", queue.Running, 10, 0),
	}
	zero, five, below := 0, 5, -1
	for _, c := range []struct {
		id   string
		t    queue.Target
		code message.Code
		want []string
		prio int
	}{
		{"low", queue.Target{Position: &zero}, 0, []string{"runs", "low", "high", "mid", "held", "done"}, 80},
		{"high", queue.Target{Position: &five}, 0, []string{"runs", "mid", "held", "low", "high", "done"}, 20},
		{"low", queue.Target{Next: "held"}, 0, []string{"runs", "high", "mid", "low", "held", "done"}, 50},
		{"high", queue.Target{Previous: "mid"}, 0, []string{"runs", "mid", "high", "held", "low", "done"}, 50},
		{"mid", queue.Target{Previous: "high"}, 0, []string{"runs", "high", "mid", "held", "low", "done"}, 50},
		{"mid", queue.Target{}, message.InsufficientParams, nil, 0},
		{"mid", queue.Target{Position: &zero, Next: "low"}, message.InvalidParameters, nil, 0},
		{"mid", queue.Target{Position: &below}, message.InvalidParameters, nil, 0},
		{"mid", queue.Target{Next: "runs"}, message.InvalidParameters, nil, 0},
		{"mid", queue.Target{Next: "mid"}, message.InvalidParameters, nil, 0},
		{"none", queue.Target{Position: &zero}, message.EntryUnknown, nil, 0},
		{"runs", queue.Target{Position: &zero}, message.AlreadyExecuting, nil, 0},
		{"done", queue.Target{Position: &zero}, message.EntryEnded, nil, 0},
	} {
		got, code := queue.Moved(entries, c.id, c.t)
		require.Equal(t, c.code, code, c)
		require.Equal(t, c.want, ids(got), c)
		for _, e := range got {
			if e.ID == c.id {
				require.Equal(t, c.prio, e.Priority, c)
			}
		}
		require.Equal(t, "done", entries[0].ID, "the entries given stay as they are")
	}
}

// TestMovedStays holds that an order that was made by hand is the order that
// comparing gives from then on, and that only the moved entry changes priority.
func TestMovedStays(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	moves := 0
	for range 2000 {
		var entries []queue.Entry
		for i := range 1 + r.IntN(8) {
			e := entry(fmt.Sprint("e", i), queue.State(1+r.IntN(8)), 10*r.IntN(4), int64(r.IntN(3)))
			e.Submitted = time.Unix(int64(r.IntN(5)), 0)
			entries = append(entries, e)
		}
		id := entries[r.IntN(len(entries))].ID
		to := r.IntN(10)
		moved, code := queue.Moved(entries, id, queue.Target{Position: &to})
		if code != message.Success {
			continue
		}
		moves++
		sorted := slices.SortedFunc(slices.Values(moved), queue.Compare)
		require.Equal(t, ids(moved), ids(sorted))
		require.ElementsMatch(t, ids(entries), ids(moved))
		for _, e := range entries {
			i := slices.IndexFunc(moved, func(m queue.Entry) bool { return m.ID == e.ID })
			if e.ID != id {
				require.Equal(t, e.Priority, moved[i].Priority)
			}
			require.Equal(t, e.Standing, moved[i].Standing)
		}
	}
	require.Greater(t, moves, 100)
}
