package office_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/compose"
	"quoin/cmd/quoin/internal/database"
	"quoin/cmd/quoin/internal/deliver"
	"quoin/cmd/quoin/internal/desk"
	"quoin/cmd/quoin/internal/dialog"
	"quoin/cmd/quoin/internal/office"
	"quoin/cmd/quoin/internal/works"
	"quoin/cmd/quoin/internal/works/flow"
	"quoin/jdf"
	"quoin/jdf/message"
	"quoin/validate/plant"
)

const demo = "../../../../testdata/"

// house is an office on a store of its own, which is talked to as over the wire.
type house struct {
	t        *testing.T
	store    *works.Store
	office   *office.Office
	endpoint *dialog.Endpoint
	version  jdf.Version
	n        int
	ids      []string // QueueEntryIDs, in the order in which tickets were submitted
	last     sent
}

// sent is a document as it went out.
type sent struct {
	media string
	body  []byte
	id    string // of its only message
}

func open(t *testing.T, version jdf.Version) *house {
	t.Helper()
	p, findings, err := plant.LoadFile(demo + "plant/saltmarsh.yaml")
	require.NoError(t, err)
	require.Empty(t, findings)
	db, err := database.Open(t.Context(), filepath.Join(t.TempDir(), "store.db"))
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, db.Close()) })
	require.NoError(t, office.Prepare(t.Context(), db))
	store, err := works.Open(t.Context(), db, works.Options{})
	require.NoError(t, err)
	d, findings, err := desk.New(desk.Options{Plant: p})
	require.NoError(t, err)
	require.Empty(t, findings)
	h := &house{t: t, store: store, version: version}
	f := &flow.Flow{Store: store, Parts: flow.Parts{Checker: d, Planner: d}}
	h.office = office.New(office.Options{
		Store: store, Desk: d, Flow: f, Plant: p, Composer: &deliver.Composer{Sender: "Quoin"}, Hosts: &deliver.Hosts{},
		Log: slog.New(slog.NewTextHandler(io.Discard, nil)),
	})
	h.endpoint = &dialog.Endpoint{Works: h.office, Sender: "Quoin"}
	return h
}

// post sends a document and gives the answer to its message.
func (h *house) post(s sent) *message.Message {
	h.t.Helper()
	h.last = s
	r := h.endpoint.Answer(h.t.Context(), dialog.Incoming{Partner: "harbour", Media: s.media, Body: s.body})
	require.Equal(h.t, 200, r.Status, "%s", r.Body)
	doc, faults, err := jdf.Read("answer", bytes.NewReader(r.Body), jdf.Limits{})
	require.NoError(h.t, err)
	require.Empty(h.t, faults)
	m := compose.AnswerTo(message.Decode(doc), s.id)
	require.NotNil(h.t, m, "%s", r.Body)
	return m
}

// write writes a document with one message, in whose ids the next number stands.
func (h *house) write(say func(*compose.Envelope) string, files ...compose.Attachment) sent {
	h.t.Helper()
	h.n++
	n := 0
	e := compose.New(compose.Options{Version: h.version, Sender: "harbour-mis", NewID: func() string {
		n++
		return fmt.Sprintf("M%d-%d", h.n, n)
	}})
	id := say(e)
	body, media, err := compose.Package(e, files...)
	require.NoError(h.t, err)
	return sent{media, body, id}
}

// file is a demo ticket of the generation, changed.
func (h *house) file(old, changed string) compose.Attachment {
	h.t.Helper()
	name, kind := "playbill.jdf", jdf.KindJDF
	if h.version.Major >= 2 {
		name, kind = "tide-tables.xjdf", jdf.KindXJDF
	}
	data, err := os.ReadFile(demo + "demo/" + name)
	require.NoError(h.t, err)
	if old != "" {
		require.Contains(h.t, string(data), old)
		data = []byte(strings.Replace(string(data), old, changed, 1))
	}
	return compose.Attachment{ID: "ticket", Name: name, Type: compose.MediaType(kind), Data: data}
}

