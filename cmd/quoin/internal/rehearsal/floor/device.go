package floor

import (
	"cmp"
	"context"
	"crypto/sha256"
	"fmt"
	"net/url"
	"slices"
	"sync"
	"time"

	"quoin/cmd/quoin/internal/compose"
	"quoin/cmd/quoin/internal/dialog"
	"quoin/cmd/quoin/internal/queue"
	"quoin/cmd/quoin/internal/rehearsal"
	"quoin/cmd/quoin/internal/rehearsal/report"
	"quoin/jdf"
	"quoin/jdf/message"
)

// device is one machine with its queue. It is what dialog.Works asks for.
type device struct {
	floor    *Floor
	channel  report.Channel
	endpoint *dialog.Endpoint
	out      *outbox
	wake     chan struct{} // there may be something to do
	poke     chan struct{} // a command has changed what runs

	lock     sync.Mutex
	entries  []*entry
	queue    queue.Queue // closed and held; the rest is counted
	channels []channel
	kept     map[[sha256.Size]byte]*kept
	running  *entry
	free     time.Time // the end of the last act
	letters  int       // messages that were sent
}

// entry is one ticket in the queue.
type entry struct {
	queue.Entry
	key   string // of the submission, so that a repeated one is done once
	works []rehearsal.Work
	acts  []*rehearsal.Act  // that have begun
	rest  []rehearsal.Phase // of the last of them, when it was suspended
	told  int               // signals of the last of them that were sent

	kind    jdf.Kind
	version jdf.Version
	ticket  []byte
	back    back
}

// back is where a ticket is returned to.
type back struct{ jmf, url, file string }

func (b back) wanted() bool { return b.jmf != "" || b.url != "" || b.file != "" }

// channel is a subscription.
type channel struct {
	compose.Channel
	speaks report.Generation
}

type kept struct {
	id    int64
	reply *dialog.Reply
}

func newDevice(f *Floor, c report.Channel) *device {
	d := &device{
		floor: f, channel: c, wake: make(chan struct{}, 1), poke: make(chan struct{}, 1),
		kept: map[[sha256.Size]byte]*kept{}, out: newOutbox(f, c.Device),
	}
	d.endpoint = &dialog.Endpoint{Works: d, Sender: c.Device, Clock: f.Clock.Now}
	return d
}

func (d *device) address() string {
	return d.floor.Address + "/device/" + url.PathEscape(d.channel.Device)
}

// signal sets a flag that somebody may wait for.
func signal(c chan struct{}) {
	select {
	case c <- struct{}{}:
	default:
	}
}

// Keep knows a document again by its bytes.
func (d *device) Keep(_ context.Context, doc dialog.Document) (dialog.Receipt, error) {
	d.lock.Lock()
	defer d.lock.Unlock()
	key := sha256.Sum256(doc.Body)
	k := d.kept[key]
	if k == nil {
		k = &kept{id: int64(len(d.kept) + 1)}
		d.kept[key] = k
	}
	return dialog.Receipt{ID: k.id, Before: k.reply}, nil
}

// Answered keeps the answer for when the document comes again.
func (d *device) Answered(_ context.Context, r dialog.Receipt, reply dialog.Reply) error {
	d.lock.Lock()
	defer d.lock.Unlock()
	for _, k := range d.kept {
		if k.id == r.ID {
			k.reply = &reply
		}
	}
	return nil
}

// Submit takes a ticket into the queue; one with the ID of a submission that is
// known gives the entry that it made.
func (d *device) Submit(_ context.Context, from dialog.From, s dialog.Submission) (queue.Entry, error) {
	to := back{jmf: s.Params.ReturnJMF.Value, url: s.Params.ReturnURL.Value}
	for _, address := range []string{to.jmf, to.url} {
		if address != "" && !d.floor.allowed(address) {
			return queue.Entry{}, dialog.Refuse(message.URLNotAccessible,
				"tickets are not returned to %q; this rehearsal sends to %s alone, see --to", address, d.floor.To.Hostname())
		}
	}
	event := queue.Submit
	if s.Params.Held.Value {
		event = queue.SubmitHeld
	}
	e := &entry{
		key: from.Sender + "\x00" + from.MessageID, ticket: s.Ticket.Data, back: to, version: from.Version,
		Entry: queue.Entry{Priority: s.Params.Priority.Or(50), Gang: s.Params.Gang.Value},
	}
	return d.take(e, s.Ticket.Document, event)
}

// take puts an entry into the queue.
func (d *device) take(e *entry, doc *jdf.Document, event queue.Event) (queue.Entry, error) {
	d.lock.Lock()
	defer d.lock.Unlock()
	for _, old := range d.entries {
		if old.key == e.key {
			return old.Entry, nil
		}
	}
	if code := d.state().Admits(); code != message.Success {
		return queue.Entry{}, dialog.Refuse(code, "the queue is %s; submit again when it is open", d.state().Status())
	}
	works, err := worksOf(doc, d.channel.Device, d.floor.Plant)
	if err != nil {
		return queue.Entry{}, dialog.Refuse(message.NoExecutableNode, "%v", err)
	}
	standing, code := queue.Standing{Returns: e.back.wanted()}.After(event)
	if code != message.Success {
		return queue.Entry{}, dialog.Refuse(code, "the entry can not begin as %s", event)
	}
	e.works, e.kind, e.Standing = works, doc.Kind, standing
	e.ID = fmt.Sprintf("%s-q%d", d.channel.Device, len(d.entries)+1)
	e.JobID, e.PartID, e.Device = works[0].Job, works[0].Part, d.channel.Device
	e.Place, e.Submitted = int64(len(d.entries)), d.floor.Clock.Now().Truncate(time.Second)
	d.entries = append(d.entries, e)
	signal(d.wake)
	return e.Entry, nil
}

