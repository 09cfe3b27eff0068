package service_test

import (
	"context"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/access"
	"quoin/cmd/quoin/internal/compose"
	"quoin/cmd/quoin/internal/ledger"
	"quoin/cmd/quoin/internal/rehearsal/floor"
	"quoin/cmd/quoin/internal/service"
	"quoin/cmd/quoin/internal/works"
	"quoin/jdf/message"
	"quoin/validate/plant"
)

// rehearsed is a service whose machines are rehearsed, of which every other one speaks
// JMF.
func rehearsed(t *testing.T, faults string) (*house, *floor.Floor) {
	t.Helper()
	var handler http.Handler
	machines := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter,
		r *http.Request) {
		handler.ServeHTTP(w, r)
	}))
	t.Cleanup(machines.Close)
	p := saltmarsh(t, func(n int, id string) plant.Connection {
		return plant.Connection{URL: machines.URL + "/device/" + id, Dialect: []plant.Dialect{plant.JMF, plant.XJMF}[n%2]}
	})
	h := start(t, service.Config{Plant: p, AutoPlan: true, Rehearsed: true, Hosts: []access.Host{host(t, "127.0.0.1")}})
	to, err := url.Parse(h.url("/jmf"))
	require.NoError(t, err)
	misbehave, err := floor.ParseFaults(faults)
	require.NoError(t, err)
	f, err := floor.New(floor.Options{
		Plant: p, Seed: 7, Clock: floor.NewClock(time.Now(), 20_000), To: to, Address: machines.URL, Faults: misbehave,
	})
	require.NoError(t, err)
	handler = f.Handler()
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- f.Run(ctx) }()
	t.Cleanup(func() { cancel(); require.NoError(t, <-ended) })
	return h, f
}

// A ticket of each generation goes through the house and back to its sender, on
// machines of both generations, and what the house knows then is what has happened.
func TestThroughTheHouse(t *testing.T) {
	h, f := rehearsed(t, "")
	mis := newPeer(t)
	for _, g := range generations {
		m := h.submit(t, g.version, g.ticket, compose.Submission{ReturnJMF: mis.URL})
		require.Equal(t, 0, m.Returned())
		require.NotEmpty(t, m.QueueEntries)
	}
	for _, job := range []string{"SPW-1041", "SPW-1042"} {
		k := h.until(t, job, works.Returned)
		require.Equal(t, works.Done, k.Outcome)
		for _, p := range h.steps(t, k.ID) {
			require.Equal(t, works.StepDone, p.State)
			require.NotEmpty(t, p.Return, "its machine gave the ticket of %s back", p.Part)
		}
	}
	returns := mis.heard(message.Command, "ReturnQueueEntry")
	require.Len(t, returns, 2)
	for _, item := range mis.items {
		require.Contains(t, item.Document.Source.Text, "AuditPool")
	}
	require.Eventually(t, func() bool { entries, messages := f.Pending(); return entries+messages == 0 }, 30*time.Second,
		50*time.Millisecond)
	h.quiet(t)
	same(t, h, f)
}

// quiet waits until nothing is left to do.
func (h *house) quiet(t *testing.T) {
	t.Helper()
	require.Eventually(t, func() bool {
		n, err := works.Ask(t.Context(), h.Parts().Store, (*works.Tx).Counts)
		require.NoError(t, err)
		delete(n.Chores, works.ChoreRetain)
		return len(n.Chores) == 0
	}, 60*time.Second, 50*time.Millisecond)
}

// same compares steps and ledger with what the machines did.
func same(t *testing.T, h *house, f *floor.Floor) {
	t.Helper()
	var good, want int64
	for e, err := range h.Parts().Ledger.Entries(t.Context(), ledger.Filter{}) {
		require.NoError(t, err)
		good += e.Good.IntPart()
	}
	truth := f.Truth()
	require.NotEmpty(t, truth.Steps)
	for _, a := range truth.Steps {
		want += int64(a.Good)
		p, err := works.Ask(t.Context(), h.Parts().Store, func(tx *works.Tx) (*works.Step, error) {
			return tx.FindStep(works.StepRef{Device: a.Device, Job: a.Job, Part: a.Part})
		})
		require.NoError(t, err)
		require.Equal(t, int64(a.Good), p.Good.IntPart(), "%s %s", a.Job, a.Part)
		require.Equal(t, int64(a.Waste), p.Spoilt.IntPart(), "%s %s", a.Job, a.Part)
	}
	require.Equal(t, want, good, "the ledger has what was made")
}

// Who subscribed is told: at once, when something changes, and at the end of each.
func TestSignals(t *testing.T) {
	for name, g := range generations {
		t.Run(name, func(t *testing.T) {
			h, _ := rehearsed(t, "")
			mis := newPeer(t)
			e := envelope(g.version, "Q")
			kinds := []string{"Status", "QueueStatus", "Resource"}
			if g.version.Major >= 2 {
				kinds = append(kinds, "Notification")
			}
			for _, kind := range kinds {
				tell := &compose.Subscription{URL: mis.URL + "/signals", RepeatTime: 0}
				if kind == "Status" {
					tell.RepeatTime = time.Second
				}
				e.Ask(compose.Question{Type: kind, Tell: tell})
			}
			body, media, err := compose.Package(e)
			require.NoError(t, err)
			res, answer := h.post(t, media, body)
			require.Equal(t, http.StatusOK, res.StatusCode)
			for _, m := range decode(t, answer).Messages {
				require.Equal(t, 0, m.Returned(), string(answer))
			}
			require.Equal(t, 0, h.submit(t, g.version, g.ticket, compose.Submission{}).Returned())
			for _, kind := range kinds {
				require.Eventually(t, func() bool { return len(mis.heard(message.Signal, kind)) > 0 }, 30*time.Second,
					20*time.Millisecond, kind)
			}
			subs, err := works.Ask(t.Context(), h.Parts().Store, func(tx *works.Tx) ([]*works.Subscription, error) {
				return tx.Subscriptions(works.SubscriptionFilter{Side: works.Theirs})
			})
			require.NoError(t, err)
			require.Len(t, subs, len(kinds))
			stop := envelope(g.version, "T")
			m := h.ask(t, stop, stop.StopChannel(compose.Stop{URL: mis.URL + "/signals"}))
			require.Equal(t, 0, m.Returned())
			subs, err = works.Ask(t.Context(), h.Parts().Store, func(tx *works.Tx) ([]*works.Subscription, error) {
				return tx.Subscriptions(works.SubscriptionFilter{Side: works.Theirs})
			})
			require.NoError(t, err)
			require.Empty(t, subs)
		})
	}
}

// Machines that misbehave do not get anything wrong, nor twice.
func TestFaults(t *testing.T) {
	h, f := rehearsed(t, "late=0.2,duplicate=0.3,out-of-order=0.2,dropped=0.2,malformed=0.1")
	for _, g := range generations {
		require.Equal(t, 0, h.submit(t, g.version, g.ticket, compose.Submission{}).Returned())
	}
	for _, job := range []string{"SPW-1041", "SPW-1042"} {
		h.until(t, job, works.Returned)
	}
	require.Eventually(t, func() bool { entries, messages := f.Pending(); return entries+messages == 0 }, 60*time.Second,
		50*time.Millisecond)
	h.quiet(t)
	same(t, h, f)
	require.NotContains(t, h.log.text(), "panicked")
	require.False(t, strings.Contains(h.log.text(), "level=ERROR"), "nothing is broken")
}