func (h *house) submission(file compose.Attachment, s compose.Submission) sent {
	return h.write(func(e *compose.Envelope) string {
		s.URL = e.URL(file)
		return e.Submit(s)
	}, file)
}

func (h *house) resubmission(entry string, file compose.Attachment) sent {
	return h.write(func(e *compose.Envelope) string {
		return e.Resubmit(compose.Resubmission{Entry: entry, URL: e.URL(file)})
	}, file)
}

// submit submits a good ticket, and keeps its QueueEntryID.
func (h *house) submit(s compose.Submission) {
	h.t.Helper()
	m := h.post(h.submission(h.file("", ""), s))
	require.Zero(h.t, m.Returned())
	h.ids = append(h.ids, m.QueueEntries[0].ID.Value)
}

func (h *house) change(c compose.Change) *message.Message {
	h.t.Helper()
	return h.post(h.write(func(e *compose.Envelope) string { return e.Modify(c) }))
}

func (h *house) ticket(entry string) *works.Ticket {
	h.t.Helper()
	k, err := works.Ask(h.t.Context(), h.store, func(tx *works.Tx) (*works.Ticket, error) {
		return tx.TicketOfEntry(entry)
	})
	require.NoError(h.t, err)
	return k
}

// tickets are all there are, as "entry state", in the order of the queue.
func (h *house) tickets() (all []string) {
	h.t.Helper()
	list, err := works.Ask(h.t.Context(), h.store, func(tx *works.Tx) ([]*works.Ticket, error) {
		return tx.Tickets(works.TicketFilter{})
	})
	require.NoError(h.t, err)
	for _, k := range list {
		all = append(all, strings.TrimSpace(k.EntryID+" "+string(k.Entry)))
	}
	return all
}

func (h *house) comments(m *message.Message) string {
	return strings.Join(compose.OutcomeOf(m).Comments, "\n")
}

// generations are the last versions of both.
var generations = map[string]jdf.Version{"jmf": jdf.LastJDF, "xjmf": jdf.LastXJDF}

// bad is what makes the demo ticket of a generation wrong, and what is said of it.
//
// Source: published schemas: JDF/@Status is an eNodeStatus_; XJDF/@JobID is required.
func (h *house) bad() (old, changed, said string) {
	if h.version.Major >= 2 {
		return `JobID="SPW-1041"`, ``, "JobID"
	}
	return `Status="Waiting"`, `Status="Banana"`, `"Banana"`
}

// verb is one thing that is done, the code that answers it, and the queue afterwards.
type verb struct {
	name  string
	do    func(*house) *message.Message
	code  message.Code
	queue string // "entry state" in its order; %1 is the first that was submitted
}

func change(op message.Operation, n int) func(*house) *message.Message {
	return func(h *house) *message.Message {
		return h.change(compose.Change{Operation: op, Entries: []string{h.ids[n]}})
	}
}

func priority(n int) func(*house) *message.Message {
	return func(h *house) *message.Message {
		return h.change(compose.Change{Operation: message.SetPriority, Entries: []string{h.ids[1]}, Priority: &n})
	}
}

func position(entry, n int) func(*house) *message.Message {
	return func(h *house) *message.Message {
		return h.change(compose.Change{Operation: message.Move, Entries: []string{h.ids[entry]}, Position: &n})
	}
}

func resubmit(n int, old, changed string) func(*house) *message.Message {
	return func(h *house) *message.Message { return h.post(h.resubmission(h.ids[n], h.file(old, changed))) }
}

