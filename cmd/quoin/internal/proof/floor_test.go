package proof

import (
	"bytes"
	"context"
	"io"
	"net"
	"net/http"
	"net/url"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/desk"
	"quoin/cmd/quoin/internal/rehearsal/floor"
	"quoin/cmd/quoin/internal/rehearsal/report"
	"quoin/jdf/message"
	"quoin/validate/plant"
)

// arrival is a submission as it came to a machine.
type arrival struct {
	device, message string
	times           int
}

// machines are rehearsed ones, behind a door that can be shut.
type machines struct {
	*floor.Floor
	plant *plant.Plant

	lock     sync.Mutex
	arrivals []*arrival // in the order in which each came first
	address  string
	server   *http.Server
}

// speed of the works: a day takes less than half a second.
const speed = 200_000

// newMachines makes machines that are at work until the test ends.
func newMachines(t testing.TB, p *plant.Plant, to string, faults string, seed uint64) *machines {
	t.Helper()
	chances, err := floor.ParseFaults(faults)
	require.NoError(t, err)
	target, err := url.Parse(to)
	require.NoError(t, err)
	m := &machines{plant: p}
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	m.address = listener.Addr().String()
	m.Floor, err = floor.New(floor.Options{
		Plant: p, Seed: seed, To: target, Address: "http://" + m.address, Faults: chances,
		Clock: floor.NewClock(time.Now().Add(-time.Hour).Truncate(time.Second), speed),
	})
	require.NoError(t, err)
	m.open(listener)
	ctx, stop := context.WithCancel(context.Background())
	done := make(chan error, 1)
	go func() { done <- m.Run(ctx) }()
	t.Cleanup(func() {
		stop()
		require.NoError(t, <-done)
		m.shut()
	})
	return m
}

// open lets messages in.
func (m *machines) open(listener net.Listener) {
	server := &http.Server{Handler: http.HandlerFunc(m.note), ReadHeaderTimeout: time.Minute}
	m.lock.Lock()
	m.server = server
	m.lock.Unlock()
	go func() { _ = server.Serve(listener) }() // ends when it is shut
}

// shut refuses connections and breaks those that there are.
func (m *machines) shut() {
	m.lock.Lock()
	server := m.server
	m.lock.Unlock()
	_ = server.Close()
}

// reopen opens the door that was shut.
func (m *machines) reopen(t testing.TB) {
	t.Helper()
	listener, err := net.Listen("tcp", m.address)
	require.NoError(t, err)
	m.open(listener)
}

// note writes down which submission comes in, and hands it on.
func (m *machines) note(w http.ResponseWriter, r *http.Request) {
	body, err := io.ReadAll(r.Body)
	if err != nil {
		return
	}
	if id := submissionID(r.Header.Get("Content-Type"), body); id != "" {
		m.arrived(strings.TrimPrefix(r.URL.Path, "/device/"), id)
	}
	r.Body = io.NopCloser(bytes.NewReader(body))
	m.Handler().ServeHTTP(w, r)
}

func (m *machines) arrived(device, id string) {
	m.lock.Lock()
	defer m.lock.Unlock()
	for _, a := range m.arrivals {
		if a.device == device && a.message == id {
			a.times++
			return
		}
	}
	m.arrivals = append(m.arrivals, &arrival{device, id, 1})
}

// submissionID is the id of a message that submits a ticket, "" for other messages.
func submissionID(media string, body []byte) string {
	items, err := desk.Items("", media, body)
	if err != nil {
		return ""
	}
	for _, item := range items {
		if !item.Document.Kind.Message() {
			continue
		}
		for _, one := range message.Decode(item.Document).Messages {
			if one.Params.Submission != nil {
				return one.ID.Value
			}
		}
	}
	return ""
}

// flags tell the service how the machines are reached.
func (m *machines) flags() (all []string) {
	channels := report.Channels(m.plant)
	for _, one := range m.plant.Machines() {
		dialect := plant.XJMF
		if channels[one.ID].Speaks == report.First {
			dialect = plant.JMF
		}
		all = append(all, "--device", one.ID+"="+string(dialect)+":http://"+m.address+"/device/"+url.PathEscape(one.ID))
	}
	return all
}
