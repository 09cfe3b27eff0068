package floor_test

import (
	"bytes"
	"cmp"
	"context"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/compose"
	"quoin/cmd/quoin/internal/dialog"
	"quoin/cmd/quoin/internal/rehearsal"
	"quoin/cmd/quoin/internal/rehearsal/floor"
	"quoin/cmd/quoin/internal/rehearsal/month"
	"quoin/cmd/quoin/internal/rehearsal/report"
	"quoin/convert/cost"
	"quoin/convert/emit"
	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/jdf/message"
	"quoin/validate/plant"
)

func saltmarsh(t *testing.T) *plant.Plant {
	t.Helper()
	p, found, err := plant.LoadFile("../../../../../testdata/plant/saltmarsh.yaml")
	require.NoError(t, err)
	require.Empty(t, found)
	return p
}

// office is the side that submits tickets and is told.
type office struct {
	dialog.Works // what is not below is never asked

	lock    sync.Mutex
	heard   [][]byte          // documents, as they came, once each time
	tickets map[string][]byte // returned, by queue entry
	posts   int
	server  *httptest.Server
}

func newOffice(t *testing.T) *office {
	o := &office{tickets: map[string][]byte{}}
	endpoint := &dialog.Endpoint{Works: o, Sender: "office"}
	o.server = httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		body, err := io.ReadAll(r.Body)
		if err != nil {
			return // the connection was dropped
		}
		o.lock.Lock()
		o.posts++
		o.lock.Unlock()
		reply := endpoint.Answer(r.Context(), dialog.Incoming{Media: r.Header.Get("Content-Type"), Body: body})
		w.Header().Set("Content-Type", reply.Media)
		w.WriteHeader(reply.Status)
		_, _ = w.Write(reply.Body)
	}))
	t.Cleanup(o.server.Close)
	return o
}

func (o *office) Keep(_ context.Context, d dialog.Document) (dialog.Receipt, error) {
	o.lock.Lock()
	defer o.lock.Unlock()
	o.heard = append(o.heard, d.Body)
	return dialog.Receipt{ID: int64(len(o.heard))}, nil
}

func (o *office) Answered(context.Context, dialog.Receipt, dialog.Reply) error { return nil }
func (o *office) Told(context.Context, dialog.From, *message.Message) error    { return nil }

func (o *office) Return(_ context.Context, from dialog.From, r dialog.Return) error {
	o.lock.Lock()
	defer o.lock.Unlock()
	o.tickets[from.Sender+" "+r.Params.Entry.Value] = r.Ticket.Data
	return nil
}

// documents are all that the office knows.
func (o *office) documents(t *testing.T) []*jdf.Document {
	t.Helper()
	o.lock.Lock()
	defer o.lock.Unlock()
	var docs []*jdf.Document
	for i, body := range o.heard {
		doc, faults, err := jdf.Read(fmt.Sprint("heard-", i), bytes.NewReader(body), jdf.Limits{})
		if err == nil && len(faults) == 0 {
			docs = append(docs, doc) // a package holds a ticket, which comes below
		}
	}
	for name, data := range o.tickets {
		doc, faults, err := jdf.Read(name, bytes.NewReader(data), jdf.Limits{})
		require.NoError(t, err)
		require.Empty(t, faults)
		docs = append(docs, doc)
	}
	return docs
}

// stage is machines at work with an office that they report to.
type stage struct {
	*floor.Floor
	office *office
	server *httptest.Server
	plant  *plant.Plant
	asked  int
}

const speed = 40_000

