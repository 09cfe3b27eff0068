package works_test

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"strconv"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/database"
	"quoin/cmd/quoin/internal/postgrestest"
	"quoin/cmd/quoin/internal/works"
)

func enqueue(t *testing.T, s *works.Store, c works.NewChore) int64 {
	t.Helper()
	return write(t, s, func(tx *works.Tx) (int64, error) {
		id, _, err := tx.Enqueue(c)
		return id, err
	})
}

func claim(t *testing.T, s *works.Store, kind string, n int) []*works.Chore {
	t.Helper()
	got, err := s.Claim(t.Context(), []string{kind}, time.Minute, n)
	require.NoError(t, err)
	return got
}

func chore(t *testing.T, s *works.Store, id int64) *works.Chore {
	t.Helper()
	return ask(t, s, func(tx *works.Tx) (*works.Chore, error) { return tx.Chore(id) })
}

func testEnqueueOnce(t *testing.T, h *house) {
	c := works.NewChore{Kind: "count", Subject: "1", Version: "a", Data: []byte("x")}
	id := enqueue(t, h.Store, c)
	require.Equal(t, id, enqueue(t, h.Store, c))
	got := claim(t, h.Store, "count", 5)
	require.Len(t, got, 1)
	require.Equal(t, []byte("x"), got[0].Data)
	require.NoError(t, h.Complete(t.Context(), got[0], nil))
	require.Equal(t, id, enqueue(t, h.Store, c), "done is done")
	require.Empty(t, claim(t, h.Store, "count", 5))
	c.Version = "b"
	require.NotEqual(t, id, enqueue(t, h.Store, c))
	require.Empty(t, claim(t, h.Store, "other", 5))

	broken := errors.New("on purpose")
	err := h.Write(t.Context(), "", func(tx *works.Tx) error {
		if _, _, err := tx.Enqueue(works.NewChore{Kind: "count", Subject: "2"}); err != nil {
			return err
		}
		return broken
	})
	require.ErrorIs(t, err, broken)
	require.Len(t, claim(t, h.Store, "count", 5), 1, "what is not committed is not there")
}

func testBackoff(t *testing.T, h *house) {
	id := enqueue(t, h.Store, works.NewChore{
		Kind: "count", Subject: "1", Retry: works.Retry{First: time.Second, Most: 3 * time.Second, Attempts: 4},
	})
	for _, pause := range []time.Duration{time.Second, 2 * time.Second, 3 * time.Second} {
		got := claim(t, h.Store, "count", 1)
		require.Len(t, got, 1)
		state, err := h.Fail(t.Context(), got[0], errors.New("not yet"))
		require.NoError(t, err)
		require.Equal(t, works.ChoreWaiting, state)
		c := chore(t, h.Store, id)
		require.Equal(t, pause, c.Due.Sub(h.clock.read()))
		require.Equal(t, "not yet", c.Error)
		require.Empty(t, claim(t, h.Store, "count", 1))
		h.clock.turn(pause)
	}
	got := claim(t, h.Store, "count", 1)
	_, err := h.Fail(t.Context(), got[0], works.Later(time.Hour, errors.New("its device is away")))
	require.NoError(t, err)
	require.Equal(t, 3, chore(t, h.Store, id).Attempts, "put off is no attempt")
	h.clock.turn(time.Hour)
	state, err := h.Fail(t.Context(), claim(t, h.Store, "count", 1)[0], errors.New("never"))
	require.NoError(t, err)
	require.Equal(t, works.ChoreDead, state)

	enqueue(t, h.Store, works.NewChore{Kind: "day", Subject: "1", Retry: works.Retry{First: time.Hour, Most: time.Hour,
		Within: 90 * time.Minute}})
	state, err = h.Fail(t.Context(), claim(t, h.Store, "day", 1)[0], errors.New("away"))
	require.NoError(t, err)
	require.Equal(t, works.ChoreWaiting, state)
	h.clock.turn(time.Hour)
	state, err = h.Fail(t.Context(), claim(t, h.Store, "day", 1)[0], errors.New("away"))
	require.NoError(t, err)
	require.Equal(t, works.ChoreDead, state, "the next would be too late")
	enqueue(t, h.Store, works.NewChore{Kind: "once", Subject: "1"})
	state, err = h.Fail(t.Context(), claim(t, h.Store, "once", 1)[0], fmt.Errorf("read: %w",
		works.Permanent(errors.New("no XML"))))
	require.NoError(t, err)
	require.Equal(t, works.ChoreDead, state)
}

