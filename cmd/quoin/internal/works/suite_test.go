package works_test

import (
	"context"
	"fmt"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/database"
	"quoin/cmd/quoin/internal/postgrestest"
	"quoin/cmd/quoin/internal/works"
)

// house is a store for a test, with a clock that the test turns.
type house struct {
	*works.Store
	at    string // where the database is
	clock *clock
}

// suite are the tests that a store of either kind has to pass.
var suite = []struct {
	name string
	test func(*testing.T, *house)
}{
	{"together", testTogether}, {"inbox", testInbox}, {"inbox from many", testInboxFromMany}, {"ticket's life", testLife},
	{"transitions against a model", testTransitions}, {"steps", testSteps}, {"find step", testFindStep},
	{"resubmission", testResubmission}, {"queue order against a model", testQueueOrder}, {"list tickets", testList},
	{"enqueue once", testEnqueueOnce}, {"backoff", testBackoff}, {"lanes", testLanes}, {"fence", testFence},
	{"workers that vanish", testVanish}, {"people and chores", testPeople}, {"each chore once", testEachOnce},
	{"pool ends", testPoolEnds}, {"deliveries", testDeliveries}, {"events from many", testEventsFromMany},
	{"subscriptions", testSubscriptions}, {"devices", testDevices}, {"alerts", testAlerts}, {"log", testLog},
	{"retention", testRetention}, {"backup", testBackup}, {"counts", testCounts}, {"secrets", testSecrets}, {"marks", testMarks},
}

func TestSQLite(t *testing.T) {
	for _, c := range suite {
		t.Run(c.name, func(t *testing.T) { c.test(t, open(t, filepath.Join(t.TempDir(), "store.db"))) })
	}
}

func TestPostgres(t *testing.T) {
	server := postgrestest.Start(t, "fsync=off")
	for _, c := range suite {
		t.Run(c.name, func(t *testing.T) { c.test(t, open(t, server.Database(t))) })
	}
}

// clock is a clock that only a test turns.
type clock struct {
	mu  sync.Mutex
	now time.Time
}

func (c *clock) read() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.now
}

func (c *clock) turn(by time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.now = c.now.Add(by)
}

func open(t *testing.T, at string) *house {
	t.Helper()
	h := &house{at: at, clock: &clock{now: time.Date(2026, 11, 25, 6, 0, 0, 0, time.UTC)}}
	h.Store = h.instance(t, "one", h.clock.read)
	return h
}

// instance opens the store once more, as another process would.
func (h *house) instance(t *testing.T, name string, clock func() time.Time) *works.Store {
	t.Helper()
	db, err := database.Open(t.Context(), h.at)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, db.Close()) })
	s, err := works.Open(t.Context(), db, works.Options{Clock: clock, Random: func() float64 { return 0 }, Instance: name})
	require.NoError(t, err)
	return s
}

// write is a Write that has to go well.
func write[T any](t *testing.T, s *works.Store, f func(*works.Tx) (T, error)) T {
	t.Helper()
	var got T
	require.NoError(t, s.Write(t.Context(), "anna", func(tx *works.Tx) (err error) {
		got, err = f(tx)
		return err
	}))
	return got
}

// refused is a Write that has to be refused for the state of something.
func refused(t *testing.T, s *works.Store, f func(*works.Tx) error) *works.StateError {
	t.Helper()
	err := s.Write(t.Context(), "anna", f)
	require.ErrorIs(t, err, works.ErrState)
	var state *works.StateError
	require.ErrorAs(t, err, &state)
	return state
}

func ask[T any](t *testing.T, s *works.Store, f func(*works.Tx) (T, error)) T {
	t.Helper()
	got, err := works.Ask(t.Context(), s, f)
	require.NoError(t, err)
	return got
}

// submit takes in a ticket for job n.
func submit(t *testing.T, s *works.Store, n int) *works.Ticket {
	t.Helper()
	return write(t, s, func(tx *works.Tx) (*works.Ticket, error) {
		return tx.Submit(works.Submission{
			Job: fmt.Sprintf("SM-%d", n), Part: "main", Name: "Tide tables", Customer: "Harbour Office", Partner: "mis",
			Generation: "xjdf", Dialect: "xjmf", Body: fmt.Appendf(nil, "<XJDF JobID='SM-%d'/>", n), ReturnJMF: "http://mis/jmf",
		})
	})
}

func move(t *testing.T, s *works.Store, id int64, to ...works.State) *works.Ticket {
	t.Helper()
	var k *works.Ticket
	for _, state := range to {
		k = write(t, s, func(tx *works.Tx) (*works.Ticket, error) { return tx.Move(id, state, "by the test") })
	}
	return k
}

// chores lists the chores of a kind that are waiting.
func chores(t *testing.T, s *works.Store, kind string) []*works.Chore {
	t.Helper()
	return ask(t, s, func(tx *works.Tx) ([]*works.Chore, error) {
		return tx.Chores(works.ChoreFilter{Kinds: []string{kind}, States: []works.ChoreState{works.ChoreWaiting}})
	})
}

// eventually waits until something holds.
func eventually(t *testing.T, holds func() bool, words string) {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), time.Minute)
	defer cancel()
	for !holds() {
		select {
		case <-ctx.Done():
			t.Fatal(words)
		case <-time.After(5 * time.Millisecond):
		}
	}
}
