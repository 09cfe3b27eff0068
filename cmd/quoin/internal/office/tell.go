package office

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"github.com/shopspring/decimal"

	"quoin/cmd/quoin/internal/access"
	"quoin/cmd/quoin/internal/compose"
	"quoin/cmd/quoin/internal/database"
	"quoin/cmd/quoin/internal/dialog"
	"quoin/cmd/quoin/internal/works"
	"quoin/jdf"
	"quoin/jdf/message"
)

// Pauses of those who tell subscribers: between two looks at what has changed, and the
// longest without a look, since other instances change things too.
const (
	tellPause = 250 * time.Millisecond
	tellPoll  = time.Second
)

// Tell makes signals for those who subscribed, until the context ends: when something
// they asked for changes, when their time has come, when the amount has grown by their
// step. Several instances may do it at once.
func (o *Office) Tell(ctx context.Context) error {
	var seen int64 = -1
	for ctx.Err() == nil {
		changed := o.Store.Changed()
		last, err := o.tellAll(ctx, seen)
		if err != nil && ctx.Err() == nil {
			o.Log.WarnContext(ctx, "signals wait", "error", err)
		} else {
			seen = last
		}
		if !sleep(ctx, tellPause, nil) {
			break
		}
		sleep(ctx, tellPoll-tellPause, changed)
	}
	return nil
}

// sleep waits for a time or until a channel is closed; it is false when the context
// has ended.
func sleep(ctx context.Context, d time.Duration, early <-chan struct{}) bool {
	timer := time.NewTimer(d)
	defer timer.Stop()
	select {
	case <-ctx.Done():
		return false
	case <-early:
	case <-timer.C:
	}
	return true
}

// tellAll looks at each subscription: at all of them after something has changed, else
// at those whose time has come. It gives the number of the last event that it saw.
func (o *Office) tellAll(ctx context.Context, seen int64) (last int64, err error) {
	var subs []*works.Subscription
	err = o.Store.Read(ctx, func(tx *works.Tx) error {
		if last, err = tx.LastEvent(); err != nil {
			return err
		}
		f := works.SubscriptionFilter{Side: works.Theirs}
		if last == seen {
			f.Due = tx.Now()
		}
		subs, err = tx.Subscriptions(f)
		return err
	})
	if err != nil {
		return seen, err
	}
	var failed error
	for _, s := range subs {
		if err := o.tellOne(ctx, s); err != nil {
			failed = errors.Join(failed, fmt.Errorf("subscription %q of %q: %w", s.Channel, s.Peer, err))
		}
	}
	return last, failed
}

// news is what a signal would say now.
type news struct {
	state  string                  // to see whether it has changed; the same when not
	silent bool                    // there is nothing to say
	amount decimal.Decimal         // for the step
	write  func(*compose.Envelope) // the messages of it
}

// tellOne makes the signal of one subscription when it is time.
func (o *Office) tellOne(ctx context.Context, s *works.Subscription) error {
	var a asked
	if err := json.Unmarshal(s.Filter, &a); err != nil {
		return err
	}
	m, err := a.read()
	if err != nil {
		return err
	}
	from := dialog.From{Partner: a.Partner, Sender: a.Sender, Version: m.Node.Document().Version}
	if o.Partner != nil {
		if p := o.Partner(a.Partner); p != nil {
			ctx = access.With(ctx, p)
		} else if a.Partner != access.Local.Name {
			return nil // it is no partner any more, and is told nothing
		}
	}
	resources, err := o.resourcesFor(ctx, from, s, m)
	if err != nil {
		return err
	}
	return o.Store.Write(ctx, "", func(tx *works.Tx) error {
		locked, err := tx.Subscriptions(works.SubscriptionFilter{Side: s.Side, Peer: s.Peer, Channel: s.Channel})
		if err != nil || len(locked) == 0 {
			return err // it has ended meanwhile
		}
		s := locked[0]
		n, err := o.newsOf(ctx, tx, from, s, m, resources)
		var refusal *dialog.Refusal
		if errors.As(err, &refusal) {
			return nil // such as of a job that is not known yet
		}
		if err != nil || !o.time(tx, s, n) {
			return err
		}
		told := works.Told{Next: s.Following(tx.Now()), Amount: n.amount, State: n.state}
		if !n.silent {
			if full, err := full(tx, s); err != nil || full {
				return err
			}
			if err := o.signal(tx, s, a, from.Version, n); err != nil {
				return err
			}
		}
		return tx.Tell(s.ID, told)
	})
}