func testLanes(t *testing.T, h *house) {
	for n := range 3 {
		enqueue(t, h.Store, works.NewChore{Kind: "send", Subject: strconv.Itoa(n), Lane: "press"})
	}
	enqueue(t, h.Store, works.NewChore{Kind: "send", Subject: "other", Lane: "folder"})
	got := claim(t, h.Store, "send", 9)
	require.Len(t, got, 2, "one of each lane")
	require.Equal(t, "0", got[0].Subject)
	_, err := h.Fail(t.Context(), got[0], errors.New("away"))
	require.NoError(t, err)
	require.Empty(t, claim(t, h.Store, "send", 9), "the others wait until it is through")
	h.clock.turn(time.Minute)
	got = claim(t, h.Store, "send", 1)
	require.Equal(t, "0", got[0].Subject)
	_, err = h.Fail(t.Context(), got[0], works.Permanent(errors.New("broken")))
	require.NoError(t, err)
	got = claim(t, h.Store, "send", 9)
	require.Equal(t, "1", got[0].Subject, "one that is dead lets the others pass")
	require.NoError(t, h.Complete(t.Context(), got[0], nil))
	require.Equal(t, "2", claim(t, h.Store, "send", 9)[0].Subject)
}

func testFence(t *testing.T, h *house) {
	two := h.instance(t, "two", h.clock.read)
	enqueue(t, h.Store, works.NewChore{Kind: "count", Subject: "1"})
	old := claim(t, h.Store, "count", 1)[0]
	require.Empty(t, claim(t, two, "count", 1))
	h.clock.turn(30 * time.Second)
	require.NoError(t, h.Extend(t.Context(), old, time.Minute))
	h.clock.turn(31 * time.Second)
	require.Empty(t, claim(t, two, "count", 1), "extended")
	h.clock.turn(time.Minute)
	now := claim(t, two, "count", 1)[0]
	require.Equal(t, "two", now.Owner)
	effect := func(tx *works.Tx) error { return tx.SetValue("effect", tx.Who()+"done") }
	require.ErrorIs(t, h.Complete(t.Context(), old, effect), works.ErrLost)
	require.ErrorIs(t, h.Extend(t.Context(), old, time.Minute), works.ErrLost)
	_, err := h.Fail(t.Context(), old, errors.New("late"))
	require.ErrorIs(t, err, works.ErrLost)
	_, err = h.Fail(t.Context(), old, works.Permanent(errors.New("late")))
	require.ErrorIs(t, err, works.ErrLost)
	require.Empty(t, ask(t, h.Store, func(tx *works.Tx) (string, error) { return tx.Value("effect") }),
		"no effect of the one who lost it")
	require.NoError(t, two.Complete(t.Context(), now, effect))
	require.ErrorIs(t, two.Complete(t.Context(), now, effect), works.ErrLost, "once")
}

func testVanish(t *testing.T, h *house) {
	id := enqueue(t, h.Store, works.NewChore{Kind: "count", Subject: "1", Retry: works.Retry{First: 1, Most: 1,
		Attempts: 2}})
	for range 2 {
		require.Len(t, claim(t, h.Store, "count", 1), 1)
		h.clock.turn(2 * time.Minute) // the process was killed
	}
	require.Empty(t, claim(t, h.Store, "count", 1))
	c := chore(t, h.Store, id)
	require.Equal(t, works.ChoreDead, c.State)
	require.Equal(t, "its worker went away 2 times without a word", c.Error)
}

func testPeople(t *testing.T, h *house) {
	id := enqueue(t, h.Store, works.NewChore{Kind: "count", Subject: "1"})
	got := claim(t, h.Store, "count", 1)[0]
	refused(t, h.Store, func(tx *works.Tx) error { return tx.Retry(id) })
	_, err := h.Fail(t.Context(), got, works.Permanent(errors.New("no XML")))
	require.NoError(t, err)
	require.Equal(t, 1, ask(t, h.Store, (*works.Tx).Counts).Chores["count"][works.ChoreDead])
	write(t, h.Store, func(tx *works.Tx) (int, error) { return 0, tx.Retry(id) })
	got = claim(t, h.Store, "count", 1)[0]
	require.Equal(t, 1, got.Attempts)
	_, err = h.Fail(t.Context(), got, errors.New("again"))
	require.NoError(t, err)
	require.Len(t, ask(t, h.Store, func(tx *works.Tx) ([]*works.Chore, error) {
		return tx.Chores(works.ChoreFilter{Failing: true})
	}), 1)
	write(t, h.Store, func(tx *works.Tx) (int, error) { return 0, tx.Discard(id, "not needed") })
	require.Equal(t, works.ChoreDiscarded, chore(t, h.Store, id).State)
	refused(t, h.Store, func(tx *works.Tx) error { return tx.Retry(id) })
	log := ask(t, h.Store, func(tx *works.Tx) ([]works.Record, error) {
		return tx.Records(works.RecordFilter{Who: "anna"})
	})
	require.Equal(t, []string{"chore.discard", "chore.retry"}, []string{log[0].Action, log[1].Action})
}