// state counts the queue. The lock is held.
func (d *device) state() queue.Queue {
	q := d.queue
	for _, e := range d.entries {
		if e.Standing.State.Open() {
			q.Size++
		}
		if e.Standing.State == queue.Running {
			q.Running++
		}
	}
	return q
}

// Resubmit puts another ticket in the place of that of an entry.
func (d *device) Resubmit(_ context.Context, _ dialog.From, r dialog.Resubmission) (queue.Entry, error) {
	d.lock.Lock()
	defer d.lock.Unlock()
	e := d.find(r.Params.Entry.Value)
	if e == nil {
		return queue.Entry{}, unknown(r.Params.Entry.Value)
	}
	if r.Event == queue.Update {
		return e.Entry, dialog.Refuse(message.NotImplemented,
			"entry %q can not be changed in part; resubmit its whole ticket", e.ID)
	}
	standing, code := e.Standing.After(r.Event)
	if code != message.Success {
		return e.Entry, dialog.Refuse(code, "%s", queue.Refusal(e.ID, e.Standing.State, r.Event, code))
	}
	works, err := worksOf(r.Ticket.Document, d.channel.Device, d.floor.Plant)
	if err != nil {
		return e.Entry, dialog.Refuse(message.NoExecutableNode, "%v", err)
	}
	e.Standing, e.works, e.ticket, e.kind = standing, works, r.Ticket.Data, r.Ticket.Document.Kind
	return e.Entry, nil
}

func (d *device) find(id string) *entry {
	i := slices.IndexFunc(d.entries, func(e *entry) bool { return e.ID == id })
	if i < 0 {
		return nil
	}
	return d.entries[i]
}

func unknown(id string) *dialog.Refusal {
	return dialog.Refuse(message.EntryUnknown, "entry %q is not in the queue; ask with QueueStatus which are", id)
}

// list are the entries as the queue package takes them. The lock is held.
func (d *device) list() []queue.Entry {
	all := make([]queue.Entry, len(d.entries))
	for i, e := range d.entries {
		all[i] = e.Entry
	}
	return all
}

// Modify carries out a command on entries, and tells the machine.
func (d *device) Modify(_ context.Context, _ dialog.From, m *message.Modification) ([]queue.Result, error) {
	d.lock.Lock()
	defer d.lock.Unlock()
	results, code, why := queue.Change(d.list(), m)
	if code != message.Success {
		return nil, dialog.Refuse(code, "%s", why)
	}
	for _, r := range results {
		e := d.find(r.ID)
		if e == nil || r.Code != message.Success {
			continue
		}
		ended := !e.Standing.State.Ended() && r.Standing.State.Ended()
		e.Entry = r.Entry
		if ended && e != d.running {
			// What is not on the machine has nobody else to see it off.
			d.abandon(e)
		}
	}
	signal(d.poke)
	signal(d.wake)
	return results, nil
}

// abandon ends an entry that is not on the machine: one that waits, or was
// suspended. The lock is held.
func (d *device) abandon(e *entry) {
	if n := len(e.acts); n > 0 && e.acts[n-1].Ended == "Suspended" {
		a := e.acts[n-1]
		if a.Ended = ""; e.Standing.End == queue.Aborted {
			a.Ended = "Aborted"
		}
		e.told, e.rest = max(0, e.told-1), nil // the end stands where the suspension stood
		d.tellLocked(e, a.End())
	}
	d.close(e)
}

// Control opens, closes, holds or resumes the queue.
func (d *device) Control(_ context.Context, _ dialog.From, c queue.Control) error {
	d.lock.Lock()
	defer d.lock.Unlock()
	after, code := d.state().After(c)
	if code != message.Success {
		return dialog.Refuse(code, "the queue is %s already; nothing has to be done", d.state().Status())
	}
	d.queue.Closed, d.queue.Held = after.Closed, after.Held
	signal(d.wake)
	return nil
}

// Queue tells the state of the queue.
func (d *device) Queue(_ context.Context, _ dialog.From, f *message.QueueFilter) (compose.Queue, error) {
	d.lock.Lock()
	defer d.lock.Unlock()
	q, all := d.state(), d.list()
	if _, p, busy := d.current(); busy {
		for i := range all {
			if all[i].ID == d.running.ID {
				all[i].Doing, all[i].Details = report.NodeStatus(p.State), p.Reason
			}
		}
	}
	return compose.Queue{
		Device: d.channel.Device, Status: q.Status(), Size: q.Size, Max: q.Max, Entries: queue.Select(all, f),
	}, nil
}

// open is how many entries are not done.
func (d *device) open() int {
	d.lock.Lock()
	defer d.lock.Unlock()
	n := d.state().Size
	for _, e := range d.entries {
		if e.Standing.State == queue.PendingReturn {
			n++
		}
	}
	return n
}

// truth is what the machine has done, each act up to now.
func (d *device) truth() []*rehearsal.Act {
	d.lock.Lock()
	defer d.lock.Unlock()
	now := d.floor.Clock.Now().Truncate(time.Second)
	var all []*rehearsal.Act
	for _, e := range d.entries {
		for _, a := range e.acts {
			seen := *a
			if now.Before(seen.End()) {
				seen.Cut(now)
			}
			if len(seen.Phases) > 0 {
				all = append(all, &seen)
			}
		}
	}
	slices.SortFunc(all, func(a, b *rehearsal.Act) int {
		return cmp.Or(a.Start().Compare(b.Start()), cmp.Compare(a.Job, b.Job))
	})
	return all
}
