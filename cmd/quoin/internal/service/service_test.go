package service_test

import (
	"errors"
	"fmt"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/access"
	"quoin/cmd/quoin/internal/api"
	"quoin/cmd/quoin/internal/board"
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

// A resubmission that is sent again over the wire, and again after the service was started
// anew, is done once and answered the same; its id with other bytes is another message.
func TestResubmittedAgain(t *testing.T) {
	for name, g := range generations {
		t.Run(name, func(t *testing.T) {
			h := start(t, service.Config{Plant: saltmarsh(t, nil)})
			entry := h.submit(t, g.version, g.ticket, compose.Submission{}).QueueEntries[0].ID.Value
			file := attachment(t, g.ticket)
			resubmission := func(file compose.Attachment) (body []byte, media, id string) {
				e := envelope(g.version, "R") // which begins with the same id each time
				id = e.Resubmit(compose.Resubmission{Entry: entry, URL: e.URL(file)})
				body, media, err := compose.Package(e, file)
				require.NoError(t, err)
				return body, media, id
			}
			post := func(body []byte, media, id string) {
				t.Helper()
				res, answer := h.post(t, media, body)
				require.Equal(t, http.StatusOK, res.StatusCode, string(answer))
				require.Equal(t, message.Success, message.Code(compose.AnswerTo(decode(t, answer), id).Returned()), string(answer))
			}
			version := func() int64 {
				k, err := works.Ask(t.Context(), h.Parts().Store, func(tx *works.Tx) (*works.Ticket, error) {
					return tx.TicketOfEntry(entry)
				})
				require.NoError(t, err)
				return k.Version
			}
			body, media, id := resubmission(file)
			for range 3 {
				post(body, media, id)
			}
			require.EqualValues(t, 2, version())
			h.stop(t)
			h.begin(t)
			post(body, media, id)
			require.EqualValues(t, 2, version())
			file.Data = append(slices.Clone(file.Data), "<!-- with another word -->"...)
			other, media, same := resubmission(file)
			require.Equal(t, id, same)
			require.NotEqual(t, body, other)
			for range 3 {
				post(other, media, same)
			}
			require.EqualValues(t, 3, version())
			all, err := works.Ask(t.Context(), h.Parts().Store, func(tx *works.Tx) ([]*works.Ticket, error) {
				return tx.Tickets(works.TicketFilter{})
			})
			require.NoError(t, err)
			require.Len(t, all, 1)
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

// An address with a password is sent to, and said nowhere: not in the log, not by the
// API, not on the board, and not to others who ask.
func TestPasswordInAddress(t *testing.T) {
	const secret = "swordfish"
	mis := newPeer(t)
	address := strings.Replace(mis.URL, "http://", "http://anna:"+secret+"@", 1) + "/jmf?key=" + secret
	board := service.Addition{Name: "board", Mount: func(mux *http.ServeMux, p *service.Parts) {
		pages, err := board.New(board.Parts{Store: p.Store, Plant: p.Plant, Guard: p.Guard, Log: p.Log, Ending: p.Ending})
		if err != nil {
			panic(err)
		}
		mux.Handle("/", pages)
	}}
	p := saltmarsh(t, func(_ int, id string) plant.Connection {
		return plant.Connection{URL: address, Dialect: plant.XJMF}
	})
	h := start(t, service.Config{
		Plant: p, Hosts: []access.Host{host(t, "127.0.0.1")}, Additions: []service.Addition{board, api.Addition()},
	})
	e := envelope(jdf.LastXJDF, "Q")
	id := e.Ask(compose.Question{Type: "QueueStatus", Tell: &compose.Subscription{URL: address}})
	require.Equal(t, message.Success, message.Code(h.ask(t, e, id).Returned()))
	require.Eventually(t, func() bool { return len(mis.heard(message.Signal, "QueueStatus")) > 0 }, time.Minute,
		20*time.Millisecond, "it is sent there")
	mis.setAway(true)
	h.submit(t, jdf.LastXJDF, "tide-tables.xjdf", compose.Submission{ReturnJMF: address})
	failed := func() []*works.Delivery {
		all, err := works.Ask(t.Context(), h.Parts().Store, func(tx *works.Tx) ([]*works.Delivery, error) {
			return tx.Deliveries(works.DeliveryFilter{States: []works.DeliveryState{works.DeliveryWaiting}})
		})
		require.NoError(t, err)
		return slices.DeleteFunc(all, func(d *works.Delivery) bool { return d.Error == "" })
	}
	require.Eventually(t, func() bool { return len(failed()) > 0 }, time.Minute, 20*time.Millisecond, "sending fails")
	require.Contains(t, failed()[0].Error, "127.0.0.1")
	for _, path := range []string{"/api/v1/deliveries", "/api/v1/chores", "/api/v1/jobs", "/api/v1/devices",
		"/api/v1/alerts", "/api/v1/log", "/", "/deliveries", "/devices", "/messages", "/tickets/1", "/about"} {
		res, err := http.Get(h.url(path))
		require.NoError(t, err)
		page, err := io.ReadAll(res.Body)
		require.NoError(t, errors.Join(err, res.Body.Close()))
		require.Equal(t, http.StatusOK, res.StatusCode, "%s: %s", path, page)
		require.NotContains(t, string(page), secret, path)
	}
	e = envelope(jdf.LastXJDF, "K")
	for _, kind := range []string{"KnownDevices", "KnownSubscriptions"} {
		text := h.ask(t, e, e.Ask(compose.Question{Type: kind})).Node.Document().Source.Text
		require.NotContains(t, text, "anna", kind)
	}
	e = envelope(jdf.LastXJDF, "X")
	m := h.ask(t, e, e.StopChannel(compose.Stop{URL: strings.Replace(address, "anna:"+secret+"@", "", 1)}))
	require.Equal(t, message.Success, message.Code(m.Returned()), "by the address as it is told")
	require.Contains(t, h.log.text(), "delivery failed")
	require.NotContains(t, h.log.text(), secret)
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