func play(t *testing.T, change func(*floor.Options)) *stage {
	t.Helper()
	s := &stage{office: newOffice(t), plant: saltmarsh(t)}
	to, err := url.Parse(s.office.server.URL + "/jmf")
	require.NoError(t, err)
	opt := floor.Options{
		Plant: s.plant, Seed: 11, To: to, Clock: floor.NewClock(time.Date(2026, 3, 2, 6, 0, 0, 0, time.UTC), speed),
	}
	if change != nil {
		change(&opt)
	}
	s.Floor, err = floor.New(opt)
	require.NoError(t, err)
	s.server = httptest.NewServer(s.Handler())
	t.Cleanup(s.server.Close)
	ctx, stop := context.WithCancel(context.Background())
	done := make(chan error, 1)
	go func() { done <- s.Run(ctx) }()
	t.Cleanup(func() {
		stop()
		require.NoError(t, <-done)
	})
	return s
}

// post sends a message to a machine and gives its answer.
func (s *stage) post(t *testing.T, device string, e *compose.Envelope, files ...compose.Attachment) *message.Envelope {
	t.Helper()
	body, media, err := compose.Package(e, files...)
	require.NoError(t, err)
	return s.send(t, device, media, body)
}

func (s *stage) send(t *testing.T, device, media string, body []byte) *message.Envelope {
	t.Helper()
	r, err := http.Post(s.server.URL+"/device/"+device, media, bytes.NewReader(body))
	require.NoError(t, err)
	defer r.Body.Close()
	answer, err := io.ReadAll(r.Body)
	require.NoError(t, err)
	require.Equal(t, http.StatusOK, r.StatusCode, string(answer))
	doc, faults, err := jdf.Read("answer", bytes.NewReader(answer), jdf.Limits{})
	require.NoError(t, err)
	require.Empty(t, faults)
	return message.Decode(doc)
}

func (s *stage) envelope(g report.Generation) *compose.Envelope {
	s.asked++
	n := 0
	opt := compose.Options{Sender: "office", Version: jdf.LastXJDF, NewID: func() string {
		n++
		return fmt.Sprintf("m%d.%d", s.asked, n)
	}}
	if g == report.First {
		opt.Version = jdf.LastJDF
	}
	return compose.New(opt)
}

// submit sends a ticket, and gives the answer with its code.
func (s *stage) submit(t *testing.T, device string, ticket []byte, g report.Generation) message.Code {
	t.Helper()
	e := s.envelope(g)
	file := compose.Attachment{ID: "ticket", Name: "ticket.xjdf", Data: ticket}
	e.Submit(compose.Submission{URL: e.URL(file), ReturnJMF: s.office.server.URL + "/return"})
	answer := s.post(t, device, e, file)
	require.Len(t, answer.Messages, 1)
	return compose.OutcomeOf(answer.Messages[0]).Code
}

// step is the ticket of one step, for its machine.
type step struct {
	device string
	speaks report.Generation
	ticket []byte
}

// steps are those of some made-up jobs, in both generations.
func steps(t *testing.T, p *plant.Plant, jobs int) []step {
	t.Helper()
	m, err := month.Make(month.Options{
		Plant: p, Jobs: jobs, Seed: 3, From: time.Date(2026, 3, 2, 0, 0, 0, 0, p.Zone), Days: 5, Form: "xjdf",
	})
	require.NoError(t, err)
	channels := report.Channels(p)
	var all []step
	for i := range m.Jobs {
		j := &m.Jobs[i]
		tree := emit.Tickets(j.Plan, j.Asked, emit.Options{Clock: j.Clock, As: emit.JDF})[0].Doc
		for k, ticket := range emit.Tickets(j.Plan, j.Asked, emit.Options{Clock: j.Clock}) {
			device := j.Plan.Operations[k].Device
			if device == "" {
				continue
			}
			s := step{device: device, speaks: channels[device].Speaks}
			doc := ticket.Doc
			if s.speaks == report.First {
				doc, err = report.Spawn(tree, ticket.Doc.Root().SelectAttrValue("JobPartID", ""))
				require.NoError(t, err)
			}
			s.ticket, err = doc.WriteToBytes()
			require.NoError(t, err)
			all = append(all, s)
		}
	}
	return all
}

// settled waits until all is done and told.
func (s *stage) settled(t *testing.T) {
	t.Helper()
	require.Eventually(t, func() bool {
		entries, messages := s.Pending()
		return entries+messages == 0
	}, 60*time.Second, 5*time.Millisecond)
}

