package proof

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/compose"
	"quoin/cmd/quoin/internal/dialog"
	"quoin/cmd/quoin/internal/rehearsal/month"
	"quoin/jdf"
	"quoin/jdf/message"
	"quoin/validate/plant"
)

// submission is one ticket as it is sent, always with the same bytes.
type submission struct {
	job, media string
	body       []byte
}

// back is one ticket that came back.
type back struct {
	job      string
	messages map[string]int // how often each message brought it
}

// sender is who submits tickets and takes them back.
type sender struct {
	dialog.Works // what is not below is never asked

	server *httptest.Server
	client *http.Client

	lock sync.Mutex
	back map[string]*back // by queue entry
	told int              // signals and acknowledges
}

func newSender(t testing.TB) *sender {
	s := &sender{back: map[string]*back{}, client: &http.Client{Timeout: 30 * time.Second}}
	endpoint := &dialog.Endpoint{Works: s, Sender: "office"}
	s.server = httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		body, err := io.ReadAll(r.Body)
		if err != nil {
			return // the connection broke
		}
		reply := endpoint.Answer(r.Context(), dialog.Incoming{Media: r.Header.Get("Content-Type"), Body: body})
		w.Header().Set("Content-Type", reply.Media)
		w.WriteHeader(reply.Status)
		_, _ = w.Write(reply.Body)
	}))
	t.Cleanup(s.server.Close)
	return s
}

func (s *sender) Keep(context.Context, dialog.Document) (dialog.Receipt, error) {
	return dialog.Receipt{ID: 1}, nil
}
func (s *sender) Answered(context.Context, dialog.Receipt, dialog.Reply) error { return nil }

func (s *sender) Told(context.Context, dialog.From, *message.Message) error {
	s.lock.Lock()
	defer s.lock.Unlock()
	s.told++
	return nil
}

// Return takes a ticket back.
func (s *sender) Return(_ context.Context, from dialog.From, r dialog.Return) error {
	s.lock.Lock()
	defer s.lock.Unlock()
	b := s.back[r.Params.Entry.Value]
	if b == nil {
		b = &back{job: r.Ticket.Document.Root().Get("JobID"), messages: map[string]int{}}
		s.back[r.Params.Entry.Value] = b
	}
	b.messages[from.MessageID]++
	return nil
}

// returned is how many entries came back.
func (s *sender) returned() int {
	s.lock.Lock()
	defer s.lock.Unlock()
	return len(s.back)
}

// submissions makes up jobs that the plant can make, in both generations, as messages.
func (s *sender) submissions(t testing.TB, p *plant.Plant, jobs int, seed uint64) []submission {
	t.Helper()
	m, err := month.Make(month.Options{
		Plant: p, Jobs: jobs, Seed: seed, From: time.Now(), Days: 10, Form: "mixed",
	})
	require.NoError(t, err)
	all := make([]submission, 0, jobs)
	for i := range m.Jobs {
		j := &m.Jobs[i]
		all = append(all, s.submission(t, j.Job, j.Form, j.File))
	}
	return all
}

func (s *sender) submission(t testing.TB, name, form string, ticket []byte) submission {
	t.Helper()
	opt := compose.Options{Sender: "office", Version: jdf.LastXJDF}
	kind := jdf.KindXJDF
	if form == "jdf" {
		opt.Version, kind = jdf.LastJDF, jdf.KindJDF
	}
	n := 0
	opt.NewID = func() string {
		n++
		return fmt.Sprintf("s-%s-%d", name, n)
	}
	e := compose.New(opt)
	file := compose.Attachment{ID: "ticket", Name: name + "." + form, Type: compose.MediaType(kind), Data: ticket}
	e.Submit(compose.Submission{URL: e.URL(file), ReturnJMF: s.server.URL + "/jmf"})
	body, media, err := compose.Package(e, file)
	require.NoError(t, err)
	return submission{name, media, body}
}

// post sends a document once.
func (s *sender) post(ctx context.Context, to, media string, body []byte) (status int, answer []byte, err error) {
	request, err := http.NewRequestWithContext(ctx, http.MethodPost, to, bytes.NewReader(body))
	if err != nil {
		return 0, nil, err
	}
	request.Header.Set("Content-Type", media)
	response, err := s.client.Do(request)
	if err != nil {
		return 0, nil, err
	}
	defer response.Body.Close()
	answer, err = io.ReadAll(response.Body)
	return response.StatusCode, answer, err
}

// submit sends a ticket until it is taken. The error says that it was refused, or that
// the time is over.
func (s *sender) submit(ctx context.Context, to string, sub submission) error {
	for {
		status, answer, err := s.post(ctx, to, sub.media, sub.body)
		switch {
		case err == nil && taken(status, answer):
			return nil
		case err == nil && status/100 == 4, err == nil && status/100 == 2:
			return fmt.Errorf("job %s is refused with status %d:\n%s", sub.job, status, answer)
		}
		select {
		case <-ctx.Done():
			return fmt.Errorf("job %s is not taken (status %d, %w): %s", sub.job, status, ctx.Err(), answer)
		case <-time.After(50 * time.Millisecond):
		}
	}
}

// submitAll sends tickets over a number of connections, each as soon as the one before
// it is taken.
func (s *sender) submitAll(ctx context.Context, to string, all []submission, connections int) error {
	queue := make(chan submission)
	failed := make(chan error, connections)
	var wait sync.WaitGroup
	for range connections {
		wait.Go(func() {
			for sub := range queue {
				if err := s.submit(ctx, to, sub); err != nil {
					failed <- err
					return
				}
			}
		})
	}
	var err error
feeding:
	for _, sub := range all {
		select {
		case queue <- sub:
		case err = <-failed:
			break feeding
		}
	}
	close(queue)
	wait.Wait()
	close(failed)
	for e := range failed {
		err = e
	}
	return err
}