// verbs are done one after the other, to three tickets that wait.
//
// Source: published schemas for the statuses (JDF: eQueueEntryStatus_; XJDF: NodeStatus
// and Activation) and for the range of Priority, 0 to 100.
// From memory: which return code the standard has for which refusal.
var verbs = []verb{
	{"hold", change(message.Hold, 0), message.Success, "%1 Held, %2 Waiting, %3 Waiting"},
	{"hold what is held", change(message.Hold, 0), message.AlreadyInStatus, "%1 Held, %2 Waiting, %3 Waiting"},
	{"suspend what does not run", change(message.Suspend, 1), message.EntryNotRunning, "%1 Held, %2 Waiting, %3 Waiting"},
	{"resume", change(message.Resume, 0), message.Success, "%1 Waiting, %2 Waiting, %3 Waiting"},
	{"resume what waits", change(message.Resume, 0), message.AlreadyInStatus, "%1 Waiting, %2 Waiting, %3 Waiting"},
	{"priority", priority(90), message.Success, "%2 Waiting, %1 Waiting, %3 Waiting"},
	{"priority that is none", priority(101), message.ValidationError, "%2 Waiting, %1 Waiting, %3 Waiting"},
	{"move to the front", position(2, 0), message.Success, "%3 Waiting, %2 Waiting, %1 Waiting"},
	{"move behind", position(2, 1), message.Success, "%2 Waiting, %3 Waiting, %1 Waiting"},
	{"resubmit the same ticket", resubmit(0, "", ""), message.Success, "%2 Waiting, %3 Waiting, %1 Waiting"},
	{"abort", change(message.Abort, 1), message.Success, "%2 Aborted, %3 Waiting, %1 Waiting"},
	{"abort what is aborted", change(message.Abort, 1), message.AlreadyInStatus, "%2 Aborted, %3 Waiting, %1 Waiting"},
	{"hold what has ended", change(message.Hold, 1), message.EntryEnded, "%2 Aborted, %3 Waiting, %1 Waiting"},
	{"resubmit what has ended", resubmit(1, "", ""), message.EntryEnded, "%2 Aborted, %3 Waiting, %1 Waiting"},
	{"remove", change(message.Remove, 1), message.Success, "%2 Removed, %3 Waiting, %1 Waiting"},
	{"remove what is gone", change(message.Remove, 1), message.EntryUnknown, "%2 Removed, %3 Waiting, %1 Waiting"},
}

func TestVerbs(t *testing.T) {
	for name, version := range generations {
		t.Run(name, func(t *testing.T) {
			h := open(t, version)
			for range 3 {
				h.submit(compose.Submission{})
			}
			for _, v := range verbs {
				m := v.do(h)
				code := v.code
				if code == message.ValidationError && version.Major >= 2 { // whose schema has no range for it
					code = message.InvalidParameters
				}
				require.Equal(t, code, message.Code(m.Returned()), "%s: %s", v.name, h.comments(m))
				if code != message.Success {
					require.NotEmpty(t, h.comments(m), "%s: a refusal says why", v.name)
				}
				want := strings.NewReplacer("%1", h.ids[0], "%2", h.ids[1], "%3", h.ids[2]).Replace(v.queue)
				require.Equal(t, want, strings.Join(h.tickets(), ", "), v.name)
				again := h.post(h.last)
				require.Equal(t, code, message.Code(again.Returned()), "%s, sent again", v.name)
				require.Equal(t, want, strings.Join(h.tickets(), ", "), "%s, sent again, does nothing", v.name)
			}
			require.EqualValues(t, 2, h.ticket(h.ids[0]).Version, "resubmitted once, though it was sent twice")
		})
	}
}

// A ticket with errors is refused with what is wrong and where; it never comes into the
// queue, and its message sent again is answered the same.
func TestRefusedWithFindings(t *testing.T) {
	for name, version := range generations {
		t.Run(name, func(t *testing.T) {
			h := open(t, version)
			old, changed, said := h.bad()
			m := h.post(h.submission(h.file(old, changed), compose.Submission{}))
			require.Equal(t, message.ValidationError, message.Code(m.Returned()))
			first := h.comments(m)
			require.Contains(t, first, said)
			require.Regexp(t, `:\d+:\d+: `, first, "where it is wrong")
			require.Empty(t, m.QueueEntries)
			require.Equal(t, first, h.comments(h.post(h.last)))
			require.Equal(t, []string{"Q000001"}, h.tickets(), "one, and with no status of the queue")
			require.Equal(t, works.Refused, h.ticket("Q000001").State)

			h.submit(compose.Submission{})
			m = h.post(h.resubmission(h.ids[0], h.file(old, changed)))
			require.Equal(t, message.ValidationError, message.Code(m.Returned()))
			require.Contains(t, h.comments(m), "the entry keeps the ticket that it had")
			k := h.ticket(h.ids[0])
			require.Equal(t, works.Accepted, k.State)
			require.EqualValues(t, 1, k.Version)
		})
	}
}

