package works_test

import (
	"errors"
	"fmt"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/database"
	"quoin/cmd/quoin/internal/works"
)

func testDeliveries(t *testing.T, h *house) {
	n := works.NewDelivery{
		Key: "submit/1/1", Kind: "SubmitQueueEntry", Device: "press-1", Address: "http://press/jmf",
		Body: []byte("<JMF/>"), Ordered: true,
	}
	send := func() *works.Delivery {
		return write(t, h.Store, func(tx *works.Tx) (*works.Delivery, error) { return tx.Send(n) })
	}
	d := send()
	require.Equal(t, works.MessageID("submit/1/1"), d.MessageID)
	require.Equal(t, d, send(), "the same key is the same delivery")
	c := claim(t, h.Store, works.ChoreDeliver, 9)
	require.Len(t, c, 1)
	require.Equal(t, fmt.Sprint(d.ID), c[0].Subject)
	write(t, h.Store, func(tx *works.Tx) (int, error) { return 0, tx.Missed(d.ID, errors.New("connection refused")) })
	_, err := h.Fail(t.Context(), c[0], works.Permanent(errors.New("connection refused")))
	require.NoError(t, err)
	get := func() *works.Delivery {
		return ask(t, h.Store, func(tx *works.Tx) (*works.Delivery, error) { return tx.Delivery(d.ID) })
	}
	require.Equal(t, works.DeliveryDead, get().State)
	write(t, h.Store, func(tx *works.Tx) (int, error) { return 0, tx.Retry(c[0].ID) })
	require.Equal(t, works.DeliveryWaiting, get().State)
	ack := func(code int, refused bool) bool {
		return write(t, h.Store, func(tx *works.Tx) (bool, error) {
			return tx.Acknowledge(d.ID, works.Answer{Status: 200, Code: code, Body: []byte("<Response/>")}, refused)
		})
	}
	require.True(t, ack(0, false))
	require.False(t, ack(5, true), "once")
	d = get()
	require.Equal(t, works.DeliveryDone, d.State)
	require.Equal(t, "<Response/>", string(d.Answer.Body))
	require.Equal(t, 2, d.Attempts)

	n.Key, n.Step = "submit/2/1", 7
	other := send()
	require.Equal(t, 1, write(t, h.Store, func(tx *works.Tx) (int, error) { return tx.CancelDeliveries(7, "aborted") }))
	list := ask(t, h.Store, func(tx *works.Tx) ([]*works.Delivery, error) {
		return tx.Deliveries(works.DeliveryFilter{States: []works.DeliveryState{works.DeliveryCancelled}, Device: "press-1"})
	})
	require.Equal(t, other.ID, list[0].ID)
}

// Many write events while two follow the feed: nobody misses one, and nobody sees
// one before those with lower numbers.
func testEventsFromMany(t *testing.T, h *house) {
	const writers, each = 6, 25
	two := h.instance(t, "two", h.clock.read)
	var wg sync.WaitGroup
	for w := range writers {
		wg.Go(func() {
			s := []*works.Store{h.Store, two}[w%2]
			for i := range each {
				err := s.Write(t.Context(), "", func(tx *works.Tx) error {
					tx.Emit(works.Event{Kind: "test", ID: int64(w*each + i)})
					tx.Emit(works.Event{Kind: "test", ID: -1})
					if i%5 == 0 {
						return errors.New("given up")
					}
					return nil
				})
				if err != nil && i%5 != 0 {
					t.Errorf("write: %v", err)
				}
			}
		})
	}
	const want = writers * each * 4 / 5 * 2
	for range 2 {
		wg.Go(func() {
			seen, last := 0, int64(0)
			for begun := time.Now(); seen < want && time.Since(begun) < time.Minute; {
				changed := h.Changed()
				events, gap, err := h.Since(t.Context(), last, 7)
				if err != nil || gap {
					t.Errorf("since %d: gap %v, %v", last, gap, err)
					return
				}
				for _, e := range events {
					if e.Seq != last+1 {
						t.Errorf("event %d follows on %d", e.Seq, last)
						return
					}
					last = e.Seq
					seen++
				}
				if len(events) == 0 {
					select {
					case <-changed:
					case <-time.After(10 * time.Millisecond):
					}
				}
			}
			if seen != want {
				t.Errorf("%d events seen, want %d", seen, want)
			}
		})
	}
	wg.Wait()
}

