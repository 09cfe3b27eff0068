package flow_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/database"
	"quoin/cmd/quoin/internal/works"
	"quoin/cmd/quoin/internal/works/flow"
)

// shop plays all that the flow does not do itself: the engine, the planner, the
// wire with devices and senders that know what they have got already, and the
// ledger. With Trouble it fails, panics and loses answers at random.
type shop struct {
	trouble int // of ten calls, how many go wrong

	mu     sync.Mutex
	dice   *rand.Rand
	jobs   map[string][]string // ids of the messages that a device has, by its id
	got    map[string]string   // QueueEntryID that was given, by id of the message
	aborts map[string]int      // recalls, by device
	backs  map[string]int      // tickets returned, by job
	ledger map[int64]bool
	books  int              // how often something was entered
	silent bool             // devices take steps and do nothing
	say    func(said) error // what devices send
	wg     sync.WaitGroup
}

func newShop(trouble int) *shop {
	return &shop{
		trouble: trouble, dice: rand.New(rand.NewPCG(11, 25)), jobs: map[string][]string{}, got: map[string]string{},
		aborts: map[string]int{}, backs: map[string]int{}, ledger: map[int64]bool{},
	}
}

// said is what a device of the shop says in a message.
type said struct {
	Device, Queued, Job, Part, State string
	Good                             int64
	At                               time.Time
	Returned                         bool
}

var errTrouble = errors.New("the line is down")

// chance is trouble, or none.
func (s *shop) chance() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	switch n := s.dice.IntN(20); {
	case n == 0 && s.trouble > 0:
		panic("on purpose")
	case n < 2*s.trouble:
		return errTrouble
	}
	return nil
}

func (s *shop) Check(_ context.Context, k *works.Ticket, body []byte) (works.Checked, error) {
	bad := strings.Contains(string(body), "bad")
	return works.Checked{Refused: bad, Reason: "looked at", Report: []byte(`{"of":"` + k.Job + `"}`)}, s.chance()
}

func (s *shop) Plan(_ context.Context, k *works.Ticket, body []byte) (works.Laid, error) {
	if strings.Contains(string(body), "impossible") {
		return works.Laid{}, fmt.Errorf("plan %s: %w", k.Job, &flow.Unplannable{Reason: "no press is wide enough"})
	}
	l := works.Laid{Plan: []byte(`{"plan of":"` + k.Job + `"}`)}
	for i, name := range []string{"press-1", "press-2", "folder"} {
		l.Steps = append(l.Steps, works.NewStep{Number: i, Part: fmt.Sprint("p", i), Name: name, Device: name,
			Target: decimal.NewFromInt(1000)})
	}
	l.Steps[2].Needs = []int{0, 1}
	return l, s.chance()
}

func (s *shop) Emit(_ context.Context, k *works.Ticket, _, plan []byte,
	steps []*works.Step) (map[int]works.DeviceTicket, error) {
	tickets := map[int]works.DeviceTicket{}
	for _, p := range steps {
		tickets[p.Number] = works.DeviceTicket{Name: p.Part, Body: []byte(k.Job + " " + p.Part)}
	}
	return tickets, s.chance()
}

func (s *shop) Submit(id string, k *works.Ticket, p *works.Step, d *works.Device, ticket []byte) (flow.Wire, error) {
	return flow.Wire{Kind: "SubmitQueueEntry", Address: d.URL, Body: []byte(strings.Join([]string{id, k.Job, p.Part},
		" "))}, nil
}

func (s *shop) Recall(id string, k *works.Ticket, p *works.Step, d *works.Device) (flow.Wire, error) {
	return flow.Wire{Kind: "AbortQueueEntry", Address: d.URL, Body: []byte(id + " " + p.Queued)}, nil
}

func (s *shop) Return(id string, k *works.Ticket, _ []byte, _ []*works.Step, returned map[int][]byte) (flow.Wire,
	[]byte, error) {
	body := fmt.Appendf(nil, "%s %s with %d audits", id, k.Job, len(returned))
	return flow.Wire{Kind: "ReturnQueueEntry", Address: k.ReturnJMF, Body: body}, body, nil
}

func (s *shop) Subscriptions(id func(int) string, d *works.Device) ([]flow.Wire, error) {
	return []flow.Wire{{Kind: "Status", Address: d.URL, Body: []byte(id(0)),
		Channel: &works.Subscription{Query: "Status", URL: "http://us"}}}, nil
}

// Send plays who is at the other end: the same id is the same message, whose answer
// is given again. What went wrong may have gone wrong before or after it arrived.
func (s *shop) Send(_ context.Context, d *works.Delivery, body []byte) (flow.Sent, error) {
	if err := s.chance(); err != nil {
		return flow.Sent{}, err
	}
	s.mu.Lock()
	words := strings.Fields(string(body))
	sent := flow.Sent{Answer: works.Answer{Status: 200}, Taken: true, Queued: s.got[words[0]]}
	if words[0] != d.MessageID {
		sent.Refused, sent.Reason = true, "wrong id"
	}
	if _, again := s.got[words[0]]; !again {
		s.got[words[0]] = fmt.Sprint("D", len(s.got)+1)
		sent.Queued = s.got[words[0]]
		switch d.Kind {
		case "SubmitQueueEntry":
			s.jobs[d.Device] = append(s.jobs[d.Device], words[1]+" "+words[2])
			if !s.silent {
				s.wg.Go(func() { s.work(d.Device, sent.Queued, words[1], words[2]) })
			}
		case "AbortQueueEntry":
			s.aborts[d.Device]++
		case "ReturnQueueEntry":
			s.backs[words[1]+" "+words[3]]++
		}
	}
	s.mu.Unlock()
	return sent, s.chance()
}

