package proof

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/database"
	"quoin/cmd/quoin/internal/ledger"
	"quoin/cmd/quoin/internal/rehearsal"
	"quoin/cmd/quoin/internal/service"
	"quoin/cmd/quoin/internal/works"
	"quoin/jdf/job"
)

// count is what a proof comes to.
type count struct {
	tickets, steps     int
	acknowledged, lost int // documents
	resent             int // submissions that machines got again, by their ids
	doubled            int // steps that were done twice
	returned, again    int // tickets, and returns that came again with the same id
}

func (c count) String() string {
	return fmt.Sprintf("%d tickets, %d steps, %d documents acknowledged and %d of them lost, %d steps done twice, "+
		"%d tickets returned; %d submissions and %d returns were sent again with the same id",
		c.tickets, c.steps, c.acknowledged, c.lost, c.doubled, c.returned, c.resent, c.again)
}

// count opens the store of a service that has ended, and counts what has become of
// everything. All that has to be so is checked here.
func (s *stage) count(t testing.TB, jobs []submission) count {
	t.Helper()
	ctx := context.Background()
	db, store, books, err := service.OpenStore(ctx, s.store, s.plant, time.Now)
	require.NoError(t, err)
	defer func() { require.NoError(t, db.Close()) }()
	c := count{}
	s.countTickets(t, store, jobs, &c)
	s.countMessages(t, db, &c)
	s.countReturns(t, store, &c)
	truth := s.floor.Truth()
	s.countSteps(t, store, truth, &c)
	s.countArrivals(t, store, &c)
	compareBooks(t, books, truth)
	return c
}

// countTickets checks that each job has one ticket, which is back with its sender.
func (s *stage) countTickets(t testing.TB, store *works.Store, jobs []submission, c *count) {
	t.Helper()
	tickets, err := works.Ask(context.Background(), store, func(tx *works.Tx) ([]*works.Ticket, error) {
		return tx.Tickets(works.TicketFilter{Limit: 1 << 20})
	})
	require.NoError(t, err)
	var got, want []string
	for _, k := range tickets {
		got = append(got, fmt.Sprint(k.Job, " ", k.State, " ", k.Outcome, " ", k.Entry))
	}
	for _, j := range jobs {
		want = append(want, fmt.Sprint(j.job, " ", works.Returned, " ", works.Done, " ", works.EntryCompleted))
	}
	slices.Sort(got)
	slices.Sort(want)
	require.Equal(t, want, got, "each job has one ticket, which is done and returned")
	c.tickets = len(tickets)
}

// countMessages checks that every document that was acknowledged is in the inbox.
func (s *stage) countMessages(t testing.TB, db *database.DB, c *count) {
	t.Helper()
	kept := map[string]bool{}
	require.NoError(t, db.Read(context.Background(), func(tx *database.Tx) error {
		rows, err := tx.Query("SELECT b.hash FROM inbox i JOIN blobs b ON b.hash = i.blob")
		if err != nil {
			return err
		}
		defer rows.Close()
		for rows.Next() {
			var hash string
			if err := rows.Scan(&hash); err != nil {
				return err
			}
			kept[hash] = true
		}
		return rows.Err()
	}))
	s.road.lock.Lock()
	defer s.road.lock.Unlock()
	require.NotEmpty(t, s.road.heard)
	c.acknowledged = len(s.road.heard)
	for hash := range s.road.heard {
		if !kept[hash] {
			c.lost++
		}
	}
	require.Zero(t, c.lost, "documents that were acknowledged are in the store")
}

// countReturns checks that each entry came back by one message, however often that had
// to be sent.
func (s *stage) countReturns(t testing.TB, store *works.Store, c *count) {
	t.Helper()
	s.sender.lock.Lock()
	defer s.sender.lock.Unlock()
	jobs := map[string]bool{}
	for entry, b := range s.sender.back {
		require.Len(t, b.messages, 1, "entry %s of job %s is returned by one message", entry, b.job)
		require.False(t, jobs[b.job], "job %s is returned for one entry", b.job)
		jobs[b.job] = true
		for _, times := range b.messages {
			c.again += times - 1
		}
	}
	c.returned = len(s.sender.back)
	require.Equal(t, c.tickets, c.returned)
}

