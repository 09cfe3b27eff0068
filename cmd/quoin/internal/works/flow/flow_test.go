package flow_test

import (
	"errors"
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/postgrestest"
	"quoin/cmd/quoin/internal/works"
)

func TestWay(t *testing.T) {
	h := newHouse(t, 0)
	good, bad, none := h.submit(t, "SM-1", "good"), h.submit(t, "SM-2", "bad"), h.submit(t, "SM-3", "impossible")
	defer h.start(t)()
	h.settle(t)
	require.Equal(t, works.Returned, h.ticket(t, good.ID).State)
	require.Equal(t, works.Refused, h.ticket(t, bad.ID).State)
	require.Equal(t, works.Accepted, h.ticket(t, none.ID).State)
	steps := h.steps(t, good.ID)
	require.Len(t, steps, 3)
	for _, p := range steps {
		require.Equal(t, works.StepDone, p.State)
		require.Equal(t, "1000", p.Good.String())
		require.NotEmpty(t, p.Return)
	}
	require.False(t, steps[2].Changed.Before(steps[1].Changed), "folded after it was printed")
	require.Equal(t, map[string]int{"SM-1 3": 1}, h.shop.backs, "back once, with the audits of three")
	alerts, err := works.Ask(t.Context(), h.Store, func(tx *works.Tx) ([]*works.Alert,
		error) {
		return tx.Alerts(works.AlertFilter{})
	})
	require.NoError(t, err)
	require.Len(t, alerts, 1)
	require.Equal(t, `job "SM-3": there is no plan: no press is wide enough`, alerts[0].Text)
}

// A ticket that is held stays where it is until it is resumed.
func TestHold(t *testing.T) {
	h := newHouse(t, 0)
	k := h.submit(t, "SM-1", "good")
	entry := func(to works.Entry) {
		require.NoError(t, h.Write(t.Context(), "mis", func(tx *works.Tx) error {
			_, err := tx.SetEntry(k.ID, to, "")
			return err
		}))
	}
	entry(works.EntryHeld)
	defer h.start(t)()
	h.settle(t)
	require.Equal(t, works.Accepted, h.ticket(t, k.ID).State)
	entry(works.EntryWaiting)
	h.settle(t)
	require.Equal(t, works.Returned, h.ticket(t, k.ID).State)
}

// A ticket is checked while its sender waits; what follows is not done twice.
func TestCheckNow(t *testing.T) {
	h := newHouse(t, 0)
	k := h.submit(t, "SM-1", "good")
	for range 2 {
		got, err := h.flow.CheckNow(t.Context(), k.ID)
		require.NoError(t, err)
		require.Equal(t, works.Accepted, got.State)
	}
	defer h.start(t)()
	h.settle(t)
	require.Equal(t, works.Returned, h.ticket(t, k.ID).State)
	require.Equal(t, map[string]int{"SM-1 3": 1}, h.shop.backs)
}

// A ticket that is aborted after its devices have got it is called back from those
// that have it, and returned as aborted.
func TestAbort(t *testing.T) {
	h := newHouse(t, 0)
	h.shop.silent = true
	k := h.submit(t, "SM-1", "good")
	defer h.start(t)()
	h.settle(t)
	require.Equal(t, works.Released, h.ticket(t, k.ID).State)
	steps := h.steps(t, k.ID)
	require.Equal(t, []works.StepState{works.StepAccepted, works.StepAccepted, works.StepWaiting},
		[]works.StepState{steps[0].State, steps[1].State, steps[2].State})
	require.NoError(t, h.Write(t.Context(), "mis", func(tx *works.Tx) error {
		_, err := tx.Move(k.ID, works.Aborted, "not needed")
		return err
	}))
	h.settle(t)
	require.Equal(t, map[string]int{"press-1": 1, "press-2": 1}, h.shop.aborts)
	k = h.ticket(t, k.ID)
	require.Equal(t, []any{works.Returned, works.EntryAborted}, []any{k.State, k.Entry})
	require.Equal(t, map[string]int{"SM-1 0": 1}, h.shop.backs)
}

// A step that failed is made ready by a person, and delivered under another id.
func TestAgain(t *testing.T) {
	h := newHouse(t, 0)
	h.shop.silent = true
	k := h.submit(t, "SM-1", "good")
	defer h.start(t)()
	h.settle(t)
	p := h.steps(t, k.ID)[0]
	for _, state := range []works.StepState{works.StepFailed, works.StepReady} {
		require.NoError(t, h.Write(t.Context(), "anna", func(tx *works.Tx) error {
			_, err := tx.Report(p.ID, works.StepReport{State: state})
			return err
		}))
	}
	h.settle(t)
	require.Equal(t, []string{"SM-1 p0", "SM-1 p0"}, h.shop.jobs["press-1"])
	require.Equal(t, works.StepAccepted, h.steps(t, k.ID)[0].State)
}