// time reports whether a subscription is to be told something now.
func (o *Office) time(tx *works.Tx, s *works.Subscription, n news) bool {
	switch {
	case s.Count == 0 || n.state != s.State:
		return true
	case !s.Next.IsZero() && !s.Next.After(tx.Now()):
		return true
	}
	return s.RepeatStep > 0 && n.amount.Sub(s.Amount).GreaterThanOrEqual(decimal.NewFromInt(s.RepeatStep))
}

// Most signals that wait for a receiver: of those that he wants without fail, and of
// the others, which say the same as the next.
const (
	mostReliable = 1000
	mostWaiting  = 1
)

// full reports whether so many signals wait for a receiver that no more are made.
func full(tx *works.Tx, s *works.Subscription) (bool, error) {
	var n int
	err := tx.Database().QueryRow("SELECT COUNT(*) FROM deliveries WHERE state = ? AND channel = ?",
		string(works.DeliveryWaiting), s.ID).Scan(&n)
	most := mostWaiting
	if s.Reliable || s.Query == "Notification" {
		most = mostReliable
	}
	return n >= most, err
}

// signal puts a signal into the outbox.
func (o *Office) signal(tx *works.Tx, s *works.Subscription, a asked, version jdf.Version, n news) error {
	key := fmt.Sprintf("signal/%d/%d/%d", s.ID, database.Micros(s.Since), s.Count+1)
	e := o.Composer.Signal(works.MessageID(key), a.Sender, version, tx.Now())
	n.write(e)
	if e.Empty() {
		return nil
	}
	body, media, err := compose.Package(e)
	if err != nil {
		return err
	}
	retry := works.Retry{First: time.Second, Most: 20 * time.Second, Attempts: 4}
	if s.Reliable {
		retry = works.DeliveryRetry()
	}
	_, err = tx.Send(works.NewDelivery{
		Key: key, Kind: s.Query, Partner: a.Partner, Address: s.URL, Media: media, Body: body, Channel: s.ID, Ordered: true,
		Retry: retry,
	})
	return err
}

// resourcesFor asks the books, which can not be done within the transaction.
func (o *Office) resourcesFor(
	ctx context.Context, from dialog.From, s *works.Subscription, m *message.Message,
) ([]compose.ResourceReport, error) {
	if s.Query != "Resource" {
		return nil, nil
	}
	list, err := o.Resources(ctx, from, m.Params.Resource)
	var refusal *dialog.Refusal
	if errors.As(err, &refusal) {
		return nil, nil
	}
	return list, err
}

// newsOf is what a subscription would be told now.
func (o *Office) newsOf(
	ctx context.Context, tx *works.Tx, from dialog.From, s *works.Subscription, m *message.Message,
	used []compose.ResourceReport,
) (news, error) {
	switch s.Query {
	case "Status":
		return o.statusNews(ctx, tx, from, s, m)
	case "Resource":
		n := news{silent: len(used) == 0, state: digest(used), write: func(e *compose.Envelope) {
			e.SignalResource(s.Channel,
				used...)
		}}
		for _, r := range used {
			for _, amount := range r.Amounts {
				n.amount = n.amount.Add(amount.Good.Decimal)
			}
		}
		return n, nil
	case "QueueStatus":
		q, err := o.tellQueue(ctx, tx, from, m.Params.Queue)
		return news{state: digest(q), write: func(e *compose.Envelope) { e.SignalQueue(s.Channel, q) }}, err
	}
	return o.noticeNews(ctx, tx, from, s, m)
}

// statusNews tells devices that changed what they are at; amounts alone are told by
// time and step.
func (o *Office) statusNews(
	ctx context.Context, tx *works.Tx, from dialog.From, s *works.Subscription, m *message.Message,
) (news, error) {
	a := about{}
	if q := m.Params.Status; q != nil {
		a = about{q.JobID.Value, q.PartID.Value, q.Entry.Value}
	}
	states, err := o.states(ctx, tx, from, a)
	if err != nil {
		return news{}, err
	}
	n := news{silent: len(states) == 0}
	type point struct{ Device, State, Details, Job, Part, Phase string }
	var points []point
	for _, d := range states {
		p := point{Device: d.Device, State: d.State, Details: d.Details}
		for _, f := range d.Phases {
			p.Job, p.Part, p.Phase = p.Job+" "+f.JobID, p.Part+" "+f.PartID, p.Phase+" "+f.State
			n.amount = n.amount.Add(f.Good.Decimal)
		}
		points = append(points, p)
	}
	n.state = digest(points)
	n.write = func(e *compose.Envelope) {
		for _, d := range states {
			e.SignalStatus(s.Channel, d)
		}
	}
	return n, nil
}
