package proof

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/compose"
	"quoin/cmd/quoin/internal/database"
	"quoin/cmd/quoin/internal/postgrestest"
	"quoin/cmd/quoin/internal/works"
	"quoin/jdf"
	"quoin/jdf/message"
)

// messages is how many signals the measurement of memory sends.
var messages = flag.Int("messages", 3000, "signals after which the memory of the service is measured")

// connections is how many senders post at once.
const connections = 16

// A signal of a machine goes over HTTP into the store, and is on the disk when it is
// acknowledged. The reference is what the disk can do in the same run: appending the
// same bytes to a file, with a sync for each.
func BenchmarkStored(b *testing.B) {
	for _, c := range []struct {
		store string
		at    func() string
	}{
		{"SQLite", func() string { return "" }},
		{"PostgreSQL", func() string { return postgrestest.Start(b).Database(b) }},
	} {
		b.Run(c.store, func(b *testing.B) {
			s := newStage(b, c.at(), "", 1)
			s.start(b)
			to := "http://" + s.runs[0].address + "/jmf"
			warm := s.sender.flood(b, to, 200, connections, signals("warm"))
			require.Zero(b, warm.refused)
			b.ResetTimer()
			m := s.sender.flood(b, to, b.N, connections, signals("run"))
			b.StopTimer()
			require.Zero(b, m.refused)
			m.report(b)
			_, body := signals("reference")(1)
			reference := appended(b, body)
			b.ReportMetric(float64(b.N)/m.took.Seconds()/reference, "x-of-fsync")
			for i := range b.N { // none came by the road
				_, body := signals("run")(i + 1)
				s.road.heard[hashOf(body)] = true
			}
			s.end(b)
			s.stored(b)
		})
	}
}

// stored checks that all that was acknowledged is in the store.
func (s *stage) stored(t testing.TB) {
	t.Helper()
	db, err := database.Open(within(t, time.Minute), s.store)
	require.NoError(t, err)
	defer func() { require.NoError(t, db.Close()) }()
	s.countMessages(t, db, &count{})
}

// report tells rates and waiting times.
func (m *measured) report(b *testing.B) {
	slices.Sort(m.each)
	at := func(share float64) float64 { return m.each[int(share*float64(len(m.each)-1))].Seconds() * 1000 }
	b.ReportMetric(float64(len(m.each))/m.took.Seconds(), "messages/s")
	b.ReportMetric(at(0.5), "p50-ms")
	b.ReportMetric(at(0.99), "p99-ms")
}

// appended is how many appends of some bytes a second a file takes that is synced after
// each, on the disk of the stores.
func appended(b *testing.B, body []byte) float64 {
	b.Helper()
	f, err := os.Create(filepath.Join(b.TempDir(), "appended"))
	require.NoError(b, err)
	const times = 300
	begun := time.Now()
	for range times {
		_, err := f.Write(body)
		require.NoError(b, err)
		require.NoError(b, f.Sync())
	}
	took := time.Since(begun)
	require.NoError(b, f.Close())
	return times / took.Seconds()
}

// signals are status signals of a press at work, each with ids of its own.
func signals(run string) func(i int) (string, []byte) {
	at := time.Date(2026, 3, 2, 6, 0, 0, 0, time.UTC)
	return func(i int) (string, []byte) {
		n := 0
		e := compose.New(compose.Options{
			Version: jdf.LastJDF, Sender: "offset-b2", Clock: func() time.Time { return at.Add(time.Duration(i) * time.Second) },
			NewID: func() string {
				n++
				return "m-" + run + "-" + strconv.Itoa(i) + "-" + strconv.Itoa(n)
			},
		})
		e.SignalStatus("", compose.DeviceState{Device: "offset-b2", State: "Production", Phases: []compose.Phase{{
			JobID: "J" + strconv.Itoa(i/100), PartID: "print", State: "InProgress", Start: at.Add(time.Duration(i/100) * 100 * time.Second),
		}}})
		body, err := e.Bytes()
		if err != nil {
			panic(err) // it is written from values that are good
		}
		return e.MediaType(), body
	}
}

// The memory of the service after many messages, all of them collected into the books.
func BenchmarkMemory(b *testing.B) {
	s := newStage(b, "", "", 1)
	s.start(b)
	p := s.runs[0]
	before, _ := p.memory(b)
	for b.Loop() {
		m := s.sender.flood(b, "http://"+p.address+"/jmf", *messages, connections, signals(fmt.Sprint("memory-", b.N)))
		require.Zero(b, m.refused)
		m.report(b)
	}
	for left := 1.0; left > 0; time.Sleep(200 * time.Millisecond) {
		_, page, err := p.get("/metrics")
		require.NoError(b, err)
		left = metric(page, "quoin_chores", `kind="`+works.ChoreCollect+`"`)
	}
	now, most := p.memory(b)
	b.ReportMetric(float64(*messages), "messages")
	b.ReportMetric(float64(before)/(1<<20), "MB-at-start")
	b.ReportMetric(float64(now)/(1<<20), "MB")
	b.ReportMetric(float64(most)/(1<<20), "MB-peak")
}

// What the benchmarks send is a signal that says what it should.
func TestSignals(t *testing.T) {
	media, body := signals("x")(250)
	require.Equal(t, compose.MediaType(jdf.KindJMF), media)
	doc, faults, err := jdf.Read("signal", bytes.NewReader(body), jdf.Limits{})
	require.NoError(t, err)
	require.Empty(t, faults)
	all := message.Decode(doc).Messages
	require.Len(t, all, 1)
	require.Len(t, all[0].Audits, 1)
	require.Equal(t, "J2", all[0].Audits[0].JobID.Value)
	_, other := signals("x")(251)
	require.NotEqual(t, body, other)
}
