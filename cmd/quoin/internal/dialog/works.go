package dialog

import (
	"context"
	"errors"
	"fmt"
	"time"

	"quoin/cmd/quoin/internal/compose"
	"quoin/cmd/quoin/internal/queue"
	"quoin/jdf"
	"quoin/jdf/message"
	"quoin/jdf/pack"
)

// Works is what answers are made of. Its methods may be called by many
// goroutines. An error that is a *Refusal is told to the sender with its code;
// any other says that we failed, and that the sender has to ask again.
//
// A document may be answered twice, when a process ended in between: the same
// From.Receipt and From.Index are the same message, and must not have a second effect.
type Works interface {
	// Keep stores a document before anything of it is answered. Documents that
	// only ask are not kept.
	Keep(ctx context.Context, d Document) (Receipt, error)

	// Answered stores what was answered, for when the document comes again.
	Answered(ctx context.Context, r Receipt, reply Reply) error

	// Submit takes a ticket into the queue. ErrLater beside the entry says that
	// its check goes on, and that an Acknowledge follows.
	Submit(ctx context.Context, from From, s Submission) (queue.Entry, error)

	// Resubmit puts a ticket in the place of that of an entry. ErrLater as in Submit.
	Resubmit(ctx context.Context, from From, r Resubmission) (queue.Entry, error)

	// Modify carries out a command on entries, as queue.Change does; a refusal of
	// the whole command is a *Refusal. ErrLater as in Submit.
	Modify(ctx context.Context, from From, m *message.Modification) ([]queue.Result, error)

	// Control opens, closes, holds or resumes the queue, as queue.Queue.After does.
	Control(ctx context.Context, from From, c queue.Control) error

	// Queue tells the state of the queue, with the entries that queue.Select
	// gives. A nil filter chooses all.
	Queue(ctx context.Context, from From, f *message.QueueFilter) (compose.Queue, error)

	// Return takes the ticket back that was submitted to the sender.
	Return(ctx context.Context, from From, r Return) error

	// Request notes that the sender wants work.
	Request(ctx context.Context, from From, r *message.EntryRequest) error

	// Devices lists the devices. The filter may be nil.
	Devices(ctx context.Context, from From, f *message.DeviceFilter) ([]compose.Device, error)

	// Status tells what devices are doing. The query may be nil.
	Status(ctx context.Context, from From, q *message.StatusQuery) ([]compose.DeviceState, error)

	// Resources tells of resources. The query may be nil.
	Resources(ctx context.Context, from From, q *message.ResourceQuery) ([]compose.ResourceReport, error)

	// Subscribe keeps a subscription. One of the same sender and channel is replaced.
	Subscribe(ctx context.Context, from From, s Subscription) error

	// Channels lists the subscriptions of the sender. The filter may be nil.
	Channels(ctx context.Context, from From, f *message.SubscriptionFilter) ([]compose.Channel, error)

	// Stop ends subscriptions of the sender and gives those that were ended.
	Stop(ctx context.Context, from From, s *message.StopChannel) ([]compose.Channel, error)

	// Told takes a signal, or the response or acknowledge to what was sent.
	Told(ctx context.Context, from From, m *message.Message) error

	// Fetch gives the ticket at a URL that leads out of the message, where the
	// house allows its scheme and folder; else RefuseURL.
	Fetch(ctx context.Context, from From, url string) (Ticket, error)
}

// Document is a document as it came in, and what it holds.
type Document struct {
	Incoming
	MessageID string // of its first message; "" when it gives none
	Sender    string // SenderID or DeviceID of the document
}

// Receipt is the number of a document that was kept. Before is what was answered
// when the same document came before, nil when it is new or was not answered.
type Receipt struct {
	ID     int64
	Before *Reply
}

// From says whose message it is, and which.
type From struct {
	Partner string // as access knows the sender; "" when it does not
	Origin  string // the address it came from, for people
	Receipt int64  // of the document; 0 for one that only asks
	Index   int    // of the message in it, from 0

	Version   jdf.Version // of the document: 1.x is JMF, 2.x is XJMF
	Sender    string      // SenderID or DeviceID
	MessageID string
	Time      time.Time // when it was written; zero when not said

	AcknowledgeURL string   // JMF: where an Acknowledge may go, "" for nowhere
	Acknowledge    []string // JMF: of what it is to tell: Received, Applied or Completed
}

// Ticket is a ticket that came with a message.
type Ticket struct {
	URL      string        // as the message has it
	Name     string        // of the file, in its package where it has one
	Document *jdf.Document // as read, without faults
	Data     []byte        // as it came

	Package *pack.Package // that holds it, nil when it came alone
	Part    *pack.Part    // of the package
}

// Submission is a ticket for the queue.
type Submission struct {
	Params *message.Submission
	Ticket Ticket
}

// Resubmission is a new ticket for an entry.
type Resubmission struct {
	Params *message.Resubmission
	Event  queue.Event // Resubmit, or Update when the ticket only holds changes
	Ticket Ticket
}

// Return is a ticket that comes back.
type Return struct {
	Params *message.Return
	Ticket Ticket
}

// Subscription asks to be told again.
type Subscription struct {
	Channel string // ID of the query
	Type    string // of the signals: Status, Resource, Notification or QueueStatus
	Message *message.Message
	compose.Subscription
}

// ErrLater says that the work was stored and goes on.
var ErrLater = errors.New("the work goes on, and an acknowledge follows")

// Refusal is an answer with a return code other than Success.
type Refusal struct {
	Code     message.Code
	Comments []string // what is wrong and what to do about it, a sentence each
}

// Refuse makes a Refusal with one comment.
func Refuse(code message.Code, format string, args ...any) *Refusal {
	return &Refusal{code, []string{fmt.Sprintf(format, args...)}}
}

// RefuseURL is the refusal of a URL that is not followed.
func RefuseURL(url string) *Refusal {
	return Refuse(message.URLNotAccessible, "URL is %q, which leads out of the message, and such are not followed; send "+
		"the ticket with the message, in a MIME package with a cid: URL or in a ZIP package with a relative one", url)
}

// Error puts the refusal in words.
func (r *Refusal) Error() string {
	if len(r.Comments) > 0 {
		return fmt.Sprintf("refused with return code %d: %s", int(r.Code), r.Comments[0])
	}
	return fmt.Sprintf("refused with return code %d: %s", int(r.Code), r.Code)
}
