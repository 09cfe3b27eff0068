package proof

import (
	"context"
	"flag"
	"fmt"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/works"
	"quoin/validate/plant"
)

// full runs the tests in full size.
var full = flag.Bool("full", false, "run the proofs in full size, which takes many minutes")

// size is how much a test does.
func size(small, large int) int {
	if *full {
		return large
	}
	return small
}

// stage is a service with machines and a sender.
type stage struct {
	plant  *plant.Plant
	road   *road
	floor  *machines
	sender *sender
	store  string // SQLite file or address of PostgreSQL
	log    string
	before []string   // in front of the command line of a process
	runs   []*process // that are meant to be running
	kills  int
}

const faults = "all=0.08"

// newStage sets a stage, without a service on it yet. The store "" is a new SQLite file.
func newStage(t testing.TB, store, faults string, seed uint64) *stage {
	t.Helper()
	p, found, err := plant.LoadFile(plantFile)
	require.NoError(t, err)
	require.Empty(t, found)
	dir := t.TempDir()
	if store == "" {
		store = filepath.Join(dir, "quoin.db")
	}
	s := &stage{plant: p, road: newRoad(t), sender: newSender(t), store: store, log: filepath.Join(dir, "log")}
	s.floor = newMachines(t, p, s.url(), faults, seed)
	t.Cleanup(func() {
		for _, p := range s.runs {
			p.kill()
		}
		if t.Failed() {
			t.Logf("end of the log of the service:\n%s", tail(s.log))
		}
	})
	return s
}

// url is where messages to the service go.
func (s *stage) url() string { return s.road.server.URL + "/jmf" }

// start starts another process of the service.
func (s *stage) start(t testing.TB) *process {
	t.Helper()
	args := append([]string{"--store", s.store, "--public", s.road.server.URL, "--auto-plan"}, s.floor.flags()...)
	p := launch(t, s.log, s.before, args...)
	s.runs = append(s.runs, p)
	s.lead()
	return p
}

// lead leads the road to the processes that run.
func (s *stage) lead() {
	var to []string
	for _, p := range s.runs {
		to = append(to, p.address)
	}
	s.road.lead(to...)
}

// kill ends one of the processes at once.
func (s *stage) kill(n int) {
	s.runs[n].kill()
	s.runs = append(s.runs[:n], s.runs[n+1:]...)
	s.kills++
	s.lead()
}

// end stops the service in an orderly way.
func (s *stage) end(t testing.TB) {
	t.Helper()
	for _, p := range s.runs {
		p.stop(t)
	}
	s.runs = nil
	s.lead()
}

// settled waits until all tickets are back and nothing is left to be done.
func (s *stage) settled(t testing.TB, tickets int, within time.Duration) {
	t.Helper()
	deadline := time.Now().Add(within)
	for {
		why := s.unsettled(tickets)
		if why == "" {
			return
		}
		if time.Now().After(deadline) {
			require.Fail(t, "not everything was done in "+within.String(), why)
		}
		time.Sleep(100 * time.Millisecond)
	}
}

// unsettled says what is still to be done.
func (s *stage) unsettled(tickets int) string {
	entries, messages := s.floor.Pending()
	if n := s.sender.returned(); n < tickets || entries+messages > 0 {
		return fmt.Sprintf("%d of %d tickets are back, %d entries are with machines, %d messages under way", n, tickets, entries,
			messages)
	}
	for _, p := range s.runs {
		_, page, err := p.get("/metrics")
		if err != nil {
			return err.Error()
		}
		if metric(page, "quoin_store_up", "") != 1 {
			return "the store does not answer"
		}
		left := metric(page, "quoin_chores", "waiting") + metric(page, "quoin_chores", "leased")
		left -= metric(page, "quoin_chores", `kind="`+works.ChoreRetain+`"`)
		waiting := metric(page, "quoin_deliveries", `state="`+string(works.DeliveryWaiting)+`"`)
		if left+waiting > 0 {
			return fmt.Sprintf("%v chores and %v deliveries are left", left, waiting)
		}
	}
	return ""
}

// within is a context for a part of a test.
func within(t testing.TB, d time.Duration) context.Context {
	ctx, stop := context.WithTimeout(context.Background(), d)
	t.Cleanup(stop)
	return ctx
}