// A ticket that is submitted on hold is held, and one with a priority stands where that
// puts it.
func TestSubmitted(t *testing.T) {
	for name, version := range generations {
		t.Run(name, func(t *testing.T) {
			h := open(t, version)
			high := 80
			h.submit(compose.Submission{Held: true})
			h.submit(compose.Submission{Priority: &high})
			require.Equal(t, []string{h.ids[1] + " Waiting", h.ids[0] + " Held"}, h.tickets())
		})
	}
}

// The same message again is the same message; its id with another document is another.
//
// Source: published samples and schemas: Message/@ID is an xs:ID in JMF, and Header/@ID an
// NMTOKEN in XJMF, so that a sender may begin anew with the ids of its next document.
func TestSameIDAnotherDocument(t *testing.T) {
	for name, version := range generations {
		t.Run(name, func(t *testing.T) {
			h := open(t, version)
			other := func(send func() sent) sent { // with the ids of the message before
				h.n--
				return send()
			}
			h.submit(compose.Submission{})
			first := h.last
			m := h.post(first)
			require.Equal(t, h.ids[0], m.QueueEntries[0].ID.Value)
			require.Len(t, h.tickets(), 1, "the same bytes are the same ticket")
			job := map[string]string{"jmf": "SPW-1042", "xjmf": "SPW-1041"}[name]
			twin := other(func() sent { return h.submission(h.file(job, "SPW-2000"), compose.Submission{}) })
			require.Equal(t, first.id, twin.id)
			m = h.post(twin)
			require.Zero(t, m.Returned())
			second := m.QueueEntries[0].ID.Value
			require.NotEqual(t, h.ids[0], second)
			require.Equal(t, second, h.post(twin).QueueEntries[0].ID.Value)
			require.Len(t, h.tickets(), 2)

			again := h.resubmission(h.ids[0], h.file("", ""))
			changed := other(func() sent { return h.resubmission(h.ids[0], h.file(job, "SPW-3000")) })
			for n, s := range []sent{again, again, changed, changed, again} {
				require.Zero(t, h.post(s).Returned(), n)
			}
			k := h.ticket(h.ids[0])
			require.EqualValues(t, 3, k.Version, "each of the two once")
			require.Equal(t, "SPW-3000", k.Job, "what came first and came again late does not undo what came after it")
			clash, err := works.Ask(t.Context(), h.store, func(tx *works.Tx) (n int, err error) {
				all, err := tx.Messages(works.MessageFilter{})
				for _, m := range all {
					if m.Clash != 0 {
						n++
					}
				}
				return n, err
			})
			require.NoError(t, err)
			require.Equal(t, 2, clash, "people are told of ids that came with another content")
		})
	}
}

// What a message has done is known though its answer was not stored: asked again after
// the process has ended in between, it does nothing more.
func TestAnswerLost(t *testing.T) {
	for name, version := range generations {
		t.Run(name, func(t *testing.T) {
			h := open(t, version)
			h.submit(compose.Submission{})
			h.endpoint.Works = forgetful{h.office}
			s := h.resubmission(h.ids[0], h.file("", ""))
			r := h.endpoint.Answer(t.Context(), dialog.Incoming{Partner: "harbour", Media: s.media, Body: s.body})
			require.Equal(t, 503, r.Status, "the sender is to ask again")
			require.EqualValues(t, 2, h.ticket(h.ids[0]).Version)
			h.endpoint.Works = h.office
			require.Zero(t, h.post(s).Returned())
			require.EqualValues(t, 2, h.ticket(h.ids[0]).Version, "done once")
		})
	}
}

// forgetful is an office whose process ends before an answer is stored.
type forgetful struct{ *office.Office }

func (forgetful) Answered(context.Context, dialog.Receipt, dialog.Reply) error {
	return errors.New("the process ended")
}
