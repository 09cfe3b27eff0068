package service_test

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/access"
	"quoin/cmd/quoin/internal/compose"
	"quoin/cmd/quoin/internal/desk"
	"quoin/cmd/quoin/internal/service"
	"quoin/cmd/quoin/internal/works"
	"quoin/jdf"
	"quoin/jdf/message"
	"quoin/validate/plant"
)

const demo = "../../../../testdata/"

// saltmarsh is the demo plant, with machines reached at addresses that at gives.
func saltmarsh(t *testing.T, at func(n int, id string) plant.Connection) *plant.Plant {
	t.Helper()
	p, findings, err := plant.LoadFile(demo + "plant/saltmarsh.yaml")
	require.NoError(t, err)
	require.Empty(t, findings)
	for n, m := range p.Machines() {
		if at != nil {
			m.Connection = at(n, m.ID)
		}
	}
	return p
}

func host(t *testing.T, text string) access.Host {
	t.Helper()
	h, err := access.ParseHost(text)
	require.NoError(t, err)
	return h
}

// house is a service at work.
type house struct {
	*service.Service
	config service.Config
	log    *logged
	cancel context.CancelFunc
	ended  chan error
}

// logged is the log of a service, shown when the test fails.
type logged struct {
	mu sync.Mutex
	bytes.Buffer
}

func (l *logged) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.Buffer.Write(p)
}

func (l *logged) text() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.String()
}

// start starts a service. What the configuration does not say is made for a test.
func start(t *testing.T, c service.Config) *house {
	t.Helper()
	h := &house{log: &logged{}}
	if c.Store == "" {
		c.Store = filepath.Join(t.TempDir(), "quoin.db")
	}
	if c.Listen == "" {
		c.Listen = "127.0.0.1:0"
	}
	c.Log = slog.New(slog.NewTextHandler(h.log, &slog.HandlerOptions{Level: slog.LevelDebug}))
	c.Poll, c.Settle = 20*time.Millisecond, 50*time.Millisecond
	h.config = c
	h.begin(t)
	t.Cleanup(func() {
		h.stop(t)
		if t.Failed() {
			t.Log(h.log.text())
		}
	})
	return h
}

func (h *house) begin(t *testing.T) {
	t.Helper()
	s, err := service.New(t.Context(), h.config)
	require.NoError(t, err)
	h.Service = s
	var ctx context.Context
	ctx, h.cancel = context.WithCancel(context.Background())
	h.ended = make(chan error, 1)
	go func() { h.ended <- s.Run(ctx) }()
}

// stop ends the service as a signal would.
func (h *house) stop(t *testing.T) {
	t.Helper()
	if h.cancel == nil {
		return
	}
	h.cancel()
	h.cancel = nil
	select {
	case err := <-h.ended:
		require.NoError(t, err)
	case <-time.After(30 * time.Second):
		require.Fail(t, "the service does not end")
	}
}

func (h *house) url(path string) string { return "http://" + h.Address() + path }

// post posts a body and gives the answer.
func (h *house) post(t *testing.T, media string, body []byte) (*http.Response, []byte) {
	t.Helper()
	res, err := http.Post(h.url("/jmf"), media, bytes.NewReader(body))
	require.NoError(t, err)
	defer res.Body.Close()
	answer, err := io.ReadAll(res.Body)
	require.NoError(t, err)
	return res, answer
}

// ask posts a message with files, and gives the response to a question.
func (h *house) ask(t *testing.T, e *compose.Envelope, id string, files ...compose.Attachment) *message.Message {
	t.Helper()
	body, media, err := compose.Package(e, files...)
	require.NoError(t, err)
	res, answer := h.post(t, media, body)
	require.Equal(t, http.StatusOK, res.StatusCode, string(answer))
	m := compose.AnswerTo(decode(t, answer), id)
	require.NotNil(t, m, string(answer))
	return m
}

func decode(t *testing.T, text []byte) *message.Envelope {
	t.Helper()
	doc, faults, err := jdf.Read("answer", bytes.NewReader(text), jdf.Limits{})
	require.NoError(t, err)
	require.Empty(t, faults, string(text))
	return message.Decode(doc)
}

// generations are both of them: the version messages are written in, and a ticket.
var generations = map[string]struct {
	version jdf.Version
	ticket  string
	bad     string
}{
	"jmf":  {jdf.LastJDF, "playbill.jdf", ""},
	"xjmf": {jdf.LastXJDF, "tide-tables.xjdf", "wedding-cards.xjdf"},
}