func TestSubscribe(t *testing.T) {
	h := newHouse(t, 0)
	require.NoError(t, h.Write(t.Context(), "", func(tx *works.Tx) error {
		_, _, err := tx.Enqueue(works.NewChore{Kind: works.ChoreSubscribe, Subject: "press-1", Version: "1"})
		return err
	}))
	defer h.start(t)()
	h.settle(t)
	ours, err := works.Ask(t.Context(), h.Store, func(tx *works.Tx) ([]*works.Subscription, error) {
		return tx.Subscriptions(works.SubscriptionFilter{Side: works.Ours, Peer: "press-1"})
	})
	require.NoError(t, err)
	require.Len(t, ours, 1)
	require.Equal(t, works.MessageID("subscribe/press-1/1/0"), ours[0].Channel)
}

// Retention comes once a day, however many instances begin.
func TestRetain(t *testing.T) {
	h := newHouse(t, 0)
	kinds := []string{works.ChoreRetain}
	for range 2 {
		require.NoError(t, h.flow.Begin(t.Context()))
	}
	got, err := h.Claim(t.Context(), kinds, time.Minute, 9)
	require.NoError(t, err)
	require.Len(t, got, 1)
	require.NoError(t, h.flow.Handlers()[works.ChoreRetain](t.Context(), got[0]))
	next, err := works.Ask(t.Context(), h.Store, func(tx *works.Tx) ([]*works.Chore, error) {
		return tx.Chores(works.ChoreFilter{Kinds: kinds, States: []works.ChoreState{works.ChoreWaiting}})
	})
	require.NoError(t, err)
	require.Len(t, next, 1)
	require.WithinDuration(t, time.Now().Add(24*time.Hour), next[0].Due, time.Hour)
}

// Everything goes wrong now and then, answers are lost, handlers panic, two
// instances share the work and each is stopped and started again in the middle.
// Each job is made once and comes back once.
func TestTrouble(t *testing.T) {
	t.Run("SQLite", func(t *testing.T) { trouble(t, t.TempDir()+"/store.db") })
	t.Run("PostgreSQL", func(t *testing.T) { trouble(t, postgrestest.URL(t)) })
}

func trouble(t *testing.T, at string) {
	const jobs = 15
	s := newShop(2)
	one := open(t, at, s)
	two := open(t, at, s)
	for n := range jobs {
		one.submit(t, fmt.Sprint("SM-", n), "good")
	}
	stopOne, stopTwo := one.start(t), two.start(t)
	for range 3 {
		time.Sleep(100 * time.Millisecond)
		stopOne()
		stopOne = one.start(t)
		time.Sleep(100 * time.Millisecond)
		stopTwo()
		stopTwo = two.start(t)
	}
	for begun := time.Now(); ; time.Sleep(50 * time.Millisecond) { // dead letters are taken up by a person
		n, err := works.Ask(t.Context(), one.Store, (*works.Tx).Counts)
		require.NoError(t, err)
		if n.Tickets[works.Returned] == jobs {
			break
		}
		require.Less(t, time.Since(begun), 3*time.Minute, "still to be done: %v, %v", n.Tickets, n.Chores)
		hurry(t, one)
	}
	s.wg.Wait()
	for begun := time.Now(); ; time.Sleep(50 * time.Millisecond) {
		n, err := works.Ask(t.Context(), one.Store, (*works.Tx).Counts)
		require.NoError(t, err)
		if len(n.Chores) == 0 {
			require.EqualValues(t, len(s.ledger), n.Messages, "all that was acknowledged is in the ledger")
			break
		}
		require.Less(t, time.Since(begun), time.Minute, "still to be done: %v", n.Chores)
		hurry(t, one)
	}
	stopOne()
	stopTwo()
	for _, device := range []string{"press-1", "press-2", "folder"} {
		got := slices.Clone(s.jobs[device])
		slices.Sort(got)
		require.Len(t, slices.Compact(got), jobs)
		require.Len(t, s.jobs[device], jobs, "each once on %s", device)
	}
	require.Len(t, s.backs, jobs)
	for job, n := range s.backs {
		require.Equal(t, 1, n, job)
		require.Contains(t, job, " 3")
	}
}

// hurry is a person who has what failed tried again at once.
func hurry(t *testing.T, h *house) {
	t.Helper()
	require.NoError(t, h.Write(t.Context(), "anna", func(tx *works.Tx) error {
		failing, err := tx.Chores(works.ChoreFilter{States: []works.ChoreState{works.ChoreWaiting, works.ChoreDead},
			Limit: 1000})
		if err != nil {
			return err
		}
		for _, c := range failing {
			if c.Error == "" {
				continue
			}
			if err := tx.Retry(c.ID); err != nil && !errors.Is(err, works.ErrState) { // taken up just now
				return err
			}
		}
		return nil
	}))
}

// What has piled up goes into the books together, and all of it.
func TestBooksTogether(t *testing.T) {
	h := newHouse(t, 0)
	const messages = 120
	for i := range messages {
		require.NoError(t, h.hear(said{Device: fmt.Sprint("press-", i%2+1), State: "run", At: time.Unix(int64(i), 0)}))
	}
	defer h.start(t)()
	h.settle(t)
	require.Len(t, h.shop.ledger, messages)
	require.LessOrEqual(t, h.shop.books, 2)
}
