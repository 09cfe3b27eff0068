package service_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/access"
	"quoin/cmd/quoin/internal/compose"
	"quoin/cmd/quoin/internal/service"
	"quoin/cmd/quoin/internal/works"
	"quoin/jdf"
	"quoin/jdf/message"
	"quoin/validate/plant"
)

// atPeer connects one machine to an address; the others are people's.
func atPeer(device, address string, dialect plant.Dialect) func(int, string) plant.Connection {
	return func(_ int, id string) plant.Connection {
		if id != device {
			return plant.Connection{}
		}
		return plant.Connection{URL: address, Dialect: dialect}
	}
}

// A refused ticket is answered with what is wrong with it, and the same message again
// with the same answer.
func TestRefusal(t *testing.T) {
	h := start(t, service.Config{Plant: saltmarsh(t, nil)})
	file := attachment(t, "wedding-cards.xjdf")
	e := envelope(jdf.LastXJDF, "S")
	id := e.Submit(compose.Submission{URL: e.URL(file)})
	body, media, err := compose.Package(e, file)
	require.NoError(t, err)
	_, first := h.post(t, media, body)
	m := compose.AnswerTo(decode(t, first), id)
	require.NotNil(t, m, string(first))
	require.Equal(t, message.ValidationError, message.Code(m.Returned()))
	out := compose.OutcomeOf(m)
	require.Greater(t, len(out.Comments), 1)
	require.Contains(t, strings.Join(out.Comments, "\n"), "wedding-cards.xjdf:")
	_, again := h.post(t, media, body)
	require.Equal(t, string(first), string(again))
	k := h.ticket(t, "SPW-1043")
	require.NotNil(t, k, string(first))
	require.Equal(t, works.Refused, k.State)
	n, err := works.Ask(t.Context(), h.Parts().Store, func(tx *works.Tx) (int,
		error) {
		return tx.CountTickets(works.TicketFilter{})
	})
	require.NoError(t, err)
	require.Equal(t, 1, n)
}

// A check that takes longer than the sender is made to wait is acknowledged later.
func TestAcknowledge(t *testing.T) {
	mis := newPeer(t)
	h := start(t, service.Config{Plant: saltmarsh(t, nil), Wait: time.Nanosecond,
		Hosts: []access.Host{host(t, "127.0.0.1")}})
	var m *message.Message
	for range 20 { // a check may be quicker even than that
		m = h.submit(t, jdf.LastJDF, "playbill.jdf", compose.Submission{AcknowledgeURL: mis.URL})
		require.Equal(t, 0, m.Returned())
		if m.Acknowledged.Value {
			break
		}
	}
	require.True(t, m.Acknowledged.Value)
	require.Eventually(t, func() bool { return len(mis.heard(message.Acknowledge, "SubmitQueueEntry")) == 1 },
		10*time.Second, 20*time.Millisecond)
	said := mis.heard(message.Acknowledge, "SubmitQueueEntry")[0]
	require.Equal(t, m.RefID.Value, said.RefID.Value)
	require.Equal(t, 0, said.Returned())
	require.Equal(t, "SPW-1042", said.QueueEntries[0].JobID.Value)
}

// The queue obeys: hold, priority, position, remove; and what is done twice is refused
// with the code of the standard.
func TestQueue(t *testing.T) {
	for name, g := range generations {
		t.Run(name, func(t *testing.T) {
			h := start(t, service.Config{Plant: saltmarsh(t, nil)})
			var ids []string
			for range 3 {
				m := h.submit(t, g.version, g.ticket, compose.Submission{})
				ids = append(ids, m.QueueEntries[0].ID.Value)
			}
			n := 0
			command := func(c compose.Change) message.Code {
				n++
				e := envelope(g.version, fmt.Sprint("C", n, "-"))
				return message.Code(h.ask(t, e, e.Modify(c)).Returned())
			}
			one := ids[:1]
			require.Equal(t, message.Success, command(compose.Change{Operation: message.Hold, Entries: one}))
			require.Equal(t, message.AlreadyInStatus, command(compose.Change{Operation: message.Hold, Entries: one}))
			require.Equal(t, message.Success, command(compose.Change{Operation: message.Resume, Entries: one}))
			require.Equal(t, message.EntryUnknown, command(compose.Change{Operation: message.Hold,
				Entries: []string{"Q999999"}}))
			first := 0
			require.Equal(t, message.Success, command(compose.Change{Operation: message.Move, Entries: ids[2:],
				Position: &first}))
			e := envelope(g.version, "A")
			m := h.ask(t, e, e.Ask(compose.Question{Type: "QueueStatus"}))
			var order []string
			for _, q := range m.QueueEntries {
				order = append(order, q.ID.Value)
			}
			require.Equal(t, []string{ids[2], ids[0], ids[1]}, order)
			require.Equal(t, message.Success, command(compose.Change{Operation: message.Abort, Entries: one}))
			require.Equal(t, message.Success, command(compose.Change{Operation: message.Remove, Entries: one}))
			require.Equal(t, message.EntryUnknown, command(compose.Change{Operation: message.Remove, Entries: one}))
		})
	}
}