func testSubscriptions(t *testing.T, h *house) {
	s := works.Subscription{
		Side: works.Theirs, Peer: "mis", Channel: "q1", Query: "Status", URL: "http://mis/signals",
		RepeatTime: 10 * time.Second,
		Filter:     []byte("x"), Reliable: true,
	}
	put := func(s works.Subscription) *works.Subscription {
		return write(t, h.Store, func(tx *works.Tx) (*works.Subscription, error) { return tx.Subscribe(s) })
	}
	first := put(s)
	require.Equal(t, h.clock.read().Add(10*time.Second), first.Next)
	due := func() int {
		return len(ask(t, h.Store, func(tx *works.Tx) ([]*works.Subscription, error) {
			return tx.Subscriptions(works.SubscriptionFilter{Side: works.Theirs, Due: h.clock.read()})
		}))
	}
	require.Zero(t, due())
	h.clock.turn(25 * time.Second)
	require.Equal(t, 1, due())
	write(t, h.Store, func(tx *works.Tx) (int, error) {
		return 0, tx.Tell(first.ID, works.Told{Next: first.Following(tx.Now()), Amount: decimal.NewFromInt(500),
			State: "running"})
	})
	require.Zero(t, due())
	got := ask(t, h.Store, func(tx *works.Tx) ([]*works.Subscription,
		error) {
		return tx.Subscriptions(works.SubscriptionFilter{})
	})[0]
	require.Equal(t, first.Since.Add(30*time.Second), got.Next)
	require.EqualValues(t, 1, got.Count)
	require.True(t, got.Reliable)
	s.Query = "Resource"
	again := put(s)
	require.Equal(t, first.ID, again.ID, "the same channel is replaced")
	require.Zero(t, again.Count)
	s.Side = works.Ours
	put(s)
	end := func(f works.SubscriptionFilter) (n int, err error) {
		err = h.Write(t.Context(), "", func(tx *works.Tx) error {
			ended, err := tx.Unsubscribe(f)
			n = len(ended)
			return err
		})
		return n, err
	}
	_, err := end(works.SubscriptionFilter{})
	require.Error(t, err)
	n, err := end(works.SubscriptionFilter{Side: works.Theirs, URL: "http://mis/signals"})
	require.NoError(t, err)
	require.Equal(t, 1, n)
	require.ErrorIs(t, h.Write(t.Context(), "", func(tx *works.Tx) error { return tx.Tell(first.ID, works.Told{}) }),
		works.ErrUnknown)
}

func testDevices(t *testing.T, h *house) {
	keep := func(all ...works.Device) {
		write(t, h.Store, func(tx *works.Tx) (int, error) { return 0, tx.KeepDevices(all) })
	}
	keep(works.Device{ID: "press-1", Name: "Press"}, works.Device{ID: "folder-1"})
	at := h.clock.read()
	hear := func(n works.DeviceNews) *works.Device {
		return write(t, h.Store, func(tx *works.Tx) (*works.Device, error) { return tx.Hear(n) })
	}
	hear(works.DeviceNews{ID: "press-1", At: at, State: "run", Job: "SM-1", Counter: "700", Details: "Good"})
	h.clock.turn(time.Minute)
	d := hear(works.DeviceNews{ID: "press-1", At: at.Add(-time.Minute), State: "idle"})
	require.Equal(t, "run", d.State, "what it says comes late")
	require.Equal(t, h.clock.read(), d.Heard)
	d = hear(works.DeviceNews{ID: "press-1", At: at.Add(time.Second), State: "idle"})
	require.Equal(t, []string{"idle", "", "", "700"}, []string{d.State, d.Job, d.Details, d.Counter})
	keep(works.Device{ID: "press-1", Name: "The press"})
	list := ask(t, h.Store, (*works.Tx).Devices)
	require.Len(t, list, 1)
	require.Equal(t, []string{"The press", "idle"}, []string{list[0].Name, list[0].State})
	err := h.Write(t.Context(), "", func(tx *works.Tx) error {
		_, err := tx.Hear(works.DeviceNews{ID: "stranger"})
		return err
	})
	require.ErrorIs(t, err, works.ErrUnknown)
}

