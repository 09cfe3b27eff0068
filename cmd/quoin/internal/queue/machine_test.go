package queue_test

import (
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/queue"
	"quoin/jdf/message"
)

// life is the whole machine, an event a line and a state a column: the next
// state, or the return code of the refusal.
//
// From memory: queue entry life cycle and return codes of JDF 1.x.
const life = `
            Absent   Waiting    Held       Running    Suspended  PendingReturn Completed Aborted  Removed
Submit      Waiting  116        116        116        116        116           116       116      116
SubmitHeld  Held     116        116        116        116        116           116       116      116
Resubmit    105      Waiting    Held       107        107        114           114       114      105
Update      105      Waiting    Held       Running    Suspended  114           114       114      105
Hold        105      Held       113        106        106        114           114       114      105
Resume      105      113        Waiting    113        Running    114           114       114      105
Suspend     105      115        115        Suspended  113        114           114       114      105
Abort       105      Aborted    Aborted    Aborted    Aborted    114           114       113      105
Complete    105      Completed  Completed  Completed  Completed  114           113       114      105
Remove      105      Removed    Removed    106        106        114           Removed   Removed  105
Move        105      Waiting    Held       106        106        114           114       114      105
SetPriority 105      Waiting    Held       106        106        114           114       114      105
SetGang     105      Waiting    Held       106        106        114           114       114      105
Start       105      Running    1          113        Running    114           114       114      105
Finish      105      115        115        Completed  115        114           113       114      105
Fail        105      115        115        Aborted    Aborted    114           114       113      105
Return      105      115        115        106        106        *             113       113      105
`

func TestEveryEventInEveryState(t *testing.T) {
	lines := strings.Split(strings.TrimSpace(life), "\n")
	columns := strings.Fields(lines[0])
	require.Len(t, columns, len(queue.States()))
	require.Len(t, lines[1:], len(queue.Events()))
	cells := 0
	for i, e := range queue.Events() {
		row := strings.Fields(lines[i+1])
		require.Equal(t, row[0], e.String())
		for j, s := range queue.States() {
			if j > 0 {
				require.Equal(t, columns[j], s.String())
			}
			for _, returns := range []bool{false, true} {
				check(t, s, e, returns, row[j+1])
				cells++
			}
		}
	}
	require.Equal(t, 2*9*17, cells)
}

func check(t *testing.T, s queue.State, e queue.Event, returns bool, want string) {
	t.Helper()
	from := queue.Standing{State: s, Returns: returns}
	if s == queue.PendingReturn {
		from.End = queue.Completed
	}
	next, code := from.After(e)
	if code != message.Success {
		require.Equal(t, from, next, "a refusal changes nothing")
		require.True(t, code.Known())
		require.Equal(t, want, itoa(int(code)), "%s in %s", e, s)
		require.NotContains(t, queue.Allowed(s), e)
		words := queue.Refusal("q1", s, e, code)
		require.Contains(t, words, `entry "q1" is `)
		require.Contains(t, words, "; ", "a refusal says what to do")
		return
	}
	require.Contains(t, queue.Allowed(s), e)
	switch want {
	case "*":
		require.Equal(t, queue.Completed, next.State)
	case "Completed", "Aborted":
		require.Equal(t, want, next.End.String())
		if returns {
			want = "PendingReturn"
		}
		require.Equal(t, want, next.State.String())
	default:
		require.Equal(t, want, next.State.String(), "%s in %s", e, s)
	}
}

func itoa(i int) string {
	if i < 10 {
		return string(rune('0' + i))
	}
	return itoa(i/10) + itoa(i%10)
}

// TestRandomLives holds what must be true of every life of an entry, whatever
// happens to it.
func TestRandomLives(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	reached := map[queue.State]int{}
	for range 3_000 {
		s := queue.Standing{Returns: r.IntN(2) == 0}
		removed := false
		for range 25 {
			e := queue.Events()[r.IntN(len(queue.Events()))]
			next, code := s.After(e)
			if code == message.Success {
				require.False(t, removed, "nothing happens to a removed entry")
				require.NotEqual(t, queue.Absent, next.State)
				if s.State.Ended() {
					require.True(t, next.State.Ended(), "%s brings %s back", e, s.State)
					require.Equal(t, s.End, next.End, "the end of the work does not change")
				}
				if s.Returns && next.State != s.State {
					require.False(t, s.State.Open() && s.State != queue.PendingReturn &&
						(next.State == queue.Completed || next.State == queue.Aborted), "the ticket was not returned")
				}
				switch next.State {
				case queue.PendingReturn, queue.Completed, queue.Aborted:
					require.NotEqual(t, queue.Absent, next.End)
				case queue.Removed:
					require.False(t, s.State.Begun())
				}
			}
			s = next
			removed = s.State == queue.Removed
			reached[s.State]++
			again(t, s)
		}
	}
	for _, state := range queue.States() {
		require.Positive(t, reached[state], state)
	}
}

// again holds that both generations tell a standing in their words, and that
// nothing is lost on the way back but what a generation does not tell.
func again(t *testing.T, s queue.Standing) {
	t.Helper()
	if s.State == queue.Absent {
		return
	}
	back, ok := queue.ParseState(s.State.String())
	require.True(t, ok)
	require.Equal(t, s.State, back)
	status, activation := s.NodeStatus()
	told, ok := queue.OfNodeStatus(status, activation)
	require.True(t, ok)
	require.Equal(t, s.State, told.State)
	if s.End != queue.Absent {
		require.Equal(t, s.End, told.End)
	}
}

func TestOddStates(t *testing.T) {
	for _, c := range []struct {
		status, activation string
		want               queue.State
		ok                 bool
	}{
		{"Setup", "", queue.Running, true},
		{"Cleanup", "Active", queue.Running, true},
		{"Stopped", "Active", queue.Running, true},
		{"Waiting", "", queue.Waiting, true},
		{"Waiting", "Informative", queue.Held, true},
		{"Waiting", "Removed", queue.Removed, true},
		{"InProgress", "PendingReturn", queue.Running, true}, // says two things; the work decides
		{"Ready", "", queue.Absent, false},                   // a word of JDF
		{"", "Held", queue.Absent, false},
	} {
		got, ok := queue.OfNodeStatus(c.status, c.activation)
		require.Equal(t, c.ok, ok, c)
		require.Equal(t, c.want, got.State, c)
	}
	for _, word := range []string{"", "waiting", "InProgress", "Absent"} {
		_, ok := queue.ParseState(word)
		require.False(t, ok, word)
	}
	_, code := queue.Standing{State: 99}.After(queue.Hold)
	require.Equal(t, message.InternalError, code)
	_, code = queue.Standing{State: queue.Waiting}.After(99)
	require.Equal(t, message.InternalError, code)
	require.Empty(t, queue.State(99).String())
	require.Empty(t, queue.Event(99).String())
}

func TestOperations(t *testing.T) {
	for _, op := range []message.Operation{
		message.Abort, message.Complete, message.Hold, message.Move, message.Remove, message.Resume, message.SetGang,
		message.SetPriority, message.Suspend,
	} {
		e, ok := queue.OfOperation(op)
		require.True(t, ok, op)
		require.Equal(t, string(op), e.String())
	}
	for _, op := range []message.Operation{"", "Start", "Submit", "hold"} {
		_, ok := queue.OfOperation(op)
		require.False(t, ok, op)
	}
}