// countSteps checks that each step was done once.
func (s *stage) countSteps(t testing.TB, store *works.Store, truth *rehearsal.Truth, c *count) {
	t.Helper()
	done := map[string]int{}
	for _, a := range truth.Steps {
		done[a.Device+" "+a.Job+" "+a.Part]++
	}
	for step, times := range done {
		if times > 1 {
			c.doubled++
			t.Errorf("%s was done %d times", step, times)
		}
	}
	c.steps = len(done)
	planned := 0
	require.NoError(t, store.Read(context.Background(), func(tx *works.Tx) error {
		planned = 0
		tickets, err := tx.Tickets(works.TicketFilter{Limit: 1 << 20})
		if err != nil {
			return err
		}
		for _, k := range tickets {
			steps, err := tx.AllSteps(k.ID)
			if err != nil {
				return err
			}
			for _, p := range steps {
				planned++
				if p.State != works.StepDone || done[p.Device+" "+k.Job+" "+p.Part] == 0 {
					t.Errorf("step %s of job %s is %s in the store, and was done %d times by %s", p.Part, k.Job, p.State,
						done[p.Device+" "+k.Job+" "+p.Part], p.Device)
				}
			}
		}
		return nil
	}))
	assert.Equal(t, planned, c.steps, "what was planned was done")
}

// countArrivals checks that submissions came to each machine in the order in which they
// were put into the outbox.
func (s *stage) countArrivals(t testing.TB, store *works.Store, c *count) {
	t.Helper()
	sent, err := works.Ask(context.Background(), store, func(tx *works.Tx) ([]*works.Delivery, error) {
		return tx.Deliveries(works.DeliveryFilter{Kind: "SubmitQueueEntry", Limit: 1 << 20})
	})
	require.NoError(t, err)
	slices.SortFunc(sent, func(a, b *works.Delivery) int { return cmp.Compare(a.ID, b.ID) })
	want, got := map[string][]string{}, map[string][]string{}
	for _, d := range sent {
		require.Equal(t, works.DeliveryDone, d.State, "delivery %d: %s", d.ID, d.Error)
		want[d.Device] = append(want[d.Device], d.MessageID)
	}
	s.floor.lock.Lock()
	defer s.floor.lock.Unlock()
	for _, a := range s.floor.arrivals {
		got[a.device] = append(got[a.device], a.message)
		c.resent += a.times - 1
	}
	assert.Equal(t, want, got, "machines were given their tickets in the order of the outbox")
}

// compareBooks checks that the ledger says what happened: for each machine, job and
// state the time, what came out, and the waste.
func compareBooks(t testing.TB, books *ledger.Ledger, truth *rehearsal.Truth) {
	t.Helper()
	type key struct {
		device, job, part string
		state             job.State
	}
	type amount struct {
		time        time.Duration
		good, waste decimal.Decimal
	}
	want, got := map[key]amount{}, map[key]amount{}
	for _, a := range truth.Steps {
		for _, p := range a.Phases {
			k := key{a.Device, a.Job, a.Part, p.State}
			v := want[k]
			want[k] = amount{v.time + p.Length(), v.good.Add(decimal.NewFromInt(int64(p.Good))),
				v.waste.Add(decimal.NewFromInt(int64(p.Waste)))}
		}
	}
	for e, err := range books.Entries(context.Background(), ledger.Filter{}) {
		require.NoError(t, err)
		if e.Job == "" {
			continue // what a machine says of itself when it has nothing to do
		}
		k := key{e.Device, e.Job, e.Part, e.State}
		v := got[k]
		got[k] = amount{v.time + time.Duration(e.Time), v.good.Add(e.Good), v.waste.Add(e.Waste)}
	}
	list := func(from map[key]amount) (all []string) {
		for k, v := range from {
			all = append(all, fmt.Sprintf("%s %s %s %s: %s, %s good, %s waste", k.device, k.job, k.part, k.state, v.time, v.good, v.waste))
		}
		slices.Sort(all)
		return all
	}
	require.NotEmpty(t, want)
	assert.Equal(t, list(want), list(got), "the ledger says what happened")
}

// instances is how many processes have changed tickets.
func (s *stage) instances(t testing.TB) (n int) {
	t.Helper()
	ctx := context.Background()
	db, err := database.Open(ctx, s.store)
	require.NoError(t, err)
	defer func() { require.NoError(t, db.Close()) }()
	require.NoError(t, db.Read(ctx, func(tx *database.Tx) error {
		return tx.QueryRow("SELECT COUNT(DISTINCT instance) FROM turns").Scan(&n)
	}))
	return n
}

// deliveries are those of a kind, "" for all.
func (s *stage) deliveries(t testing.TB, kind string) (all []*works.Delivery) {
	t.Helper()
	ctx := context.Background()
	db, err := database.Open(ctx, s.store)
	require.NoError(t, err)
	defer func() { require.NoError(t, db.Close()) }()
	store, err := works.Open(ctx, db, works.Options{})
	require.NoError(t, err)
	all, err = works.Ask(ctx, store, func(tx *works.Tx) ([]*works.Delivery, error) {
		return tx.Deliveries(works.DeliveryFilter{Kind: kind, Limit: 1 << 20})
	})
	require.NoError(t, err)
	return all
}