// fact is one phase, as the truth and the ledger both tell it.
type fact struct {
	device, job, part string
	state             job.State
	start, end        string
	good, waste       string
}

func (f fact) compare(g fact) int {
	return cmp.Or(cmp.Compare(f.device, g.device), cmp.Compare(f.start, g.start), cmp.Compare(f.end, g.end),
		cmp.Compare(f.state, g.state), cmp.Compare(f.job, g.job), cmp.Compare(f.part, g.part))
}

func stamp(t time.Time) string { return t.UTC().Format(time.RFC3339Nano) }

func truth(t *rehearsal.Truth) []fact {
	var all []fact
	for _, a := range t.Steps {
		for _, p := range a.Phases {
			all = append(all, fact{
				a.Device, a.Job, a.Part, p.State, stamp(p.Start), stamp(p.End), fmt.Sprint(p.Good), fmt.Sprint(p.Waste),
			})
		}
	}
	slices.SortFunc(all, fact.compare)
	return all
}

func ledger(docs []*jdf.Document) []fact {
	l, _ := cost.Collect(docs)
	var all []fact
	for _, e := range l.Entries {
		all = append(all, fact{
			e.Device, e.Job, e.Part, e.State, stamp(e.Start), stamp(e.End), e.Good.String(), e.Waste.String(),
		})
	}
	slices.SortFunc(all, fact.compare)
	return all
}

// Tickets go out, signals and audited tickets come back, and the ledger of them
// is what happened, without faults and with each and all of them.
func TestLedgerEqualsTruth(t *testing.T) {
	for _, faults := range []string{
		"", "late=0.3", "duplicate=0.3", "out-of-order=0.3", "dropped=0.3", "malformed=0.3", "counters=0.3", "all=0.15",
	} {
		t.Run(faults, func(t *testing.T) {
			t.Parallel()
			chances, err := floor.ParseFaults(faults)
			require.NoError(t, err)
			s := play(t, func(o *floor.Options) { o.Faults = chances })
			work := steps(t, s.plant, 10)
			require.Greater(t, len(work), 20)
			for _, device := range []string{"offset-b2", "guillotine-1"} {
				for _, kind := range []string{"Status", "Resource"} {
					e := s.envelope(report.Channels(s.plant)[device].Speaks)
					e.Ask(compose.Question{
						Type: kind, Scope: "Job", Tell: &compose.Subscription{URL: s.office.server.URL + "/signals"},
					})
					answer := s.post(t, device, e)
					require.Equal(t, message.Success, compose.OutcomeOf(answer.Messages[0]).Code)
				}
			}
			for _, w := range work {
				require.Equal(t, message.Success, s.submit(t, w.device, w.ticket, w.speaks))
			}
			s.settled(t)
			told := s.Truth()
			require.Len(t, told.Steps, len(work))
			require.Len(t, s.office.tickets, len(work))
			require.Equal(t, truth(told), ledger(s.office.documents(t)))
			kinds := map[string]bool{}
			for _, f := range told.Faults {
				kinds[f.Kind] = true
			}
			require.Len(t, kinds, len(chances), "each fault has struck")
		})
	}
}

// What was drawn does not depend on when tickets come, nor on the speed.
func TestSameSeedSameTruth(t *testing.T) {
	made := func() []string {
		s := play(t, nil)
		work := steps(t, s.plant, 2)
		for _, w := range work {
			require.Equal(t, message.Success, s.submit(t, w.device, w.ticket, w.speaks))
		}
		s.settled(t)
		var all []string
		for _, a := range s.Truth().Steps {
			all = append(all, fmt.Sprint(
				a.Job, a.Part, a.Device, a.Good, a.Waste, a.Time(job.StateMakeready), a.Time(job.StateRun)))
		}
		slices.Sort(all)
		return all
	}
	require.Equal(t, made(), made())
}