func testAlerts(t *testing.T, h *house) {
	raise := func(text string) (a *works.Alert, fresh bool) {
		require.NoError(t, h.Write(t.Context(), "", func(tx *works.Tx) (err error) {
			a, fresh, err = tx.Raise(works.Alert{Kind: "stop", Key: "press-1", Severity: "warning", Text: text,
				Device: "press-1"})
			return err
		}))
		return a, fresh
	}
	_, fresh := raise("stopped for 10 minutes")
	require.True(t, fresh)
	h.clock.turn(time.Minute)
	a, fresh := raise("stopped for 11 minutes")
	require.False(t, fresh)
	require.Equal(t, 2, a.Count)
	require.Equal(t, "stopped for 11 minutes", a.Text)
	a = write(t, h.Store, func(tx *works.Tx) (*works.Alert, error) { return tx.AcknowledgeAlert(a.ID) })
	require.Equal(t, "anna", a.Who)
	refused(t, h.Store, func(tx *works.Tx) error {
		_, err := tx.AcknowledgeAlert(a.ID)
		return err
	})
	a, _ = raise("stopped for 12 minutes")
	require.Equal(t, works.AlertAcknowledged, a.State)
	lower := func() bool {
		return write(t, h.Store, func(tx *works.Tx) (bool, error) { return tx.Lower("stop", "press-1", "it runs") })
	}
	require.True(t, lower())
	require.False(t, lower())
	b, fresh := raise("stopped again")
	require.True(t, fresh)
	require.NotEqual(t, a.ID, b.ID)
	require.Len(t, ask(t, h.Store, func(tx *works.Tx) ([]*works.Alert, error) {
		return tx.Alerts(works.AlertFilter{States: []works.AlertState{works.AlertClosed}})
	}), 1)
}

func testLog(t *testing.T, h *house) {
	for n := range 3 {
		write(t, h.Store, func(tx *works.Tx) (int, error) { return 0, tx.Log("ticket.abort", fmt.Sprint(n), "by mistake") })
	}
	list := ask(t, h.Store, func(tx *works.Tx) ([]works.Record, error) { return tx.Records(works.RecordFilter{Limit: 2}) })
	require.Equal(t, []string{"2", "1"}, []string{list[0].Subject, list[1].Subject})
	list = ask(t, h.Store, func(tx *works.Tx) ([]works.Record, error) {
		return tx.Records(works.RecordFilter{Before: list[1].ID})
	})
	require.Len(t, list, 1)
	require.Equal(t, "anna", list[0].Who)
}