// envelope begins a message of the office.
func envelope(version jdf.Version, prefix string) *compose.Envelope {
	n := 0
	return compose.New(compose.Options{Version: version, Sender: "harbour-mis", NewID: func() string {
		n++
		return fmt.Sprint(prefix, n)
	}})
}

func attachment(t *testing.T, name string) compose.Attachment {
	t.Helper()
	data, err := os.ReadFile(demo + "demo/" + name)
	require.NoError(t, err)
	kind := jdf.KindXJDF
	if filepath.Ext(name) == ".jdf" {
		kind = jdf.KindJDF
	}
	return compose.Attachment{ID: "ticket", Name: name, Type: compose.MediaType(kind), Data: data}
}

// submit submits a demo ticket and gives the response.
func (h *house) submit(t *testing.T, version jdf.Version, name string, s compose.Submission) *message.Message {
	t.Helper()
	file := attachment(t, name)
	e := envelope(version, fmt.Sprint("S", time.Now().UnixNano(), "-"))
	s.URL = e.URL(file)
	return h.ask(t, e, e.Submit(s), file)
}

func (h *house) ticket(t *testing.T, job string) *works.Ticket {
	t.Helper()
	k, err := works.Ask(t.Context(), h.Parts().Store, func(tx *works.Tx) (*works.Ticket, error) {
		all, err := tx.Tickets(works.TicketFilter{Job: job})
		if err != nil || len(all) == 0 {
			return nil, err
		}
		return all[0], nil
	})
	require.NoError(t, err)
	return k
}

// until waits until a ticket of a job is in a state.
func (h *house) until(t *testing.T, job string, state works.State) *works.Ticket {
	t.Helper()
	var k *works.Ticket
	require.Eventually(t, func() bool {
		k = h.ticket(t, job)
		return k != nil && k.State == state
	}, 60*time.Second, 20*time.Millisecond, "job %s is to be %s", job, state)
	return k
}

func (h *house) steps(t *testing.T, ticket int64) []*works.Step {
	t.Helper()
	steps, err := works.Ask(t.Context(), h.Parts().Store, func(tx *works.Tx) ([]*works.Step,
		error) {
		return tx.Steps(ticket)
	})
	require.NoError(t, err)
	return steps
}

// peer is a partner who is told and given things: it answers every question with
// success, and remembers what it was sent.
type peer struct {
	*httptest.Server
	mu    sync.Mutex
	said  []*message.Message
	items []desk.Item // tickets
	times []time.Time
	away  bool
}

func newPeer(t *testing.T) *peer {
	p := &peer{}
	p.Server = httptest.NewServer(p)
	t.Cleanup(p.Close)
	return p
}

func (p *peer) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	body, err := io.ReadAll(r.Body)
	p.mu.Lock()
	defer p.mu.Unlock()
	if err != nil || p.away {
		panic(http.ErrAbortHandler) // the line is cut
	}
	items, err := desk.Items("message", r.Header.Get("Content-Type"), body)
	if err != nil {
		http.Error(w, err.Error(), http.StatusBadRequest)
		return
	}
	var answer *compose.Envelope
	for _, item := range items {
		if !item.Document.Kind.Message() {
			p.items = append(p.items, item)
			continue
		}
		for _, m := range message.Decode(item.Document).Messages {
			p.said, p.times = append(p.said, m), append(p.times, time.Now())
			if m.Family != message.Command && m.Family != message.Query {
				continue
			}
			if answer == nil {
				answer = compose.New(compose.Options{Version: item.Document.Version, Sender: "peer"})
			}
			answer.Respond(compose.Reply{Type: m.Type, RefID: m.ID.Value})
		}
	}
	if answer == nil {
		return
	}
	text, err := answer.Bytes()
	if err != nil {
		http.Error(w, err.Error(), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", answer.MediaType())
	_, _ = w.Write(text)
}

func (p *peer) setAway(away bool) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.away = away
}

// heard gives the messages of a family and type so far.
func (p *peer) heard(family message.Family, kind string) (all []*message.Message) {
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, m := range p.said {
		if m.Family == family && m.Type == kind {
			all = append(all, m)
		}
	}
	return all
}