// tally counts, in the store itself, how often the effect of each chore was
// committed.
func tally(t *testing.T, db *database.DB) {
	t.Helper()
	require.NoError(t, db.Migrate(t.Context(), "tally", []string{
		"CREATE TABLE tally (id {id}, subject TEXT NOT NULL, who TEXT NOT NULL)"}))
}

func count(s *works.Store) func(context.Context, *works.Chore) error {
	return func(ctx context.Context, c *works.Chore) error {
		return s.Complete(ctx, c, func(tx *works.Tx) error {
			_, err := tx.Database().Insert("INSERT INTO tally (subject, who) VALUES (?, ?)", c.Subject, c.Owner)
			return err
		})
	}
}

func counted(t *testing.T, s *works.Store) (subjects, all, instances int) {
	t.Helper()
	require.NoError(t, s.DB().Read(t.Context(), func(tx *database.Tx) error {
		return tx.QueryRow("SELECT COUNT(DISTINCT subject), COUNT(*), COUNT(DISTINCT who) FROM tally").Scan(&subjects,
			&all, &instances)
	}))
	return subjects, all, instances
}

// Three instances with four workers each work off three hundred chores, while
// handlers panic, fail before and after they have done their work, and have their
// context ended. Each chore has its effect once.
func testEachOnce(t *testing.T, h *house) {
	const n = 300
	tally(t, h.DB())
	ctx, stop := context.WithCancel(t.Context())
	var wg sync.WaitGroup
	var panics, failures atomic.Int64
	for i := range 3 {
		s := h.instance(t, fmt.Sprint("worker ", i), time.Now)
		effect := count(s)
		var r atomic.Uint64
		handler := func(ctx context.Context, c *works.Chore) error {
			switch dice := rand.New(rand.NewPCG(uint64(i), r.Add(1))).IntN(10); {
			case dice == 0:
				panics.Add(1)
				panic("on purpose")
			case dice == 1:
				failures.Add(1)
				return errors.New("before the work")
			case dice == 2:
				failures.Add(1)
				return errors.Join(effect(ctx, c), errors.New("after the work"))
			case dice == 3: // breaks off in the middle of the transaction
				dying, cancel := context.WithCancel(ctx)
				return s.Complete(dying, c, func(tx *works.Tx) error {
					_, err := tx.Database().Insert("INSERT INTO tally (subject, who) VALUES (?, 'nobody')", c.Subject)
					cancel()
					return err
				})
			case dice == 4: // panics in the middle of the transaction
				return s.Complete(ctx, c, func(tx *works.Tx) error {
					_, err := tx.Database().Insert("INSERT INTO tally (subject, who) VALUES (?, 'nobody')", c.Subject)
					panic(fmt.Sprint("on purpose ", err))
				})
			}
			return effect(ctx, c)
		}
		wg.Go(func() {
			s.Work(ctx, works.Pool{Handlers: map[string]works.Handler{"count": handler}, Poll: 50 * time.Millisecond})
		})
	}
	for i := range n {
		enqueue(t, h.Store, works.NewChore{Kind: "count", Subject: strconv.Itoa(i),
			Retry: works.Retry{First: time.Millisecond, Most: 10 * time.Millisecond}})
	}
	eventually(t, func() bool {
		subjects, _, _ := counted(t, h.Store)
		return subjects == n
	}, "the chores do not come to an end")
	stop()
	wg.Wait()
	subjects, all, instances := counted(t, h.Store)
	require.Equal(t, []int{n, n}, []int{subjects, all})
	require.Greater(t, instances, 1, "all took part")
	require.NotZero(t, panics.Load())
	require.NotZero(t, failures.Load())
	require.Empty(t, ask(t, h.Store, (*works.Tx).Counts).Chores)
}