// A device that is away gets everything when it is back: once, and in order.
func TestDeviceAway(t *testing.T) {
	for _, dialect := range []plant.Dialect{plant.JMF, plant.XJMF} {
		t.Run(string(dialect), func(t *testing.T) {
			device := newPeer(t)
			device.setAway(true)
			h := start(t, service.Config{Plant: saltmarsh(t, atPeer("offset-b2", device.URL, dialect)), AutoPlan: true,
				Ahead: true})
			var keys []string
			for range 3 {
				require.Equal(t, 0, h.submit(t, jdf.LastXJDF, "tide-tables.xjdf", compose.Submission{}).Returned())
			}
			require.Eventually(t, func() bool {
				waiting, err := works.Ask(t.Context(), h.Parts().Store, func(tx *works.Tx) ([]*works.Delivery, error) {
					return tx.Deliveries(works.DeliveryFilter{Device: "offset-b2", Kind: "SubmitQueueEntry"})
				})
				require.NoError(t, err)
				keys = nil
				for _, d := range waiting {
					keys = append([]string{d.MessageID}, keys...)
				}
				return len(waiting) == 3
			}, 20*time.Second, 20*time.Millisecond)
			h.config.Listen = h.Address()
			h.stop(t) // and the service too is away for a while
			h.begin(t)
			device.setAway(false)
			require.Eventually(t, func() bool { return len(device.heard(message.Command, "SubmitQueueEntry")) == 3 },
				30*time.Second, 20*time.Millisecond)
			h.quiet(t)
			var got []string
			for _, m := range device.heard(message.Command, "SubmitQueueEntry") {
				got = append(got, m.ID.Value)
			}
			require.Equal(t, keys, got)
			require.Len(t, device.heard(message.Query, "Status"), 1)
		})
	}
}

// A hot folder takes tickets once, and says what is wrong with those it refuses.
func TestHotFolder(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "hot")
	device := filepath.Join(t.TempDir(), "device")
	require.NoError(t, os.MkdirAll(device, 0o755))
	p := saltmarsh(t, func(_ int, id string) plant.Connection {
		return plant.Connection{Folder: device, Dialect: plant.JMF}
	})
	h := start(t, service.Config{Plant: p, Hot: []string{folder}, AutoPlan: true, Ahead: true})
	put := func(name string) {
		data, err := os.ReadFile(demo + "demo/" + name)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(filepath.Join(folder, "in", name), data, 0o644))
	}
	there := func(path ...string) func() bool {
		return func() bool { _, err := os.Stat(filepath.Join(append([]string{folder}, path...)...)); return err == nil }
	}
	require.Eventually(t, there("in"), 10*time.Second, 10*time.Millisecond)
	put("playbill.jdf")
	put("wedding-cards.xjdf")
	require.Eventually(t, there("done", "playbill.jdf"), 20*time.Second, 20*time.Millisecond)
	require.Eventually(t, there("refused", "wedding-cards.xjdf"), 20*time.Second, 20*time.Millisecond)
	report, err := os.ReadFile(filepath.Join(folder, "refused", "wedding-cards.xjdf.findings.txt"))
	require.NoError(t, err)
	require.Contains(t, string(report), "wedding-cards.xjdf:")
	require.True(t, there("refused", "wedding-cards.xjdf.findings.json")())
	k := h.until(t, "SPW-1042", works.Released)
	h.quiet(t)
	for _, s := range h.steps(t, k.ID) {
		require.Equal(t, works.StepSent, s.State)
		_, err := os.Stat(filepath.Join(device, s.TicketName))
		require.NoError(t, err, "the ticket of %s is in the hot folder of its machine", s.Part)
	}
	files, err := os.ReadDir(device)
	require.NoError(t, err)
	require.Len(t, files, len(h.steps(t, k.ID)), "and nothing else")
}

// An address that is not on the allow-list is refused before anything is promised.
func TestAllowList(t *testing.T) {
	h := start(t, service.Config{Plant: saltmarsh(t, nil), Hosts: []access.Host{host(t, "mis.example")}})
	m := h.submit(t, jdf.LastXJDF, "tide-tables.xjdf", compose.Submission{ReturnJMF: "http://192.0.2.7/jmf"})
	require.Equal(t, message.InvalidParameters, message.Code(m.Returned()))
	e := envelope(jdf.LastXJDF, "Q")
	id := e.Ask(compose.Question{Type: "Status", Tell: &compose.Subscription{URL: "http://elsewhere.example/jmf"}})
	require.Equal(t, message.SubscriptionDenied, message.Code(h.ask(t, e, id).Returned()))
	m = h.submit(t, jdf.LastXJDF, "tide-tables.xjdf", compose.Submission{ReturnJMF: "http://mis.example/jmf"})
	require.Equal(t, message.Success, message.Code(m.Returned()))
}