// Two of everything, one over and one open; only what is over goes.
func testRetention(t *testing.T, h *house) {
	for n := 1; n <= 2; n++ {
		in := receive(t, h.Store, works.Incoming{Partner: "mis", Source: works.ByMessage, MessageID: fmt.Sprint(n),
			Body: fmt.Append(nil, n)})
		write(t, h.Store, func(tx *works.Tx) (*works.Ticket, error) {
			return tx.Submit(works.Submission{Job: "J",
				Inbox: in.ID})
		})
		write(t, h.Store, func(tx *works.Tx) (*works.Answer, error) {
			return tx.Answer(in.ID,
				works.Answer{Body: []byte("ok")})
		})
		write(t, h.Store, func(tx *works.Tx) (*works.Delivery, error) {
			return tx.Send(works.NewDelivery{Key: fmt.Sprint(n), Ticket: int64(n), Body: fmt.Append(nil, "out", n)})
		})
	}
	lone := receive(t, h.Store, works.Incoming{Partner: "mis", Source: works.ByMessage, MessageID: "lone",
		Body: []byte("lone")})
	for _, c := range append(claim(t, h.Store, works.ChoreCheck, 1), claim(t, h.Store, works.ChoreDeliver, 1)...) {
		require.NoError(t, h.Complete(t.Context(), c, nil))
	}
	write(t, h.Store, func(tx *works.Tx) (bool, error) { return tx.Acknowledge(1, works.Answer{}, false) })
	move(t, h.Store, 1, works.Refused)
	keep := works.Retention{Contents: 48 * time.Hour, History: 96 * time.Hour, Events: 48 * time.Hour, Log: 48 * time.Hour}
	prune := func() works.Pruned {
		p, err := h.Prune(t.Context(), keep)
		require.NoError(t, err)
		return p
	}
	require.Zero(t, prune())
	h.clock.turn(49 * time.Hour)
	p := prune()
	require.EqualValues(t, 2, p.Blobs, "what came in and what went out with the ticket that is over")
	require.NotZero(t, p.Events)
	_, gap, err := h.Since(t.Context(), 0, 10)
	require.NoError(t, err)
	require.True(t, gap)
	require.Equal(t, works.Refused, ask(t, h.Store, func(tx *works.Tx) (*works.Ticket,
		error) {
		return tx.Ticket(1)
	}).State)
	again := receive(t, h.Store, works.Incoming{Partner: "mis", Source: works.ByMessage, MessageID: "1",
		Body: []byte("1")})
	require.True(t, again.Same, "still known")

	h.clock.turn(49 * time.Hour)
	p = prune()
	require.Equal(t, []int64{1, 1, 1, 2}, []int64{p.Tickets, p.Messages, p.Deliveries, p.Chores})
	k := ask(t, h.Store, func(tx *works.Tx) (*works.Ticket, error) { return tx.Ticket(2) })
	require.Equal(t, "2", string(ask(t, h.Store, func(tx *works.Tx) ([]byte, error) { return tx.Blob(k.Blob) })))
	require.Equal(t, "lone", string(ask(t, h.Store, func(tx *works.Tx) ([]byte, error) { return tx.Blob(lone.Blob) })))
	n := ask(t, h.Store, (*works.Tx).Counts)
	require.EqualValues(t, 2, n.Messages)
	require.Equal(t, 1, n.Deliveries[works.DeliveryWaiting])
	require.Len(t, chores(t, h.Store, works.ChoreCheck), 1)
	require.Empty(t, ask(t, h.Store, func(tx *works.Tx) ([]works.Turn, error) { return tx.History(1) }))
}

func testBackup(t *testing.T, h *house) {
	k := submit(t, h.Store, 1)
	move(t, h.Store, k.ID, works.Accepted)
	lay(t, h.Store, k.ID, 2)
	path := filepath.Join(t.TempDir(), "backup.db")
	require.NoError(t, h.DB().Backup(t.Context(), path))
	db, err := database.Open(t.Context(), filepath.Join(t.TempDir(), "other.db"))
	require.NoError(t, err)
	defer db.Close()
	other, err := works.Open(t.Context(), db, works.Options{Clock: h.clock.read})
	require.NoError(t, err)
	require.NoError(t, db.Restore(t.Context(), path))
	look := func(tx *works.Tx) ([]any, error) {
		k, err := tx.Ticket(k.ID)
		if err != nil {
			return nil, err
		}
		steps, err := tx.Steps(k.ID)
		if err != nil {
			return nil, err
		}
		chores, err := tx.Chores(works.ChoreFilter{})
		if err != nil {
			return nil, err
		}
		blob, err := tx.Blob(k.Blob)
		return []any{k, steps, len(chores), blob}, err
	}
	require.Equal(t, ask(t, h.Store, look), ask(t, other, look))
	require.EqualValues(t, 2, submit(t, other, 2).ID, "numbers go on where they were")
}

func testCounts(t *testing.T, h *house) {
	submit(t, h.Store, 1)
	move(t, h.Store, submit(t, h.Store, 2).ID, works.Accepted)
	n := ask(t, h.Store, (*works.Tx).Counts)
	require.Equal(t, map[works.State]int{works.Submitted: 1, works.Accepted: 1}, n.Tickets)
	require.Equal(t, 2, n.Chores[works.ChoreCheck][works.ChoreWaiting])
	require.EqualValues(t, 3, n.Events)
	require.Equal(t, h.clock.read(), n.Oldest)
}