func testPoolEnds(t *testing.T, h *house) {
	s := h.instance(t, "pool", time.Now)
	ctx, stop := context.WithCancel(t.Context())
	begun, ended := make(chan struct{}), make(chan struct{})
	id := enqueue(t, s, works.NewChore{Kind: "slow", Subject: "1"})
	var broken atomic.Int64
	go func() {
		defer close(ended)
		s.Work(ctx, works.Pool{
			Handlers: map[string]works.Handler{"slow": func(ctx context.Context, _ *works.Chore) error {
				close(begun)
				<-ctx.Done()
				return ctx.Err()
			}},
			Lease: 300 * time.Millisecond, Grace: 700 * time.Millisecond, Broken: func(error) { broken.Add(1) },
		})
	}()
	<-begun
	stop()
	select {
	case <-ended:
		t.Fatal("it did not wait for the handler")
	case <-time.After(500 * time.Millisecond):
	}
	other := h.instance(t, "other", time.Now)
	require.Empty(t, claim(t, other, "slow", 1), "the lease is held while the handler works")
	<-ended
	require.Zero(t, broken.Load())
	c := chore(t, s, id)
	require.Equal(t, works.ChoreWaiting, c.State, "given back")
	require.Zero(t, c.Attempts)
	require.Len(t, claim(t, other, "slow", 1), 1)
}

// A chore that is enqueued here begins at once, however rarely the pool looks.
func TestWake(t *testing.T) {
	h := open(t, t.TempDir()+"/store.db")
	s := h.instance(t, "pool", time.Now)
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	done := make(chan struct{})
	go s.Work(ctx, works.Pool{Poll: time.Hour, Handlers: map[string]works.Handler{
		"count": func(context.Context, *works.Chore) error { close(done); return nil },
	}})
	time.Sleep(100 * time.Millisecond) // it has looked and found nothing
	begun := time.Now()
	enqueue(t, s, works.NewChore{Kind: "count", Subject: "1"})
	select {
	case <-done:
		require.Less(t, time.Since(begun), 10*time.Second)
	case <-time.After(30 * time.Second):
		t.Fatal("nobody woke up")
	}
}

// The server is killed again and again under the workers of two instances. What
// was acknowledged is there, and each chore has its effect once.
func TestServerKilled(t *testing.T) {
	const n = 300
	server := postgrestest.Start(t, "fsync=off")
	h := open(t, server.Database(t))
	tally(t, h.DB())
	ctx, stop := context.WithCancel(t.Context())
	var wg sync.WaitGroup
	for i := range 2 {
		s := h.instance(t, fmt.Sprint("worker ", i), time.Now)
		effect := count(s)
		wg.Go(func() {
			s.Work(ctx, works.Pool{Poll: 20 * time.Millisecond, Lease: 2 * time.Second, Handlers: map[string]works.Handler{
				"count": func(ctx context.Context, c *works.Chore) error {
					time.Sleep(2 * time.Millisecond)
					return effect(ctx, c)
				},
			}})
		})
	}
	acknowledged, refused := map[int]bool{}, 0
	for i := range n {
		err := h.Write(t.Context(), "", func(tx *works.Tx) error {
			_, _, err := tx.Enqueue(works.NewChore{Kind: "count", Subject: strconv.Itoa(i),
				Retry: works.Retry{First: time.Millisecond, Most: 50 * time.Millisecond}})
			return err
		})
		if err == nil {
			acknowledged[i] = true
		} else {
			refused++
		}
		if i%100 == 50 {
			server.Kill(t)

			server.Restart(t)
		}
	}
	eventually(t, func() bool {
		open, err := works.Ask(t.Context(), h.Store, func(tx *works.Tx) (*works.Counts, error) { return tx.Counts() })
		return err == nil && len(open.Chores) == 0
	}, "the chores do not come to an end")
	stop()
	wg.Wait()
	subjects, all, _ := counted(t, h.Store)
	require.Equal(t, subjects, all, "none twice")
	require.GreaterOrEqual(t, subjects, len(acknowledged))
	require.LessOrEqual(t, subjects, len(acknowledged)+refused)
	require.NotZero(t, refused, "the server was away")
	t.Logf("%d acknowledged, %d refused, %d done", len(acknowledged), refused, subjects)
}