// work plays a device at work on a step: its reports come twice and out of order.
func (s *shop) work(device, queued, job, part string) {
	at := time.Now()
	one := said{Device: device, Queued: queued, Job: job, Part: part}
	makeready, run, done := one, one, one
	makeready.State, makeready.At = "makeready", at
	run.State, run.At, run.Good = "running", at.Add(time.Millisecond), 500
	done.State, done.At, done.Good, done.Returned = "done", at.Add(2*time.Millisecond), 1000, true
	for _, n := range []said{run, makeready, run, done, done, run} {
		for s.say(n) != nil { // as any device: again until it is taken
			time.Sleep(time.Millisecond)
		}
	}
}

func (s *shop) Read(_ context.Context, _ *works.Message, body []byte) (flow.News, error) {
	var n said
	if err := json.Unmarshal(body, &n); err != nil {
		return flow.News{}, works.Permanent(err)
	}
	good := decimal.NewFromInt(n.Good)
	return flow.News{
		Devices: []works.DeviceNews{{ID: n.Device, At: n.At, State: n.State, Job: n.Job}},
		Steps: []flow.StepNews{{
			StepRef:    works.StepRef{Device: n.Device, Queued: n.Queued, Job: n.Job, Part: n.Part},
			StepReport: works.StepReport{State: works.StepState(n.State), At: n.At, Good: &good}, Returned: n.Returned,
		}},
	}, s.chance()
}

func (s *shop) Take(_ context.Context, all []flow.Came) error {
	s.mu.Lock()
	s.books++
	for _, m := range all {
		s.ledger[m.ID] = true
	}
	s.mu.Unlock()
	return s.chance()
}

// house is a store with the shop's devices, and pools that work in it.
type house struct {
	*works.Store
	flow *flow.Flow
	shop *shop
}

func open(t *testing.T, at string, s *shop) *house {
	t.Helper()
	db, err := database.Open(t.Context(), at)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, db.Close()) })
	store, err := works.Open(t.Context(), db, works.Options{})
	require.NoError(t, err)
	h := &house{store, &flow.Flow{Store: store, Parts: flow.Parts{
		Checker: s, Planner: s, Emitter: s, Composer: s, Sender: s, Reader: s, Ledger: s,
	}, AutoPlan: true}, s}
	require.NoError(t, store.Write(t.Context(), "", func(tx *works.Tx) error {
		return tx.KeepDevices([]works.Device{{ID: "press-1", URL: "http://1"}, {ID: "press-2", URL: "http://2"},
			{ID: "folder", URL: "http://3"}})
	}))
	s.say = h.hear
	return h
}

// hear takes a message of a device as the message endpoint does: stored, then
// answered with its chore.
func (h *house) hear(n said) error {
	body, err := json.Marshal(n)
	if err != nil {
		return err
	}
	ctx := context.Background()
	in, err := h.Receive(ctx, works.Incoming{Partner: n.Device, Source: works.ByMessage, MessageID: string(body),
		Body: body})
	if err != nil || in.Answer != nil {
		return err
	}
	return h.Write(ctx, n.Device, func(tx *works.Tx) error {
		if err := flow.Collect(tx, in.Message); err != nil {
			return err
		}
		_, err := tx.Answer(in.ID, works.Answer{Status: 200})
		return err
	})
}

// start runs a pool until the test calls the function it gives.
func (h *house) start(t *testing.T) (stop func()) {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		h.Work(ctx, works.Pool{Handlers: h.flow.Handlers(), Poll: 20 * time.Millisecond, Grace: time.Millisecond})
	}()
	return func() { cancel(); <-ended }
}

func (h *house) submit(t *testing.T, job, body string) *works.Ticket {
	t.Helper()
	var k *works.Ticket
	require.NoError(t, h.Write(t.Context(), "mis", func(tx *works.Tx) (err error) {
		k, err = tx.Submit(works.Submission{Job: job, Partner: "mis", ReturnJMF: "http://mis", Body: []byte(body)})
		return err
	}))
	return k
}

func (h *house) ticket(t *testing.T, id int64) *works.Ticket {
	t.Helper()
	k, err := works.Ask(t.Context(), h.Store, func(tx *works.Tx) (*works.Ticket, error) { return tx.Ticket(id) })
	require.NoError(t, err)
	return k
}

func (h *house) steps(t *testing.T, id int64) []*works.Step {
	t.Helper()
	steps, err := works.Ask(t.Context(), h.Store, func(tx *works.Tx) ([]*works.Step, error) { return tx.Steps(id) })
	require.NoError(t, err)
	return steps
}

// settle works until nothing is left to do.
func (h *house) settle(t *testing.T) {
	t.Helper()
	for begun := time.Now(); ; time.Sleep(5 * time.Millisecond) {
		n, err := works.Ask(t.Context(), h.Store, (*works.Tx).Counts)
		require.NoError(t, err)
		if len(n.Chores) == 0 {
			h.shop.wg.Wait()
			if n, err = works.Ask(t.Context(), h.Store, (*works.Tx).Counts); err == nil && len(n.Chores) == 0 {
				return
			}
		}
		require.Less(t, time.Since(begun), 2*time.Minute, "still to be done: %v", n.Chores)
	}
}

func newHouse(t *testing.T, trouble int) *house {
	t.Helper()
	return open(t, filepath.Join(t.TempDir(), "store.db"), newShop(trouble))
}
